"""People rules that can't be met together: the whole finding, and none of it can be left out."""

from pathlib import Path

import pytest

from kitplan.errors import Exit
from kitplan.explain import Outcome, plan_trip
from tests.inputs.short_runs import cut_runs_short
from tests.inputs.texts import TRIP, load, spoil


def plan(*edits: tuple[str, str]) -> Outcome:
    """Return what planning the small trip with some edits came to."""
    loaded = load(Path(), spoil(TRIP, *edits))
    assert loaded.trip is not None, loaded.lines
    return plan_trip(loaded.trip)


def lines(outcome: Outcome) -> list[str]:
    """Return the findings of an outcome as printed, and check that there is no plan."""
    assert outcome.status == "infeasible"
    assert outcome.plan is None
    assert outcome.exit == Exit.INPUT
    return [finding.text() for finding in outcome.findings]


TRY = "\n  try: none of these can be left out of the conflict; change any one of them"
START = "error: the party can't be seated: these can't hold together: "


def test_no_steerer_names_who_is_nearest() -> None:
    """Class IV asks for oar raft 3 and the best has 2."""
    assert lines(plan(NO_STEERER)) == [
        (
            f"trips/x.toml:9:1: {START}'Heron' needs a steerer with oar raft 3 for class IV+ on "
            f"day 1, Sawtooth; nearest to it is Ana with 2 (trips/x.toml:9:1) "
            f"(people-conflict){TRY}"
        )
    ]


def test_apart_with_no_boat_left() -> None:
    """Bo fills the kayak, so that Ana and Cy share what is left, the raft."""
    together = '[[together]]\npaddlers = ["Ana", "Cy"]\n'
    assert lines(
        plan((together, ""), ('paddlers = ["Ana", "Bo"]', 'paddlers = ["Ana", "Cy"]'))
    ) == [
        (
            f"trips/x.toml:14:1: {START}Ana, Cy sit apart (trips/x.toml:76:1); 'Wren' has 1 seat "
            "(trips/x.toml:14:1); Bo sits in 'Wren' (trips/x.toml:25:1) "
            f"(people-conflict){TRY}"
        )
    ]


NO_STEERER = ('"oar raft" = 4', '"oar raft" = 2')


def test_a_limit_that_cut_in_leaves_a_list_that_may_not_be_the_shortest(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Run 0 shows that there is no plan, 1 that there is a conflict, 2 leaves out who sit apart."""
    cut_runs_short(monkeypatch, lambda number: number == 2)
    assert lines(plan(NO_STEERER)) == [
        (
            f"trips/x.toml:9:1: {START}Ana, Bo sit apart (trips/x.toml:78:1); 'Heron' needs a "
            "steerer with oar raft 3 for class IV+ on day 1, Sawtooth; nearest to it is Ana with 2 "
            "(trips/x.toml:9:1) "
            "(people-conflict)\n  try: perhaps not the shortest such list: the time was up; change "
            "any one of them and plan anew"
        )
    ]


def test_no_conflict_found_in_time_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_runs_short(monkeypatch, lambda number: number == 1)
    assert lines(plan(NO_STEERER)) == [
        (
            "trips/x.toml:1:2: error: the party can't be seated; time was up before it was found "
            "what is in the way (people-conflict)\n  try: a longer --time-limit"
        )
    ]


PAYLOAD = ('dry_load = "120 kg"', 'dry_load = "520 kg"')


def test_payload_counts_among_the_people_rules() -> None:
    """520 kg of dry load, Ana (68 + 8) and Cy (70 + 8): 674 kg on a boat for 650 kg, by hand."""
    assert lines(plan(PAYLOAD)) == [
        (
            f"trips/x.toml:9:1: {START}'Heron' carries 650 kg and has 520 kg of dry load "
            "(trips/x.toml:9:1); 'Heron' needs a steerer with oar raft 3 for class IV+ on day 1, "
            "Sawtooth, which Ana can "
            "(trips/x.toml:9:1); Ana, Cy sit in one boat (trips/x.toml:75:1) "
            f"(people-conflict){TRY}"
        )
    ]


@pytest.mark.parametrize(
    "leave_out",
    [
        ('dry_load = "520 kg"', 'dry_load = "480 kg"'),
        ('[[together]]\npaddlers = ["Ana", "Cy"]\n', ""),
    ],
)
def test_without_any_one_rule_the_party_can_be_seated(leave_out: tuple[str, str]) -> None:
    """The conflict is irreducible: one of it gone, there is a plan or another conflict.

    Without the company Cy could sit nowhere else either, since the kayak is Bo's: then the conflict
    that is left names other rules.
    """
    text = spoil(TRIP, PAYLOAD)
    outcome = plan_trip_text(text, leave_out)
    if leave_out[1]:
        assert outcome.plan is not None
    else:
        assert "sit in one boat" not in lines(outcome)[0]


def plan_trip_text(text: str, edit: tuple[str, str]) -> Outcome:
    """Return what planning a text with one more edit came to."""
    loaded = load(Path(), spoil(text, edit))
    assert loaded.trip is not None, loaded.lines
    return plan_trip(loaded.trip)
