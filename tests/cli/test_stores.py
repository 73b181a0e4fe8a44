# ruff: noqa: E501 - a finding is one line, however long
"""Stores that no boats can take, as every command that reads a trip says it."""

from pathlib import Path

import pytest

from tests.cli.conftest import Command
from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import spoil, write


@pytest.mark.parametrize("name", ["needs", "check", "plan"])
def test_too_heavy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: Command, name: str
) -> None:
    """People 166 kg and 60.28 kg of stores on day 2, as worked out in tests/unit/test_stores.py."""
    monkeypatch.chdir(tmp_path)
    catalog = spoil(STORES_CATALOG, ('payload = "650 kg"', 'payload = "200 kg"'))
    said = command(name, write(tmp_path, STORES_TRIP, catalog))
    assert (said.code, said.out) == (1, "")
    assert said.err.splitlines()[:2] == [
        "trips/x.toml:30:2: error: stores: people, dry loads, kit that always goes and stores weigh 226 kg on the morning of day 2, 26.3 kg more than the payloads of all boats there; so they do on 3 mornings (too-heavy)",
        "  try: bring another boat, restock on the way, or leave something at home",
    ]


def test_what_just_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: Command) -> None:
    monkeypatch.chdir(tmp_path)
    said = command("check", write(tmp_path, STORES_TRIP, STORES_CATALOG))
    assert (said.code, said.err) == (0, "")
