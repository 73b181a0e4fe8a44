"""One who has run walks back up and takes a second boat down: tiny trips with optima by hand.

Two rafts and one who can row them on class III; whoever rows the other one can on class I alone.
The river is an easy stretch, where nothing is asked, and Riffle, class III, with a path on the left
bank. A case and a demand of Riffle weigh 18 (9 x 2) and 12 (3 x 4); a bag weighs 1 kg.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.build import Variables
from kitplan.check import check_party
from kitplan.explain import SolveOptions, plan_trip
from kitplan.needs import derive_needs, find_walk, list_paths_back, minutes_back
from kitplan.plan import LeftOut, Packed, PersonPart
from kitplan.planfile import read_plan, write_plan
from kitplan.planfile.check import check_document
from kitplan.report import render_plan
from kitplan.report.csv import render_csv
from kitplan.report.sheet import Sheet
from kitplan.report.twice import write_twice
from kitplan.verify import verify_plan
from tests.inputs.texts import spoil
from tests.rules.solved import solve as proven
from tests.rules.tiny import (
    BASE,
    MISSED,
    RIVER,
    STEERS,
    THROWS,
    WAIST,
    WEAK,
    Edit,
    Tiny,
    odd_raft,
    read_tiny,
)

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from kitplan.explain import Outcome
    from kitplan.plan import Arrangement, Plan
    from kitplan.trip import Trip

HARD: Edit = ('class = "II"', 'class = "III"')
WALK: Edit = ("path = true", 'path = true, walk = "130 m"')
NO_WAY_BACK: Edit = ("path = true", "path = false")
TWO_SEATS = odd_raft(seats=2)
ROWS_A_LITTLE = '"oar raft" = 2'


pytestmark = pytest.mark.usefixtures("in_folder")


def attempt(folder: Path, tiny: Tiny) -> tuple[Trip, Outcome]:
    """Return a tiny trip and what planning it came to."""
    trip = read_tiny(folder, tiny)
    return trip, plan_trip(trip, SolveOptions(workers=1))


def solve(folder: Path, tiny: Tiny) -> tuple[Trip, Plan]:
    """Return a tiny trip and its plan, proven and verified."""
    trip = read_tiny(folder, tiny)
    return trip, proven(trip)


def values(plan: Plan) -> tuple[int, ...]:
    """Return uncovered, covered from one bank, unmet, not backed, grams."""
    return tuple(aim.value for aim in plan.aims[:5])


def test_a_weak_steerer_makes_no_trip_impossible(tmp_path: Path) -> None:
    """Ana runs first, walks up and takes Bo's raft down. Cy throws in one boat, Dee in the other.

    While Ana's raft runs, Bo's is on the bank with its thrower; while Bo's runs, so is Ana's.
    """
    trip, plan = solve(tmp_path, WEAK)
    arrangement = plan.arrangement
    first, second = arrangement.order
    assert "Ana" in arrangement.crew[first]
    assert arrangement.steerer[second] == "Bo"
    assert arrangement.twice == {("Riffle", second): "Ana"}
    assert values(plan) == (0, 0, 0, 36, 2000)
    assert trip.catalog.figures.walk_mm_per_min > 0


def test_who_is_good_enough_rows_his_own(tmp_path: Path) -> None:
    _, plan = solve(tmp_path, replace(WEAK, people=WEAK.people | {"Bo": STEERS}))
    assert plan.arrangement.twice == {}


@pytest.mark.parametrize(
    ("change", "family"),
    [
        # No path leads back up.
        (replace(WEAK, river=(HARD, NO_WAY_BACK)), "steerer"),
        # Each of the two boats is full of two, so that there is no seat for Ana.
        (
            replace(WEAK, boats=dict.fromkeys(BASE.boats, "odd raft"), types=TWO_SEATS),
            "steerer",
        ),
        # Nor does anybody row down what nobody can row.
        (replace(WEAK, people=WEAK.people | {"Ana": ROWS_A_LITTLE}), "steerer"),
    ],
)
def test_where_it_does_not_help(tmp_path: Path, change: Tiny, family: str) -> None:
    _, outcome = attempt(tmp_path, change)
    assert outcome.status == "infeasible"
    assert outcome.plan is None
    assert any(family in finding.text() for finding in outcome.findings)


def test_who_rows_twice_is_missed_on_the_bank(tmp_path: Path) -> None:
    """Ana is one of two who throw, and not there while she rows Bo's raft.

    Cy sits with Ana or with Bo. With Bo: he throws for Ana's raft, and nobody for Bo's. With Ana:
    nobody throws for hers, he does for Bo's. Either way one case (18) and one demand (12); and one
    case is covered by one thrower alone, not backed (18). One bag.
    """
    _, plan = solve(tmp_path, MISSED)
    assert values(plan) == (18, 0, 12, 18, 1000)
    # With a third raft hand who is good enough nobody is missing: a thrower in each.
    _, best = solve(tmp_path, replace(MISSED, people=MISSED.people | {"Bo": STEERS}))
    assert values(best) == (0, 0, 0, 36, 2000)


def test_he_walks_where_his_own_boat_lies(tmp_path: Path) -> None:
    """Two banks with a path: left 130 m, right 60 m. And one where a path leads from the right."""
    both = ("right = { landing = 0", 'right = { landing = 2, path = true, walk = "60 m"')
    trip, plan = solve(tmp_path, replace(WEAK, river=(HARD, WALK, both)))
    assert list_paths_back(trip.rapids["Riffle"]) == ["right", "left"]
    first, second = plan.arrangement.order
    lies = plan.arrangement.stations["Riffle", first, second]
    assert find_walk(trip.rapids["Riffle"], plan.arrangement, second) == lies
    metres = {"left": 130, "right": 60}[lies]
    figure_mm = trip.catalog.figures.walk_mm_per_min
    assert minutes_back(trip, trip.rapids["Riffle"], lies) == -(-metres * 1000 // figure_mm)
    # Where his boat floats he does not get out: another plan is none.
    moved = plan.arrangement.stations | {("Riffle", first, second): "below"}
    wrong = replace(plan, arrangement=replace(plan.arrangement, stations=moved))
    assert "row-twice" in {finding.code for finding in verify_plan(trip, wrong)}


def test_legs_in_which_it_is_done_add_up(tmp_path: Path) -> None:
    """A rapid like Riffle on the second day, whose first-aid kit makes it a leg of its own.

    Each leg has the best of one day, 0, 0, 0, 36; both have the two bags.
    """
    ledge = spoil(RIVER, HARD, WALK, ('"Riffle"', '"Ledge"'), ("day = 1", "day = 2"))
    kit = WEAK.kit | {"first-aid kit": "count = 1\nfrom = 2"}
    trip, plan = solve(tmp_path, replace(WEAK, kit=kit, more=ledge))
    assert len(trip.legs) == 2
    assert {r: p for (r, _), p in plan.arrangement.twice.items()} == {
        "Riffle": "Ana",
        "Ledge": "Ana",
    }
    assert values(plan) == (0, 0, 0, 72, 2000)
    # Where Bo is good enough from the second day on, it is done on the first alone.
    easy = spoil(RIVER, WALK, ('"Riffle"', '"Ledge"'), ("day = 1", "day = 2"))
    trip, plan = solve(tmp_path, replace(WEAK, kit=kit, more=easy))
    assert [r for r, _ in plan.arrangement.twice] == ["Riffle"]


def test_who_rows_twice_wears_what_is_dealt_to_him_in_another_leg(tmp_path: Path) -> None:
    """Ana alone throws, with a bag that lies nowhere: on the first day she rows, on the second not.

    Riffle, class III: both cases (18 each). Ledge, class II: hers (8), as Bo does not throw.
    """
    easy = spoil(RIVER, WALK, ('"Riffle"', '"Ledge"'), ("day = 1", "day = 2"))
    few = replace(
        WEAK,
        people={"Ana": f"{STEERS}, {THROWS}", "Bo": ROWS_A_LITTLE},
        kit={"throw bag 15 m": "count = 1", "first-aid kit": "count = 1\nfrom = 2"},
        more=easy,
        catalog=(WAIST,),
    )
    _, plan = solve(tmp_path, few)
    assert [r for r, _ in plan.arrangement.twice] == ["Riffle"]
    assert values(plan)[0] == 2 * 18 + 8


def test_an_ordinary_trip_has_no_such_variables(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, BASE)
    assert Variables(trip, trip.rapids).rows == {}


def test_the_leader_reads_who_rows_twice(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, WEAK)
    first, second = plan.arrangement.order
    needs = derive_needs(trip)
    text = " ".join(render_plan(trip, needs, plan, "text").split())
    # 130 m at 50 m a minute are 3 minutes, counted in full ones.
    minutes = -(-130_000 // trip.catalog.figures.walk_mm_per_min)
    told = (
        f"day 1, Riffle: Ana ({first}) walks back up on river left, 130 m, about {minutes} min, "
        f"and takes {second} down with Bo aboard; counts for nothing else there"
    )
    assert text.count(told) == 1
    assert text.index(told) < text.index("River left and right are as seen downstream")
    assert "at Riffle: Ana walks back up and takes it down" in text.split(f" {second} (oar raft")[1]
    assert f"{second},1,rows twice,Ana,1,,,Riffle,,," in render_csv(trip, plan)
    written = write_plan(trip, needs, plan)
    row = {"rapid": "Riffle", "boat": second, "paddler": "Ana", "bank": "left", "minutes": minutes}
    assert json.loads(written)["twice"] == [row]
    kept, findings = read_plan(written.encode(), "plan.json")
    assert findings == []
    assert kept is not None
    assert kept.plan.arrangement == plan.arrangement
    assert check_document(kept, trip, needs) == []


# --- false plans ----------------------------------------------------------------------------------


def swap_order(plan: Arrangement) -> Arrangement:
    """Let the boat that Ana takes down run first."""
    stations = {
        (rapid, boat, running): "above" if boat == plan.order[0] else "left"
        for rapid, boat, running in plan.stations
    }
    return replace(plan, order=plan.order[::-1], stations=stations)


def take_guest(plan: Arrangement) -> Arrangement:
    """Let Cy take it down, who can't row."""
    return replace(plan, twice=dict.fromkeys(plan.twice, "Cy"))


