"""Small invented techniques, so that a handful of people meets every shape of demand.

Nothing here is a rescue technique. Each is drawn: banks one, both or none; at once or unhurried;
one to three roles and none to three kinds of things at sites that make sense for it; boats' work;
downstream safety, a spotter, a line across, one in charge.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.trip import Boatwork, Catalog, Crew, LengthRule, Need, Role, Serves, Technique, Way

if TYPE_CHECKING:
    import random

_SKILLS = ("throwing", "rope", "wading", "swimming", "first aid")
_KINDS = (
    "line", "line", "line", "prusik loop", "carabiner", "locking carabiner", "pole", "paddle",
    "T-grip paddle", "pulley", "anchor sling",
)  # fmt: skip
_ANY_CRAFT = ("raft", "canoe", "kayak")


def draw_techniques(rng: random.Random, catalog: Catalog) -> Catalog:
    """Return the catalogue with its techniques exchanged for four to six drawn ones."""
    names = [f"technique {number}" for number in range(1, rng.randint(5, 7))]
    role = replace(catalog.downstream.role, skills=(("throwing", 1),))
    return replace(
        catalog,
        techniques={name: _draw_technique(rng, name, catalog) for name in names},
        figures=replace(catalog.figures, in_charge_from=rng.choice([2, 3, 9, 9])),
        downstream=replace(catalog.downstream, role=role),
    )


def _draw_technique(rng: random.Random, name: str, catalog: Catalog) -> Technique:
    banks = rng.choice(["one", "one", "one", "both", "none"])
    unhurried = rng.random() < 0.2
    sites = {
        "one": ["working", "working", "working", "anywhere", "above"],
        "both": ["working", "far", "far", "banks"],
        "none": ["anywhere", "above"],
    }[banks]
    roles = tuple(
        _draw_role(rng, f"role {n}", rng.choice(sites)) for n in range(rng.choice([1, 1, 1, 2, 2, 3]))
    )
    on_bank = [site for site in sites if site in {"working", "far", "above"}]
    items = tuple(_draw_need(rng, rng.choice(on_bank)) for _ in range(rng.choice([0, 1, 1, 1, 2, 3])))
    afloat = banks == "none" or rng.random() < 0.15
    boats = (_draw_boatwork(rng),) if afloat else ()
    ways: tuple[Way, ...] = ()
    if rng.random() < 0.2:
        ways = (Way("by hand", items=(_draw_need(rng, on_bank[0]),)), Way("plain"))
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


def _draw_need(rng: random.Random, site: str) -> Need:
    kind = rng.choice(_KINDS)
    length: tuple[LengthRule, ...] = ()
    flags: frozenset[str] = frozenset()
    if kind == "line":
        length = (LengthRule(0, rng.choice([0, 10]), rng.choice([0, 5_000, 15_000])),)
        flags = frozenset(rng.choice([(), ("thrown",), ("across",), ("haul",)]))
    return Need(
        kind,
        site,
        count=rng.choice([1, 1, 1, 2]),
        length=length,
        flags=flags,
        spare=kind == "paddle" and rng.random() < 0.5,
    )


def _draw_boatwork(rng: random.Random) -> Boatwork:
    crews = (
        Crew(
            _ANY_CRAFT,
            rng.randint(2, 3),
            free_places=rng.choice([0, 0, 1]),
            roles=rng.choice([(), (Role("aboard", "aboard", skills=(("throwing", 1),)),)]),
            items=rng.choice([(), (_draw_need(rng, "aboard"),)]),
        ),
    )
    stations = rng.choice([("afloat",), ("afloat", "above"), ("afloat",)])
    return Boatwork("boat's work", stations, crews, count=rng.choice([1, 1, 1, 2]))
