"""Where no Chromium is found tests are skipped with a word; where it must be it is installed."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from tests.__main__ import list_steps
from tests.browser import chromium

if TYPE_CHECKING:
    from pathlib import Path

    from tests.browser.opened import Opener

LOGS = 'echo "$*" >> "{folder}/log"\n'
GIVES = (
    'case "$*" in *install*) printf "#!/bin/sh\\n" > "{folder}/chromium"; '
    '/bin/chmod +x "{folder}/chromium";; esac\n'
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the only folder in which programs are found, with nothing in it; nothing is asked."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    for name in ("CI", "KITPLAN_REQUIRE_BROWSER"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


def write_program(folder: Path, name: str, *lines: str) -> None:
    path = folder / name
    path.write_text("#!/bin/sh\n" + "".join(lines).replace("{folder}", str(folder)))
    path.chmod(0o755)


def read_log(folder: Path) -> list[str]:
    return (folder / "log").read_text().splitlines()


def test_a_chromium_that_is_there_is_used(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CI", "true")
    write_program(folder, "chromium")
    assert chromium.main() == 0
    assert capsys.readouterr().out == f"Chromium: {folder / 'chromium'}\n"


def test_without_one_it_is_said_that_tests_are_skipped(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_program(folder, "apt-get", LOGS)
    assert chromium.main() == 0
    assert capsys.readouterr().out == f"{chromium.MISSING}\n"
    assert not (folder / "log").exists()


@pytest.mark.parametrize(("name", "value"), [("CI", "true"), ("KITPLAN_REQUIRE_BROWSER", "1")])
def test_one_that_must_be_is_installed(
    name: str, value: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(name, value)
    write_program(folder, "apt-get", LOGS, GIVES)
    assert chromium.main() == 0
    assert read_log(folder) == [
        "-q update",
        "-q install -y --no-install-recommends chromium fonts-dejavu-core",
    ]
    assert chromium.find_chromium() == str(folder / "chromium")


def test_who_is_not_root_asks_to_be(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    write_program(folder, "sudo", LOGS, GIVES)
    assert chromium.main() == 0
    assert read_log(folder)[0] == "-n apt-get -q update"


@pytest.mark.parametrize(
    ("lines", "complaint"),
    [
        (("exit 100\n",), "apt-get -q update: exit code 100"),
        ((LOGS,), "Chromium could not be installed"),
        (None, "apt-get is not there"),
    ],
)
def test_what_can_not_be_installed_fails(
    lines: tuple[str, ...] | None,
    complaint: str,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("KITPLAN_REQUIRE_BROWSER", "1")
    if lines is not None:
        write_program(folder, "apt-get", *lines)
    assert chromium.main() == 1
    assert complaint in capsys.readouterr().out


def test_the_test_command_looks_for_it_before_tests() -> None:
    names = [name for name, _ in list_steps([])]
    assert names[-2:] == ["browser", "tests"]


def test_it_is_started_so_that_it_asks_nobody(open_page: Opener) -> None:
    page = open_page("<!DOCTYPE html><title>quiet</title>")
    page.goto("chrome://version")
    line = page.locator("#command_line").inner_text()
    assert all(word in line for word in chromium.QUIET)
