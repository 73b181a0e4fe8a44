"""`kitplan mend`: exit codes, its options read, and its forms written side by side."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.errors import CAUTION, Exit
from tests.decide.test_mend import BARE
from tests.inputs.texts import CATALOG, spoil, write

if TYPE_CHECKING:
    from tests.cli.conftest import Command


@pytest.fixture
def trip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the file of a trip that two bags of 80 EUR mend."""
    monkeypatch.chdir(tmp_path)
    return write(Path(), BARE.text(), spoil(CATALOG, *BARE.catalog))


def test_what_mends_all_is_told(command: Command, trip: Path) -> None:
    said = command("mend", trip)
    assert said.code == Exit.DONE, said.err
    assert said.out.startswith("tiny: 160 EUR for 2 things: 2 of 2 cases covered instead of 0\n")
    assert said.words.endswith(CAUTION)


@pytest.mark.parametrize("budget", ["80", "80 EUR", "159.99 EUR"])
def test_a_budget_that_leaves_something_open(command: Command, trip: Path, budget: str) -> None:
    said = command("mend", trip, "--budget", budget)
    assert said.code == Exit.GAPS, said.err
    assert said.out.startswith("tiny: 80 EUR for 1 thing: 1 of 2 cases covered instead of 0\n")


def test_what_is_too_heavy_may_help_all_the_same(command: Command, trip: Path) -> None:
    """A bag weighs 1 kg: with less than that nothing helps, which is not to say that none would."""
    said = command("mend", trip, "--extra-mass", "999 g")
    assert said.code == Exit.GAPS, said.err
    assert said.out.startswith("tiny: within the limit nothing that has a price helps, 0 of 2")
    assert "WHAT NOTHING WITH A PRICE MENDS WITHIN 999 G (2)\n" in said.out
    assert said.words.count("nothing with a price that is light enough closes it") == 2
    assert "nothing with a price closes it" not in said.words


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--budget", "-1 EUR"), "must not be negative"),
        (("--budget", "much"), "--budget: "),
        (("--budget", "80 USD"), "--budget is in USD, and prices of this trip in EUR"),
        (("--extra-mass", "2"), "--extra-mass: "),
        (("--budget", "-1"), "--budget: budget must not be negative"),
        (("--budget", "0.001 DM"), "the units of price are EUR, USD"),
        (("--budget", "9999999999"), "must be at most 1000000 EUR"),
        (("--budget", " "), "budget is empty"),
        (("--extra-mass", ""), "extra mass is empty"),
        (("--format", "toml"), "'toml' is not one of"),
        (("--out", "m.toml"), "the ending says no format"),
    ],
)
def test_options_that_can_not_be_read(
    command: Command, trip: Path, words: tuple[str, str], said: str
) -> None:
    answer = command("mend", trip, *words)
    assert answer.code == Exit.USAGE
    assert answer.out == ""
    assert said in answer.err


def test_all_forms_are_written_at_once(command: Command, trip: Path) -> None:
    forms = ("m.txt", "m.md", "m.json", "m.csv")
    outs = [word for name in forms for word in ("--out", name)]
    said = command("mend", trip, "--demands", "--extra-mass", "1 kg", *outs)
    assert said.code == Exit.GAPS, said.err
    document = json.loads(Path("m.json").read_text(encoding="utf-8"))
    assert (document["extra_mass_g"], document["demands_asked"]) == (1000, True)
    assert [step["mass_g"] for step in document["curve"]] == [1000, 0]
    assert Path("m.csv").read_text(encoding="utf-8").startswith("step,change,name,")
    assert "1 of 2 demands met" in Path("m.txt").read_text(encoding="utf-8")


def test_no_plan_within_the_limit(command: Command, trip: Path) -> None:
    text = trip.read_text(encoding="utf-8").replace('"oar raft" = 3', '"oar raft" = 1, leading = 2')
    trip.write_text(text, encoding="utf-8")
    said = command("mend", trip)
    assert said.code == Exit.NO_PLAN
    assert "(no-plan)" in said.err
