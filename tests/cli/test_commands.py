"""Every command: what it prints in short, its exit codes, and what it says when used wrongly."""

import json
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from kitplan import __version__
from kitplan.cli import kitplan
from kitplan.errors import CAUTION, NOWHERE, Finding
from kitplan.explain import Clock, Outcome, SolveOptions
from kitplan.load.files import make_source
from kitplan.plan import digest_sources
from kitplan.planfile import write_plan
from kitplan.starter import make_starter
from tests.cli.conftest import Command
from tests.cli.said import CLOSING, Made

COMMANDS = (
    "check",
    "mend",
    "needs",
    "new",
    "page",
    "plan",
    "replan",
    "review",
    "schema",
    "standard",
    "verify",
    "why",
)


def test_these_are_the_commands() -> None:
    assert tuple(sorted(kitplan.commands)) == COMMANDS


# --- help and wrong usage -------------------------------------------------------------------------


def test_help_ends_in_the_caution(command: Command) -> None:
    said = command("--help")
    assert said.code == 0
    assert said.words.endswith(CAUTION)
    assert all(f"\n  {name} " in said.out for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_every_command_ends_in_the_caution(command: Command, name: str) -> None:
    said = command(name, "--help")
    assert said.code == 0
    assert said.words.endswith(CAUTION)


def test_version(command: Command) -> None:
    assert command("--version").out == f"kitplan {__version__}\n\n{CLOSING}\n"


@pytest.mark.parametrize(
    "line",
    [
        "unheard",
        "plan",
        "plan a.toml b.toml",
        "plan a.toml --format pdf",
        "plan a.toml --out plan.pdf",
        "plan a.toml --time-limit 0",
        "plan a.toml --time-limit nan",
        "plan a.toml --time-limit inf",
        "plan a.toml --time-limit soon",
        "plan a.toml --workers 0",
        "plan a.toml --speed",
        "needs a.toml --format csv",
        "check a.toml --format csv",
        "check",
        "mend",
        "mend a.toml --workers 0",
        "verify",
        "verify a.json b.json",
        "new",
        "schema",
    ],
)
def test_wrong_usage(command: Command, line: str) -> None:
    said = command(*line.split())
    assert said.code == 2
    assert said.out == ""
    assert "Error: " in said.err


# --- findings -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["plan", "needs", "check", "mend"])
def test_a_trip_that_is_missing(command: Command, starter: Path, name: str) -> None:
    said = command(name, starter.with_name("missing.toml"))
    assert said.code == 1
    assert said.out == ""
    assert said.err.startswith("missing.toml:1:1: error: there is no such file (file-missing)\n")


@pytest.mark.parametrize("name", ["plan", "needs", "check"])
def test_findings_are_sorted_and_nothing_is_written(
    command: Command, starter: Path, name: str
) -> None:
    text = starter.read_text(encoding="utf-8")
    text = text.replace('class = "III"', 'class = "IX"').replace("throwing = 4", "throwing = 7")
    starter.write_text(text, encoding="utf-8")
    said = command(name, starter, "--out", "out.json")
    assert said.code == 1
    assert said.out == ""
    lines = [line for line in said.err.splitlines() if line.startswith("starter.toml:")]
    places = [int(line.split(":")[1]) for line in lines]
    assert len(places) == 2
    assert places == sorted(places)
    assert not Path("out.json").exists()


def test_people_who_can_not_be_seated(command: Command, starter: Path) -> None:
    # "Second" and "Helper" must share the kayak's paddler's boat, which has one seat.
    people = '[[together]]\npaddlers = ["Kayaker", "Second"]\n'
    starter.write_text(starter.read_text(encoding="utf-8") + people, encoding="utf-8")
    said = command("plan", starter)
    assert said.code == 1
    assert said.out == ""
    assert "error: " in said.err


# --- plan -----------------------------------------------------------------------------------------


def test_plan_with_gaps(command: Command, starter: Path) -> None:
    said = command("plan", starter)
    assert said.code == 3
    assert said.err == ""
    assert "First bend" in said.out
    assert "The ledge" in said.out


def test_plan_without_gaps(command: Command, starter: Path) -> None:
    # Only a casualty ashore to be looked after, two first aiders and three of everything for it.
    text = starter.read_text(encoding="utf-8")
    text = text[: text.index('[[rapid]]\nday = 1\nname = "The ledge"')]
    text = text.replace('"swimmer"]', '"casualty ashore"]').replace(
        "certificates = [", 'certificates = [{ name = "first aid", until = 2028-04-30 }, '
    )
    text = text.replace("leading = 1, kayak", '"first aid" = 2, kayak')
    text += "".join(
        f'\n[[kit]]\nitem = "{item}"\ncount = 3\n'
        for item in ("first-aid kit, large", "warming kit", "group shelter, 6-8 people")
    )
    starter.write_text(text, encoding="utf-8")
    said = command("plan", starter, "--format", "json")
    assert said.err == ""
    assert json.loads(said.out)["gaps"] == []
    assert said.code == 0


def test_plan_takes_its_options(
    command: Command, starter: Path, made: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[SolveOptions, float]] = []

    def solve(_trip: object, options: SolveOptions, clock: Clock) -> Outcome:
        seen.append((options, clock.limit_s))
        return Outcome("proven", made.plan)

    monkeypatch.setattr("kitplan.explain.plan_trip", solve)
    command("plan", starter)
    command("plan", starter, "--time-limit", "7.5", "--workers", "3", "--fast")
    first, second = (options for options, _ in seen)
    assert (first.time_limit_s, first.workers, first.fast) == (240.0, 2, False)
    assert (second.time_limit_s, second.workers, second.fast) == (7.5, 3, True)
    assert [limit_s for _, limit_s in seen] == [240.0, 7.5]


def test_plan_tells_a_terminal_how_far_it_is(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    said = command("plan", starter)
    assert " s  aim backed\n" in said.err
    assert " s  aim" not in said.out


def test_plan_tells_nobody_else(command: Command, starter: Path) -> None:
    assert command("plan", starter).err == ""


def test_plan_twice_gives_the_same_bytes(command: Command, starter: Path) -> None:
    first = command("plan", starter, "--format", "json").out
    assert command("plan", starter, "--format", "json").out == first


def test_no_plan_within_the_limit(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kitplan.explain.plan_trip", lambda *_: Outcome("unknown"))
    said = command("plan", starter, "--time-limit", "2")
    assert said.code == 5
    assert said.out == ""
    assert said.err == (
        "kitplan: error: no plan was found within 2 s (unknown) (no-plan)\n"
        "  try: a longer --time-limit, or `kitplan check` for what is short anyway\n"
    )


def test_a_plan_that_is_rejected_is_not_given(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = Finding(NOWHERE, "error", "seats", "boat 'Kayak' holds 2 of 1")
    monkeypatch.setattr("kitplan.verify.verify_plan", lambda *_: [wrong])
    said = command("plan", starter, "--out", "plan.json")
    assert said.code == 4
    assert said.out == ""
    assert said.err == (
        "kitplan: error: boat 'Kayak' holds 2 of 1 (seats)\n"
        "kitplan: error: the program's own plan did not pass its check, so it is not given; "
        "please report it, with the files of the trip (plan-rejected)\n"
    )
    assert not Path("plan.json").exists()


# --- needs and check ------------------------------------------------------------------------------


def test_needs_is_always_done(command: Command, starter: Path) -> None:
    said = command("needs", starter)
    assert said.code == 0
    assert "THE LEDGE" in said.out


def test_check_with_something_short(command: Command, starter: Path) -> None:
    # Nobody leads and nobody holds a rope: no packing can help.
    text = starter.read_text(encoding="utf-8").replace("rope = ", "leading = ")
    lines = [line for line in text.splitlines() if not line.startswith(("skills", "certificates"))]
    skills = 'skills = { "oar raft" = 4, kayak = 4 }'
    text = "\n".join(lines).replace("[[paddler]]", f"[[paddler]]\n{skills}", 4)
    starter.write_text(text, encoding="utf-8")
    said = command("check", starter)
    assert said.err == ""
    assert said.code == 3


# --- verify ---------------------------------------------------------------------------------------


@pytest.fixture
def kept(starter: Path, made: Made) -> Path:
    """Return the name of a plan file made from the starter trip beside it."""
    path = starter.with_name("plan.json")
    path.write_text(write_plan(*made), encoding="utf-8")
    return path


def test_verify_says_what_was_checked(command: Command, kept: Path) -> None:
    said = command("verify", kept)
    assert said.err == ""
    assert said.code == 0
    assert said.out.startswith("plan.json: holds what it claims: ")
    assert said.out.endswith(f"\n\n{CLOSING}\n")


def test_verify_needs_no_other_file(command: Command, kept: Path, starter: Path) -> None:
    starter.unlink()
    assert command("verify", kept).code == 0


def test_verify_says_that_the_trip_has_changed(command: Command, kept: Path, starter: Path) -> None:
    starter.write_text(starter.read_text(encoding="utf-8") + "\n# later\n", encoding="utf-8")
    said = command("verify", kept)
    assert said.code == 0
    assert said.err == (
        "starter.toml: warning: this file has changed since the plan was made (stale-input)\n"
        "  try: make the plan anew with `kitplan plan`\n"
    )
    assert "holds what it claims" in said.out


def test_verify_rejects_an_edited_plan(command: Command, kept: Path) -> None:
    document = json.loads(kept.read_text(encoding="utf-8"))
    document["aims"][0]["value"] += 1
    kept.write_text(json.dumps(document), encoding="utf-8")
    said = command("verify", kept)
    assert said.code == 1
    assert "(wrong-aim)" in said.err
    assert said.out == f"plan.json: rejected\n\n{CLOSING}\n"


def test_verify_rejects_figures_beside_the_plan(command: Command, kept: Path) -> None:
    document = json.loads(kept.read_text(encoding="utf-8"))
    document["boats"][0]["mass_kg"] = 1.0
    kept.write_text(json.dumps(document), encoding="utf-8")
    said = command("verify", kept)
    assert said.code == 1
    assert said.err.startswith("plan.json: error: mass_kg of boat 'Blue raft' is 1.0 in the file")


def test_verify_of_a_plan_whose_trip_has_errors(
    command: Command, kept: Path, starter: Path, made: Made
) -> None:
    text = starter.read_text(encoding="utf-8").replace('class = "III"', 'class = "IX"')
    sources = (make_source("starter.toml", text), *made.plan.sources[1:])
    plan = replace(made.plan, sources=sources, digest=digest_sources(sources))
    kept.write_text(write_plan(made.trip, made.needs, plan), encoding="utf-8")
    said = command("verify", kept)
    assert said.code == 1
    assert said.err.startswith("starter.toml:")
    assert said.out.startswith("plan.json: rejected, as the trip it keeps has errors\n")


@pytest.mark.parametrize(
    ("data", "code"),
    [(b"", "broken-plan"), (b"\xff", "broken-plan"), (b'{"version": "0"}', "other-version")],
)
def test_verify_of_what_is_no_plan(command: Command, kept: Path, data: bytes, code: str) -> None:
    kept.write_bytes(data)
    said = command("verify", kept)
    assert said.code == 1
    assert f"({code})" in said.err
    assert CLOSING in said.out


def test_verify_of_what_is_no_file(command: Command, starter: Path) -> None:
    said = command("verify", "missing.json")
    assert said.code == 1
    assert "missing.json: error: there is no such file (file-missing)" in said.err
    said = command("verify", starter.parent)
    assert said.code == 1
    assert "this is a folder (file-is-folder)" in said.err


# --- new ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["mine", "mine.toml"])
def test_new_writes_a_trip(command: Command, starter: Path, name: str) -> None:
    said = command("new", name)
    assert said.code == 0
    assert said.out == f"wrote mine.toml\nnext: kitplan check mine.toml\n\n{CLOSING}\n"
    assert tomllib.loads(Path("mine.toml").read_text(encoding="utf-8"))["trip"]["name"] == "mine"
    assert starter.exists()


def test_new_overwrites_only_by_force(command: Command, starter: Path) -> None:
    starter.write_text("mine", encoding="utf-8")
    said = command("new", "starter")
    assert said.code == 2
    assert "(output-exists)" in said.err
    assert starter.read_text(encoding="utf-8") == "mine"
    assert command("new", "starter", "--force").code == 0
    assert starter.read_text(encoding="utf-8") == make_starter("starter")


@pytest.mark.parametrize("name", ["", " ", ".toml", "a\nb", "x" * 81, "nowhere/mine"])
def test_names_that_no_trip_can_have(command: Command, starter: Path, name: str) -> None:
    said = command("new", name)
    assert said.code == 2
    assert said.out == ""
    assert sorted(path.name for path in Path().iterdir()) == [starter.name]


@pytest.mark.parametrize("name", ["mine", 'say "when"', "back\\slash", "Überfahrt 3", "@NAME@"])
def test_a_new_trip_is_clean_and_can_be_planned(command: Command, starter: Path, name: str) -> None:
    starter.write_text(make_starter(name), encoding="utf-8")
    said = command("needs", starter, "--format", "json")
    assert (said.code, said.err) == (0, "")
    assert json.loads(said.out)["trip"] == name


# --- schema ---------------------------------------------------------------------------------------


def test_schema_writes_a_file_for_each_sort(command: Command, starter: Path) -> None:
    said = command("schema", "--out", ".")
    assert said.code == 0
    names = ("trip", "catalog", "rules", "spreads", "load")
    wrote = "".join(f"wrote {name}.schema.json\n" for name in names)
    assert said.out == f"{wrote}\n{CLOSING}\n"
    for name in names:
        schema = json.loads(Path(f"{name}.schema.json").read_text(encoding="utf-8"))
        assert schema["$comment"] == CAUTION
    assert starter.exists()


def test_schema_overwrites_only_by_force(command: Command, starter: Path) -> None:
    Path("catalog.schema.json").write_text("mine", encoding="utf-8")
    said = command("schema", "--out", starter.parent)
    assert said.code == 2
    # None is written if one can't be.
    assert not Path("trip.schema.json").exists()
    assert command("schema", "--out", ".", "--force").code == 0


def test_schema_makes_the_folder_that_is_missing(command: Command, starter: Path) -> None:
    said = command("schema", "--out", starter.with_name("new") / "schemas")
    assert (said.code, said.err) == (0, "")
    assert Path("new/schemas/load.schema.json").exists()


# --- faults of the program ------------------------------------------------------------------------


@pytest.mark.parametrize("fault", [ValueError("x"), RecursionError(), MemoryError(), KeyError("k")])
def test_a_fault_of_the_program_is_one_line(
    command: Command, starter: Path, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def fail(*_: object) -> None:
        raise fault

    monkeypatch.setattr("kitplan.explain.plan_trip", fail)
    said = command("plan", starter)
    assert said.code == 4
    assert said.out == ""
    assert said.err.startswith(
        f"kitplan: error: a fault of the program itself ({type(fault).__name__} at "
    )
    assert said.err.endswith("please report it, with the files it was given (internal-fault)\n")
    assert said.err.count("\n") == 1
