"""A page looked at: no words over others or cut off, none too small, black on white on paper."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.units import METRIC, US
from tests.browser.opened import PICK_ALL, TELEPHONE, unfold
from tests.golden import stored
from tests.page.pages import show, show_demo
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, RAFT, STEERS, THROWS, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.opened import Opener
    from tests.page.pages import Shown

SMALLEST_PX, SMALLEST_PT = 11, 7.5
"""How high words are at least, on a telephone and on paper."""
LEADING = 3
"""How far boxes of words in lines below each other reach into each other, in units."""
CROWDED = f"""
const listBoxes = (svg, selector, unit) => [...svg.querySelectorAll(selector)]
  .filter((one) => getComputedStyle(one).display !== "none").map((one) => {{
    const box = one.getBBox();
    return [one.textContent || one.getAttribute("class"), ...[box.x, box.y, box.x + box.width,
      box.y + box.height].map((metres) => metres * unit)];
  }});
const meet = ([, a, b, c, d], [, e, f, g, h]) =>
  Math.min(c, g) - Math.max(a, e) > 1 && Math.min(d, h) - Math.max(b, f) > {LEADING};
const crowded = (svg) => {{
  const unit = 360 / svg.viewBox.baseVal.width;
  const high = svg.viewBox.baseVal.height * unit;
  const words = listBoxes(svg, "text", unit);
  const marks = listBoxes(svg, ".boat, .spot, .team, .guard, .lookout", unit);
  const out = words.filter(([, a, b, c, d]) => a < 0 || b < -1 || c > 360 || d > high + 1);
  const over = words.flatMap((one, at) => [...words.slice(at + 1), ...marks]
    .filter((other) => meet(one, other)).map((other) => [one[0], other[0]]));
  return [...out, ...over];
}};
const lookAtAll = () => {{
  const found = [];
  const seen = new Set();
  pickAll((article) => {{
    const svg = article.querySelector("figure svg");
    if (seen.has(svg.innerHTML)) return;
    seen.add(svg.innerHTML);
    found.push(...crowded(svg).map((one) => [article.id, one]));
  }});
  return [seen.size, found];
}};
"""
WIDEST = """const widest = () => {
  let found = 0;
  pickAll(() => { found = Math.max(found, document.documentElement.scrollWidth); });
  return found;
}"""
SMALL = """(least) => [...document.querySelectorAll("body *")].filter((one) => {
  const words = [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE
    && node.data.trim());
  const scale = one.closest("figure svg")?.getScreenCTM().a ?? 1;
  return words && one.checkVisibility() && one.tagName !== "SCRIPT"
    && parseFloat(getComputedStyle(one).fontSize) * scale < least;
}).map((one) => one.outerHTML)"""
WIDER = """(tables) => [...document.querySelectorAll(tables)].filter((one) =>
  one.getBoundingClientRect().width > one.parentElement.getBoundingClientRect().width + 1)
  .map((one) => one.className)"""
WORD = "Cartographersandboatwrightsassociation"
NEAR_SPOT = (
    f'spot = [{{ name = "at the {WORD}", from_left = "0.5 m", from_right = "11.5 m", '
    'scenarios = ["swimmer"] }]'
)
LONG = replace(
    BASE,
    boats={WORD: RAFT, f"The raft of the {WORD}": RAFT},
    people={f"{WORD} the {n}": able for n, able in enumerate((STEERS, BOTH, THROWS, THROWS))},
    head=(('name = "tiny"', f'name = "{WORD}{WORD}"'),),
    river=(
        ('name = "Riffle"', f'name = "{WORD}, {WORD}"'),
        ('scenarios = ["swimmer"]', NEAR_SPOT),
    ),
)
COLOURS = """() => {
  const grey = (color) => { const [r, g, b] = color.match(/[\\d.]+/g).map(Number);
    return r === g && g === b; };
  const shown = [...document.querySelectorAll("body, body *")].filter(
    (one) => one.checkVisibility());
  return shown.flatMap((one) => ["color", "backgroundColor", "borderTopColor", "borderLeftColor",
    "borderBottomColor", "fill", "stroke"].map((name) => [name, getComputedStyle(one)[name]])
    .filter(([, color]) => /^rgb/.test(color) && !grey(color))
    .map(([name, color]) => [one.tagName, one.getAttribute("class"), name, color]));
}"""


@pytest.fixture(params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


def look(page: Page) -> tuple[int, list[Any]]:
    """Return how many pictures there are, and what is crowded or cut off in them."""
    number, found = page.evaluate(f"() => {{ {PICK_ALL} {CROWDED} return lookAtAll(); }}")
    return number, found


@pytest.mark.parametrize("units", [METRIC, US])
def test_no_words_lie_over_others_in_any_picture(
    shown: Shown, units: str, open_page: Opener
) -> None:
    page = open_page(shown.text, TELEPHONE)
    page.locator(f".units input[value={units}]").check()
    number, found = look(page)
    assert number >= len({result.key.rapid for result in shown.plan.demands})
    assert found == []


def test_words_that_lie_over_others_would_be_found(open_page: Opener) -> None:
    page = open_page(show_demo("day-rafts").text)
    page.evaluate('document.querySelector("figure svg").setAttribute("font-size", 3)')
    assert look(page)[1]


def test_nothing_that_is_picked_is_wider_than_a_telephone(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text, TELEPHONE)
    assert page.evaluate(f"() => {{ {PICK_ALL} {WIDEST}; return widest(); }}") <= TELEPHONE


def test_long_names_find_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, open_page: Opener
) -> None:
    monkeypatch.chdir(tmp_path)
    trip = read_tiny(tmp_path, LONG)
    page = open_page(show(trip, solve(trip)).text, TELEPHONE)
    unfold(page)
    assert page.evaluate(f"() => {{ {PICK_ALL} {WIDEST}; return widest(); }}") <= TELEPHONE
    assert page.evaluate(WIDER, ".days, .cover, .people, .witness, .kit") == []
    assert look(page)[1] == []


def test_no_words_are_tiny(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text, TELEPHONE)
    unfold(page)
    assert page.evaluate(SMALL, SMALLEST_PX) == []


def test_paper_is_black_and_white(shown: Shown, open_page: Opener) -> None:
    page = open_page(shown.text)
    assert page.evaluate(COLOURS)
    page.emulate_media(media="print")
    unfold(page)
    assert page.evaluate(COLOURS) == []
