"""What is said not to hold together can't, and could without any one of it.

The outside of this check is plain enumeration: every seating, every way of laying what must go,
judged by rules in words on what was drawn, not on what the loader or the builder made of it. That
leaving out one rule at a time leaves an irreducible set is general knowledge, from memory.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cache
from itertools import combinations_with_replacement, product
from random import Random
from typing import TYPE_CHECKING

import pytest

from kitplan.load import load_trip_text
from kitplan.solve.conflict import find_conflict
from tests.inputs.short_runs import cut_runs_short
from tests.inputs.texts import CATALOG
from tests.rules.tiny import HEAD, RIVER, company

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from kitplan.solve.conflict import Conflict
    from kitplan.trip import Trip

    Rule = tuple[str, str]
    Sits = Mapping[str, str]  # paddler -> boat
    Lies = Mapping[Rule, Counter[str]]  # boat and where in it -> copies of each item

SEEDS = range(240)
WET_KIT = 8  # kg a person, as the catalogue of the tests has it
CLASSES = ("I", "II", "III", "IV")
FAMILIES = (
    "seats", "steerer", "least-crew", "payload", "tied", "together", "apart", "take",
)  # fmt: skip
THINGS = """
[[item]]
name = "chest"
kinds = ["first aid"]
mass = "30 kg"
carried = ["stowed"]
"""
# Item -> mass in kg, whether it is bulky, where it may be; no vest of these trips has room.
ITEMS = {
    "chest": (30.0, False, ("stowed",)),
    "first-aid kit": (3.2, True, ("stowed", "quick")),
    "throw bag 20 m": (1.0, True, ("quick",)),
    "throw bag 15 m": (0.55, False, ("worn", "quick")),
}


@dataclass(frozen=True)
class Raft:
    seats: int
    payload: int
    dry: int
    least: tuple[int, int]
    steerer: tuple[int, ...]
    guests_up: bool
    bulky: int
    small: int


@dataclass(frozen=True)
class Person:
    mass: int
    level: int
    guest: bool
    boat: str | None


@dataclass(frozen=True)
class Draw:
    """A trip as drawn; masses in kg, `river` the number of the class its one rapid has."""

    rafts: dict[str, Raft]
    people: dict[str, Person]
    companies: list[tuple[str, tuple[str, ...]]]
    take: dict[str, int]
    river: int

    def text(self) -> str:
        """Return the trip as somebody would write it."""
        people = [
            f'[[paddler]]\nname = "{name}"\nmass = "{p.mass} kg"\n'
            f'skills = {{ "oar raft" = {p.level} }}\nguest = {str(p.guest).lower()}\n'
            + (f'boat = "{p.boat}"\n' if p.boat else "")
            for name, p in self.people.items()
        ]
        boats = [
            f'[[boat]]\nname = "{b}"\ntype = "like {b}"\ndry_load = "{raft.dry} kg"\n'
            for b, raft in self.rafts.items()
        ]
        kit = [
            f'[[kit]]\nitem = "{item}"\ncount = {count + 1}\ntake = {count}\n'
            for item, count in self.take.items()
        ]
        river = RIVER.replace('"II"', f'"{CLASSES[self.river - 1]}"')
        companies = [company(kind, *names) for kind, names in self.companies]
        return "".join([HEAD, *boats, *people, *kit, river, *companies])

    def types(self) -> str:
        """Return a boat type for each boat."""
        return "".join(
            f'[[boat_type]]\nname = "like {b}"\ncraft = "raft"\nskill = "oar raft"\n'
            f'seats = {r.seats}\npayload = "{r.payload} kg"\nmass = "100 kg"\n'
            f"least_crew = {list(r.least)}\nsteerer = {list(r.steerer)}\n"
            f"guests_one_level_up = {str(r.guests_up).lower()}\n"
            f"quick_bulky = {r.bulky}\nquick_small = {r.small}\n"
            for b, r in self.rafts.items()
        )


def draw(seed: int) -> Draw:
    """Return a small trip, more often than not with too much asked of it."""
    rng = Random(seed)
    rafts = {name: _draw_raft(rng) for name in ("Heron", "Teal", "Coot")[: rng.randint(2, 3)]}
    names = ("Ana", "Bo", "Cy", "Dee", "Eli")[: rng.randint(3, 5)]
    guests = rng.choice((0.1, 0.5))
    people = {
        name: Person(
            rng.randint(50, 95),
            rng.choice((0, 2, 3, 4, 4, 4)),
            rng.random() < guests,
            rng.choice(list(rafts)) if rng.random() < 0.1 else None,
        )
        for name in names
    }
    companies = [
        (
            rng.choice(("together", "apart", "apart")),
            tuple(rng.sample(names, rng.choice((2, 2, 3)))),
        )
        for size in rng.choices((2, 2, 2, 3), k=rng.randint(1, 3))
    ]
    items = rng.sample(sorted(ITEMS), rng.choice((0, 1, 1, 2)))
    # So many that the room for them counts as well.
    take = {item: rng.randint(1, 6 if item == "throw bag 15 m" else 3) for item in items}
    companies.sort(key=lambda one: one[0], reverse=True)  # numbered so: the trip has together first
    return Draw(rafts, people, companies, take, rng.randint(1, 4))


def _draw_raft(rng: Random) -> Raft:
    seats = rng.choice((1, 2, 3, 3, 4))
    dry = rng.choice((0, 40, 80))
    first = rng.randint(0, 1)
    least = min(seats, rng.choice((1, 1, 2)))
    return Raft(
        seats,
        dry + rng.randint(85, 110 * seats),
        dry,
        (least, min(seats, least + rng.randint(0, 1))),
        (first, first, first + 1, first + 1, first + 2, first + 2),
        rng.random() < 0.6,
        rng.randint(0, 1),
        rng.choice((0, 0, 1)),
    )


# --- the rules in words ---------------------------------------------------------------------------


def list_rules(drawn: Draw) -> list[Rule]:
    """Return every rule that could be left out."""
    return [
        *((family, b) for family in OF_A_BOAT for b in drawn.rafts),
        *(("tied", name) for name, p in drawn.people.items() if p.boat),
        *((kind, str(number)) for number, (kind, _) in enumerate(drawn.companies)),
        *(("take", item) for item in drawn.take),
    ]


def can_hold(drawn: Draw, rules: Iterable[Rule]) -> bool:
    """Say whether some seating and laying keeps these rules; others need not be kept."""
    asked = frozenset(rules)
    seats = product(drawn.rafts, repeat=len(drawn.people))
    return any(
        _can_lie(drawn, sits, asked)
        for sits in (dict(zip(drawn.people, boats, strict=True)) for boats in seats)
        if all(_is_seated(drawn, sits, rule) for rule in asked)
    )


def _is_seated(drawn: Draw, sits: Sits, rule: Rule) -> bool:
    """Say whether a seating keeps a rule, as far as that is up to the seating."""
    family, subject = rule
    if family in OF_A_BOAT:
        return OF_A_BOAT[family](drawn, subject, [n for n, b in sits.items() if b == subject])
    if family == "tied":
        return sits[subject] == drawn.people[subject].boat
    if family in {"together", "apart"}:
        names = drawn.companies[int(subject)][1]
        return len({sits[name] for name in names}) == (1 if family == "together" else len(names))
    return True


def _has_steerer(drawn: Draw, boat: str, crew: list[str]) -> bool:
    raft, people = drawn.rafts[boat], [drawn.people[name] for name in crew]
    level = raft.steerer[drawn.river - 1]
    if raft.guests_up and any(p.guest for p in people):
        level = min(4, level + 1)
    return any(p.level >= level and not p.guest for p in people)


OF_A_BOAT: dict[str, Callable[[Draw, str, list[str]], bool]] = {
    "seats": lambda drawn, boat, crew: len(crew) <= drawn.rafts[boat].seats,
    "least-crew": lambda drawn, boat, crew: (
        len(crew) >= drawn.rafts[boat].least[0 if drawn.river <= 3 else 1]
    ),
    "steerer": _has_steerer,
    "payload": lambda drawn, boat, crew: _weigh(drawn, boat, crew) <= drawn.rafts[boat].payload,
}


def _weigh(drawn: Draw, boat: str, crew: list[str]) -> int:
    return drawn.rafts[boat].dry + sum(drawn.people[name].mass + WET_KIT for name in crew)


def _can_lie(drawn: Draw, sits: Sits, asked: frozenset[Rule]) -> bool:
    """Say whether what the rules ask to go can be laid into the boats."""
    ways = [
        combinations_with_replacement([(b, w) for b in drawn.rafts for w in ITEMS[item][2]], count)
        for item, count in drawn.take.items()
        if ("take", item) in asked
    ]
    items = [item for item in drawn.take if ("take", item) in asked]
    return any(
        all(_has_room(drawn, sits, _lay(items, cells), b, asked) for b in drawn.rafts)
        for cells in product(*ways)
    )


def _lay(items: list[str], cells: tuple[tuple[Rule, ...], ...]) -> Lies:
    lies: dict[Rule, Counter[str]] = {}
    for item, places in zip(items, cells, strict=True):
        for place in places:
            lies.setdefault(place, Counter())[item] += 1
    return lies


def _has_room(drawn: Draw, sits: Sits, lies: Lies, boat: str, asked: frozenset[Rule]) -> bool:
    """Say whether a boat has room, which is asked always, and payload, where that is asked."""
    raft, crew = drawn.rafts[boat], [name for name, b in sits.items() if b == boat]
    quick, worn = lies.get((boat, "quick"), Counter()), lies.get((boat, "worn"), Counter())
    bulky = sum(n for item, n in quick.items() if ITEMS[item][1])
    waists = sum(not drawn.people[name].guest for name in crew)
    if bulky > raft.bulky or quick.total() - bulky > raft.small or worn.total() > waists:
        return False
    dealt = sum(
        n * ITEMS[item][0] for (b, _), things in lies.items() if b == boat
        for item, n in things.items()
    )  # fmt: skip
    return ("payload", boat) not in asked or _weigh(drawn, boat, crew) + dealt <= raft.payload


# --- what is drawn --------------------------------------------------------------------------------


@dataclass(frozen=True)
class Judged:
    """A draw, what the loader made of it, and the conflict found in it."""

    drawn: Draw
    trip: Trip | None
    codes: frozenset[str]
    found: Conflict | None


@cache
def judge(seed: int) -> Judged:
    """Return what comes of a draw; nothing is found in a trip that the loader rejects."""
    drawn = draw(seed)
    texts = {"x.toml": drawn.text(), "../catalogs/all.toml": CATALOG + THINGS + drawn.types()}
    trip, findings = load_trip_text(texts, "x.toml")
    found = find_conflict(trip, 60.0) if trip else None
    return Judged(drawn, trip, frozenset(finding.code for finding in findings), found)


def test_enough_is_drawn_of_every_sort() -> None:
    """Draws that the loader rejects are counted: they leave enough of either sort, of all rules."""
    all_judged = [judge(seed) for seed in SEEDS]
    rejected = [one for one in all_judged if one.trip is None]
    conflicts = [one.found for one in all_judged if one.found]
    assert {code for one in rejected for code in one.codes} == {"people-conflict", "too-few-seats"}
    assert len(rejected) <= len(SEEDS) / 2
    assert len(conflicts) >= 80
    assert len(SEEDS) - len(rejected) - len(conflicts) >= 10
    families = Counter(family for found in conflicts for family, _ in found.rules)
    assert min(families[family] for family in FAMILIES) >= 4, families
    assert sum(len(found.rules) >= 3 for found in conflicts) >= 40


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_found_is_a_conflict_and_none_of_it_can_be_left_out(seed: int) -> None:
    """Where nothing is found the party can be seated, unless the loader rejects it: then not."""
    one = judge(seed)
    rules = list_rules(one.drawn)
    if one.found is None:
        assert can_hold(one.drawn, rules) == (one.trip is not None), one.codes
        return
    found = one.found.rules
    assert one.found.irreducible
    assert set(found) <= set(rules)
    assert not can_hold(one.drawn, found)
    for rule in found:
        assert can_hold(one.drawn, [other for other in found if other != rule]), rule


@pytest.mark.parametrize("seed", SEEDS)
def test_a_run_cut_short_never_leads_to_more_than_is_known(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After the first run, which shows that there is a conflict, every third ends as unknown."""
    one = judge(seed)
    if one.trip is None or one.found is None:
        return
    rng = Random(seed)
    cut_runs_short(monkeypatch, lambda number: number > 0 and rng.random() < 1 / 3)
    found = find_conflict(one.trip, 60.0)
    assert found is not None
    assert not can_hold(one.drawn, found.rules)
    if found.irreducible:
        for rule in found.rules:
            assert can_hold(one.drawn, [other for other in found.rules if other != rule]), rule
