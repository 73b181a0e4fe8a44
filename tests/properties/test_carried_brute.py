"""The least shortfalls against brute force: every seating and packing of tiny drawn trips is tried.

What each way is short of is counted by the second program, piece by piece, which knows nothing of
the solver. Rules and spreads are drawn as well.
"""

from __future__ import annotations

import random
from collections import Counter
from itertools import permutations, product
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.plan import Arrangement, Packed
from kitplan.verify import verify_plan
from kitplan.verify.carried import list_shortfalls
from kitplan.verify.kept import CHECKS
from tests.generator import is_full_run
from tests.inputs.texts import CATALOG, load
from tests.rules.tiny import odd_raft

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.trip import Trip

SEEDS = range(1, 401 if is_full_run() else 41)
WORN = ("carried", "vest-room", "waist-room")
TIERS = ("law", "house", "spread")

HEAD = """\
[trip]
name = "drawn"
starts = 2027-06-14
days = 2
catalogs = ["../catalogs/all.toml"]
water_temperature = "12 degC"
everyone_wears = ["life jacket, river", "helmet"]
"""
RIVER = """
[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "none"
run = "portage"
scenarios = ["swimmer"]
"""
COUNTS = (
    '{ kinds = ["line"] }',
    '{ kinds = ["line"], in_reach = true }',
    '{ kinds = ["line"], length = "18 m" }',
    '{ kinds = ["first aid"], apart = true }',
    '{ kinds = ["carabiner"], spare = true }',
    '{ kinds = ["carabiner"] }',
    '{ certificate = "swift-water rescue" }',
)
READINGS = (
    'scope = "trip", count = 2',
    'scope = "boat", count = 1',
    'scope = "boat", for_each = 2, of = "persons", part_counts = true',
    'scope = "boat", for_each = 2, of = "persons", part_counts = false, least = 1',
    'scope = "boat", for_each = 1, of = "guides"',
    'scope = "trip", for_each = 2, of = "boats", part_counts = true',
    'scope = "boat", bound = "at most", count = 1',
)
KIT = ("throw bag 20 m", "throw bag 15 m", "locking carabiner", "first-aid kit")


def write_trip(seed: int) -> str:
    """Return a drawn trip of two rafts, three or four people and up to four pieces of kit."""
    draw = random.Random(seed)
    boats = "".join(
        f'\n[[boat]]\nname = "{name}"\ntype = "odd raft"\n' for name in ("Heron", "Teal")
    )
    people = "".join(
        f'\n[[paddler]]\nname = "P{n}"\nmass = "70 kg"\n'
        f'skills = {{ "oar raft" = {draw.choice((0, 2, 3)) if n > 1 else 3}, '
        f"leading = {draw.choice((0, 2, 3))} }}\n"
        + ('wears = { "locking carabiner" = 1 }\n' if draw.random() < 0.4 else "")
        + (
            'certificates = [{ name = "swift-water rescue", until = 2028-05-01 }]\n'
            if draw.random() < 0.5
            else ""
        )
        for n in range(draw.choice((3, 4)))
    )
    pieces = Counter(draw.choices(KIT, k=draw.choice((2, 3))))
    kit = "".join(f'\n[[kit]]\nitem = "{i}"\ncount = {n}\n' for i, n in sorted(pieces.items()))
    rules = "".join(
        f'\n[[rule]]\nid = "R{n}"\nsays = "rule {n}"\ntier = "{draw.choice(TIERS[:2])}"\n'
        f"{_draw_rule(draw)}\n"
        for n in range(draw.choice((1, 2, 3)))
    )
    spreads = "".join(
        f'\n[[spread]]\nname = "S{n}"\nsays = "spread {n}"\n'
        f'lost = "{draw.choice(("boat", "boat and crew"))}"\n'
        + draw.choice(
            (f"counts = {draw.choice(COUNTS)}\ncount = {draw.choice((1, 2))}\n", "seats = true\n")
        )
        for n in range(draw.choice((1, 2)))
    )
    return HEAD + boats + people + kit + RIVER + rules + spreads


