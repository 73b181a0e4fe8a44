"""`kitplan page`: a plan file in, one page out; what is no plan is refused."""

import json
from pathlib import Path

import pytest

from kitplan.planfile import write_plan
from tests.cli.conftest import Command
from tests.cli.said import Made


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


def test_who_counts_most_is_told_where_asked_for(command: Command, plan: Path) -> None:
    command("page", plan, "--out", "trip.html", "--counts")
    text = Path("trip.html").read_text(encoding="utf-8")
    assert "Not worked out for this page" not in text
    assert "Who and what counts most" in text


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


def test_what_is_no_plan_is_refused(command: Command, plan: Path) -> None:
    plan.write_text("{}", encoding="utf-8")
    said = command("page", plan, "--out", "trip.html")
    assert said.code == 1
    assert not Path("trip.html").exists()


def test_a_plan_that_the_second_program_rejects_is_refused(command: Command, plan: Path) -> None:
    document = json.loads(plan.read_text(encoding="utf-8"))
    [met, *_] = [one for one in document["demands"] if one["met"]]
    met["witness"] = met["witness"][1:]
    plan.write_text(json.dumps(document), encoding="utf-8")
    said = command("page", plan, "--out", "trip.html")
    assert said.code == 1
    assert "error:" in said.err
    assert not Path("trip.html").exists()
