"""How mending is told: the whole sheet of a tiny trip, its table and its document."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.decide.choices import Decision, Decisions
from kitplan.decide.mend import Mended, MendOptions, mend_trip
from kitplan.decide.missed import Lost
from kitplan.demands import CaseKey
from kitplan.errors import CAUTION
from kitplan.plan import Shortfall
from kitplan.remedies import ACCEPT, PORTAGE, RESET_EACH, SWAP, WALK
from kitplan.report import render_mend
from kitplan.report.documents import write_mend
from kitplan.report.mendcsv import render_mend_csv
from kitplan.report.sheet import COLUMNS
from kitplan.solve.parts import Limit
from kitplan.solve.run import Clock
from kitplan.trip.carriage import RuleSet, Spread
from kitplan.units import US
from tests.decide.test_mend import BARE, LESSON, STANDBY
from tests.rules.tiny import read_tiny

if TYPE_CHECKING:
    from pathlib import Path

TEXT = """\
tiny: 160 EUR for 2 things: 2 of 2 cases covered instead of 0

WHAT TO GET

  2 x throw bag 20 m, 160 EUR (80 EUR each)

In all 160 EUR, and 2 kg more to carry.
Then 2 of 2 cases are covered; with nothing bought 0 of 2 cases are covered.
Proven: nothing that has a price reaches more, and nothing cheaper reaches as much.

WHAT LESS MONEY REACHES, STEP BY STEP

  price    what to get         cases    one bank
  160 EUR  2 x throw bag 20 m  2 of 2   0           proven
  80 EUR   1 x throw bag 20 m  1 of 2   0           proven
  0 EUR    nothing             0 of 2   0           proven

Cases: covered from anywhere; one bank: those covered from one bank only. Each row is better than
the next one: by what is covered, which goes by weight (class, consequence, how likely) and not by
counts.
Between two prices nothing more is reached.

WHAT EACH OF THESE CLOSES

What would open without it, with all else packed and seated as here; stations are chosen anew for
it, rapid by rapid. Of several copies all are left out.
  2 x throw bag 20 m, 160 EUR (80 EUR each): 2 cases uncovered
    day 1, Riffle: mid-channel, swimmer, whichever boat runs

NOTHING STAYS OPEN THEN

WHAT THE LEADER MAY DECIDE, AND NO MONEY BUYS

What each alone closes with nothing bought: at least, with seats and kit as they are; stations are
chosen anew for it, rapid by rapid.
  1. carry round Riffle: nothing is asked there: 2 fewer cases uncovered

