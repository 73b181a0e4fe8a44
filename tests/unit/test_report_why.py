"""Why as text and Markdown: whole texts of tiny trips whose answers are derived by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.errors import CAUTION, Place
from kitplan.facts import Fact
from kitplan.report.why import render_why, say_where
from kitplan.solve.reasons import Reasons
from tests.decide.test_why import CASES, TWO_RAPIDS, ask
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, KAYAK, PICK_UP, RAFT, STEERS, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

AHEAD = """\
Riffle: not met

Day 1, class II; 4 people in 2 boats; asked of the trip, with all seats, packing and stations open.

MID-CHANNEL: SWIMMER, WHILE HERON RUNS

Not met, and it could not be, whatever is packed where and whoever sits where.
These facts make it so (none can be left out):
  from above, no path leads down on river left (trips/x.toml:43)
  the running order is given: Heron, Teal (trips/x.toml:47)

Any one of these turns it, each solved anew:
  a path down from above on river left
  any running order

What does not count there anyway:
  throw-line from river right: does not fit (river right has no landing)
"""


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in the folder of the test, as the names of its files are relative."""
    monkeypatch.chdir(tmp_path)


def cut(text: str) -> str:
    """Return a text without its last paragraph, which is the caution."""
    text, caution = text.rstrip("\n").rsplit("\n\n", 1)
    assert " ".join(caution.split()) == CAUTION
    return text + "\n"


def test_facts_then_what_turns_it_then_what_does_not_count(tmp_path: Path) -> None:
    why = ask(read_tiny(tmp_path, CASES["nobody ahead"][0]), running="Heron")
    assert cut(render_why(why, "text")) == AHEAD


def test_the_same_in_markdown(tmp_path: Path) -> None:
    why = ask(read_tiny(tmp_path, CASES["nobody ahead"][0]), running="Heron")
    said = render_why(why, "markdown")
    assert said.startswith("# Riffle: not met\n")
    assert "\n## mid-channel: swimmer, while Heron runs\n" in said
    assert "\n- the running order is given: Heron, Teal (trips/x.toml:47)\n" in said


def test_who_does_it_where_it_is_possible(tmp_path: Path) -> None:
    said = render_why(ask(read_tiny(tmp_path, BASE)), "text")
    assert said.startswith("Riffle: possible at this rapid by itself\n")
    assert "MID-CHANNEL: SWIMMER, WHICHEVER BOAT RUNS\n" in said
    assert "  river left: Cy (thrower) with throw bag 20 m (Teal)\n" in said


def test_a_trade_names_the_rapid_and_the_move(tmp_path: Path) -> None:
    trip = read_tiny(tmp_path, TWO_RAPIDS)
    plan = solve(trip)
    [lacking] = {gap.rapid for gap in plan.gaps}
    [other] = set(trip.rapids) - {lacking}
    said = render_why(ask(trip, plan, rapid=lacking), "text")
    assert said.startswith(f"{lacking}: not met, and it costs something else\n")
    assert f"\n  {other} (day 1), mid-channel: " in said
    kept = "all else that the plan covers and keeps can stay with it"
    assert f"\n  one more throw bag 20 m; {kept}\n" in said
    assert "\n  enough alone: 1 x throw bag 20 m from " in said


def test_each_file_is_named_once() -> None:
    places = [Place("a.toml", 3, 1), Place("a.toml", 9, 1), Place("b.toml", 1, 1)]
    assert say_where(places) == "a.toml:3, 9; b.toml:1"
    assert say_where([Place("kitplan", 0, 0)]) == "kitplan"
    assert say_where([]) == ""


def test_a_set_that_was_hardly_looked_at_is_not_told(tmp_path: Path) -> None:
    why = ask(read_tiny(tmp_path, CASES["nobody ahead"][0]), running="Heron")
    facts = tuple(Fact("fact", str(number), f"fact {number}") for number in range(13))
    for irreducible, said in ((True, "  fact 12"), (False, "not found in time")):
        told = replace(why.answers[0], reasons=Reasons(facts, irreducible))
        text = render_why(replace(why, answers=(told,)), "text")
        assert said in text
        assert ("  fact 12" in text) == irreducible


def test_what_works_from_the_water_counts_with_a_bank_and_is_named(tmp_path: Path) -> None:
    """Nobody throws; the kayak that has run picks up whoever swims out of the other one."""
    kayaks = Tiny(
        boats={"Wren": KAYAK, "Tern": KAYAK},
        people={"Ana": "kayak = 3", "Bo": "kayak = 3"},
        kit={},
        river=(("eddies = 0", "eddies = 1"),),
        types=PICK_UP,
    )
    text = render_why(ask(read_tiny(tmp_path, kayaks), bank="left"), "text")
    assert "MID-CHANNEL: SWIMMER FROM RIVER LEFT OR THE WATER, WHICHEVER BOAT RUNS" in text


@pytest.mark.parametrize(("guest", "minded"), [("", " and whoever minds the guests"), (BOTH, "")])
def test_too_few_people_are_counted(tmp_path: Path, guest: str, minded: str) -> None:
    """One raft, and nobody beside its crew."""
    alone = replace(BASE, boats={"Heron": RAFT}, people={"Ana": STEERS, "Gus": guest})
    text = " ".join(render_why(ask(read_tiny(tmp_path, alone)), "text").split())
    assert (
        "2 people in 1 boat can't do it, whatever they know and have: any way takes 1 person or "
        f"more, besides the crew of the boat in trouble{minded}."
    ) in text