def take_nobody(plan: Arrangement) -> Arrangement:
    """Let nobody take it down."""
    return replace(plan, twice={})


def take_own(plan: Arrangement) -> Arrangement:
    """Let Ana take down the boat that she sits in."""
    return replace(plan, twice={("Riffle", plan.order[0]): "Ana"})


def take_stranger(plan: Arrangement) -> Arrangement:
    """Let somebody take it down who is not there."""
    return replace(plan, twice=dict.fromkeys(plan.twice, "Zoe"))


def take_elsewhere(plan: Arrangement) -> Arrangement:
    """Let Ana take it down a rapid that there is not."""
    return replace(plan, twice={("Rattle", boat): p for (_, boat), p in plan.twice.items()})


def leave_out(plan: Arrangement) -> Arrangement:
    """Say nothing of where Ana's own boat lies meanwhile."""
    first, second = plan.order
    left = {key: site for key, site in plan.stations.items() if key != ("Riffle", first, second)}
    assert len(left) < len(plan.stations)
    return replace(plan, stations=left)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (leave_out, "row-twice"),
        (swap_order, "row-twice"),
        (take_guest, "row-twice"),
        (take_own, "row-twice"),
        (take_nobody, "steerer"),
        (take_stranger, "unknown-name"),
        (take_elsewhere, "unknown-name"),
    ],
)
def test_a_false_rower_is_found(
    tmp_path: Path, change: Callable[[Arrangement], Arrangement], code: str
) -> None:
    trip, plan = solve(tmp_path, WEAK)
    wrong = replace(plan, arrangement=change(plan.arrangement))
    assert code in {finding.code for finding in verify_plan(trip, wrong)}


