"""Random plausible trips for tests and benchmarks, each from a seed.

The nouns are built directly, over the shipped catalogues. What is drawn, and how often:

- boats: oar rafts, paddle rafts, cat rafts, canoes and kayaks as their size's weights say; each
  gets a steerer among the people who is good enough for the hardest class, or one level better;
- people: that steerer, else guide, helper or guest, with skills, certificates (one in ten has run
  out), what they wear, and how far in they go;
- kit: a count for each thing, drawn from a range per boat and times `kit_factor`; some must go;
- rapids: class I to V, most II to IV; 8 to 45 m wide; safety set, afloat or none; landings and
  eddies 0 to 4; one or two spots with distances, currents 0.5 to 3 m/s, depths 0.3 to 1.8 m, some
  of them not given; scenarios by how often they happen on rivers (common practice, no source);
- of every fourth trip: more guests, rapids they walk round, spots out of sight from above;
- the trip: water 4 to 18 degC, remote or not, what is accepted, which boats may be in trouble.

Draws that no seating satisfies are rejected and counted; a trip that asks for nothing at all is
drawn again, uncounted. With `techniques="drawn"` the techniques
are small invented ones (tests.techniques) in which few people suffice, so that tiny parties meet
both banks, boats' work, bulky things and the pool.
"""

from __future__ import annotations

import os
import random
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from kitplan.files import find_shipped_catalogs
from kitplan.load import load_trip_text
from kitplan.load.legs import Calendar, name_boats
from kitplan.needs import derive_needs
from kitplan.trip import (
    HELD,
    RESET,
    Bank,
    Boat,
    Company,
    Kit,
    Leg,
    OrderTerms,
    Paddler,
    Rapid,
    Spot,
    Trip,
)
from tests.hidden import hide
from tests.techniques import draw_techniques, list_kinds
from tests.twin.plain import is_seatable

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from kitplan.trip import Catalog

STARTS = date(2027, 6, 14)
_CATALOGS = ("techniques.toml", "gear.toml", "boats.toml")
_BARE = f"""
[trip]
name = "bare"
starts = {STARTS}
catalogs = {["kitplan:" + name for name in _CATALOGS]}
water_temperature = "12 degC"

[[boat]]
name = "one"
type = "oar raft 4.3 m"

[[paddler]]
name = "somebody"
mass = "70 kg"

[[rapid]]
day = 1
name = "somewhere"
class = "II"
width = "10 m"
safety = "none"
"""

BIG_PARTY = {
    "oar raft 4.3 m": 3,
    "oar raft 4.9 m": 3,
    "oar raft 5.5 m": 2,
    "paddle raft 4.0 m": 1,
    "paddle raft 4.3 m": 2,
    "cat raft 4.9 m": 1,
    "river kayak 2.7 m": 2,
    "long kayak 3.3 m": 1,
}
SMALL_PARTY = {
    "oar raft 4.0 m": 3,
    "oar raft 4.3 m": 3,
    "cat raft 4.3 m": 2,
    "tandem canoe 5.0 m": 3,
    "river kayak 2.7 m": 3,
    "inflatable kayak, tandem 3.8 m": 1,
}


@dataclass(frozen=True, slots=True)
class Size:
    """How large a trip is; two numbers are a range. `spots` and `scenarios` are the most.

    Where `easy`, people can more, banks can be stood on, and kit is drawn from what is asked for
    most: a handful of people would cover nothing otherwise.
    """

    name: str
    boats: tuple[int, int]
    people: tuple[int, int]
    rapids: tuple[int, int]
    spots: int = 2
    scenarios: int = 3
    kinds_of_kit: tuple[int, int] = (99, 99)
    copies: int = 999
    party: Mapping[str, int] = field(default_factory=lambda: BIG_PARTY)
    easy: bool = False
    cuts: bool = False  # some trips have two legs


