"""The units in which needs, check and plan are read."""

from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.inputs.texts import CATALOG, write
from tests.rules.tiny import BOTH, Tiny

TRIP = Tiny(people=dict.fromkeys(("Ana", "Bo"), BOTH))


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return write(tmp_path, TRIP.text(), CATALOG)


def test_the_plan_is_in_us_units_where_they_are_asked_for(command: Command, trip: Path) -> None:
    """A raft takes 650 kg: 1433 lb of 0.4536 kg."""
    told = {
        units: command("plan", trip, "--units", units, "--workers", "1").out
        for units in ("metric", "us")
    }
    assert "of 650 kg payload" in " ".join(told["metric"].split())
    assert "of 1433 lb payload" in " ".join(told["us"].split())
    assert "In US units" not in told["metric"]


@pytest.mark.parametrize("name", ["needs", "check"])
def test_json_is_the_same_in_all_units(command: Command, trip: Path, name: str) -> None:
    said = [command(name, trip, "--format", "json", "--units", one) for one in ("metric", "us")]
    assert said[0].out == said[1].out
    assert "In US units" in command(name, trip, "--units", "us").out


def test_other_units_are_refused(command: Command, trip: Path) -> None:
    assert command("needs", trip, "--units", "imperial").code == 2
