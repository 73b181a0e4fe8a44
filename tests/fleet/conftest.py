"""What tests of the standard kit share: a folder of their own to stand in."""

from pathlib import Path

import pytest


@pytest.fixture
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in the test's own folder, where tiny trips are written."""
    monkeypatch.chdir(tmp_path)
