"""Writes output files whole or not at all, and knows where the shipped catalogues lie."""

import os
import secrets
from pathlib import Path

from kitplan.errors import Finding, Place


def find_shipped_catalogs() -> Path:
    """Return the folder of the catalogues that come with the program.

    In an installed package it lies beside the modules, in a checkout beside the package.
    """
    package = Path(__file__).parent
    installed = package / "catalogs"
    return installed if installed.is_dir() else package.parent / "catalogs"


def settle(path: Path) -> Path:
    """Return the path without links and dots, or as it is where it leads nowhere."""
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        return path


def check_output(path: Path, *, force: bool) -> Finding | None:
    """Return why a file could not be written, as far as that is known before the work is done."""
    try:
        target = path.resolve()
        complaint = _check_target(target, path, force=force)
        if complaint is None and not os.access(target.parent, os.W_OK):
            return _refuse(path, "you are not allowed to write here")
    except (OSError, ValueError, RuntimeError):
        return _refuse(path, "this file can't be written")
    return complaint


def make_folder(path: Path) -> Finding | None:
    """Make a folder, and those it would lie in, unless it is there; return why that can't be."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError, RuntimeError):
        return _refuse(path, "this folder can't be made")
    return None


def write_whole(path: Path, data: bytes, *, force: bool) -> Finding | None:
    """Write a file whole or not at all; return a finding if it was not written.

    What is there is replaced only by `force`. Links are followed.
    """
    try:
        target = path.resolve()
        if complaint := _check_target(target, path, force=force):
            return complaint
        _write_beside_and_rename(target, data)
    except PermissionError:
        return _refuse(path, "you are not allowed to write here")
    except (OSError, ValueError, RuntimeError):
        return _refuse(path, "this file can't be written")
    return None


def _check_target(target: Path, path: Path, *, force: bool) -> Finding | None:
    if target.is_dir():
        return _refuse(path, "this is a folder")
    if not target.parent.is_dir():
        return _refuse(path, "the folder it would lie in does not exist", "make that folder first")
    if not target.exists():
        return None
    if not target.is_file():
        # Renaming onto a device would replace the device.
        return _refuse(path, "this is not an ordinary file")
    if not force:
        message = "this file exists and is left as it is"
        hint = "another name, or --force to replace it"
        return Finding(_place(path), "error", "output-exists", message, hint)
    return None


def _refuse(path: Path, message: str, hint: str = "another name or folder") -> Finding:
    return Finding(_place(path), "error", "output-not-writable", message, hint)


def _place(path: Path) -> Place:
    return Place(str(path), 0, 0)


def _write_beside_and_rename(target: Path, data: bytes) -> None:
    """Write to a file of its own in the same folder, then give it the name in one step."""
    part = target.parent / f".kitplan-{secrets.token_hex(8)}.part"
    try:
        # Exclusive: never through something another program put there.
        with part.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            part.chmod(target.stat().st_mode & 0o777)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a loss of power, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
