"""Flows, groups and portages as people see them: every form of plan, needs and check.

What is asserted follows from the trip by hand: two rafts with a thrower each, one bank that can be
used, on the left at low and medium water, on the right at high. A path leads down to the left bank
alone, so at high water nobody is there for who runs first.
"""

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest

from kitplan.trip import ALL_FLOWS, FLOWS
from tests.cli.conftest import Command
from tests.cli.said import Said
from tests.inputs.texts import CATALOG, spoil, write
from tests.rules.tiny import BOTH, RIVER, Tiny

CARRIED = 'run = "portage"\n'
FALLS = spoil(
    RIVER, ('"Riffle"', '"Falls"'), ("day = 1", "day = 2"), ("landing = 3", "landing = 0")
)
PARTED = spoil(RIVER, ('"Riffle"', '"Fork"'), ("day = 1", "day = 3"))
TRIP = Tiny(
    people=dict.fromkeys(("Ana", "Bo"), BOTH),
    more='high = { class = "III", left = { landing = 0 }, right = { landing = 3 } }\n'
    f'{FALLS}{CARRIED}{PARTED}groups = [["Teal"], ["Heron"]]\nlow = {{ {CARRIED.strip()} }}\n',
)


@pytest.fixture(autouse=True)
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the name of the trip, relative to the working folder."""
    monkeypatch.chdir(tmp_path)
    return write(tmp_path, TRIP.text(), CATALOG)


def edit_plan(change: Any) -> Path:
    """Return the name of a plan file that was changed."""
    document = json.loads(Path("plan.json").read_text(encoding="utf-8"))
    change(document)
    path = Path("changed.json")
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def plan(command: Command, trip: Path, flow: str, form: str) -> Said:
    """Return what planning for a flow prints; gaps remain, as a boat passes Fork by itself."""
    said = command("plan", trip, "--flow", flow, "--format", form, "--workers", "1")
    assert (said.code, said.err) == (3, "")
    return said


# --- text -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["text", "markdown"])
def test_stations_stand_side_by_side(command: Command, trip: Path, form: str) -> None:
    said = plan(command, trip, ALL_FLOWS, form)
    assert "Day 1, Riffle, class II at low and medium water, class III at high water" in said.out
    bare = re.sub(r" \(\w+\)", "", said.out)
    lines = [re.sub(r" *\| *|  +", "|", line).strip("|") for line in bare.splitlines()]
    head = lines.index("boat, as they run|at low water|at medium water|at high water")
    rows = [line.split("|") for line in lines[head + 1 :] if line.startswith(("Heron|", "Teal|"))]
    assert {rows[0][0], rows[1][0]} == {"Heron", "Teal"}
    assert rows[0][1:] == ["river left", "river left", "river right"]
    assert rows[1][1:] == ["river left", "river left", "above"]


def test_duties_that_are_the_same_are_said_once(command: Command, trip: Path) -> None:
    riffle = plan(command, trip, ALL_FLOWS, "text").out.split("Day 1, Riffle, class")[1]
    riffle = riffle.split("Day 3")[0]
    assert re.findall("mid-channel: swimmer.*", riffle) == [
        "mid-channel: swimmer, at low and medium water",
        "mid-channel: swimmer, at high water",
    ]
    assert riffle.count("from river left: throw-line") == 1
    assert riffle.count("from river right: throw-line") == 1


def test_totals_by_flow_stand_in_the_first_block(command: Command, trip: Path) -> None:
    """Riffle: both cases covered, at high the second. Fork: none; at low water there is no case."""
    said = plan(command, trip, ALL_FLOWS, "text")
    first = said.out.split("GAPS")[0]
    rows = re.findall(r"at (\w+) water +(\d+ of \d+)", first)
    assert rows == [("low", "2 of 2"), ("medium", "2 of 4"), ("high", "1 of 4")]
    assert "Not the same at all flows: Riffle and Fork." in said.words
    assert "Rapids that are the same at all flows count at each." in first


@pytest.mark.parametrize("flow", FLOWS)
def test_one_flow_is_named_and_has_no_table(command: Command, trip: Path, flow: str) -> None:
    said = command("plan", trip, "--flow", flow)
    assert said.code == (0 if flow == "low" else 3)
    words = f"Planned for {flow} water; --flow all plans for low, medium and high together."
    assert words in said.words
    assert f"Day 1, Riffle, at {flow} water, class {'III' if flow == 'high' else 'II'}" in said.out
    assert all(f"at {other} water" not in said.out for other in FLOWS if other != flow)
    assert "count at each" not in said.out


def test_medium_is_the_flow_unless_another_is_asked_for(command: Command, trip: Path) -> None:
    assert command("plan", trip).out == plan(command, trip, "medium", "text").out


def test_gaps_that_are_the_same_at_several_flows_are_one(command: Command, trip: Path) -> None:
    said = plan(command, trip, ALL_FLOWS, "text")
    assert "GAPS, WORST FIRST (2)" in said.out
    assert said.words.count("day 1, Riffle at high water: swimmer") == 1
    for boat in ("Teal", "Heron"):
        line = f"Day 3, Fork with {boat} at medium and high water, mid-channel: swimmer"
        assert said.words.count(line) == 1


def test_what_is_carried_round_is_listed(command: Command, trip: Path) -> None:
    said = plan(command, trip, ALL_FLOWS, "text")
    assert "day 2: Falls is carried round, and asks for nothing" in said.words
    assert "day 3: Fork is carried round at low water, and asks for nothing" in said.words
    assert "Day 2, Falls" not in said.out
    assert "3 rapids." in said.words


def test_needs_say_it_once_and_what_is_carried(command: Command, trip: Path) -> None:
    said = command("needs", trip, "--flow", ALL_FLOWS)
    assert said.code == 0
    assert "DAY 1, RIFFLE AT MEDIUM WATER" in said.out
    assert said.out.count("The same as Riffle at low water.") == 1
    assert "The same as Fork with Teal at medium water." in said.out
    assert "DAY 2, FALLS, class II, 12 m wide, carried round" in said.out
    # Falls, and Fork at low water for each of two boats.
    assert said.out.count("Carried round: it asks for nothing.") == 3


def test_check_asks_at_each_flow(command: Command, trip: Path) -> None:
    said = command("check", trip, "--flow", ALL_FLOWS)
    assert said.code == 3
    line = "Day 3, Fork with Teal at medium and high water, mid-channel: swimmer"
    assert said.words.count(line) == 1
    assert command("check", trip, "--flow", "low").code == 0


def test_a_portage_counts_for_no_steerer(command: Command, trip: Path) -> None:
    """Class VI carried round: the hardest class steered is III, at high water."""
    path = trip.with_name("hard.toml")
    text = trip.read_text(encoding="utf-8")
    path.write_text(text.replace('name = "Falls"\nclass = "II"', 'name = "Falls"\nclass = "VI"'))
    said = command("check", path, "--flow", "high")
    assert "WHO CAN STEER WHICH BOAT, CLASS III BEING THE HARDEST" in said.out


def test_a_flow_that_is_none(command: Command, trip: Path) -> None:
    said = command("plan", trip, "--flow", "flood")
    assert said.code == 2
    assert "'flood' is not one of 'low', 'medium', 'high', 'all'" in " ".join(said.err.split())


# --- csv and json ---------------------------------------------------------------------------------


def test_csv_has_a_station_for_each_flow(command: Command, trip: Path) -> None:
    rows = list(csv.DictReader(plan(command, trip, ALL_FLOWS, "csv").out.splitlines()))
    waits = {
        (row["rapid"], row["flow"]): row["name"]
        for row in rows
        if (row["row"], row["boat"]) == ("station", "Heron")
    }
    riffle = {flow: waits["Riffle", flow] for flow in FLOWS}
    first = any(row["while"] == "after its run" for row in rows if row["boat"] == "Heron")
    assert riffle == {"low": "left", "medium": "left", "high": "right" if first else "above"}
    assert set(waits) - {("Riffle", flow) for flow in FLOWS} == {("Falls", "")}


def test_the_plan_file_keeps_its_flow(command: Command, trip: Path) -> None:
    command("plan", trip, "--flow", ALL_FLOWS, "--out", "plan.json")
    document = json.loads(Path("plan.json").read_text(encoding="utf-8"))
    assert document["flow"] == ALL_FLOWS
    assert document["totals"]["flows"] == {
        "low": {"covered": 2, "total": 2},
        "medium": {"covered": 2, "total": 4},
        "high": {"covered": 1, "total": 4},
    }
    flows = {(row["rapid"], row.get("flow")) for row in document["stations"]}
    assert {("Riffle at low water", "low"), ("Falls", None)} <= flows
    said = command("verify", "plan.json")
    assert (said.code, said.err) == (0, "")


@pytest.mark.parametrize("flow", FLOWS)
def test_a_plan_for_one_flow_is_checked_for_it(command: Command, trip: Path, flow: str) -> None:
    command("plan", trip, "--flow", flow, "--out", "plan.json")
    document = json.loads(Path("plan.json").read_text(encoding="utf-8"))
    assert document["flow"] == flow
    assert document["totals"]["flows"] == {}
    assert command("verify", "plan.json").code == 0


def test_a_plan_said_to_be_for_another_flow_is_rejected(command: Command, trip: Path) -> None:
    """At high water river left has no landing."""
    command("plan", trip, "--flow", "low", "--out", "plan.json")
    said = command("verify", edit_plan(lambda document: document.update(flow="high")))
    assert said.code == 1
    assert "Teal can't stand 'left' (station)" in said.err


def test_what_is_said_by_flow_is_counted_anew(command: Command, trip: Path) -> None:
    command("plan", trip, "--flow", ALL_FLOWS, "--out", "plan.json")

    def count_more(document: dict[str, Any]) -> None:
        document["totals"]["flows"]["low"]["covered"] = 3

    def change_flow(document: dict[str, Any]) -> None:
        row = next(row for row in document["stations"] if row["rapid"] == "Riffle at low water")
        row["flow"] = "high"

    for change, words in ((count_more, "totals.flows is"), (change_flow, ".flow is 'high'")):
        said = command("verify", edit_plan(change))
        assert said.code == 1
        assert "(wrong-total)" in said.err
        assert words in said.err


def test_needs_and_check_as_json_name_the_flow(command: Command, trip: Path) -> None:
    for name in ("needs", "check"):
        said = command(name, trip, "--flow", "high", "--format", "json")
        assert json.loads(said.out)["flow"] == "high"
    document = json.loads(command("needs", trip, "--flow", "low", "--format", "json").out)
    assert document["carried_round"] == ["Falls", "Fork with Teal", "Fork with Heron"]
