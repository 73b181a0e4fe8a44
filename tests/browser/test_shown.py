"""A page in a browser: quiet, no wider than a telephone, reached by keys, and of use unscripted."""

from __future__ import annotations

import functools
import re
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.errors import CAUTION
from tests.browser.opened import TELEPHONE, look_at_all, unfold
from tests.browser.test_picks import check_witness, pick_all
from tests.golden import stored
from tests.page.pages import join_pieces, read_data, read_html, show_demo
from tests.page.test_safe import NAMES, show_hostile

if TYPE_CHECKING:
    from pathlib import Path

    from tests.browser.opened import Opener
    from tests.page.pages import Shown

OPEN_ALL = """() => [...document.querySelectorAll(".cover a")].map((cell) => {
  cell.click();
  const id = document.activeElement.id.split("-")[0];
  const answer = document.querySelector(`#${id} .answer`).textContent;
  return [cell.getAttribute("href").slice(1), id, cell.textContent, answer];
})"""
SEEN = """(look) => [...document.querySelectorAll(`.${look}`)].filter(
  (one) => getComputedStyle(one).display !== "none").length"""
IN_FEET = """(article) => [
  ...article.querySelectorAll("figure text, .facts li, .lines li, .more, h3"),
  ...document.querySelectorAll(".mass td")].map((one) => [...one.childNodes]
    .filter((node) => !node.classList?.contains("metric")).map((node) => node.textContent).join(""))
"""
POLICY = 'http-equiv="Content-Security-Policy"'
STRANGER = '<img src="https://nowhere.invalid/a.png" alt=""></body>'


@pytest.fixture(params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


# --- quiet ---


def test_a_request_would_be_heard(open_page: Opener) -> None:
    text = show_demo("day-rafts").text
    open_page(text.replace(POLICY, "").replace("</body>", STRANGER))
    assert open_page.asked == ["https://nowhere.invalid/a.png"]
    assert open_page.said
    open_page.asked.clear()
    open_page.said.clear()


def test_a_request_is_refused_by_the_policy(open_page: Opener) -> None:
    open_page(show_demo("day-rafts").text.replace("</body>", STRANGER))
    assert open_page.asked == []
    assert any("Content Security Policy" in said for said in open_page.said)
    open_page.said.clear()


def test_hostile_names_are_text(open_page: Opener, tmp_path: Path) -> None:
    hostile = show_hostile(tmp_path)
    page = open_page(hostile.text)
    unfold(page)
    told = pick_all(hostile, page)
    for result in hostile.plan.demands:
        check_witness(hostile, result, told.find(result))
    assert page.locator("img, iframe, object, embed, [onload], [onerror]").count() == 0
    assert page.locator("script").count() == 2
    words = page.locator("body").inner_text()
    assert all(name in words for name in NAMES)


# --- on a telephone ---


@pytest.mark.parametrize("units", ["metric", "us"])
def test_nothing_is_wider_than_a_telephone(shown: Shown, units: str, open_page: Opener) -> None:
    page = open_page(shown.text, TELEPHONE)
    page.locator(f".units input[value={units}]").check()
    unfold(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= TELEPHONE


def test_the_answer_comes_first(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text, TELEPHONE)
    tops = [
        page.locator(one).bounding_box() for one in ("header .answer", "header .caution", ".days")
    ]
    assert all(box is not None and box["y"] < 844 for box in tops)
    order = [box["y"] for box in tops if box is not None]
    assert order == sorted(order)
    assert CAUTION in page.locator("header").inner_text()


# --- by hand ---


def test_units_are_switched(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text)
    before = page.evaluate(SEEN, "metric"), page.evaluate(SEEN, "us")
    page.get_by_label("US", exact=True).check()
    after = page.evaluate(SEEN, "metric"), page.evaluate(SEEN, "us")
    assert before == after[::-1]
    assert before[0] > before[1] == 0


def test_no_metres_are_left_in_feet(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text)
    page.get_by_label("US", exact=True).check()
    told = {text for found in look_at_all(page, IN_FEET) for text in found}
    assert any(" ft" in text for text in told)
    names = {row.item for row in shown.plan.arrangement.packed}
    for text in told:
        bare = functools.reduce(lambda left, name: left.replace(name, ""), by_length(names), text)
        assert not re.search(r"\d (m|kg|g|l|ml)\b", bare), text


def by_length(names: set[str]) -> list[str]:
    """Return names, the longest first."""
    return sorted(names, key=len, reverse=True)


def test_cells_of_the_cover_table_open_their_answer(shown: Shown, open_page: Opener) -> None:
    opened = open_page(shown.text).evaluate(OPEN_ALL)
    assert opened
    for wanted, id_, cell, answer in opened:
        assert id_ == wanted
        assert answer.endswith(": can be done" if " all " in cell else ": short")


def test_all_is_reached_by_keys(open_page: Opener) -> None:
    page = open_page(show_demo("day-rafts").text)
    wanted = page.locator("select, .cover a, summary").count()
    page.evaluate(
        "window.reached = new Set(); document.addEventListener('focusin', "
        "(event) => reached.add(event.target))"
    )
    for _ in range(page.locator("a, select, input, summary").count() + 1):
        page.keyboard.press("Tab")
    reached = "[...reached].filter((one) => one.matches('select, .cover a, summary'))"
    assert page.evaluate(f"{reached}.length") == wanted
    outlined = "getComputedStyle(document.activeElement).outlineStyle"
    page.locator(".cover a").first.focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    assert page.evaluate(outlined) == "solid"


def test_keys_pick(open_page: Opener) -> None:
    page = open_page(show_demo("day-rafts").text)
    cell = page.locator(".cover a").nth(2)
    id_ = (cell.get_attribute("href") or "")[1:]
    cell.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == f"{id_}-technique"
    answer = page.locator(f"#{id_} .status .answer")
    before = answer.inner_text()
    page.keyboard.press("ArrowDown")
    assert answer.inner_text() != before
    chosen = page.evaluate("document.activeElement.selectedOptions[0].text")
    assert f": {chosen} from" in answer.inner_text()


# --- without scripts ---


def test_the_first_choice_is_shown_without_scripts(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text, scripts=False)
    assert page.locator(".pick:visible, .units:visible").count() == 0
    assert page.locator("details:not([open])").count() == 0
    data = read_data(read_html(shown.text))
    for rapid, article in zip(data["rapids"], page.locator("article.drawn").all(), strict=True):
        assert article.get_attribute("id") == rapid["id"]
        expected = _list_first(data, rapid, article.locator("option[selected]").all())
        found = article.locator(".witness tbody td").all_inner_texts()
        assert found == expected
        assert article.locator("figure svg").is_visible()


def _list_first(data: dict[str, Any], rapid: dict[str, Any], chosen: list[Any]) -> list[str]:
    """Return the cells of what is chosen in a rapid as written."""
    number, side, at = (int(option.get_attribute("value") or "") for option in chosen)
    _, witness, *_ = rapid["picks"][number][3][side][1][at]
    return [
        join_pieces(cell) for _, rows in data["witnesses"][witness] for row in rows for cell in row
    ]
