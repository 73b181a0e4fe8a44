"""Where results go: formats, files, what is never overwritten, and the caution on all of it."""

import csv
import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.cli import run
from kitplan.errors import CAUTION
from kitplan.explain import Outcome
from kitplan.plan import Packed
from kitplan.report.csv import render_csv
from tests.cli.conftest import Command
from tests.cli.said import CLOSING, Made


def change_packing(made: Made, packed: Packed) -> str:
    """Return the packing list of a plan with one more row."""
    arrangement = replace(made.plan.arrangement, packed=(packed,))
    return render_csv(made.trip, replace(made.plan, arrangement=arrangement))


# --- formats --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plan", "needs", "check"])
@pytest.mark.parametrize("style", ["text", "markdown"])
def test_caution_ends_every_text(command: Command, starter: Path, name: str, style: str) -> None:
    said = command(name, starter, "--format", style)
    assert said.words.rstrip("*_").endswith(CAUTION)
    assert said.out.endswith("\n")
    assert said.err == ""


def test_text_is_the_format_unless_another_is_asked_for(command: Command, starter: Path) -> None:
    assert command("needs", starter).out == command("needs", starter, "--format", "text").out


@pytest.mark.parametrize("name", ["plan", "needs", "check"])
def test_json_carries_the_caution(command: Command, starter: Path, name: str) -> None:
    document = json.loads(command(name, starter, "--format", "json").out)
    assert document["caution"] == CAUTION
    assert document["trip"] == "starter"


def test_needs_as_json(command: Command, starter: Path, made: Made) -> None:
    document = json.loads(command("needs", starter, "--format", "json").out)
    assert len(document["choices"]) == len(made.needs.choices)
    assert len(document["cases"]) == len(made.needs.cases)
    verdicts = {row["verdict"] for row in document["choices"]}
    assert verdicts == {choice.verdict for choice in made.needs.choices.values()}
    assert all(row["reasons"] for row in document["choices"] if row["verdict"] != "fits")
    assert document["digest"] == made.plan.digest


def test_check_as_json_says_whether_anything_is_short(command: Command, starter: Path) -> None:
    said = command("check", starter, "--format", "json")
    assert json.loads(said.out)["short"] is (said.code == 3)


def test_csv_holds_people_kit_and_stations(command: Command, starter: Path, made: Made) -> None:
    said = command("plan", starter, "--format", "csv")
    rows = list(csv.DictReader(said.out.splitlines()))
    heads = ["boat", "from_day", "row", "name", "count"]
    heads += ["carried", "worn_by", "rapid", "flow", "while", "amount", "unit"]
    heads += ["person_days", "lot"]
    assert list(rows[0]) == heads
    arrangement = made.plan.arrangement
    assert [row["name"] for row in rows if row["row"] == "seat" and row["boat"] == "Blue raft"] == [
        arrangement.steerer["Blue raft"],
        *(p for p in arrangement.crew["Blue raft"] if p != arrangement.steerer["Blue raft"]),
    ]
    items = [row for row in rows if row["row"] == "item"]
    assert len(items) == len(arrangement.packed)
    assert sum(int(row["count"]) for row in items) == sum(p.count for p in arrangement.packed)
    runs = arrangement.list_run(made.trip.boats)
    order = {row["boat"]: int(row["name"]) for row in rows if row["row"] == "order"}
    assert order == {boat: place for place, boat in enumerate(runs, 1)}
    waits = {(r["rapid"], r["boat"], r["while"]): r["name"] for r in rows if r["row"] == "station"}
    # The first boat has no time before its run at a rapid, the last one none after it.
    first, last = runs[0], runs[-1]
    assert waits == {
        (rapid, boat, when): arrangement.stations[rapid, boat, running]
        for rapid in made.trip.rapids
        for boat, when, running in [
            *((boat, "before its run", first) for boat in runs[1:]),
            *((boat, "after its run", last) for boat in runs[:-1]),
        ]
    }
    assert {row["from_day"] for row in rows[:-1]} == {"1"}
    assert [*rows[-1].values()] == ["", "", "caution", CAUTION, *[""] * 10]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
def test_no_cell_is_a_formula(made: Made, sign: str) -> None:
    # OWASP, "CSV Injection": cells that begin with = + - @ are taken for formulas; from memory.
    packed = Packed("Kayak", f"{sign}1+1", "worn", 2, f"{sign}me")
    rows = list(csv.reader(change_packing(made, packed).splitlines()))
    assert ["Kayak", "1", "item", f"'{sign}1+1", "2", "worn", f"'{sign}me", *[""] * 7] in rows


# --- files ----------------------------------------------------------------------------------------


