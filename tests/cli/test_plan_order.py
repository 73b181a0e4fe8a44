"""Running order, stations and moves of a plan file that somebody changed: `verify` refuses them."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Command
from tests.inputs.texts import CATALOG, TRIP, spoil, write

TWO_LEGS = spoil(
    TRIP,
    ('name = "Wren"\ntype = "river kayak"\n', 'name = "Wren"\ntype = "river kayak"\nto = 1\n'),
    ('name = "Bo"\n', 'name = "Bo"\nto = 1\n'),
    ('[[apart]]\npaddlers = ["Ana", "Bo"]\n', ""),
)

CHANGES: dict[str, tuple[Callable[[Any], Any], str]] = {
    "order twice": (
        lambda plan: plan["order"].append(plan["order"][0]),
        'the place in the order of "Heron" is there twice (broken-plan)',
    ),
    "an unknown boat in the order": (
        lambda plan: plan["order"].__setitem__(0, "Coot"),
        'order[0] has a value that can\'t be, "Coot" (broken-plan)',
    ),
    "a leg without order": (
        lambda plan: plan["order"].pop(),
        "the boats of the running order are not those of the trip (unknown-name)",
    ),
    "a station that is not there": (
        lambda plan: plan["stations"].pop(),
        "can't stand 'none' (station)",
    ),
}


@pytest.mark.parametrize(("change", "said"), CHANGES.values(), ids=list(CHANGES))
def test_what_was_changed_by_hand_is_refused(
    command: Command,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    change: Callable[[Any], Any],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    write(tmp_path, TWO_LEGS, CATALOG)
    command("plan", "trips/x.toml", "--fast", "--out", "plan.json")
    document = json.loads(Path("plan.json").read_text(encoding="utf-8"))
    change(document)
    Path("plan.json").write_text(json.dumps(document), encoding="utf-8")
    refused = command("verify", "plan.json")
    assert refused.code == 1
    assert said in refused.err
    assert "internal-fault" not in refused.err
