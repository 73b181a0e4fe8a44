"""A page on paper: each card whole, each item of a boat once, in black and white."""

from __future__ import annotations

import io
import re
import unicodedata
from collections import Counter, defaultdict
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from kitplan.needs import crew_paddles
from kitplan.report.words import say_days
from tests.browser.opened import TELEPHONE
from tests.golden import stored
from tests.page.pages import read_html, show_demo

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.opened import Opener
    from tests.page.pages import Shown

END = "the terms of a permit prevail."


@pytest.fixture(params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


def read_sheet(text: str) -> str:
    """Return words as they are searched for: fi is no letter, and lines end anywhere."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


def cut_card(sheets: list[str], heading: str) -> str:
    """Return the text of a card, which is on one sheet."""
    [found] = [part for sheet in sheets for part in sheet.split(f"{heading} ")[1:]]
    assert END in found
    return found.split(END)[0]


def print_sheets(page: Page, paper: str, *, landscape: bool = False) -> list[str]:
    """Return the text of each sheet of a page on paper."""
    data = page.pdf(prefer_css_page_size=True, format=paper, landscape=landscape)
    reader = PdfReader(io.BytesIO(data))
    return [read_sheet(page.extract_text()) for page in reader.pages]


def test_what_is_printed(shown: Shown, open_page: Opener) -> None:
    sheets = print_sheets(open_page(shown.text, TELEPHONE), "A4")
    check_packing(shown, sheets)
    check_duties(shown, sheets)
    check_rapids(shown, sheets)
    for number, sheet in enumerate(sheets, start=1):
        assert f"sheet {number} of {len(sheets)}" in sheet


def test_a_card_longer_than_a_sheet_goes_on_below_its_heading(open_page: Opener) -> None:
    shown = show_demo("four-kayaks")
    sheets = print_sheets(open_page(shown.text, TELEPHONE), "A6", landscape=True)
    longest = 0
    for card in read_html(shown.text).find_all("article", "card"):
        heading = read_sheet(card.find_all("h4")[0].read())
        found = [number for number, sheet in enumerate(sheets) if f"{heading} " in sheet]
        assert found == list(range(found[0], found[-1] + 1))
        assert END in sheets[found[-1]].split(f"{heading} ")[1]
        told = " ".join(sheets[found[0] : found[-1] + 1]).split(f"{heading} ", 1)[1]
        for row in card.find_all("tr"):
            for cell in row.inside:
                assert all(word in told for word in read_sheet(cell.read()).split())
        longest = max(longest, len(found))
    assert longest > 1


def check_packing(shown: Shown, sheets: list[str]) -> None:
    """See that the card of each boat holds each of its items once, with its number."""
    packed: dict[str, Counter[str]] = defaultdict(Counter)
    for piece in shown.plan.arrangement.packed:
        packed[piece.boat][piece.item] += piece.count
    for name, boat in shown.trip.boats.items():
        leg = shown.trip.legs[boat.leg]
        paddles = crew_paddles(boat, len(shown.plan.arrangement.crew[name]))
        if paddles:
            packed[name][boat.type.crew_paddle or ""] += paddles
        card = cut_card(sheets, f"{boat.called}, {say_days(leg.first_day, leg.last_day)}: to pack")
        rows = card.split("how it lies ", 1)[-1]
        for item, count in packed[name].items():
            row = rf"(?<!\S){re.escape(item)} (?:\(in it [^)]*\) )?{count} (?=\d+ |\w)"
            assert len(re.findall(row, rows)) == 1, (boat.called, item)


def check_duties(shown: Shown, sheets: list[str]) -> None:
    """See that each boat has a card for each day, whole and on one sheet."""
    headings = re.findall(r"\w+, day \d+: duties", " ".join(sheets))
    passes = {(rapid.day, boat) for rapid in shown.trip.rapids.values() for boat in rapid.boats}
    expected = [f"{shown.trip.boats[boat].called}, day {day}: duties" for day, boat in passes]
    assert sorted(headings) == sorted(expected)
    for heading in headings:
        assert "Aboard: " in cut_card(sheets, heading)


def check_rapids(shown: Shown, sheets: list[str]) -> None:
    """See that each rapid is printed, each of its sheets below its name, and no sheet is empty."""
    told = " ".join(sheets)
    for rapid in shown.trip.rapids.values():
        assert f"Day {rapid.day}, {rapid.name}" in told
    assert "Pick a technique" not in told
    assert all(sheets)
    names = tuple(f"Day {rapid.day}, {rapid.name}, " for rapid in shown.trip.rapids.values())
    texts = [
        sheet.removeprefix(f"sheet {number} of {len(sheets)} ")
        for number, sheet in enumerate(sheets, start=1)
    ]
    named = [text.startswith(names) for text in texts]
    last = next(n for n, text in enumerate(texts) if "Cover, technique by technique" in text)
    assert named.index(True) < last
    assert all(named[named.index(True) : last])