def test_the_ending_chooses_the_format(command: Command, starter: Path) -> None:
    said = command(
        "plan", starter, "--out", "a.json", "--out", "a.csv", "--out", "a.md", "--out", "a.txt"
    )
    assert said.code == 3
    assert said.out == f"wrote a.json\nwrote a.csv\nwrote a.md\nwrote a.txt\n\n{CLOSING}\n"
    for name, style in [("a.json", "json"), ("a.csv", "csv"), ("a.md", "markdown")]:
        printed = command("plan", starter, "--format", style).out
        assert Path(name).read_text(encoding="utf-8") == printed
    assert command("plan", starter).out == Path("a.txt").read_text(encoding="utf-8")


def test_format_goes_before_the_ending(command: Command, starter: Path) -> None:
    assert command("needs", starter, "--format", "json", "--out", "needs.txt").code == 0
    assert json.loads(Path("needs.txt").read_text(encoding="utf-8"))["trip"] == "starter"


def test_check_writes_files_too(command: Command, starter: Path) -> None:
    said = command("check", starter, "--out", "party.md")
    assert said.out == f"wrote party.md\n\n{CLOSING}\n"
    assert Path("party.md").is_file()


def test_an_ending_that_says_nothing(command: Command, starter: Path) -> None:
    said = command("needs", starter, "--out", "needs.csv")
    assert said.code == 2
    assert "needs.csv: the ending says no format; end it with .txt, .md, .json" in said.err
    assert not Path("needs.csv").exists()


def test_an_existing_file_stays_unless_forced(command: Command, starter: Path) -> None:
    out = Path("plan.json")
    out.write_text("mine", encoding="utf-8")
    said = command("plan", starter, "--out", out)
    assert said.code == 2
    assert said.out == ""
    assert said.err == (
        "plan.json: error: this file exists and is left as it is (output-exists)\n"
        "  try: another name, or --force to replace it\n"
    )
    assert out.read_text(encoding="utf-8") == "mine"
    assert command("plan", starter, "--out", out, "--force").code == 3
    assert json.loads(out.read_text(encoding="utf-8"))["trip"] == "starter"


@pytest.mark.parametrize("name", ["plan", "needs", "check"])
def test_a_folder_that_is_missing(command: Command, starter: Path, name: str) -> None:
    said = command(name, starter, "--out", "nowhere/out.json")
    assert said.code == 2
    assert said.err == (
        "nowhere/out.json: error: the folder it would lie in does not exist (output-not-writable)\n"
        "  try: make that folder first\n"
    )


def test_outputs_are_looked_at_before_solving(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("taken.json").mkdir()
    monkeypatch.setattr("kitplan.explain.plan_trip", lambda *_: pytest.fail("it was solved"))
    said = command("plan", starter, "--out", "taken.json", "--force")
    assert said.code == 2
    assert said.err.startswith("taken.json: error: this is a folder (output-not-writable)")


@pytest.mark.parametrize("name", ["plan", "needs", "check"])
def test_what_is_read_is_never_written(command: Command, starter: Path, name: str) -> None:
    before = starter.read_bytes()
    said = command(name, starter, "--format", "text", "--out", starter, "--force")
    assert said.code == 2
    assert said.err == (
        "starter.toml: error: this file is read by the command, and is left as it is "
        "(output-exists)\n  try: another name\n"
    )
    assert starter.read_bytes() == before


def test_a_file_named_twice(command: Command, starter: Path) -> None:
    said = command("needs", starter, "--out", "a.md", "--out", "./a.md")
    assert said.code == 2
    assert "the same file is given to --out twice" in said.err


def test_a_file_that_appears_while_solving_stays(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch, made: Made
) -> None:
    def solve(*_: object) -> object:
        Path("plan.json").write_text("somebody else's", encoding="utf-8")
        return Outcome("proven", made.plan)

    monkeypatch.setattr("kitplan.explain.plan_trip", solve)
    said = command("plan", starter, "--out", "plan.json")
    assert said.code == 2
    assert "(output-exists)" in said.err
    assert Path("plan.json").read_text(encoding="utf-8") == "somebody else's"


def test_names_of_files_are_text(command: Command, starter: Path) -> None:
    assert command("needs", "trip\udcff.toml").code == 2
    assert command("needs", starter, "--out", "out\udcff.md").code == 2


def test_output_is_utf8_whatever_the_terminal(
    starter: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    text = starter.read_text(encoding="utf-8").replace('"starter"', '"Grüße"')
    starter.write_text(text, encoding="utf-8")
    monkeypatch.setattr(sys, "stdout", open(1, "w", encoding="ascii", closefd=False))  # noqa: SIM115
    assert run(["needs", str(starter), "--format", "json"]) == 0
    sys.stdout.flush()
    assert json.loads(capfdbinary.readouterr().out)["trip"] == "Grüße"
