"""The commands for the ramp and the gravel bar from end to end: files in, words and codes out."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.errors import CAUTION, Exit
from kitplan.explain import Outcome
from kitplan.planfile import write_plan
from kitplan.report.csv import render_csv
from kitplan.report.toml import render_toml

if TYPE_CHECKING:
    from kitplan.decide.counts import Counted
    from tests.cli.conftest import Command
    from tests.cli.said import Made


@pytest.fixture
def files(starter: Path, made: Made) -> dict[str, Path]:
    """Return the starter trip, its plan and its load as files."""
    plan, load = Path("plan.json"), Path("load.csv")
    plan.write_text(write_plan(made.trip, made.needs, made.plan), encoding="utf-8")
    load.write_text(render_csv(made.trip, made.plan), encoding="utf-8")
    return {"trip": starter, "plan": plan, "load": load}


def test_a_plans_own_load_is_as_good_as_the_plan(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    said = command("review", files["trip"], files["load"], "--format", "json")
    document = json.loads(said.out)
    aims = {aim.name: aim.value for aim in made.plan.aims}
    for name in ("uncovered", "one_bank", "unmet"):
        assert document["aims"][name] == aims[name]
    assert document["broken"] == document["advice"] == []
    assert document["caution"] == CAUTION
    assert said.code == (Exit.GAPS if made.plan.gaps else Exit.DONE)
    assert said.err == ""


def test_a_review_in_words_ends_with_the_caution(command: Command, files: dict[str, Path]) -> None:
    said = command("review", files["trip"], files["load"])
    assert "as it lies" in said.out.splitlines()[0]
    assert "Who and what counts most".upper() in said.out
    assert " ".join(said.out.split()).endswith(CAUTION)


def test_a_load_with_an_error_is_refused_at_its_line(
    command: Command, files: dict[str, Path]
) -> None:
    text = files["load"].read_text(encoding="utf-8").splitlines(keepends=True)
    text[1] = text[1].replace("seat", "saet")
    files["load"].write_text("".join(text), encoding="utf-8")
    said = command("review", files["trip"], files["load"])
    assert said.code == Exit.INPUT
    assert said.err.startswith("load.csv:2:")
    assert said.out == ""


def test_a_load_that_is_not_there(command: Command, files: dict[str, Path]) -> None:
    said = command("review", files["trip"], "none.csv")
    assert said.code == Exit.INPUT
    assert "none.csv" in said.err


def test_nothing_happened_nothing_moves_and_the_file_verifies(
    command: Command, files: dict[str, Path]
) -> None:
    said = command("replan", files["plan"], "--day", "1", "--out", "again.json", "--out", "a.txt")
    assert said.code in {Exit.DONE, Exit.GAPS}, said.err
    again = json.loads(Path("again.json").read_text(encoding="utf-8"))
    moves = {aim["name"]: aim["value"] for aim in again["aims"]}["moves"]
    assert moves == 0
    assert "no move" in Path("a.txt").read_text(encoding="utf-8").splitlines()[0]
    checked = command("verify", "again.json")
    assert checked.code == Exit.DONE, checked.err


def test_two_mishaps_of_one_evening_are_one_plan_file(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    """The second one begins from the plan of the first one, on the same day."""
    row = next(row for row in made.plan.arrangement.packed if row.carried == "quick")
    lost = f"{row.boat}:{row.item}=1"
    command("replan", files["plan"], "--day", "1", "--lost-item", lost, "--out", "one.json")
    said = command("replan", "one.json", "--day", "1", "--out", "two.json", "--out", "two.txt")
    assert said.code in {Exit.DONE, Exit.GAPS}, said.err
    checked = command("verify", "two.json")
    assert checked.code == Exit.DONE, checked.err
    happened = json.loads(Path("two.json").read_text(encoding="utf-8"))["happened"]
    assert [one["day"] for one in happened] == [1, 1]
    assert "nothing was said to have happened" in Path("two.txt").read_text(encoding="utf-8")


def test_a_plan_made_anew_says_what_it_was_told(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    row = next(row for row in made.plan.arrangement.packed if row.carried == "quick")
    said = command("replan", files["plan"], "--day", "1", "--lost-item", f"{row.boat}:{row.item}=1")
    assert f"kit lost: 1 x {row.item} from {row.boat}" in said.out
    assert said.words.index("kit lost") < said.words.index("cases are covered")


def test_a_load_as_toml_is_reviewed_as_the_one_as_csv(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    """What `plan --out load.toml` writes."""
    load = Path("load.toml")
    load.write_text(render_toml(made.trip, made.plan), encoding="utf-8")
    reviews = [
        command("review", files["trip"], one, "--format", "json") for one in (load, files["load"])
    ]
    assert reviews[0] == reviews[1]


def test_a_plan_is_written_as_a_load_in_toml(command: Command, files: dict[str, Path]) -> None:
    said = command("replan", files["plan"], "--day", "1", "--out", "load.toml")
    assert said.code in {Exit.DONE, Exit.GAPS}, said.err
    text = Path("load.toml").read_text(encoding="utf-8")
    first = '[[row]]\nboat = "Blue raft"\nfrom_day = 1\nrow = "seat"\nname = '
    assert text.startswith(first)
    assert {row["row"] for row in tomllib.loads(text)["row"]} >= {"seat", "item", "station"}


def test_something_of_ones_own_is_lost(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    name, paddler = next((n, p) for n, p in made.trip.paddlers.items() if p.wears)
    item = min(paddler.wears)
    said = command(
        "replan", files["plan"], "--day", "1", "--lost-item", f"{name}:{item}=1", "--out", "a.json",
        "--out", "a.txt",
    )  # fmt: skip
    assert said.code in {Exit.DONE, Exit.GAPS}, said.err
    assert f"kit lost: 1 x {item} from {name}" in Path("a.txt").read_text(encoding="utf-8")
    assert command("verify", "a.json").code == Exit.DONE


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--day", "9"), Exit.INPUT, "day 9"),
        (("--day", "1", "--lost", "Blue raaft"), Exit.INPUT, "Blue raft"),
        (("--day", "1", "--hurt", "Nobody"), Exit.INPUT, "Nobody"),
        (("--day", "1", "--damaged", "Blue raft"), Exit.USAGE, "Heron=400 kg"),
        (("--day", "1", "--damaged", "Blue raft=9 miles"), Exit.USAGE, "payload"),
        (("--day", "1", "--lost-item", "Blue raft=1"), Exit.USAGE, "Heron:throw bag 20 m=1"),
        (("--day", "1", "--lost-item", "Blue raft:x=many"), Exit.USAGE, "many"),
        (("--day", "1", "--lost-item", "Blue raft:x=0"), Exit.USAGE, "whole number above 0"),
        (("--day", "1", "--lost-item", f"Blue raft:x={'9' * 5000}"), Exit.USAGE, "no whole number"),
        (("--day", "1", "--lost", "x" * 5000), Exit.INPUT, f"'{'x' * 57}...'"),
        (("--day", "1", "--damaged", "Blue raft=9"), Exit.USAGE, "write a mass as"),
        (
            ("--day", "1", "--damaged", "Blue raft=9 kg", "--damaged", "Blue raft=8 kg"),
            Exit.USAGE,
            "'Blue raft' is there twice",
        ),
        ((), Exit.USAGE, "--day"),
    ],
)
def test_what_can_not_be_so_is_said(
    words: tuple[str, ...], code: Exit, said: str, command: Command, files: dict[str, Path]
) -> None:
    """In the user's words, without a plan and without a traceback."""
    answer = command("replan", files["plan"], *words)
    assert answer.code == code, answer.err
    assert said in answer.err
    assert answer.out == ""


