"""Pages of odd trips: all flows, stations reset, rows twice, portages, a boat alone."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.load import load_trip
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS
from tests.inputs.texts import CATALOG, spoil, write
from tests.page.pages import read_data, read_html, show
from tests.page.test_page import (
    test_cards_hold_each_item_of_their_boat_once as check_cards,
)
from tests.page.test_page import (
    test_cells_of_the_cover_table_add_up_to_the_demands as check_cover,
)
from tests.page.test_page import test_every_demand_has_its_witness as check_witnesses
from tests.page.test_page import test_ids_are_there_once_and_links_lead_to_them as check_ids
from tests.page.test_picture import test_boats_are_drawn_where_they_wait as check_boats
from tests.page.test_picture import test_lines_are_as_long_as_they_are as check_lines
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH_PATHS, FOUR, MISSED, RAFT, RESETS, STEERS, THREE, TWO_BANKS

if TYPE_CHECKING:
    from pathlib import Path

    from tests.page.pages import Shown
    from tests.rules.tiny import Tiny

HIGH = replace(BASE, more='high = { width = "20 m" }\n')
CARRIED = """
[[rapid]]
day = 1
name = "Fall"
class = "V"
width = "10 m"
run = "portage"
safety = "none"
"""
ODD = {
    "all flows": HIGH,
    "reset": replace(FOUR, head=(RESETS,), river=(TWO_BANKS, ("eddies = 0", "eddies = 2"))),
    "both banks": replace(THREE, river=(BOTH_PATHS, ('"12 m"', '"4 m"'))),
    "rows twice": MISSED,
    "portage": replace(BASE, more=CARRIED),
    "alone": replace(BASE, boats={"Heron": RAFT}, people={"Ana": STEERS}),
}


def make(folder: Path, tiny: Tiny, flow: str) -> Shown:
    """Return the page of a tiny trip, planned for a flow."""
    path = write(folder, tiny.text(), spoil(CATALOG, *tiny.catalog) + tiny.types)
    trip, findings = load_trip(path, flow)
    assert trip is not None, [one.text() for one in findings]
    return show(trip, solve(trip))


@pytest.fixture(scope="module", params=ODD)
def shown(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Shown:
    """Return each of the odd trips with its page."""
    flow = ALL_FLOWS if request.param == "all flows" else AS_WRITTEN
    folder = tmp_path_factory.mktemp("odd")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        return make(folder, ODD[request.param], flow)


def test_odd_pages_say_what_their_plans_say(shown: Shown) -> None:
    page = read_html(shown.text)
    check_witnesses(shown, read_data(page))
    check_cards(shown, page)
    check_ids(page)
    check_boats(shown)
    if shown.plan.demands:
        check_cover(shown, page)


def test_lines_of_odd_pages_are_to_scale(shown: Shown) -> None:
    if shown.plan.totals.met:
        check_lines(shown)


def test_each_flow_has_its_picture(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    page = read_html(make(tmp_path, HIGH, ALL_FLOWS).text)
    pictures = [svg for svg in page.find_all("svg") if "data-width" in svg.attributes]
    widths = Counter(float(svg.attributes["data-width"]) for svg in pictures)
    assert widths == {12.0: len(FLOWS) - 1, 20.0: 1}
    headings = [one.find_all("h3")[0].read() for one in page.find_all("article", "rapid")]
    assert len(set(headings)) == len(FLOWS)


def test_a_portage_has_no_picture(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    page = read_html(make(tmp_path, ODD["portage"], AS_WRITTEN).text)
    [fall] = [
        one for one in page.find_all("article", "rapid") if "Fall" in one.find_all("h3")[0].read()
    ]
    assert not fall.find_all("svg")
    assert "carried round" in fall.read()