SIZES = {
    "tiniest": Size("tiniest", (2, 3), (4, 5), (1, 2), 1, 2, (2, 4), 5, SMALL_PARTY, easy=True),
    "tiny": Size(
        "tiny", (2, 3), (4, 5), (2, 3), 1, 3, (5, 9), 99, SMALL_PARTY, easy=True, cuts=True
    ),
    "XS": Size("XS", (4, 4), (10, 10), (8, 8)),
    "S": Size("S", (6, 6), (16, 16), (20, 20)),
    "M": Size("M", (8, 8), (24, 24), (40, 40)),
    "L": Size("L", (16, 16), (48, 48), (100, 100)),
    "XL": Size("XL", (24, 24), (96, 96), (200, 200)),
}

# Copies a boat, least and most, of what a party may own.
_KIT = {
    "throw bag 20 m": (0.4, 1.0),
    "throw bag 23 m": (0.0, 0.4),
    "throw bag 25 m, strong core": (0.1, 0.5),
    "throw bag 15 m, belt": (0.1, 0.5),
    "floating rescue line 45 m": (0.1, 0.3),
    "static line 30 m": (0.0, 0.2),
    "static line 60 m": (0.1, 0.3),
    "prusik loop 6 mm": (0.3, 1.2),
    "locking carabiner, HMS": (0.5, 1.5),
    "carabiner, plain gate": (0.0, 0.8),
    "pulley 40 mm": (0.2, 0.8),
    "sewn sling 2.4 m": (0.0, 0.4),
    "anchor sling 5 m": (0.1, 0.5),
    "first-aid kit, large": (0.1, 0.3),
    "warming kit": (0.1, 0.3),
    "group shelter, 6-8 people": (0.1, 0.2),
    "guide paddle 1.65 m, T-grip": (0.1, 0.5),
    "wading pole 1.2-3.5 m": (0.0, 0.3),
    "raft paddle 1.5 m, T-grip": (0.1, 0.5),
}
_ASKED_MOST = (
    "throw bag 20 m", "throw bag 25 m, strong core", "throw bag 15 m, belt", "static line 30 m",
    "prusik loop 6 mm", "locking carabiner, HMS", "anchor sling 5 m", "pulley 40 mm",
    "guide paddle 1.65 m, T-grip", "wading pole 1.2-3.5 m", "first-aid kit, large", "warming kit",
    "group shelter, 6-8 people",
)  # fmt: skip
_SCENARIOS = {
    "swimmer": 6,
    "spent swimmer": 3,
    "entrapment, head up": 3,
    "entrapment, head down": 3,
    "casualty ashore": 2,
    "pinned boat": 2,
    "held in a kayak, head up": 1,
    "held in a kayak, head down": 1,
}
_SKILLS = {
    "guide": {
        "throwing": (3, 4), "rope": (2, 4), "wading": (2, 3), "swimming": (2, 4),
        "leading": (2, 4), "first aid": (1, 3),
    },
    "helper": {
        "throwing": (1, 3), "rope": (1, 3), "wading": (1, 3), "swimming": (1, 3),
        "leading": (0, 2), "first aid": (0, 2),
    },
    "guest": {"throwing": (0, 1), "wading": (0, 1)},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Draw:
    """A trip, the seed it came from, and how many draws before it no seating satisfied."""

    seed: int
    trip: Trip
    rejected: int


@cache
def load_catalog() -> Catalog:
    """Return the shipped catalogues."""
    folder = find_shipped_catalogs()
    texts = {f"kitplan:{name}": (folder / name).read_text("utf-8") for name in _CATALOGS}
    trip, findings = load_trip_text({"bare.toml": _BARE, **texts}, "bare.toml")
    if trip is None:
        raise ValueError("; ".join(finding.text() for finding in findings))
    return trip.catalog


def draw_trip(
    seed: int,
    size: Size,
    *,
    kit_factor: float = 1.0,
    techniques: str = "shipped",
    catalog: Catalog | None = None,
) -> Draw:
    """Return the trip of a seed; `techniques` is "shipped" or "drawn".

    The catalogue is the shipped one if none is given.
    """
    rng = random.Random(f"{seed} {size.name} {kit_factor} {techniques}")
    catalog = catalog or load_catalog()
    if techniques == "drawn":
        catalog = draw_techniques(rng, catalog)
    rejected = 0
    while True:
        drawer = _Drawer(rng, size, catalog, kit_factor)
        trip = drawer.draw(f"{size.name} {seed}")
        if techniques == "drawn":
            trip = drawer.press(trip)
        if seed % 3 == 0:
            trip = part_ways(trip, random.Random(f"{seed} {rejected} apart"))
        if seed % 4 == 1:
            trip = set_order(trip, random.Random(f"{seed} {rejected} order"))
        if seed % 4 == 1:
            trip = hide(trip, random.Random(f"{seed} {rejected} hidden"))
        if size.cuts and seed % 5 in {0, 3}:
            trip = cut_trip(trip, random.Random(f"{seed} {rejected} legs"))
        if not (_may_fit(trip) and is_seatable(trip)):
            rejected += 1
        elif derive_needs(trip).demands:
            return Draw(seed, trip, rejected)


def set_order(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip with terms of the running order, or with stations that are reset."""
    kinds = sorted({kind for kit in trip.kit.values() for kind in kit.item.kinds})
    terms = rng.choice(
        [
            OrderTerms(boats=tuple(rng.sample(list(trip.boats), len(trip.boats)))),
            OrderTerms(lead=rng.randint(2, 4)),
            OrderTerms(sweep=tuple(rng.sample(kinds, min(1, len(kinds))))),
            OrderTerms(),
        ]
    )
    return replace(trip, order=terms, stations=rng.choice([HELD, HELD, RESET]))


def cut_trip(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip cut into two legs, of one day or half its days each.

    Some boats, people and kit are there in one leg only.
    """
    days = max(2, trip.legs[-1].last_day)
    half = days // 2

    def draw_span() -> tuple[int, int]:
        whole = (1, days)
        return rng.choice([whole, whole, whole, whole, (1, half), (half + 1, days)])

    spans = [
        {name: draw_span() for name in names} for names in (trip.boats, trip.paddlers, trip.kit)
    ]
    calendar = Calendar(STARTS, days, *spans)
    legs, boats = name_boats(calendar.cut(), trip.boats)
    places = list(trip.rapids.values())
    rapids = {}
    for number, rapid in enumerate(places):
        day = 1 + number * days // len(places)
        leg = next(n for n, one in enumerate(legs) if one.first_day <= day <= one.last_day)
        there = {boats[name].called: name for name in legs[leg].boats}
        here = tuple(sorted(there[b] for b in rapid.boats if b in there))
        rapids[rapid.name] = replace(rapid, day=day, leg=leg, boats=here)
    tied = {name: boats[name].called for name in boats}
    paddlers = {
        name: replace(one, boat=None) if one.boat not in tied.values() else one
        for name, one in trip.paddlers.items()
    }
    return replace(
        trip,
        legs=tuple(legs),
        boats=boats,
        paddlers=paddlers,
        rapids=rapids,
        ends=STARTS + timedelta(days=days - 1),
    )


def part_ways(trip: Trip, rng: random.Random) -> Trip:
    """Return the trip with some rapids that only a part of the boats pass, or that are carried."""
    rapids = {}
    for name, rapid in trip.rapids.items():
        some = rng.sample(rapid.boats, rng.randint(1, len(rapid.boats)))
        there = some if rng.random() < 0.5 else rapid.boats
        parted = replace(rapid, boats=tuple(b for b in rapid.boats if b in there))
        carried = replace(parted, run="portage", spots=())
        rapids[name] = carried if rng.random() < 0.1 else parted
    return replace(trip, rapids=rapids)


def generate_trip(
    seed: int, size: Size, *, kit_factor: float = 1.0, techniques: str = "shipped"
) -> Trip:
    """Return the trip of a seed, without the number of rejected draws."""
    return draw_trip(seed, size, kit_factor=kit_factor, techniques=techniques).trip


def trips(
    size: Size, count: int, seed: int, *, kit_factor: float = 1.0, techniques: str = "mixed"
) -> Iterator[Draw]:
    """Yield `count` trips of the seeds from `seed` on.

    `techniques` "mixed" takes shipped and drawn ones in turn.
    """
    for number in range(seed, seed + count):
        mixed = "drawn" if number % 2 else "shipped"
        kinds = mixed if techniques == "mixed" else techniques
        yield draw_trip(number, size, kit_factor=kit_factor, techniques=kinds)


def is_full_run() -> bool:
    """Say whether tests take all their trips: KITPLAN_FULL is set."""
    return bool(os.environ.get("KITPLAN_FULL"))


def _may_fit(trip: Trip) -> bool:
    """Say whether in each leg seats and least crews leave room for the people at all; quick."""
    for leg in trip.legs:
        types = [trip.boats[b].type for b in leg.boats]
        least = sum(kind.least_crew[0] for kind in types)
        if not types or not least <= len(leg.paddlers) <= sum(kind.seats for kind in types):
            return False
    return all(rapid.boats for rapid in trip.rapids.values())


class _Drawer:
    """Draws one trip; every draw comes from the one generator of random numbers."""

    def __init__(self, rng: random.Random, size: Size, catalog: Catalog, kit_factor: float) -> None:
        self._rng, self._size, self._catalog, self._factor = rng, size, catalog, kit_factor
        self._days = 1

    def draw(self, name: str) -> Trip:
        """Return a trip, seatable or not."""
        rng = self._rng
        drawn = self._draw_rapids()
        hardest = max(rapid.river_class for rapid in drawn.values())
        boats = self._draw_boats(self._between(self._size.boats))
        rapids = {name: replace(rapid, boats=tuple(sorted(boats))) for name, rapid in drawn.items()}
        paddlers = self._draw_people(boats, hardest)
        running = tuple(boats)
        if rng.random() < 0.2:
            running = tuple(sorted(rng.sample(running, max(1, len(running) - 1))))
        kit = self._draw_kit(len(boats))
        ends = STARTS + timedelta(days=self._days - 1)
        return Trip(
            name=name,
            starts=STARTS,
            ends=ends,
            catalog=self._catalog,
            boats=boats,
            paddlers=self._tie(paddlers, boats),
            kit=kit,
            rapids=rapids,
            running=running,
            water_mdegc=rng.randrange(4_000, 18_001, 500),
            remote=rng.random() < 0.3,
            accept={
                "ashore": 6,
                "wading": rng.choice([3, 4, 4, 5]),
                "afloat": 5,
                "tethered": rng.choice([0, 3, 4, 5]),
                "swimming": rng.choice([0, 3, 4, 4]),
            },
            companies=self._draw_companies(list(paddlers)),
            consequence={s.name: s.consequence for s in self._catalog.scenarios.values()},
            legs=(Leg(1, self._days, ends, tuple(boats), tuple(paddlers), tuple(kit)),),
        )

    def press(self, trip: Trip) -> Trip:
        """Return the trip with kit that its techniques ask for and boats loaded to the brim."""
        rng, boats = self._rng, dict(trip.boats)
        for name, boat in boats.items():
            if rng.random() < 0.4:
                crew = rng.sample(list(trip.paddlers.values()), min(boat.type.seats, 2))
                people_g = sum(p.mass_g + self._catalog.figures.wet_kit_g for p in crew)
                free_g = boat.type.payload_g - people_g - rng.randrange(0, 4_000)
                boats[name] = replace(boat, dry_load_g=max(0, free_g))
        asked = list_kinds(self._catalog)
        fitting = [name for name in _KIT if self._catalog.items[name].kinds & asked]
        rng.shuffle(fitting)
        kit: dict[str, Kit] = {}
        for name in fitting[: self._between(self._size.kinds_of_kit)]:
            count = min(rng.randint(1, 3), self._size.copies - sum(k.count for k in kit.values()))
            if count > 0:
                kit[name] = Kit(self._catalog.items[name], count, int(rng.random() < 0.1))
        legs = (replace(trip.legs[0], kit=tuple(sorted(kit))),)
        return replace(trip, boats=boats, kit=dict(sorted(kit.items())), legs=legs)

    def _between(self, ends: tuple[int, int]) -> int:
        return self._rng.randint(*ends)

    def _pick(self, weights: Mapping[str, int]) -> str:
        return self._rng.choices(list(weights), list(weights.values()))[0]

    # --- party ----------------------------------------------------------------------------------

    def _draw_boats(self, count: int) -> dict[str, Boat]:
        boats = {}
        for number in range(1, count + 1):
            kind = self._catalog.boat_types[self._pick(self._size.party)]
            most_g = max(0, kind.payload_g - kind.seats * 95_000)
            dry_load_g = self._rng.randrange(0, most_g // 2 + 1, 1_000) if most_g else 0
            boats[f"B{number:02}"] = Boat(f"B{number:02}", kind, dry_load_g, f"B{number:02}")
        return boats

    def _draw_people(self, boats: Mapping[str, Boat], hardest: int) -> dict[str, Paddler]:
        count = max(self._between(self._size.people), len(boats))
        steered = list(boats.values())
        paddlers = {}
        for number in range(count):
            name = f"P{number + 1:02}"
            if number < len(steered):
                kind = steered[number].type
                level = min(4, kind.steerer[hardest - 1] + self._rng.choice([0, 0, 1]))
                sort = self._pick({"guide": 2, "helper": 1})
                paddlers[name] = self._draw_paddler(name, sort, {kind.skill: level})
            else:
                sort = self._pick({"guide": 3 if self._size.easy else 1, "helper": 3, "guest": 2})
                paddlers[name] = self._draw_paddler(name, sort, self._draw_steering(sort, boats))
        return paddlers

    def _draw_steering(self, sort: str, boats: Mapping[str, Boat]) -> dict[str, int]:
        if sort == "guest":
            return {}
        skill = self._rng.choice(list(boats.values())).type.skill
        return {skill: self._between((2, 4) if sort == "guide" else (1, 3))}

    def _draw_paddler(self, name: str, sort: str, steering: dict[str, int]) -> Paddler:
        rng = self._rng
        skills = {skill: self._between(ends) for skill, ends in _SKILLS[sort].items()}
        at_most = {
            "guide": ["swimming", "swimming", "tethered"],
            "helper": ["swimming", "wading", "afloat"],
            "guest": ["ashore"],
        }
        return Paddler(
            name=name,
            mass_g=rng.randrange(52_000, 96_000, 500),
            skills={skill: level for skill, level in (skills | steering).items() if level},
            wears=self._draw_worn(sort),
            certificates=self._draw_certificates(sort),
            at_most=rng.choice(at_most[sort]),
            guest=sort == "guest",
        )

    def _draw_worn(self, sort: str) -> dict[str, int]:
        worn = {"helmet": 1, "whistle, pealess": 1}
        harness = sort == "guide" or (sort == "helper" and self._rng.random() < 0.5)
        worn["rescue life jacket" if harness else "life jacket"] = 1
        if self._rng.random() < 0.6:
            worn["wetsuit, long"] = 1
        if sort != "guest" and self._rng.random() < 0.9:
            worn["river knife"] = 1
        if harness:
            for item, most in (("prusik loop 6 mm", 2), ("locking carabiner, HMS", 2)):
                if count := self._between((0, most)):
                    worn[item] = count
        if sort == "guide" and self._rng.random() < 0.25:
            worn["throw bag 15 m, belt"] = 1
        return worn

    def _draw_certificates(self, sort: str) -> tuple[tuple[str, date], ...]:
        likely = {"guide": 0.9, "helper": 0.4, "guest": 0.0}[sort]
        return tuple(
            (name, date(2027, 6, 1) if self._rng.random() < 0.1 else date(2029, 1, 1))
            for name in ("swift-water rescue", "first aid")
            if self._rng.random() < likely
        )

    def _tie(self, paddlers: dict[str, Paddler], boats: Mapping[str, Boat]) -> dict[str, Paddler]:
        if self._rng.random() > (0.3 if self._size.easy else 0.15):
            return paddlers
        name = self._rng.choice(list(paddlers))
        boat = self._rng.choice(list(boats))
        return paddlers | {name: replace(paddlers[name], boat=boat)}

    def _draw_companies(self, names: list[str]) -> tuple[Company, ...]:
        if self._rng.random() > (0.4 if self._size.easy else 0.25):
            return ()
        return (Company(tuple(sorted(self._rng.sample(names, 2))), self._rng.random() < 0.4),)

    def _draw_kit(self, boats: int) -> dict[str, Kit]:
        rng = self._rng
        names = list(_ASKED_MOST if self._size.easy else _KIT)
        rng.shuffle(names)
        kit: dict[str, Kit] = {}
        for name in sorted(names[: self._between(self._size.kinds_of_kit)]):
            low, high = _KIT[name]
            count = round(rng.uniform(low, high) * boats * self._factor + 0.3)
            count = min(count, self._size.copies - sum(row.count for row in kit.values()))
            if count:
                take = rng.randint(0, count) if rng.random() < 0.15 else 0
                kit[name] = Kit(self._catalog.items[name], count, take)
        return kit

    # --- rapids ---------------------------------------------------------------------------------

    def _draw_rapids(self) -> dict[str, Rapid]:
        count = self._between(self._size.rapids)
        self._days = max(1, count // 5)
        drawn = [
            self._draw_rapid(number, 1 + number * self._days // count) for number in range(count)
        ]
        return {rapid.name: rapid for rapid in drawn}

    def _draw_rapid(self, number: int, day: int) -> Rapid:
        rng = self._rng
        class_text = self._pick({"I": 1, "II": 5, "III": 8, "IV": 5, "V": 1})
        width_mm = rng.randrange(8_000, rng.choice([15_000, 25_000, 45_500]), 500)
        spots = rng.randint(1, self._size.spots)
        return Rapid(
            name=f"R{number + 1:03}",
            day=day,
            river_class=["I", "II", "III", "IV", "V"].index(class_text) + 1,
            class_text=class_text,
            width_mm=width_mm,
            safety=self._pick({"set": 20 if self._size.easy else 7, "afloat": 2, "none": 1}),
            left=self._draw_bank(),
            right=self._draw_bank(),
            eddies=rng.choice([0, 1, 1, 1, 2] if self._size.easy else [0, 1, 1, 2, 2, 3, 4]),
            spots=tuple(self._draw_spot(f"spot {n + 1}", width_mm) for n in range(spots)),
            boats=(),
        )

    def _draw_bank(self) -> Bank:
        rng = self._rng
        easy = self._size.easy
        landing = rng.choice([1, 1, 1, 2, 3] if easy else [0, 1, 1, 2, 2, 3, 4])
        return Bank(
            landing=landing,
            landing_above=rng.choice([landing, landing, 0, 1, 2]),
            path=rng.random() < 0.6,
            walk_mm=rng.randrange(0, 200_000, 10_000),
            anchor=rng.random() < 0.6,
            eddy=landing >= 1 and rng.random() < 0.9,
            edge_depth_mm=self._perhaps(rng.randrange(200, 900, 50)),
            edge_current_mm_s=self._perhaps(rng.randrange(100, 1_300, 100)),
        )

    def _draw_spot(self, name: str, width_mm: int) -> Spot:
        rng = self._rng
        from_left_mm = 100 * round(width_mm * rng.uniform(0.1, 0.9) / 100)
        return Spot(
            name=name,
            from_left_mm=from_left_mm,
            from_right_mm=width_mm - from_left_mm,
            scenarios=self._draw_scenarios(),
            likely=rng.choice([1, 1, 2, 3]),
            current_mm_s=self._perhaps(rng.randrange(500, 3_001, 100)),
            depth_mm=self._perhaps(rng.randrange(300, 1_801, 50)),
            run_in_mm=self._perhaps(rng.randrange(5_000, 60_000, 5_000)),
            run_out_mm=self._perhaps(rng.randrange(20_000, 150_000, 10_000)),
            slack=rng.random() < 0.2,
        )

    def _draw_scenarios(self) -> tuple[str, ...]:
        count = self._rng.randint(1, self._size.scenarios)
        drawn = {self._pick(_SCENARIOS) for _ in range(count)}
        return tuple(sorted(drawn))

    def _perhaps(self, value: int) -> int | None:
        """Return the value, in one case of twelve None: not given."""
        return None if self._rng.random() < 1 / 12 else value