A planning aid only: it does not replace training by qualified instructors, a scout of the rapid or
the leader's judgement; local law and the terms of a permit prevail.
"""


@pytest.fixture
def mended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Mended:
    """Return what it takes to mend a trip in which bags, a lesson and somebody can be had."""
    monkeypatch.chdir(tmp_path)
    return mend(tmp_path)


def mend(folder: Path, limit: Limit = Limit()) -> Mended:  # noqa: B008 - a plain tuple
    trip = read_tiny(folder, replace(BARE, more=LESSON.replace('["Dee"]', '["Ana"]') + STANDBY))
    made = mend_trip(trip, MendOptions(limit), Clock(600.0), lambda _: None)
    assert made is not None
    return made


def test_the_sheet_says_what_to_get_first(mended: Mended) -> None:
    assert render_mend(mended, "text") == TEXT


def test_markdown_has_the_same_words(mended: Mended) -> None:
    text = render_mend(mended, "markdown")
    assert text.startswith("# tiny: 160 EUR for 2 things: 2 of 2 cases covered instead of 0\n")
    assert "| 80 EUR  | 1 x throw bag 20 m | 1 of 2  |" in text
    assert text.endswith(f"{CAUTION}\n")


def test_units_of_people(mended: Mended) -> None:
    assert "and 4.4 lb more to carry" in render_mend(mended, "text", US)


def test_a_budget_is_told_with_what_more_money_closes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = render_mend(mend(tmp_path, Limit(7999)), "text")
    lines = text.splitlines()
    assert lines[0] == "tiny: within the limit nothing that has a price helps, 0 of 2 cases covered"
    assert "It was to be 79.99 EUR at the most." in lines
    assert "For 160 EUR (see the table) 2 of 2 cases are covered." in lines
    text = render_mend(mend(tmp_path, Limit(8000, 1500)), "text")
    assert "It was to be 80 EUR at the most and 1.5 kg more at the most." in text


def test_what_is_not_proven_is_said(mended: Mended) -> None:
    step = mended.made
    loose = replace(step, mend=replace(step.mend, least_cents=8000))
    text = render_mend(replace(mended, made=loose), "text")
    assert "It may be had for less: for 80 EUR or more." in text
    text = render_mend(replace(mended, curve=(loose, *mended.curve[1:])), "text")
    assert "at least 80 EUR" in " ".join(text.split())
    loose = replace(step, mend=replace(step.mend, bounds=dict.fromkeys(step.mend.bounds, -1)))
    curve = (loose, *mended.curve[1:])
    cut = replace(mended, made=loose, curve=curve, complete=False, bare=None)
    text = render_mend(cut, "text")
    assert "Not proven: the limit cut in" in text
    assert "what is covered without any of it was not found" in text
    assert "The limit cut in: steps between these were not looked for." in text
    assert "closes with what is to get" in " ".join(text.split())


def test_what_is_short_is_told_by_what_comes_first(mended: Mended) -> None:
    """A dearer step may be short of more pieces, where fewer of them are asked by rules."""
    rule, spread = (Shortfall(tier, tier, 1, "Heron", 3, 0, 1) for tier in ("house", "spread"))
    more = replace(mended.goal, plan=replace(mended.goal.plan, shortfalls=(spread, spread, spread)))
    less = replace(mended.curve[1], plan=replace(mended.goal.plan, shortfalls=(rule,)))
    seats = Spread("spread", "there are seats", "", "boat", "party", seats=True)
    trip = replace(mended.trip, rules=(RuleSet("house", "House", "", (), ()),), spreads=(seats,))
    told = replace(mended, trip=trip, made=more, goal=more, curve=(more, less))
    rows = render_mend(told, "text").split("what to get", 1)[1].splitlines()
    assert rows[0].split()[-2:] == ["rules", "lost"]
    assert rows[1].split()[-3:] == ["0", "3", "proven"]
    assert rows[2].split()[-3:] == ["1", "0", "proven"]
    said = " ".join(render_mend(told, "text").split())
    assert "3 short of rules and spreads instead of 0" in said.split("WHAT TO GET")[0]
    assert "by law, then house rules, then what a lost boat must leave, then what is" in said


def test_each_sort_of_decision_has_its_words(mended: Mended) -> None:
    case = CaseKey("Riffle", "mid-channel", "swimmer", "Heron")
    closed = (Lost("Riffle", (8, 0), (case,), ()),)
    banks = (Lost("Riffle", (0, 8), (), (case,)),)
    rows = (
        Decision(SWAP, "Heron", "odd raft", closed, short=2, anew=True),
        Decision(PORTAGE, "Riffle", "", closed, found=5),
        Decision(ACCEPT, "afloat", "IV", (), found=1),
        Decision(WALK, "Riffle", "", banks),
        Decision(RESET_EACH, "", "", banks),
    )
    told = Decisions(rows, (("Teal", "odd raft"), ("Teal", "raft")), complete=False)
    text = render_mend(replace(mended, decisions=told), "text")
    said = " ".join(text.split())
    for words in (
        "1. take odd raft for Heron, now oar raft 4.3 m (seats and kit chosen anew): 2 fewer",
        "2 fewer short of rules and spreads and 1 more case covered at Riffle",
        "2. carry round Riffle: nothing is asked there: 1 fewer case uncovered and 5",
        "5 cases without an accepted technique no longer asked",
        "3. accept afloat up to class IV: 1 case without an accepted technique covered",
        "4. let guests walk round Riffle: 1 more case covered from both banks at Riffle",
        '5. set stations anew before each boat runs (stations = "reset"): 1 more case covered from',
        "as they are, no further, for Teal (2 types): time did not allow to choose these anew.",
        "The limit cut in: a decision may close more, or another one something too.",
    ):
        assert words in said
    assert max(len(line) for line in text.splitlines()) <= COLUMNS


def test_the_table_has_a_row_for_each_change_of_each_step(mended: Mended) -> None:
    rows = list(csv.DictReader(io.StringIO(render_mend_csv(mended))))
    assert [(row["step"], row["change"], row["count"], row["price"]) for row in rows] == [
        ("0", "buy", "2", "160.00"),
        ("1", "buy", "2", "160.00"),
        ("2", "buy", "1", "80.00"),
        ("3", "nothing", "", "0.00"),
        ("", "caution", "", ""),
    ]
    assert rows[-1]["name"] == CAUTION


def test_the_document_has_all_of_it(mended: Mended) -> None:
    document = json.loads(write_mend(mended))
    assert document["caution"] == CAUTION
    assert [step["price_cents"] for step in document["curve"]] == [16000, 8000, 0]
    assert document["made"]["remedies"][0]["name"] == "throw bag 20 m"
    assert document["closes"][0]["rapids"][0]["rise"] == [16, 0]
    assert document["decisions"]["rows"][0]["sort"] == PORTAGE
    assert document["left"]["gaps"] == []


def test_what_has_no_price_is_said_to_be_left_out(mended: Mended) -> None:
    told = replace(mended, unpriced=("a pole", "a lesson in rope"))
    text = " ".join(render_mend(told, "text").split())
    assert "left out, since it has no price: a pole and a lesson in rope. With one" in text


def test_a_limit_that_cuts_in_at_once_is_no_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing bought is all that was found: that nothing helps is not said then."""
    monkeypatch.chdir(tmp_path)
    made = mend(tmp_path, Limit(0))
    step = made.made
    doubted = replace(step, mend=replace(step.mend, bounds=dict.fromkeys(step.mend.bounds, 0)))
    cut = replace(made, made=doubted, goal=doubted, curve=(doubted,), complete=False)
    lines = render_mend(cut, "text").splitlines()
    assert lines[0].startswith("tiny: not finished, nothing to get was found so far: 0 of 2 cases")
    assert "NOTHING TO GET WAS FOUND" in lines
    assert not any("nothing that has a price helps" in line for line in lines)
