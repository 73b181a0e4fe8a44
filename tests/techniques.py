"""Small invented techniques and cramped boats: a handful of people meets every shape of demand.

Nothing here is a rescue technique. Each is drawn: banks one, both or none; at once or unhurried;
one to three roles and none to three kinds of things at sites that make sense for it; boats' work;
downstream safety, a spotter, a line across, one in charge. Boats and vests get less room, and more
boats crew paddles. A strain of a catalogue says what its techniques ask much of, so that rules
which rarely bind on a real trip bind on some of these: small things that only vests have room
for, bulky things in few hands, work for two boats.
"""

from __future__ import annotations

import random
from dataclasses import replace

from kitplan.trip import (
    BoatType,
    Boatwork,
    Catalog,
    Catch,
    Crew,
    LengthRule,
    Need,
    PlaceLimits,
    Role,
    Serves,
    Technique,
    Way,
)

_SKILLS = ("throwing", "rope", "wading", "swimming", "first aid")
_KINDS = (
    "line", "line", "line", "prusik loop", "carabiner", "locking carabiner", "pole", "pole",
    "paddle", "paddle", "T-grip paddle", "pulley", "anchor sling",
)  # fmt: skip
_STRAINS = {
    "all": _KINDS,
    "small": ("prusik loop", "carabiner", "locking carabiner", "pulley", "anchor sling", "line"),
    "hands": ("pole", "paddle", "T-grip paddle", "line"),
    "boats": ("line", "carabiner", "pole"),
}
_ANY_CRAFT = ("raft", "canoe", "kayak")


def draw_techniques(rng: random.Random, catalog: Catalog) -> Catalog:
    """Return the catalogue with four to six drawn techniques instead of its own, and less room."""
    names = [f"technique {number}" for number in range(1, rng.randint(5, 7))]
    strain = rng.choice(["all", "all", *_STRAINS])
    role = replace(catalog.downstream.role, skills=(("throwing", 1),))
    techniques = {name: _draw_technique(rng, name, catalog, strain) for name in names}
    # Drawn aside, so that what came before it is drawn as ever and the seeds keep what they show.
    aside = random.Random(str(rng.getstate()))
    return replace(
        catalog,
        techniques={name: _crowd(aside, one) for name, one in techniques.items()}
        | _draw_gathering(aside, catalog),
        figures=replace(
            catalog.figures,
            in_charge_from=rng.choice([2, 3, 9, 9]),
            crowded_over=aside.choice([1, 1, 2]),
        ),
        downstream=replace(catalog.downstream, role=role),
        boat_types={name: _cramp(rng, kind, strain) for name, kind in catalog.boat_types.items()},
        items={
            name: replace(item, vest_room=rng.randint(1, 3)) if item.vest_room else item
            for name, item in catalog.items.items()
        },
    )


def list_kinds(catalog: Catalog) -> frozenset[str]:
    """Return the kinds of things that the techniques ask for."""
    needs: list[Need] = []
    for technique in catalog.techniques.values():
        needs += technique.items
        needs += [need for way in technique.ways for need in way.items]
        needs += [need for work in technique.boats for crew in work.crews for need in crew.items]
        needs += [technique.catch.bag] if technique.catch else []
    return frozenset(need.kind for need in needs)


def _cramp(rng: random.Random, kind: BoatType, strain: str) -> BoatType:
    paddle = rng.choice([None, "raft paddle 1.5 m, T-grip"]) if kind.seats > 1 else None
    return replace(
        kind,
        quick_bulky=6 if strain == "hands" else rng.choice([1, 2, kind.quick_bulky]),
        quick_small=0 if strain == "small" else rng.choice([0, 0, 1, kind.quick_small]),
        payload_g=min(kind.payload_g, kind.seats * rng.randrange(80_000, 130_000, 1_000)),
        crew_paddle=kind.crew_paddle or paddle,
        room=rng.choice([kind.room, 10]),
    )


