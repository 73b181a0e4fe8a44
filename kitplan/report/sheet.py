"""A sheet of text in one of two styles: plain for a terminal, or Markdown. Knows no rivers."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from tabulate import tabulate

from kitplan.errors import CAUTION

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

COLUMNS = 100
MARKDOWN = "markdown"


class Sheet:
    """Lines gathered in order; every kind of line knows how it looks in the sheet's style."""

    def __init__(
        self,
        style: str,
        shorter: Mapping[str, str] | None = None,
        restate: Callable[[str], str] = str,
    ) -> None:
        """Start empty; `style` is "text" or "markdown", `shorter` says what to write for what.

        `restate` turns each text before it is written, so that quantities are in people's units.
        """
        self._marks = style == MARKDOWN
        self._restate = restate
        self._shorter = dict(shorter or {})
        self._lines: list[str] = []

    def title(self, text: str) -> None:
        """Add the heading of the whole sheet."""
        text = self._shorten(text)
        self._lines += [f"# {_escape(text)}"] if self._marks else _wrap(text, "")
        self.gap()

    def heading(self, text: str, detail: str = "") -> None:
        """Add a heading; `detail` stays in small letters, as units must."""
        self.gap()
        text, detail = self._shorten(text), self._shorten(detail)
        if self._marks:
            self._lines += [f"## {_escape(text + detail)}", ""]
        else:
            self._lines += [*_wrap(text.upper() + detail, ""), ""]

    def minor(self, text: str) -> None:
        """Add a smaller heading."""
        self.gap()
        text = self._shorten(text)
        self._lines += [f"### {_escape(text)}", ""] if self._marks else _wrap(text, "")

    def say(self, text: str) -> None:
        """Add a paragraph."""
        text = self._shorten(text)
        self._lines += [_escape(text), ""] if self._marks else _wrap(text, "")

    def point(self, text: str, depth: int = 0) -> None:
        """Add an entry of a list, set in by `depth`."""
        text = self._shorten(text)
        if self._marks:
            self._lines.append(f"{'  ' * depth}- {_escape(text)}")
            return
        inset = "  " * (depth + 1)
        self._lines += _wrap(text, inset, inset + "  ")

    def table(
        self,
        rows: Sequence[Sequence[str]],
        heads: Sequence[str],
        widths: Sequence[int | None] | None = None,
    ) -> None:
        """Add a table; in plain text cells are wrapped to `widths`, or else kept whole."""
        if not rows:
            return
        form = "github" if self._marks else "plain"
        said = [[self._shorten(cell) for cell in row] for row in rows]
        cells = [[_escape(cell) if self._marks else cell for cell in row] for row in said]
        drawn = tabulate(
            cells,
            headers=heads,
            tablefmt=form,
            disable_numparse=True,
            maxcolwidths=None if self._marks else widths,
        )
        inset = "" if self._marks else "  "
        self._lines += [(inset + line).rstrip() for line in drawn.splitlines()]
        self.gap()

    def _shorten(self, text: str) -> str:
        text = self._restate(text)
        for whole, short in self._shorter.items():
            text = text.replace(whole, short)
        return text

    def gap(self) -> None:
        """Add an empty line unless there is one already."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def absorb(self, other: Sheet) -> None:
        """Add what another sheet of the same style holds."""
        self._lines += other._lines

    def text(self) -> str:
        """Return what is on the sheet so far."""
        return "\n".join(self._lines)

    def finish(self) -> str:
        """Return the sheet as text, the caution as its last line."""
        self.gap()
        self.say(CAUTION)
        return "\n".join(self._lines).rstrip() + "\n"


def _wrap(text: str, first: str, later: str | None = None) -> list[str]:
    rest = first if later is None else later
    return textwrap.wrap(
        text,
        COLUMNS,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=True,
        break_on_hyphens=False,
    )


def _escape(text: str) -> str:
    """Return text in which no sign is read as Markdown."""
    text = re.sub(r"[\\`*_<>|#\[\]&~]", r"\\\g<0>", text)
    # At the start these would begin a list, underline a heading or draw a rule.
    text = re.sub(r"^([0-9]+)([.)])(?=\s|$)", r"\1\\\2", text)
    return re.sub(r"^([-+=]+)(?=\s|$)", r"\\\1", text)
