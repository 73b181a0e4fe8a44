"""Asking why: what is said of names that mean nothing, and the forms of an answer."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.errors import CAUTION
from kitplan.planfile import write_plan
from tests.cli.conftest import Command
from tests.cli.said import Made
from tests.rules.tiny import BASE, read_tiny

TECHNIQUE = "throw-line"


def list_rapids(made: Made) -> list[str]:
    return list(made.trip.rapids)


@pytest.fixture
def plan(made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the name of a plan file of the starter trip."""
    monkeypatch.chdir(tmp_path)
    path = Path("plan.json")
    path.write_text(write_plan(made.trip, made.needs, made.plan), encoding="utf-8")
    return path


def test_a_rapid_must_be_named(command: Command, starter: Path) -> None:
    said = command("why", starter)
    assert said.code == 2
    assert "Error: Missing option '--rapid'." in said.err


def test_a_rapid_that_is_none(command: Command, starter: Path, made: Made) -> None:
    said = command("why", starter, "--rapid", "zzz")
    assert said.code == 1
    assert said.out == ""
    assert said.err == (
        "kitplan: error: unknown rapid 'zzz' (unknown-rapid)\n"
        f"  try: one of {', '.join(list_rapids(made))}\n"
    )


def test_the_nearest_name_is_said(command: Command, starter: Path, made: Made) -> None:
    name = list_rapids(made)[0]
    said = command("why", starter, "--rapid", name[:-1] + "x")
    assert said.err == (
        f"kitplan: error: unknown rapid '{name[:-1]}x' (unknown-rapid)\n  try: {name}\n"
    )


def test_names_that_are_wrong_are_all_said(command: Command, starter: Path, made: Made) -> None:
    name = list_rapids(made)[0]
    options = ("--technique", "throw-lime", "--running", "Zwz", "--spot", "qqq")
    said = command("why", starter, "--rapid", name, *options)
    assert said.code == 1
    codes = [line.rsplit("(", 1)[1] for line in said.err.splitlines() if line.endswith(")")]
    assert codes == ["unknown-boat)", "unknown-spot)", "unknown-technique)"]
    assert "  try: throw-line\n" in said.err


def test_a_part_of_several_names(command: Command, starter: Path, made: Made) -> None:
    technique = "throw"
    names = [name for name in made.trip.catalog.techniques if technique in name]
    assert len(names) > 1
    said = command("why", starter, "--rapid", list_rapids(made)[0], "--technique", technique)
    assert said.code == 1
    assert said.err == (
        f"kitplan: error: '{technique}' may be any of these: {', '.join(names)} (ambiguous-name)\n"
        "  try: say more of the name\n"
    )


@pytest.mark.parametrize(
    ("said", "rapids"),
    [
        ("riff", ["low", "medium", "high"]),
        ("Riffle", ["low", "medium", "high"]),
        ("at low", ["low"]),
        ("riffle at high water", ["high"]),
    ],
)
def test_a_rapid_is_meant_at_all_flows(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str, rapids: list[str]
) -> None:
    """Part of its name is not ambiguous because it is there at several flows."""
    monkeypatch.chdir(tmp_path)
    high = ("eddies = 0", 'eddies = 0\nhigh = { class = "III" }')
    read_tiny(tmp_path, replace(BASE, river=(high,)))
    words = ("--rapid", said, "--running", "Teal", "--format", "json")
    answer = command("why", "trips/x.toml", "--flow", "all", *words)
    assert answer.code == 0, answer.err
    found = {row["rapid"] for row in json.loads(answer.out)["answers"]}
    assert found == {f"Riffle at {flow} water" for flow in rapids}


def test_a_name_without_end_is_cut(command: Command, starter: Path) -> None:
    said = command("why", starter, "--rapid", "x" * 5000)
    assert said.code == 1
    assert f"unknown rapid '{'x' * 57}...' (unknown-rapid)\n" in said.err


def test_a_bank_that_is_none(command: Command, starter: Path) -> None:
    said = command("why", starter, "--rapid", "x", "--bank", "north")
    assert said.code == 2
    assert "'north' is not one of 'left', 'right'" in said.err