def _draw_rule(draw: random.Random) -> str:
    """Return what counts and how; apart are pieces in different boats, so not in one boat."""
    reading = draw.choice(READINGS)
    counts = [one for one in COUNTS if "trip" in reading or "apart" not in one]
    return f"counts = {draw.choice(counts)}\nreading = {{ {reading} }}"


def list_ways(trip: Trip) -> Iterator[Arrangement]:
    """Yield every seating, steerers and packing that keep the rules."""
    names, boats = list(trip.paddlers), list(trip.boats)
    stations = {("Riffle", b, running): "above" for b, running in permutations(boats, 2)}
    places = {
        item: [(b, w) for b in boats for w in kit.item.carried] for item, kit in trip.kit.items()
    }
    pieces = [item for item, kit in trip.kit.items() for _ in range(kit.count)]
    for seats in product(boats, repeat=len(names)):
        crew = {b: tuple(p for p, s in zip(names, seats, strict=True) if s == b) for b in boats}
        for steerers in product(*(crew[b] for b in boats)):
            steerer = dict(zip(boats, steerers, strict=True))
            bare = Arrangement(crew, steerer, (), stations, tuple(boats))
            if any(list(CHECKS[family](trip, bare)) for family in ("seats", "steerer")):
                continue
            for lies in product(*([None, *places[item]] for item in pieces)):
                packed = _pack(trip, crew, pieces, lies)
                way = Arrangement(crew, steerer, packed, stations, tuple(boats))
                if not any(list(CHECKS[family](trip, way)) for family in WORN):
                    yield way
            break  # who steers changes nothing of what is carried


def _pack(
    trip: Trip,
    crew: dict[str, tuple[str, ...]],
    pieces: list[str],
    lies: Iterable[tuple[str, str] | None],
) -> tuple[Packed, ...]:
    """Return where pieces lie. Who wears one matters to nothing but whether it may be worn."""
    wearers = {
        b: sorted(people, key=lambda p: trip.paddlers[p].guest) for b, people in crew.items()
    }
    rows: Counter[tuple[str, str, str, str]] = Counter()
    for item, lie in zip(pieces, lies, strict=True):
        if lie is not None:
            boat, carried = lie
            worn_by = wearers[boat].pop(0) if carried == "worn" and wearers[boat] else ""
            rows[boat, item, carried, worn_by] += 1
    return tuple(sorted(Packed(b, i, w, n, by) for (b, i, w, by), n in rows.items()))


def count(trip: Trip, way: Arrangement) -> tuple[int, ...]:
    """Return what a way is short of, tier by tier."""
    rows = list_shortfalls(trip, way)
    return tuple(sum(row.short for row in rows if row.tier == tier) for tier in TIERS)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_way_is_short_of_less(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    loaded = load(Path(), write_trip(seed), CATALOG + odd_raft(seats=3))
    assert loaded.trip is not None, loaded.lines
    trip = loaded.trip
    least = min((count(trip, way) for way in list_ways(trip)), default=None)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    if least is None:
        assert plan is None
        return
    assert plan is not None
    assert [finding.text() for finding in verify_plan(trip, plan)] == []
    aims = {aim.name: aim for aim in plan.aims}
    named = [f"short_of_{tier}" for tier in TIERS]
    assert tuple(aims[n].value if n in aims else 0 for n in named) == least
    assert all(aims[n].proven for n in named if n in aims)


def test_the_drawn_trips_are_short_of_something() -> None:
    """Not all of them ask for what is there anyway, or the test above would say little."""
    texts = [write_trip(seed) for seed in SEEDS]
    assert len(set(texts)) == len(texts)
    for told in ("at most", "apart", "in_reach", "boat and crew", "seats", "guides"):
        assert any(told in text for text in texts), told
