"""Where output can't go: a full disk, no standard output at all, a folder that is gone."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from kitplan.planfile import write_plan
from tests.cli.conftest import Command
from tests.cli.said import CLOSING, Made, Said

ROOT = Path(__file__).parents[2]
FULL = Path("/dev/full")
SAID = (
    "kitplan: error: standard output can't be written (output-not-writable)\n"
    "  try: look for room on the disk; files named by --out are written all the same\n"
)
WORDS = [["check", "starter.toml"], ["needs", "starter.toml"], ["new", "other"], ["--help"]]


def run_in_shell(folder: Path, words: list[str], tail: str, **more: str) -> Said:
    """Run `kitplan` in a folder with something done to its standard output by a shell."""
    command = [sys.executable, "-c", "from kitplan.cli import main; main()", *words]
    done = subprocess.run(
        ["/bin/sh", "-c", f'"$@" {tail}', "sh", *command],
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **more},
        capture_output=True,
        timeout=60,
    )
    return Said(done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.mark.skipif(not FULL.exists(), reason="only where there is a device that is always full")
@pytest.mark.parametrize("words", WORDS, ids=lambda words: words[0])
def test_a_full_disk_is_no_fault_of_the_program(starter: Path, words: list[str]) -> None:
    said = run_in_shell(starter.absolute().parent, words, "> /dev/full")
    assert (said.code, said.err) == (2, SAID)


@pytest.mark.parametrize("words", WORDS[:3], ids=lambda words: words[0])
def test_no_standard_output_at_all(starter: Path, words: list[str]) -> None:
    said = run_in_shell(starter.absolute().parent, words, ">&-")
    assert (said.code, said.err) == (2, SAID)


def test_a_file_is_written_all_the_same(starter: Path) -> None:
    folder = starter.absolute().parent
    run_in_shell(folder, ["needs", "starter.toml", "--out", "needs.md"], ">&-")
    assert (folder / "needs.md").read_text(encoding="utf-8").startswith("# starter")


@pytest.mark.parametrize(
    ("words", "code"), [(["check"], 0), (["check", "gone.toml"], 1)], ids=["absolute", "relative"]
)
def test_a_working_folder_that_is_gone(starter: Path, words: list[str], code: int) -> None:
    trip = starter.absolute()
    gone = trip.parent / "gone"
    gone.mkdir()
    names = [*words, str(trip)][:2]
    quoted = " ".join(f"'{name}'" for name in names)
    program = f"{sys.executable} -c 'from kitplan.cli import main; main()' {quoted}"
    done = subprocess.run(
        ["/bin/sh", "-c", f"cd '{gone}' && rmdir '{gone}' && {program}"],
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
    )
    assert (done.returncode == 1) == (code == 1), done.stderr
    assert b"fault of the program" not in done.stderr


@pytest.mark.parametrize(
    ("words", "code"), [(["check", "gone.toml"], 1), (["--version"], 0), (["check"], 2)]
)
def test_bytes_do_not_hang_on_the_environment(starter: Path, words: list[str], code: int) -> None:
    folder = starter.absolute().parent
    usual = run_in_shell(folder, words, "2>&1")
    other = run_in_shell(folder, words, "2>&1", PYTHONIOENCODING="utf-16")
    assert (usual.code, other.code, other.out) == (code, code, usual.out)


READ = "this file is read by the command, and is left as it is"
STEERS = "a\x1b[31m\nb"
USAGE = "Usage: kitplan check [OPTIONS] TRIP\nTry 'kitplan check --help' for help.\n\nError: "


def test_a_name_that_steers_a_terminal(command: Command, starter: Path) -> None:
    """No sign of a file's name reaches the terminal but those that can be printed."""
    said = command("check", STEERS)
    lines = [
        "a?[31m?b:1:1: error: there is no such file (file-missing)",
        "  try: look at its name and folder",
    ]
    assert (said.code, said.out, said.err.splitlines()) == (1, "", lines)
    said = command("verify", STEERS)
    assert said.out == f"a?[31m?b: can't be read\n\n{CLOSING}\n"
    assert "\x1b" not in said.err
    said = command("check", starter, STEERS)
    assert said == Said(2, "", f"{USAGE}Got unexpected extra argument (a?[31m?b)\n")


@pytest.mark.parametrize(
    ("out", "lines"),
    [
        (
            "x.json/",
            ["x.json/: error: this names a folder (output-not-writable)", "name a file in it"],
        ),
        ("d", ["d: error: this is a folder (output-not-writable)", "another name or folder"]),
        (
            "/dev/null",
            [
                "/dev/null: error: this is not an ordinary file (output-not-writable)",
                "another name or folder",
            ],
        ),
        (
            "starter.toml",
            [
                f"starter.toml: error: {READ} (output-exists)",
                "another name",
            ],
        ),
    ],
)
def test_says_why_this_is_no_output(
    command: Command, starter: Path, out: str, lines: list[str]
) -> None:
    starter.with_name("d").mkdir()
    said = command("check", starter, "--out", out)
    assert said == Said(2, "", f"{lines[0]}\n  try: {lines[1]}\n")


