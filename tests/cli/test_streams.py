"""Where output can't go: a full disk, no standard output at all, a folder that is gone."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.said import Said

ROOT = Path(__file__).parents[2]
FULL = Path("/dev/full")
SAID = (
    "kitplan: error: standard output can't be written (output-not-writable)\n"
    "  try: look for room on the disk; files named by --out are written all the same\n"
)
WORDS = [["check", "starter.toml"], ["needs", "starter.toml"], ["new", "other"], ["--help"]]


def run_in_shell(folder: Path, words: list[str], tail: str) -> Said:
    """Run `kitplan` in a folder with something done to its standard output by a shell."""
    command = [sys.executable, "-c", "from kitplan.cli import main; main()", *words]
    done = subprocess.run(
        ["/bin/sh", "-c", f'"$@" {tail}', "sh", *command],
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
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