def _draw_technique(rng: random.Random, name: str, catalog: Catalog, strain: str) -> Technique:
    banks = rng.choice(["one", "one", "one", "both", "none"])
    unhurried = rng.random() < 0.2
    laden = strain in {"small", "hands"} or rng.random() < 0.3
    sites = {
        "one": ["working", "working", "working", "anywhere", "above"],
        "both": ["working", "far", "far", "banks"],
        "none": ["anywhere", "above"],
    }[banks]
    people = 1 if laden else rng.choice([1, 1, 1, 2, 2, 3])
    roles = tuple(_draw_role(rng, f"role {n}", rng.choice(sites)) for n in range(people))
    on_bank = [site for site in sites if site in {"working", "far", "above"}]
    kinds = rng.choice([2, 3]) if laden else rng.choice([0, 1, 1, 1, 2])
    spread = on_bank[:1] if laden else on_bank
    items = tuple(_draw_need(rng, rng.choice(spread), strain) for _ in range(kinds))
    afloat = banks == "none" or rng.random() < (0.6 if strain == "boats" else 0.15)
    works = rng.choice([1, 2, 2]) if strain == "boats" else 1
    boats = tuple(_draw_boatwork(rng, f"work {n}", strain) for n in range(works if afloat else 0))
    ways: tuple[Way, ...] = ()
    if rng.random() < 0.2:
        ways = (Way("by hand", items=(_draw_need(rng, on_bank[0], strain),)), Way("plain"))
    return Technique(
        name=name,
        summary="invented",
        source="invented",
        banks=banks,
        serves=tuple(
            Serves(scenario, rng.randint(0, 3))
            for scenario in catalog.scenarios
            if rng.random() < 0.6
        ),
        unhurried=unhurried,
        ready_least_s=10,
        ready_most_s=rng.choice([20, 60, 110]),
        support_only=rng.random() < 0.1,
        last_resort=rng.random() < 0.1,
        line_across=banks == "both" and rng.random() < 0.4,
        spotter=rng.choice(["none", "none", "none", "needed"]),
        downstream=rng.choice([0, 0, 0, 1]),
        downstream_hard=rng.choice([0, 0, 1]),
        roles=() if afloat and rng.random() < 0.6 else roles,
        items=() if afloat and rng.random() < 0.6 else items,
        boats=boats,
        ways=ways,
    )


def _draw_gathering(rng: random.Random, catalog: Catalog) -> dict[str, Technique]:
    """Return in one case of two a technique that takes all who sat in the running boat."""
    if rng.random() > 1 / 2:
        return {}
    crew = Crew(
        rng.choice([_ANY_CRAFT, ("kayak",), ("raft", "canoe")]),
        rng.randint(1, 3),
        roles=rng.choice([(), (), (Role("aboard", "aboard", skills=(("throwing", 1),)),)]),
    )
    catch = Catch(
        Role("thrower", "working", skills=(("throwing", 1),), throws=rng.random() < 0.5),
        Need("line", "working", flags=frozenset(rng.choice([(), ("thrown",)]))),
        (crew,),
    )
    gather = Technique(
        name="gathering",
        summary="invented",
        source="invented",
        banks="none",
        serves=tuple(Serves(scenario, rng.randint(0, 2)) for scenario in catalog.scenarios),
        unhurried=False,
        ready_least_s=10,
        ready_most_s=60,
        place=PlaceLimits(eddy=rng.random() < 0.5),
        catch=catch,
    )
    return {gather.name: gather}


def _crowd(rng: random.Random, technique: Technique) -> Technique:
    """Return a technique of which one in four asks for one more with a crowded running boat."""
    if not technique.roles or rng.random() > 1 / 4:
        return technique
    first, *rest = technique.roles
    more = replace(first, count_crowded=first.count + 1)
    return replace(technique, roles=(more, *rest))


def _draw_role(rng: random.Random, name: str, site: str) -> Role:
    guest = rng.random() < 0.3
    skills = () if guest else ((rng.choice(_SKILLS), rng.choice([1, 2, 2, 3])),)
    return Role(
        name,
        site,
        count=rng.choice([1, 1, 1, 1, 2]),
        skills=skills,
        exposure="ashore" if guest else rng.choice(["ashore", "ashore", "ashore", "wading"]),
        guest=guest,
        line_hand=rng.random() < 0.5,
        may_lead=rng.random() < 0.7,
    )


def _draw_need(rng: random.Random, site: str, strain: str) -> Need:
    kind = rng.choice(_STRAINS[strain])
    length: tuple[LengthRule, ...] = ()
    flags: frozenset[str] = frozenset()
    if kind == "line":
        length = (LengthRule(0, rng.choice([0, 10]), rng.choice([0, 5_000, 15_000])),)
        flags = frozenset(rng.choice([(), ("thrown",), ("across",), ("haul",)]))
    return Need(
        kind,
        site,
        count=rng.choice([1, 1, 1, 2, 3] if strain != "hands" else [1, 2, 2, 3]),
        length=length,
        flags=flags,
        spare=kind == "paddle" and rng.random() < 0.5,
    )


def _draw_boatwork(rng: random.Random, name: str, strain: str) -> Boatwork:
    crews = (
        Crew(
            _ANY_CRAFT,
            rng.randint(2, 3),
            free_places=rng.choice([0, 0, 1]),
            roles=rng.choice([(), (Role("aboard", "aboard", skills=(("throwing", 1),)),)]),
            items=rng.choice([(), (_draw_need(rng, "aboard", strain),)]),
        ),
    )
    stations = rng.choice([("afloat",), ("afloat", "above"), ("afloat",)])
    return Boatwork(name, stations, crews, count=rng.choice([1, 1, 2]))
