"""All that leaves the program: findings and words on standard error, results, files."""

from __future__ import annotations

import os
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kitplan.errors import CAUTION, NOWHERE, Exit, Finding, Place, cap_findings, mask
from kitplan.files import check_output, settle, write_whole

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    Render = Callable[[str], str]

WIDTH = 100
CLOSING = textwrap.fill(CAUTION, WIDTH)
"""What ends everything that is printed for people."""
ENDINGS = {
    ".txt": "text",
    ".md": "markdown",
    ".json": "json",
    ".csv": "csv",
    ".toml": "toml",
    ".html": "html",
}


class Stop(Exception):  # noqa: N818 - no error: it carries an exit code out of a command
    """Ends a command with an exit code; everything has been said."""

    def __init__(self, code: Exit) -> None:
        super().__init__(code)
        self.code = code


def say(text: str) -> None:
    """Say something on standard error."""
    click.echo(text, err=True)


def report(findings: Iterable[Finding]) -> None:
    """Say findings, each once, by file and line."""
    for finding in cap_findings(findings):
        say(finding.text())


def refuse(code: Exit, finding: Finding) -> Stop:
    """Return what ends the command with this finding."""
    report([finding])
    return Stop(code)


def print_text(text: str) -> None:
    """Print a result as UTF-8, whatever the terminal is set to; a reader who left is no fault."""
    try:
        sys.stdout.buffer.write(text.encode("utf-8", "backslashreplace"))
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_stdout()
    except (OSError, AttributeError):
        # There is none, or nothing can be written to it.
        _drop_stdout()
        raise refuse_stdout() from None


def _drop_stdout() -> None:
    """Let standard output go: Python flushes it once more when it ends, and would complain."""
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123


def refuse_stdout() -> Stop:
    """Return what ends a command whose words nobody can be told; standard error still can."""
    message = "standard output can't be written"
    hint = "look for room on the disk; files named by --out are written all the same"
    return refuse(Exit.USAGE, Finding(NOWHERE, "error", "output-not-writable", message, hint))


class Outputs:
    """Where a result goes and in which formats; settled before any work is done."""

    def __init__(self, style: str | None, outs: Sequence[str], formats: Sequence[str]) -> None:
        self.style = style
        self.formats = formats
        self.outs = outs
        if len({settle(Path(out)) for out in outs}) < len(outs):
            raise click.UsageError("the same file is given to --out twice")

    def check(self, inputs: Iterable[str], *, force: bool) -> None:
        """Stop where a file can't be written, is one of the inputs or says no format."""
        read = {settle(Path(name)) for name in inputs}
        for out in self.outs:
            complaint = _check_target(out, read)
            if complaint is None:
                _ = self.style or _read_ending(out, self.formats)
                complaint = check_output(Path(out), force=force)
            if complaint:
                raise refuse(Exit.USAGE, complaint)

    def for_people(self) -> bool:
        """Say whether the result is wanted as text or Markdown."""
        styles = {self.style or _read_ending(out, self.formats) for out in self.outs}
        return bool((styles or {self.style or "text"}) & {"text", "markdown"})

    def send(self, render: Render, *, force: bool) -> None:
        """Write the files if any are asked for, or else print the result."""
        if not self.outs:
            print_text(render(self.style or "text"))
            return
        texts = {
            Path(out): render(self.style or _read_ending(out, self.formats)) for out in self.outs
        }
        print_text(write_files(texts, force=force))


def write_files(texts: dict[Path, str], *, force: bool) -> str:
    """Write the files, each whole or not at all; return what to say of it."""
    for path, text in texts.items():
        complaint = write_whole(path, text.encode(), force=force)
        if complaint:
            raise refuse(Exit.USAGE, complaint)
    return "".join(f"wrote {mask(str(path))}\n" for path in texts) + f"\n{CLOSING}\n"


def _check_target(out: str, read: set[Path]) -> Finding | None:
    """Return why this can be no output of the command, whatever its ending and `--force`."""
    place = Place(out, 0, 0)
    if out.endswith(("/", os.sep)):
        message, hint = "this names a folder", "name a file in it"
        return Finding(place, "error", "output-not-writable", message, hint)
    if settle(Path(out)) in read:
        message = "this file is read by the command, and is left as it is"
        return Finding(place, "error", "output-exists", message, "another name")
    return check_output(Path(out), force=True)


def _read_ending(out: str, formats: Sequence[str]) -> str:
    known = {ending: name for ending, name in ENDINGS.items() if name in formats}
    for ending, style in known.items():
        if out.lower().endswith(ending):
            return style
    other = ", or --format" if len(known) > 1 else ""
    said = f"the ending says no format; end it with {', '.join(known)}{other}"
    raise click.UsageError(f"{out}: {said}")
