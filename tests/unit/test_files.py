"""Output files are written whole or not at all."""

import os
from pathlib import Path

import pytest

from kitplan.errors import mask
from kitplan.files import find_shipped_catalogs, write_whole


def test_writes_a_new_file_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    assert write_whole(target, b"{}\n", force=False) is None
    assert target.read_bytes() == b"{}\n"
    assert list(tmp_path.iterdir()) == [target]


def test_a_new_file_gets_the_rights_any_new_file_gets(tmp_path: Path) -> None:
    write_whole(tmp_path / "ours", b"", force=False)
    (tmp_path / "plain").write_bytes(b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_does_not_overwrite(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    target.write_bytes(b"old")
    finding = write_whole(target, b"new", force=False)
    assert finding is not None
    assert finding.text() == (
        f"{target}: error: this file exists and is left as it is (output-exists)\n"
        "  try: another name, or --force to replace it"
    )
    assert target.read_bytes() == b"old"


def test_overwrites_when_forced_and_keeps_the_rights(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    target.write_bytes(b"old")
    target.chmod(0o640)
    assert write_whole(target, b"new", force=True) is None
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640


def test_follows_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "plan.json", tmp_path / "link.json"
    target.write_bytes(b"old")
    link.symlink_to(target)
    assert write_whole(link, b"new", force=True) is None
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("", "this is a folder"),
        ("missing/plan.json", "the folder it would lie in does not exist"),
        ("pipe", "this is not an ordinary file"),
        ("x" * 300, "this file can't be written"),
        ("a\0b", "this file can't be written"),
    ],
)
def test_says_why_it_can_not_write(tmp_path: Path, name: str, message: str) -> None:
    os.mkfifo(tmp_path / "pipe")
    finding = write_whole(tmp_path / name, b"new", force=True)
    assert finding is not None
    where = mask(str(tmp_path / name))
    hint = "make that folder first" if "folder it" in message else "another name or folder"
    assert finding.text() == f"{where}: error: {message} (output-not-writable)\n  try: {hint}"
    assert [path.name for path in tmp_path.iterdir()] == ["pipe"]


def _refuse(*_: object) -> None:
    raise PermissionError


def _break(*_: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize(
    ("fault", "message"),
    [(_refuse, "you are not allowed to write here"), (_break, "this file can't be written")],
)
def test_nothing_half_written_stays_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: object, message: str
) -> None:
    target = tmp_path / "plan.json"
    target.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", fault)
    finding = write_whole(target, b"new", force=True)
    assert finding is not None
    assert finding.message == message
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_the_shipped_catalogues_are_found() -> None:
    assert (find_shipped_catalogs() / "techniques.toml").is_file()