def test_the_trip_of_a_plan_is_not_written_over(command: Command, files: dict[str, Path]) -> None:
    """Not even when it is asked for: the plan beside it is made of it."""
    before = files["trip"].read_text(encoding="utf-8")
    said = command("replan", files["plan"], "--day", "1", "--out", files["trip"], "--force")
    assert said.code == Exit.USAGE
    assert "this file is read by the command, and is left as it is (output-exists)" in said.err
    assert files["trip"].read_text(encoding="utf-8") == before


def test_what_is_said_twice_is_told_once(command: Command, files: dict[str, Path]) -> None:
    name = json.loads(files["plan"].read_text(encoding="utf-8"))["boats"][0]["crew"][0]
    said = command(
        "replan", files["plan"], "--day", "1", "--hurt", name, "--hurt", name, "--time-limit", "20"
    )
    assert said.code in {Exit.DONE, Exit.GAPS}, said.err
    assert f"hurt, with a seat and no task: {name}\n" in said.out


def test_a_file_cut_short_is_no_plan_to_go_on_from(
    command: Command, files: dict[str, Path]
) -> None:
    whole = files["plan"].read_bytes()
    files["plan"].write_bytes(whole[: len(whole) // 2])
    said = command("replan", files["plan"], "--day", "1")
    assert said.code == Exit.INPUT
    assert "cut short" in said.err


def test_a_kept_plan_comes_back_without_a_move(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    said = command("plan", files["trip"], "--keep", files["plan"], "--format", "json")
    aims = {aim["name"]: aim for aim in json.loads(said.out)["aims"]}
    assert (aims["moves"]["value"], aims["moves"]["proven"]) == (0, True)
    for aim in made.plan.aims:
        if aim.name in {"uncovered", "one_bank", "unmet"}:
            assert aims[aim.name]["value"] == aim.value


def test_a_kept_plan_says_what_moves_from_the_old_one(
    command: Command, files: dict[str, Path], made: Made
) -> None:
    """Somebody who is not there any more makes others move, or nobody; either is told."""
    said = command("plan", files["trip"], "--keep", files["plan"])
    assert "Kept near an older plan: no move from it." in said.out
    assert made.plan.before is None
    assert "Kept near" not in command("plan", files["trip"]).out


def test_the_plan_of_another_trip_is_not_kept(command: Command, files: dict[str, Path]) -> None:
    other = Path("other.toml")
    text = files["trip"].read_text(encoding="utf-8")
    other.write_text(
        text.replace('name = "starter"', 'name = "another river"', 1), encoding="utf-8"
    )
    said = command("plan", other, "--keep", files["plan"])
    assert said.code == Exit.INPUT
    assert "another trip" in said.err


def test_the_first_who_count_end_a_plan_and_all_when_asked_for(
    command: Command, files: dict[str, Path]
) -> None:
    for words in ((), ("--counts",)):
        assert "WHO AND WHAT COUNTS MOST" in command("plan", files["trip"], *words).out


def test_nobody_is_asked_about_for_a_file_or_a_plan_that_was_cut_short(
    command: Command, files: dict[str, Path], made: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> Counted:
        raise AssertionError

    monkeypatch.setattr("kitplan.decide.counts.count_first", refuse)
    assert command("plan", files["trip"], "--format", "json").code == Exit.GAPS
    cut = Outcome("feasible", replace(made.plan, canonical=False))
    monkeypatch.setattr("kitplan.explain.plan_trip", lambda *_: cut)
    said = command("plan", files["trip"])
    assert "Not asked, as the plan is not canonical; --counts asks all the same." in said.out
