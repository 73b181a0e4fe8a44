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
from tests.page.pages import show_demo

if TYPE_CHECKING:
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


def test_what_is_printed(shown: Shown, open_page: Opener) -> None:
    data = open_page(shown.text, TELEPHONE).pdf(prefer_css_page_size=True, format="A4")
    reader = PdfReader(io.BytesIO(data))
    sheets = [read_sheet(page.extract_text()) for page in reader.pages]
    check_packing(shown, sheets)
    check_duties(shown, sheets)
    check_rapids(shown, sheets)


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
    """See that each rapid is printed, and that no sheet is empty or asks for a click."""
    told = " ".join(sheets)
    for rapid in shown.trip.rapids.values():
        assert f"Day {rapid.day}, {rapid.name}" in told
    assert "Pick a technique" not in told
    assert all(sheets)
