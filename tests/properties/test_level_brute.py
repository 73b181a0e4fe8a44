"""Loads dealt evenly, people and stores together, against all seatings and all ways to stow.

What is compared is the whole list of shares, the highest first. Masses are invented.
"""

from __future__ import annotations

from itertools import product
from random import Random
from typing import TYPE_CHECKING

import pytest

from kitplan.verify.loads import measure_load_g
from tests.inputs.texts import CATALOG, load
from tests.published.test_stowing import BOXES, HEAD, RIVER, TYPE, solve
from tests.rules.tiny import NO_RATE

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import Plan
    from kitplan.trip import Trip

NAMES = ("Heron", "Teal", "Smew")
WET = 8  # kg on everybody, as HEAD has it
SEATS = 3
BOAT = '[[boat]]\nname = "{name}"\ntype = "scow"\n'
PERSON = """
[[paddler]]
name = "{name}"
mass = "{mass} kg"
skills = {{ "oar raft" = 2 }}
{own}
"""


def write(people: dict[str, tuple[int, str]], boxes: list[int]) -> str:
    """Return a trip of three boats: paddlers with mass and further lines, boxes of kilograms."""
    return "".join(
        [
            HEAD if boxes else HEAD[: HEAD.index("[stores]")],
            *(BOXES.format(mass=mass, count=boxes.count(mass)) for mass in sorted(set(boxes))),
            *(BOAT.format(name=name) for name in NAMES),
            *(PERSON.format(name=who, mass=mass, own=own) for who, (mass, own) in people.items()),
            RIVER,
        ]
    )


def read(folder: Path, text: str, payload: int) -> Trip:
    kind = TYPE.format(payload=payload).replace("seats = 1", f"seats = {SEATS}")
    loaded = load(folder, text, CATALOG + kind + NO_RATE)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def list_shares(trip: Trip, plan: Plan) -> list[int]:
    """Return each boat's share of its payload, per mille, the highest first."""
    loads = (
        (measure_load_g(trip, plan.arrangement, name), boat.type.payload_g)
        for name, boat in trip.boats.items()
    )
    return sorted((-(-1000 * load // payload) for load, payload in loads), reverse=True)


def find_least(
    people: dict[str, tuple[int, str]], boxes: list[int], payload: int
) -> list[int] | None:
    """Return the least list of shares there is, by all seatings and all ways to stow."""
    best: list[int] | None = None
    for seats in product(range(len(NAMES)), repeat=len(people)):
        if any(not 1 <= seats.count(b) <= SEATS for b in range(len(NAMES))):
            continue
        rows = zip(seats, people.values(), strict=True)
        if any(own and NAMES[b] not in own for b, (_, own) in rows):
            continue
        for stowed in product(range(len(NAMES)), repeat=len(boxes)):
            loads = [0] * len(NAMES)
            for b, (mass, _) in zip(seats, people.values(), strict=True):
                loads[b] += mass + WET
            for b, mass in zip(stowed, boxes, strict=True):
                loads[b] += mass
            shares = sorted((-(-1000 * load // payload) for load in loads), reverse=True)
            if max(loads) <= payload and (best is None or shares < best):
                best = shares
    return best


@pytest.mark.parametrize("seed", range(1, 13))
def test_no_list_of_shares_is_lower(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three boats, five or six people, none to four boxes; every third trip with a heavy rower."""
    monkeypatch.chdir(tmp_path)
    draw = Random(seed)
    people = {f"P{n}": (draw.randrange(50, 95), "") for n in range(draw.choice((5, 6)))}
    if seed % 3 == 0:
        people["Heavy"] = (draw.randrange(150, 190), 'boat = "Heron"')
    boxes = [draw.randrange(5, 40) for _ in range(0 if seed % 4 == 0 else draw.choice((2, 3, 4)))]
    least = find_least(people, boxes, 300)
    assert least is not None
    trip = read(tmp_path, write(people, boxes), 300)
    assert list_shares(trip, solve(trip)) == least


def test_people_are_evened_out_behind_a_heavy_rower(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even loads of 3,3,2,2,2 on two boats come to 6 each: here as people of 60 and 40 kg, wet.

    A worked example of many textbooks, from memory. There is nothing to stow: people alone move.
    """
    monkeypatch.chdir(tmp_path)
    people = {f"P{n}": (mass - WET, "") for n, mass in enumerate((60, 60, 40, 40, 40))}
    people["Heavy"] = (188 - WET, 'boat = "Heron"')
    trip = read(tmp_path, write(people, []), 200)
    assert list_shares(trip, solve(trip)) == [940, 600, 600]
