"""Runs commands in this process and says what they printed; one small plan for all tests."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

import pytest

from kitplan.cli import run
from kitplan.explain import plan_trip
from kitplan.load import load_trip_text
from kitplan.load.files import DiskSources
from kitplan.needs import derive_needs
from kitplan.starter import make_starter
from tests.cli.said import Made, Said

Command: TypeAlias = Callable[..., Said]


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Command:
    """Return a function that runs `kitplan` with some words and says what came of it."""

    def run_command(*words: str | Path) -> Said:
        code = run([str(word) for word in words])
        out, err = capsys.readouterr()
        return Said(code, out, err)

    return run_command


@pytest.fixture
def starter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the name of a starter trip, relative to the working folder."""
    monkeypatch.chdir(tmp_path)
    path = Path("starter.toml")
    path.write_text(make_starter("starter"), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def made() -> Made:
    """Return the starter trip with its plan."""
    shipped = [f"kitplan:{name}.toml" for name in ("techniques", "gear", "boats")]
    texts = {name: DiskSources().read(name)[0] or "" for name in shipped}
    trip, findings = load_trip_text(
        {"starter.toml": make_starter("starter"), **texts}, "starter.toml"
    )
    assert trip is not None, findings
    plan = plan_trip(trip).plan
    assert plan is not None
    return Made(trip, derive_needs(trip), plan)
