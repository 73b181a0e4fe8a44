"""Whatever is picked in a page, it tells the people, items and bank of the plan, to scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import pytest

from kitplan.needs.lines import IS_READY, list_lines
from kitplan.plan import PersonPart
from kitplan.report.page.shapes import cut
from kitplan.report.words import BANK_NAMES
from tests.browser.opened import look_at_all
from tests.golden import stored
from tests.page.pages import show_demo
from tests.page.test_page import say_part

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from kitplan.plan import DemandResult
    from tests.browser.opened import Opener
    from tests.page.pages import Shown

NEAR = 0.01
LOOK = """(article, chosen) => {
  const all = (selector) => [...article.querySelectorAll(selector)];
  const edges = all("figure .edge").map((one) => one.getBoundingClientRect().x);
  const metres = (edges[1] - edges[0]) / article.querySelector("figure svg").dataset.width;
  const long = (line) => line.getTotalLength() * line.getScreenCTM().a / metres;
  const ropes = [];
  for (const line of all(".work .rope")) {
    if (line.classList.contains("left")) ropes[ropes.length - 1][1] = long(line);
    else ropes.push([long(line), 0]);
  }
  return {
    pick: [article.id, chosen[0].parentElement.label, ...chosen.map((option) => option.text)],
    answer: plain(article.querySelector(".answer")),
    more: plain(article.querySelector(".more")),
    rows: all(".witness tbody").map((one) => [...one.rows].map((row) => [...row.cells].map(plain))),
    lines: all(".lines li").map(plain),
    listed: article.querySelector(".lists").checkVisibility(),
    names: all("figure .work text").map(plain),
    boats: all("figure .boats text").map(plain),
    ropes,
  };
}"""
SPOTS = """() => [...document.querySelectorAll("article.drawn")].map((article) => {
  const at = (one) => { const box = one.getBoundingClientRect(); return box.x + box.width / 2; };
  const all = (selector) => [...article.querySelectorAll(`figure ${selector}`)];
  const [left, right] = all(".edge").map(at);
  const spots = all(".spot").sort((a, b) => a.cy.baseVal.value - b.cy.baseVal.value).reverse();
  return [article.id, spots.map((one) => (at(one) - left) / (right - left))];
})"""


class Picks(NamedTuple):
    """A plan, and all that its page tells, pick by pick."""

    shown: Shown
    told: dict[tuple[str, ...], Any]

    def find(self, result: DemandResult) -> Any:
        """Return what is told of a demand, found as a reader finds it."""
        key = result.key
        id_ = f"r{list(self.shown.trip.rapids).index(key.rapid) + 1}"
        running = self.shown.trip.boats[key.running].called
        where = f"{key.spot}: {key.scenario}"
        return self.told[id_, where, key.technique, BANK_NAMES[key.bank], running]


@pytest.fixture(params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


@pytest.fixture
def page(shown: Shown, open_page: Opener) -> Page:
    """Return the page of a demo trip, opened."""
    return open_page(shown.text)


def pick_all(shown: Shown, page: Page) -> Picks:
    """Return all that a page tells; no pick is there twice."""
    found = look_at_all(page, LOOK)
    told = {tuple(one["pick"]): one for one in found}
    assert len(told) == len(found)
    return Picks(shown, told)


def test_every_pick_tells_what_the_plan_has(shown: Shown, page: Page) -> None:
    picks = pick_all(shown, page)
    assert len(picks.told) == len(shown.plan.demands)
    for result in shown.plan.demands:
        told = picks.find(result)
        check_witness(shown, result, told)
        check_answer(shown, result, told)
        check_lines(shown, result, told)


def check_witness(shown: Shown, result: DemandResult, told: Any) -> None:
    """Hold the list, and the names in the picture, against a witness."""
    rows = [(place, *cells) for [[place], *parts] in told["rows"] for cells in parts]
    assert sorted(rows) == sorted(say_part(shown, part) for part in result.witness)
    people = [
        part.paddler
        for part in result.witness
        if isinstance(part, PersonPart) and part.bank and not part.boat
    ]
    assert {cut(name) for name in people} <= set(told["names"])


def check_answer(shown: Shown, result: DemandResult, told: Any) -> None:
    """Hold the answer, and what is said to be short, against a demand."""
    key, running = result.key, shown.trip.boats[result.key.running].called
    answer = "can be done" if result.met else "short"
    assert told["answer"] == (
        f"{key.spot}, {key.scenario}: {key.technique} from {BANK_NAMES[key.bank]}, "
        f"while {running} runs: {answer}"
    )
    assert any(one.endswith(f" {running} runs") for one in told["boats"])
    assert told["listed"] == bool(result.witness)
    assert result.met or "short of" in told["more"] or "no boat is there" in told["more"]
    for piece in result.missing:
        assert piece.name in told["more"]


def check_lines(shown: Shown, result: DemandResult, told: Any) -> None:
    """Hold lines as drawn, and as told, against how long they are and have to be."""
    lines = list_lines(shown.trip, shown.needs.choices[result.key.choice], result)
    drawn = [line for line in lines if line.does != IS_READY and line.bank]
    expected = sorted((line.asked_mm / 1000, line.left_mm / 1000) for line in drawn)
    assert len(told["ropes"]) == len(expected)
    ropes = sorted(told["ropes"], key=lambda rope: [round(metres, 1) for metres in rope])
    for found, asked in zip(ropes, expected, strict=True):
        assert tuple(found) == pytest.approx(asked, rel=NEAR, abs=0.02)
    said = told["lines"] if lines else []
    assert len(said) == len(lines)
    for line in lines:
        assert any(f"{line.part.item}: {line.does}" in one for one in said)


def test_spots_are_where_they_are(shown: Shown, page: Page) -> None:
    rapids = {f"r{n}": rapid for n, rapid in enumerate(shown.trip.rapids.values(), start=1)}
    found = page.evaluate(SPOTS)
    assert found
    for id_, spots in found:
        rapid = rapids[id_]
        expected = [spot.from_left_mm / rapid.width_mm for spot in rapid.spots]
        assert spots == pytest.approx(expected, abs=NEAR * min(expected))
        assert [1 - spot for spot in spots] == pytest.approx(
            [spot.from_right_mm / rapid.width_mm for spot in rapid.spots], rel=NEAR
        )
