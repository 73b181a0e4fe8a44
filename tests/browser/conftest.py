"""One Chromium for each process of tests, and pages in it that are listened to."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.chromium import MISSING, find_chromium, is_required, list_arguments
from tests.browser.opened import Opener

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return the system's Chromium, started once."""
    path = find_chromium()
    if path is None:
        (pytest.fail if is_required() else pytest.skip)(MISSING)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list_arguments())
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Opener]:
    """Return what opens the text of a page; in the end no page has complained or asked anybody."""
    opener = Opener(browser, tmp_path / "trip.html")
    yield opener
    opener.close()
    assert opener.said == []
    assert opener.asked == []
