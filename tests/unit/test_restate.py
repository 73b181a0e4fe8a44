"""Sheets in US units: quantities are restated, names, formulas and rules' words are not."""

import re

import pytest

from kitplan.check import check_party
from kitplan.needs import derive_needs
from kitplan.report import render_check, render_needs, render_plan
from kitplan.report.restate import FORMULAS, NOTE, QUANTITY, make_restate, make_split
from kitplan.report.sheet import COLUMNS
from kitplan.trip import Trip
from kitplan.units import US
from tests.golden import stored

NAMES = ("throw bag 20 m", "throw bag 20 m, long", "Heron")


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        ("class IV, 16 m wide", "class IV, 52 ft wide"),
        ("4 people 343 kg (8 kg of wet clothes)", "4 people 756 lb (18 lb of wet clothes)"),
        ("1 x throw bag 20 m; 20 m of line", "1 x throw bag 20 m; 66 ft of line"),
        ("1 x throw bag 20 m, long", "1 x throw bag 20 m, long"),
        ("83.1 x (1.4 m/s)^2 = 163 N", "83.1 x (1.4 m/s)^2 = 163 N"),
        ("1.5 m x 2.4 m/s = 3.60 m2/s, too much", "1.5 m x 2.4 m/s = 3.60 m2/s, too much"),
        ("current too fast: 2 m/s > 1.5 m/s", "current too fast: 4.5 mph > 3.4 mph"),
        ("out of reach: 10.2 m > 10.1 m", "out of reach: 33.46 ft > 33.14 ft"),
        ("a prusik loop of 6 mm", "a prusik loop of 6 mm"),
        ("5 members, 3 min, 22 kN, 2 logs", "5 members, 3 min, 22 kN, 2 logs"),
    ],
)
def test_quantities_are_restated_and_nothing_else(metric: str, us: str) -> None:
    assert make_restate(NAMES)(metric) == us


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("16 m wide", [("16 m", "52 ft"), (" wide", " wide")]),
        ("a prusik loop of 6 mm", [("a prusik loop of 6 mm", "a prusik loop of 6 mm")]),
        (
            "1 x throw bag 20 m; 20 m of line",
            [("1 x throw bag 20 m; ",) * 2, ("20 m", "66 ft"), (" of line", " of line")],
        ),
        ("", []),
    ],
)
def test_text_is_cut_into_pieces_in_both_units(text: str, pieces: list[tuple[str, str]]) -> None:
    assert make_split(NAMES)(text) == pieces


def list_names(trip: Trip) -> list[str]:
    """Return the names and words of rules of six days that hold a quantity, longest first."""
    reminders = [one.says for rules in trip.rules for one in rules.reminders]
    names = [*trip.catalog.items, *trip.catalog.boat_types, *reminders]
    return sorted(filter(QUANTITY.search, names), key=len, reverse=True)


def test_no_metric_quantity_is_left_but_in_names_and_formulas(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(stored.ROOT)
    trip, plan = stored.load_demo("six-days"), stored.read_stored("six-days")
    needs = derive_needs(trip)
    assert plan is not None
    kept = re.compile("|".join([*map(re.escape, list_names(trip)), FORMULAS]))
    for text in (
        render_plan(trip, needs, plan, "text", US),
        render_needs(trip, needs, "text", US),
        render_check(trip, needs, check_party(trip, needs), "text", US),
    ):
        assert max(map(len, text.splitlines())) <= COLUMNS
        said = " ".join(text.split())
        assert said.count(NOTE) == 1
        left = QUANTITY.findall(kept.sub("", said.replace(NOTE, "")))
        assert [quantity for quantity in left if not quantity.endswith(" mm")] == []
        assert re.search(r"[0-9] (ft|lb)\b", said)
