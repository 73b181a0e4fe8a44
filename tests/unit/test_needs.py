"""What `needs` says of ways that are left, of those that are not, and how many there are."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.needs import able, ask_steerer
from kitplan.report.needs import render_needs
from tests.places import lay, look

FORDABLE = 'current = "1.0 m/s"\ndepth = "0.7 m"'


@pytest.mark.parametrize(("river_class", "said"), [("IV", True), ("V", False)])
def test_a_way_that_is_refused_cautions_of_nothing(
    *,
    tmp_path: Path,
    river_class: str,
    said: bool,
) -> None:
    """0.7 m x 1.0 m/s = 0.7 m2/s can be waded with caution; wading is accepted to class IV."""
    choice = look(
        tmp_path, "pinned boat", "bank-haul", "left", river_class=river_class, spot=FORDABLE
    )
    assert choice.accepted
    assert any("wades" in variant.way for variant in choice.variants) == said
    assert any(caution.startswith("somebody wades") for caution in choice.cautions) == said


@pytest.mark.parametrize(
    ("safety", "eddies", "reason"),
    [
        ("none", 3, 'no boat waits afloat here (safety is "none")'),
        ("set", 0, "no eddy here for a boat to wait in"),
    ],
)
def test_why_no_boat_waits(tmp_path: Path, safety: str, eddies: int, reason: str) -> None:
    choice = look(tmp_path, "swimmer", "pick-up", "", safety=safety, eddies=eddies)
    assert choice.reasons == (reason,)


def test_the_other_ways_are_one_less(tmp_path: Path) -> None:
    trip, needs = lay(tmp_path, "entrapment, head up")
    text = render_needs(trip, needs, "text").replace("\n        ", " ")
    counts = re.findall(r"one of (\d+) ways.*\n\s+(?:- )?the other (\w+)", text)
    assert len(counts) > 1
    for ways, others in counts:
        assert int(ways) - 1 == (1 if others == "one" else int(others))


def test_who_steers_for_rescue_work_wears_what_every_role_asks(tmp_path: Path) -> None:
    trip, needs = lay(tmp_path, "swimmer")
    options = [
        option
        for choice in needs.choices.values()
        for variant in choice.variants
        for slot in variant.boats
        for option in slot.options
    ]
    assert options
    ada = trip.paddlers["Ada"]
    bare = replace(ada, wears={k: n for k, n in ada.wears.items() if k != "helmet"})
    for option in options:
        ask = ask_steerer("oar raft", option)
        assert set(ask.wears) == {"life jacket", "helmet", "whistle"}
        assert able(ada, ask, trip.ends, trip.catalog)
        assert not able(bare, ask, trip.ends, trip.catalog)