@pytest.mark.parametrize(
    "change",
    [
        replace(WEAK, river=(HARD, NO_WAY_BACK)),
        replace(WEAK, boats=dict.fromkeys(BASE.boats, "odd raft"), types=TWO_SEATS),
        replace(
            WEAK, boats=dict.fromkeys(BASE.boats, "odd raft"), types=odd_raft(payload="233 kg")
        ),
        replace(WEAK, people=WEAK.people | {"Ana": ROWS_A_LITTLE}),
    ],
    ids=["no path", "no seat", "too heavy", "too weak"],
)
def test_a_plan_is_none_for_another_trip(tmp_path: Path, change: Tiny) -> None:
    """Two in each boat, so 156 kg and 2 kg of bags at most; with Ana 234 kg and a bag."""
    _, plan = solve(tmp_path, WEAK)
    other = read_tiny(tmp_path, change)
    assert "row-twice" in {finding.code for finding in verify_plan(other, plan)}


def test_nobody_takes_two_or_has_things_dealt(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, WEAK)
    first, second = plan.arrangement.order
    both = replace(plan.arrangement, twice={("Riffle", b): "Ana" for b in (first, second)})
    said = [f.message for f in verify_plan(trip, replace(plan, arrangement=both))]
    assert any("Ana takes 2 boats down Riffle besides his own" in text for text in said)
    worn = Packed(first, "throw bag 20 m", "worn", 1, "Ana")
    dealt = replace(plan.arrangement, packed=(worn, *plan.arrangement.packed))
    said = [f.message for f in verify_plan(trip, replace(plan, arrangement=dealt))]
    assert any("what is dealt to him to wear would be missing" in text for text in said)


