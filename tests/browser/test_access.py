"""Whoever can't see well can use a page: the rules of axe-core, and the contrast of pictures."""

from __future__ import annotations

from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

import pytest

from tests.browser.opened import DESK, PICK_ALL, TELEPHONE, unfold
from tests.golden import stored
from tests.page.pages import show_demo

if TYPE_CHECKING:
    from tests.browser.opened import Opener

AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
RUN = """(rules) => axe.run({ exclude: ["figure svg text"] },
  { rules }).then((result) =>
    ["violations", "incomplete"].map((sort) => result[sort].map((rule) =>
      [rule.id, rule.nodes.map((node) => node.html)])))"""
NO_COLOURS = {"color-contrast": {"enabled": False}}
SIGN = '<span aria-hidden="true">'
"""What axe can't judge the contrast of besides words over a picture, which it is not asked."""
LEAST = 4.5
DEEP = """
const toRgb = (color) => (color.match(/[\\d.]+/g) ?? []).map(Number);
const light = (color) => {
  const [r, g, b] = toRgb(color).slice(0, 3).map((part) => part / 255).map(
    (part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a, b) => {
  const [low, high] = [light(a), light(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
};
const paintOf = (node, name) => {
  const paint = getComputedStyle(node)[name];
  return paint === "none" || toRgb(paint)[3] === 0 ? null : paint;
};
// What is painted below the points of a text: fills of shapes before it, else the page's own.
const listBelow = (svg, text, shapes) => {
  const box = text.getBBox();
  const before = shapes.filter(([shape, at]) => shape.compareDocumentPosition(text)
    & Node.DOCUMENT_POSITION_FOLLOWING && at.x <= box.x + box.width && box.x <= at.x + at.width
    && at.y <= box.y + box.height && box.y <= at.y + at.height);
  const found = new Set();
  for (let across = 0; across <= 8; across += 1) {
    for (let down = 1; down <= 3; down += 1) {
      const point = svg.createSVGPoint();
      point.x = box.x + box.width * across / 8;
      point.y = box.y + box.height * down / 4;
      const hit = before.filter(([shape]) => shape.isPointInFill(point)).pop();
      found.add(hit ? hit[2] : getComputedStyle(document.body).backgroundColor);
    }
  }
  return [...found];
};
const faint = (svg, least) => {
  const shapes = [...svg.querySelectorAll("polygon, circle, rect")]
    .map((shape) => [shape, shape.getBBox(), paintOf(shape, "fill")]).filter(([, , fill]) => fill);
  return [...svg.querySelectorAll("text")].flatMap((text) => listBelow(svg, text, shapes)
    .map((below) => [text.textContent, contrast(paintOf(text, "fill"), below)])
    .filter(([, found]) => found < least));
};
"""
BESIDE = """
const isWritten = (one) => [...one.childNodes].some(
  (node) => node.nodeType === Node.TEXT_NODE && node.data.trim());
const findGround = (one) => one === null ? "rgb(255, 255, 255)"
  : paintOf(one, "backgroundColor") ?? findGround(one.parentElement);
const listFaint = (least) => [...document.querySelectorAll("body *")]
  .filter((one) => !one.closest("figure svg") && isWritten(one) && one.checkVisibility())
  .map((one) => [one.outerHTML, contrast(paintOf(one, "color"), findGround(one))])
  .filter(([, found]) => found < least);
"""


SCREENS = [(name, TELEPHONE) for name in stored.NAMES] + [("day-rafts", DESK)]


@pytest.mark.parametrize(("name", "width"), SCREENS)
def test_axe_finds_nothing(name: str, width: int, open_page: Opener) -> None:
    """Contrast is judged on the small pages alone, as that takes long; below it is on all."""
    page = open_page(show_demo(name).text, width)
    unfold(page)
    page.evaluate(AXE)
    violations, unsure = page.evaluate(RUN, NO_COLOURS if name == "six-days" else {})
    assert violations == []
    assert {rule for rule, _ in unsure} <= {"color-contrast", "th-has-data-cells"}
    faint = [nodes for rule, nodes in unsure if rule == "color-contrast"]
    assert all(node.startswith(SIGN) for nodes in faint for node in nodes)


def test_axe_finds_what_is_wrong(open_page: Opener) -> None:
    page = open_page(show_demo("day-rafts").text.replace(' lang="en"', "", 1))
    page.evaluate(AXE)
    violations, _ = page.evaluate(RUN, {})
    assert [rule for rule, _ in violations] == ["html-has-lang"]


@pytest.mark.parametrize("name", stored.NAMES)
def test_words_in_pictures_stand_out(name: str, open_page: Opener) -> None:
    page = open_page(show_demo(name).text)
    assert _list_faint(page, LEAST) == []


def test_faint_words_would_be_found(open_page: Opener) -> None:
    page = open_page(show_demo("day-rafts").text)
    assert _list_faint(page, 20.0)


@pytest.mark.parametrize("media", ["screen", "print"])
@pytest.mark.parametrize("name", stored.NAMES)
def test_words_beside_pictures_stand_out(
    name: str, media: Literal["screen", "print"], open_page: Opener
) -> None:
    page = open_page(show_demo(name).text, TELEPHONE)
    unfold(page)
    page.emulate_media(media=media)
    script = f"(least) => {{ {DEEP} {BESIDE} return listFaint(least); }}"
    assert page.evaluate(script, LEAST) == []
    assert page.evaluate(script, 22.0)


def _list_faint(page: Any, least: float) -> list[Any]:
    """Return the words whose contrast is less, over all pictures."""
    found: list[Any] = page.evaluate(
        f"(least) => {{ {DEEP} {PICK_ALL} const found = []; const seen = new Set();"
        "pickAll((article) => { const svg = article.querySelector('figure svg');"
        "if (seen.has(svg.innerHTML)) return; seen.add(svg.innerHTML);"
        "found.push(...faint(svg, least)); }); return found; }",
        least,
    )
    return found