def test_a_technique_that_serves_for_nothing_there(
    command: Command, starter: Path, made: Made
) -> None:
    served = {key.technique for key in made.needs.choices}
    name = next(name for name in made.trip.catalog.techniques if name not in served)
    rapid = made.trip.rapids[list_rapids(made)[0]]
    said = command("why", starter, "--rapid", rapid.name, "--technique", name)
    assert said.code == 1
    assert said.err == (
        f"starter.toml:{rapid.where.line}:{rapid.where.column}: error: '{name}' serves for nothing "
        "that may happen there (not-asked)\n"
        "  try: `kitplan needs` says what is asked where\n"
    )


def test_a_rapid_that_is_carried_round(command: Command, starter: Path, made: Made) -> None:
    name = list_rapids(made)[0]
    text = starter.read_text(encoding="utf-8")
    changed = text.replace(f'name = "{name}"\n', f'name = "{name}"\nrun = "portage"\n', 1)
    assert changed != text
    starter.write_text(changed, encoding="utf-8")
    said = command("why", starter, "--rapid", name)
    assert said.code == 1
    assert f"nothing is asked at '{name}': it is carried round (not-asked)" in said.err


def test_a_plan_file_that_is_broken(command: Command, plan: Path) -> None:
    plan.write_text("{", encoding="utf-8")
    said = command("why", plan, "--rapid", "x")
    assert said.code == 1
    assert said.out == ""
    assert "plan.json:" in said.err


def test_a_plan_for_another_flow(command: Command, plan: Path, made: Made) -> None:
    said = command("why", plan, "--rapid", list_rapids(made)[0], "--flow", "high")
    assert said.code == 2
    assert "--flow: the plan is for medium water; leave it out" in said.err


def test_an_answer_of_a_trip(command: Command, starter: Path, made: Made) -> None:
    name = list_rapids(made)[0]
    said = command("why", starter, "--rapid", name.upper())
    assert said.code == 0
    assert said.err == ""
    assert said.out.startswith(f"{name}: ")
    assert said.words.endswith(CAUTION)


def test_an_answer_of_a_plan(command: Command, plan: Path, made: Made) -> None:
    met = next(result for result in made.plan.demands if result.met)
    options = ("--technique", met.key.technique, "--spot", met.key.spot)
    boat = made.trip.boats[met.key.running].called
    said = command(
        "why", plan, "--rapid", met.key.rapid, *options, "--running", boat, "--format", "json"
    )
    assert said.code == 0
    document = json.loads(said.out)
    assert document["caution"] == CAUTION
    met_ones = [one for one in document["answers"] if one["verdict"] == "met"]
    assert [one["technique"] for one in met_ones][:1] == [met.key.technique]
    assert met_ones[0]["witness"]["met"] is True


def test_facts_have_their_lines(command: Command, starter: Path, made: Made) -> None:
    # Nobody throws any more.
    text = starter.read_text(encoding="utf-8")
    for level in "1234":
        text = text.replace(f"throwing = {level}", "throwing = 0")
    starter.write_text(text, encoding="utf-8")
    name = next(key.rapid for key in made.needs.demands if key.technique == TECHNIQUE)
    options = ("--technique", TECHNIQUE, "--format", "json")
    said = command("why", starter, "--rapid", name, *options)
    assert said.code == 0
    answers = [one for one in json.loads(said.out)["answers"] if one["verdict"] == "not met"]
    assert answers
    for one in answers:
        assert one["reasons"]["irreducible"]
        assert "throwing" in {fact["subject"] for fact in one["reasons"]["facts"]}
        assert all(fact["where"] for fact in one["reasons"]["facts"])


def test_an_answer_goes_to_a_file(command: Command, starter: Path, made: Made) -> None:
    said = command("why", starter, "--rapid", list_rapids(made)[0], "--out", "why.md")
    assert said.code == 0
    assert Path("why.md").read_text(encoding="utf-8").startswith(f"# {list_rapids(made)[0]}: ")