def test_bank_and_minutes_of_a_plan_file_are_counted_anew(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, WEAK)
    needs = derive_needs(trip)
    for key, value in (("bank", "right"), ("minutes", 1)):
        document = json.loads(write_plan(trip, needs, plan))
        document["twice"][0][key] = value
        kept, findings = read_plan(json.dumps(document).encode(), "plan.json")
        assert kept is not None, findings
        assert [f.code for f in check_document(kept, trip, needs)] == ["wrong-total"]


def test_an_absurd_count_is_refused_as_any_other_slip(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, WEAK)
    document = json.loads(write_plan(trip, derive_needs(trip), plan))
    row = next(boat for boat in document["boats"] if boat["items"])
    row["items"][0]["count"] = 10**30
    kept, findings = read_plan(json.dumps(document).encode(), "plan.json")
    assert kept is None
    assert [finding.code for finding in findings] == ["broken-plan"]


def test_what_the_party_has_not_is_not_left_at_home(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, WEAK)
    told = replace(plan, not_called_for=(*plan.not_called_for, LeftOut("rope", 1)))
    assert {finding.code for finding in verify_plan(trip, told)} == {"unknown-name"}


def test_check_asks_no_strong_steerer_of_a_boat_that_is_taken_down(tmp_path: Path) -> None:
    """Ana alone rows class III, and is one of two who throw; a third throws as well.

    While the boat that somebody takes down for Bo runs an easy rapid, Ana may throw for it. That of
    class III keeps her. So nothing is short whatever is packed.
    """
    easy = spoil(RIVER, ('"Riffle"', '"Pool"'), ("day = 1", "day = 2"))
    people = {"Ana": f"{STEERS}, {THROWS}", "Bo": ROWS_A_LITTLE}
    trip = read_tiny(tmp_path, replace(WEAK, people=people, more=easy))
    lacking = {row.rapid for row in check_party(trip, derive_needs(trip)).cases}
    assert "Pool" not in lacking


def test_who_rows_twice_throws_for_nobody(tmp_path: Path) -> None:
    trip, plan = solve(tmp_path, MISSED)
    result = next(result for result in plan.demands if result.met)
    told = tuple(
        replace(part, paddler="Ana") if isinstance(part, PersonPart) else part
        for part in result.witness
    )
    demands = tuple(replace(r, witness=told) if r is result else r for r in plan.demands)
    assert "people" in {f.code for f in verify_plan(trip, replace(plan, demands=demands))}


def test_who_rows_twice_is_told_in_the_order_of_the_river(tmp_path: Path) -> None:
    """Weir, which comes after Riffle, and Bend, after it, though its name comes first."""
    trip, plan = solve(tmp_path, WEAK)
    [((riffle, boat), ana)] = plan.arrangement.twice.items()
    rapid = trip.rapids[riffle]
    more = {name: replace(rapid, name=name, place=name) for name in ("Weir", "Bend")}
    stations = {
        (name, *key[1:]): where
        for key, where in plan.arrangement.stations.items()
        for name in (riffle, *more)
    }
    twice = {(name, boat): ana for name in sorted((riffle, *more))}
    there = replace(plan, arrangement=replace(plan.arrangement, twice=twice, stations=stations))
    sheet = Sheet("text")
    write_twice(sheet, replace(trip, rapids=trip.rapids | more), there)
    told = re.findall(r"day 1, (\w+):", sheet.text())
    assert told == ["Riffle", "Weir", "Bend"]
