"""`kitplan page`: a plan file in, one page out; what is no plan is refused."""

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from kitplan.cli.shared import count_losses
from kitplan.planfile import write_plan
from kitplan.report.counts import write_counts
from kitplan.report.sheet import Sheet
from tests.cli.conftest import Command
from tests.cli.said import Made
from tests.page.pages import read_html


@pytest.fixture
def plan(made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the name of a plan file in the working folder."""
    monkeypatch.chdir(tmp_path)
    path = Path("plan.json")
    path.write_text(write_plan(made.trip, made.needs, made.plan), encoding="utf-8")
    return path


def test_a_page_is_written(command: Command, plan: Path, made: Made) -> None:
    said = command("page", plan, "--out", "trip.html")
    assert said.code == (3 if made.plan.gaps or made.plan.shortfalls else 0)
    assert said.out.startswith("wrote trip.html\n")
    text = Path("trip.html").read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>\n")
    assert text.endswith("</html>\n")
    assert "Not worked out for this page" in text
    assert 'data-units="metric"' in text


def test_two_runs_write_the_same_bytes(command: Command, plan: Path) -> None:
    for name in ("one.html", "two.html"):
        command("page", plan, "--out", name, "--units", "us")
    assert Path("one.html").read_bytes() == Path("two.html").read_bytes()
    assert 'data-units="us"' in Path("one.html").read_text(encoding="utf-8")


def test_who_counts_most_is_told_where_asked_for(command: Command, plan: Path, made: Made) -> None:
    command("page", plan, "--out", "trip.html", "--counts")
    text = Path("trip.html").read_text(encoding="utf-8")
    assert "Not worked out for this page" not in text
    sections = read_html(text).find_all("section")
    [told] = [one.read() for one in sections if one.attributes["id"] == "counts"]
    sheet = Sheet("text")
    counted = count_losses(made.trip, made.plan, 240.0, first=True)
    write_counts(sheet, made.trip, counted, "plan --counts")
    assert " ".join(sheet.text().split()).casefold() in " ".join(told.split()).casefold()


def test_a_file_that_is_there_is_left(command: Command, plan: Path) -> None:
    Path("trip.html").write_text("mine", encoding="utf-8")
    said = command("page", plan, "--out", "trip.html")
    assert said.code == 2
    assert "output-exists" in said.err
    assert Path("trip.html").read_text(encoding="utf-8") == "mine"
    assert command("page", plan, "--out", "trip.html", "--force").code in {0, 3}


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("page", "plan.json"), "Missing option '--out'"),
        (("page", "plan.json", "--out", "trip.txt"), "end it with .html\n"),
        (("page", "plan.json", "--out", "plan.json"), "this file is read by the command"),
    ],
)
def test_wrong_usage(command: Command, plan: Path, words: tuple[str, ...], complaint: str) -> None:
    assert plan.is_file()
    said = command(*words)
    assert said.code == 2
    assert complaint in said.err


def spoil_version(text: str) -> bytes:
    return json.dumps(json.loads(text) | {"version": "0.0.1"}).encode()


def spoil_sources(text: str) -> bytes:
    return json.dumps(json.loads(text) | {"sources": []}).encode()


def drop_stations(text: str) -> bytes:
    document = json.loads(text)
    del document["stations"]
    return json.dumps(document).encode()


SPOILT: dict[str, tuple[Callable[[str], bytes], str]] = {
    "an empty table": (lambda _: b"{}", "(broken-plan)"),
    "nothing": (lambda _: b"", "(broken-plan)"),
    "no text": (lambda _: b"\xff\xfe\x00", "(broken-plan)"),
    "half": (lambda text: text[: len(text) // 2].encode(), "(broken-plan)"),
    "a trip": (lambda _: b'name = "a trip, no plan"\n', "(broken-plan)"),
    "an older version": (spoil_version, "(other-version)"),
    "no sources": (spoil_sources, "error: "),
    "no stations": (drop_stations, "(broken-plan)"),
}


@pytest.mark.parametrize("sort", SPOILT)
def test_what_is_no_plan_is_refused(command: Command, plan: Path, sort: str) -> None:
    spoil, complaint = SPOILT[sort]
    plan.write_bytes(spoil(plan.read_text(encoding="utf-8")))
    said = command("page", plan, "--out", "trip.html")
    assert said.code == 1
    assert said.out == ""
    assert said.err.startswith("plan.json:")
    assert complaint in said.err
    assert "Traceback" not in said.err
    assert list(Path().iterdir()) == [plan]


def test_a_plan_that_is_not_there_is_refused(command: Command, plan: Path) -> None:
    said = command("page", "none.json", "--out", "trip.html")
    assert said.code == 1
    assert said.err.startswith("none.json: error: ")
    assert list(Path().iterdir()) == [plan]


@pytest.mark.parametrize("out", ["nowhere/trip.html", "taken.html", "file/trip.html"])
def test_where_nothing_can_be_written_is_said_first(command: Command, plan: Path, out: str) -> None:
    Path("taken.html").mkdir()
    Path("file").write_text("", encoding="utf-8")
    said = command("page", plan, "--out", out, "--force")
    assert said.code == 2
    assert said.err.startswith(f"{out}: error: ")
    assert "(output-not-writable)" in said.err
    assert {path.name for path in Path().iterdir()} == {plan.name, "taken.html", "file"}


def test_nothing_half_written_is_left(
    command: Command, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise OSError(28, "no room")

    Path("trip.html").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(os, "fsync", fail)
    said = command("page", plan, "--out", "trip.html", "--force")
    assert said.code == 2
    assert "(output-not-writable)" in said.err
    assert Path("trip.html").read_text(encoding="utf-8") == "mine"
    assert {path.name for path in Path().iterdir()} == {plan.name, "trip.html"}


def test_a_plan_that_the_second_program_rejects_is_refused(command: Command, plan: Path) -> None:
    document = json.loads(plan.read_text(encoding="utf-8"))
    [met, *_] = [one for one in document["demands"] if one["met"]]
    met["witness"] = met["witness"][1:]
    plan.write_text(json.dumps(document), encoding="utf-8")
    said = command("page", plan, "--out", "trip.html")
    assert said.code == 1
    assert "error:" in said.err
    assert not Path("trip.html").exists()
