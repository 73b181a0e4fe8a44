"""Each test of inputs stands in an empty folder of its own, so that names are short."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _stand_in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