def test_an_ending_without_a_name_says_the_format(command: Command, starter: Path) -> None:
    said = command("needs", starter, "--out", ".json")
    assert said == Said(0, f"wrote .json\n\n{CLOSING}\n", "")
    assert starter.with_name(".json").read_text(encoding="utf-8").startswith("{\n")


def test_an_ending_that_says_no_format(command: Command, starter: Path) -> None:
    said = command("check", starter, "--out", "list")
    why = "list: the ending says no format; end it with .txt, .md, .json, or --format"
    assert said == Said(2, "", f"{USAGE}{why}\n")


@pytest.mark.parametrize("name", [".", "..", "a/"])
def test_no_starter_without_a_name(command: Command, starter: Path, name: str) -> None:
    said = command("new", name)
    assert said.code == 2
    assert said.err.endswith(
        "Error: Invalid value: a name of 1 to 80 printable letters and signs\n"
    )
    assert [path.name for path in starter.absolute().parent.iterdir()] == [starter.name]


def test_a_name_that_looks_like_an_option(command: Command, starter: Path) -> None:
    said = command("new", "--", "-x")
    assert said == Said(0, f"wrote -x.toml\nnext: kitplan check ./-x.toml\n\n{CLOSING}\n", "")
    assert starter.with_name("-x.toml").exists()


@pytest.mark.parametrize(
    ("option", "value", "why"),
    [
        ("--workers", "abc", "a whole number from 1 to 64, not 'abc'"),
        ("--workers", "0", "a whole number from 1 to 64, not '0'"),
        ("--workers", "1.5", "a whole number from 1 to 64, not '1.5'"),
        ("--time-limit", "abc", "seconds from 1 to 604800, not 'abc'"),
        ("--time-limit", "\uff15", "seconds from 1 to 604800, not '\uff15'"),
        ("--time-limit", "inf", "seconds from 1 to 604800, not 'inf'"),
    ],
)
def test_numbers_of_options(
    command: Command, starter: Path, option: str, value: str, why: str
) -> None:
    said = command("plan", starter, option, value)
    usage = USAGE.replace("check", "plan")
    assert said == Said(2, "", f"{usage}Invalid value for '{option}': {why}\n")


@pytest.mark.parametrize("typed", ["w/../starter.toml", "absolute"])
def test_bytes_do_not_hang_on_how_the_trip_is_named(
    command: Command, starter: Path, typed: str
) -> None:
    (starter.absolute().parent / "w").mkdir()
    other = str(starter.absolute()) if typed == "absolute" else typed
    first = command("needs", starter, "--format", "json")
    assert first.code == 0
    assert '"digest"' in first.out
    assert command("needs", other, "--format", "json") == first


def test_a_name_that_is_empty(command: Command) -> None:
    said = command("check", "")
    assert said == Said(2, "", f"{USAGE}Invalid value for 'TRIP': the name is empty\n")


def test_verify_of_a_trip_says_what_it_is(command: Command, starter: Path) -> None:
    said = command("verify", starter)
    assert said.code == 1
    assert said.err == (
        "starter.toml:1:1: error: this is another sort of file, perhaps the trip, and no plan file "
        "(broken-plan)\n  try: the file that `kitplan plan TRIP --out plan.json` wrote\n"
    )


def test_schemas_go_into_no_file(command: Command, starter: Path) -> None:
    said = command("schema", "--out", starter)
    assert said == Said(
        2,
        "",
        "starter.toml: error: this folder can't be made (output-not-writable)\n"
        "  try: another name or folder\n",
    )


def test_a_trip_beside_its_plan_is_compared(command: Command, starter: Path, made: Made) -> None:
    """A plan keeps the bare name of its trip, which is looked for beside the plan first."""
    folder = starter.absolute().parent / "w"
    folder.mkdir()
    (folder / "plan.json").write_text(write_plan(*made), encoding="utf-8")
    changed = starter.read_text(encoding="utf-8") + "# more\n"
    (folder / starter.name).write_text(changed, encoding="utf-8")
    said = command("verify", "w/plan.json")
    assert said.code == 0
    assert said.err == (
        "w/starter.toml: warning: this file has changed since the plan was made (stale-input)\n"
        "  try: make the plan anew with `kitplan plan`\n"
    )
