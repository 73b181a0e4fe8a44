"""What can't have happened, and what is said of it: whole texts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from kitplan.decide import Happened, find_wrong
from tests.decide.fourdays import ARRANGEMENT, BAG, BELT, CLIP, load_four_days

if TYPE_CHECKING:
    from pathlib import Path

WRONG: dict[str, tuple[Happened, list[str]]] = {
    "a day before the trip": (
        Happened(0, lost=("Dippr",)),
        ["day 0, and the trip has days 1 to 4 (out-of-range)", "name the day that is to come next"],
    ),
    "a day after the trip": (
        Happened(5),
        ["day 5, and the trip has days 1 to 4 (out-of-range)", "name the day that is to come next"],
    ),
    "no such boat": (
        Happened(2, lost=("Dippr",)),
        ["unknown boat 'Dippr' (unknown-boat)", "Dipper"],
    ),
    "a boat that is still to come": (
        Happened(3, lost=("Coot",)),
        ["boat 'Coot' is not on the water on day 2 (boat-away)", "one of Dipper, Heron, Teal"],
    ),
    "a damaged boat that has left": (
        Happened(4, damaged={"Teal": 100_000}),
        ["boat 'Teal' is not on the water on day 3 (boat-away)", "one of Coot, Dipper, Heron"],
    ),
    "all boats": (
        Happened(4, lost=("Heron", "Dipper", "Coot")),
        ["all boats of day 4 are lost (no-boats)", "without a boat there is nothing to plan"],
    ),
    "no payload": (
        Happened(2, damaged={"Heron": 0}),
        [
            "boat 'Heron' has a payload of 0 g left (out-of-range)",
            "say what it still carries, or that it is lost",
        ],
    ),
    "more payload than before": (
        Happened(2, damaged={"Heron": 651_000}),
        [
            "boat 'Heron' has a payload of 651 kg left, and had 650 kg (out-of-range)",
            "say what it still carries",
        ],
    ),
    "lost and damaged": (
        Happened(2, lost=("Heron",), damaged={"Heron": 1_000}),
        ["boat 'Heron' is lost and damaged (said-twice)", "say one of them"],
    ),
    "nobody of that name": (
        Happened(2, absent=("Dea",)),
        ["unknown paddler 'Dea' (unknown-paddler)", "Dee"],
    ),
    "who is not there any more": (
        Happened(3, hurt=("Eve",)),
        ["'Eve' is not there from day 3 on anyway (paddler-away)", "leave it out"],
    ),
    "absent and hurt": (
        Happened(3, absent=("Cy",), hurt=("Cy",)),
        [
            "'Cy' is absent and hurt (said-twice)",
            "absent is who is not there any more, hurt who has a seat",
        ],
    ),
    "everybody": (
        Happened(4, absent=("Ana", "Bo", "Cy", "Dee")),
        ["nobody is left on day 4 (no-paddlers)", "without anybody there is nothing to plan"],
    ),
    "no such item": (
        Happened(2, lost_items={("Heron", "throw bag 2 m"): 1}),
        ["unknown item 'throw bag 2 m' (unknown-item)", "throw bag 20 m"],
    ),
    "an item of no boat": (
        Happened(2, lost_items={("Hern", BAG): 1}),
        ["unknown boat or paddler 'Hern' (unknown-boat)", "Heron"],
    ),
    "none of an item": (
        Happened(2, lost_items={("Heron", BAG): 0}),
        ["0 x throw bag 20 m lost (out-of-range)", "say how many, 1 or more"],
    ),
    "more than lie there": (
        Happened(2, lost_items={("Heron", CLIP): 3}),
        [
            "3 x locking carabiner lost, and 2 in 'Heron' (lost-over-count)",
            "look at the boat's card; what people wear of their own is lost as PADDLER:ITEM",
        ],
    ),
    "what is lost with its boat": (
        Happened(2, lost=("Dipper",), lost_items={("Dipper", BAG): 1}),
        [
            "1 x throw bag 20 m lost, and 0 in 'Dipper' (lost-over-count)",
            "the boat is lost, and with it all but what its crew wears",
        ],
    ),
    "nothing of somebody's own": (
        Happened(2, lost_items={("Dee", "life jacket, rescu"): 1}),
        ["'life jacket, rescu' is nothing of Dee's own (unknown-item)", "life jacket, rescue"],
    ),
    "what is dealt to somebody": (
        Happened(2, lost_items={("Dee", CLIP): 1}),
        [
            "'locking carabiner' is nothing of Dee's own (unknown-item)",
            "kit that is dealt out is lost as BOAT:ITEM",
        ],
    ),
    "more than somebody wears": (
        Happened(2, lost_items={("Dee", "life jacket, rescue"): 2}),
        [
            "2 x life jacket, rescue lost, and Dee wears 1 (lost-over-count)",
            "say how many, 1 or more",
        ],
    ),
    "what somebody wears who has left": (
        Happened(3, lost_items={("Eve", "helmet"): 1}),
        ["'Eve' is not there from day 3 on anyway (paddler-away)", "leave it out"],
    ),
    "a boat left behind that there is none of": (
        Happened(2, left=("Dippr",)),
        ["unknown boat 'Dippr' (unknown-boat)", "Dipper"],
    ),
    "no such rapid": (
        Happened(3, skipped=("Wier",)),
        ["unknown rapid 'Wier' (unknown-rapid)", "Weir"],
    ),
    "a rapid that is behind": (
        Happened(3, skipped=("Ledge",)),
        ["rapid 'Ledge' was passed on day 2 (rapid-passed)", "leave it out"],
    ),
}


@pytest.mark.parametrize(("happened", "said"), WRONG.values(), ids=WRONG)
def test_what_can_not_be_so_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, happened: Happened, said: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    found = find_wrong(load_four_days(), ARRANGEMENT, happened)
    assert [finding.text() for finding in found] == [f"kitplan: error: {said[0]}\n  try: {said[1]}"]


RIGHT = {
    "nothing": Happened(1),
    "a boat on the ramp": Happened(1, lost=("Teal",)),
    "the last day": Happened(4, skipped=("Weir",)),
    "a boat that would have left": Happened(3, lost=("Teal",)),
    "who would have come": Happened(2, absent=("Cy",)),
    "what is worn in a lost boat": Happened(
        2, lost=("Dipper",), lost_items={("Dipper", BELT): 1}, hurt=("Bo",)
    ),
    "somebody's own": Happened(2, lost_items={("Dee", "life jacket, rescue"): 1}),
    "a rapid at another level": Happened(2, skipped=("Weir at high water", "Chute, low")),
    "one passage": Happened(2, skipped=("Chute with Dipper", "Weir")),
}


@pytest.mark.parametrize("happened", RIGHT.values(), ids=RIGHT)
def test_of_what_can_be_so_nothing_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, happened: Happened
) -> None:
    monkeypatch.chdir(tmp_path)
    assert find_wrong(load_four_days(), ARRANGEMENT, happened) == []


def test_all_that_is_wrong_is_said_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    happened = Happened(2, lost=("Dippr",), absent=("Dea",), skipped=("Wier", "Riffle"))
    codes = [finding.code for finding in find_wrong(load_four_days(), ARRANGEMENT, happened)]
    assert codes == ["unknown-boat", "unknown-paddler", "unknown-rapid", "rapid-passed"]
