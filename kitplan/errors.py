"""Places in files, findings about them, and the exit codes of the program.

Findings are values: they are gathered and printed together, never raised. This module knows
nothing of rivers, boats or file formats.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import IntEnum
from typing import Literal

CAUTION = (
    "A planning aid only: it does not replace training by qualified instructors, a scout of the "
    "rapid or the leader's judgement; local law and the terms of a permit prevail."
)
"""The line that every output of every command carries."""


class Exit(IntEnum):
    """What a command tells the shell."""

    DONE = 0
    """Done; an aim that is not proven is printed, not an error."""
    INPUT = 1
    """A file that was read has errors."""
    USAGE = 2
    """The command was used wrongly, or an output exists or can't be written."""
    GAPS = 3
    """Done, but something falls short or a case lacks cover."""
    REJECTED = 4
    """The program's own plan did not pass its check: a fault of the program."""
    NO_PLAN = 5
    """No plan was found within the limit."""


MOST_FINDINGS = 200
"""Nobody reads more at a time."""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A line and a column of a file, both counted from 1; the file as the user named it."""

    file: str
    line: int
    column: int

    def text(self) -> str:
        """Return the place as `file:line:column`, or the file alone if there is no line."""
        file = mask(self.file)
        return f"{file}:{self.line}:{self.column}" if self.line else file


NOWHERE = Place("kitplan", 0, 0)
"""The place of what no file holds; a finding there speaks for the program itself."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One complaint about an input or output, in the user's words."""

    where: Place
    severity: Literal["error", "warning"]
    code: str
    message: str
    hint: str = ""

    def text(self) -> str:
        """Return the finding in the GNU form, with what to try below it."""
        line = f"{self.where.text()}: {self.severity}: {mask(self.message)} ({self.code})"
        first, *more = map(mask, self.hint.split("\n"))
        return "\n    ".join([f"{line}\n  try: {first}", *more]) if self.hint else line


def mask(text: str) -> str:
    """Return the text on one line, with "?" for each sign that would steer a terminal or hide.

    What a finding quotes comes from files that anybody may have written.
    """
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def shorten(text: str, most: int) -> str:
    """Return the text, cut to so many signs with dots at its end where it is longer."""
    return text if len(text) <= most else text[: most - 3] + "..."


def sort_findings(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings by file, line and column, each of them once."""
    return sorted(set(findings), key=_order)


def _order(finding: Finding) -> tuple[Place, str, str, str, str]:
    return (finding.where, finding.severity, finding.code, finding.message, finding.hint)


def cap_findings(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings, sorted; of a flood only the first, errors before warnings.

    The last one then says that there are more. Capped findings are capped no further.
    """
    every = sort_findings(findings)
    if len(every) <= MOST_FINDINGS:
        return every
    every.sort(key=lambda finding: finding.severity != "error")
    kept, more = every[: MOST_FINDINGS - 1], every[MOST_FINDINGS - 1]
    message, hint = "from here on there are more findings, not shown", "put the first ones right"
    last = Finding(more.where, more.severity, "too-many-findings", message, hint)
    return sort_findings([*kept, last])


def has_errors(findings: Iterable[Finding]) -> bool:
    """Return whether any finding is more than a warning."""
    return any(finding.severity == "error" for finding in findings)


def offer_words(words: Iterable[str], more: str = "") -> str:
    """Return a hint that is one of these words, as they stand; one a line where commas are in them.

    With `more` that comes last.
    """
    listed = [*words, *([more] if more else [])]
    if any("," in word for word in listed):
        return "\n".join(["one of", *listed])
    return f"one of {', '.join(listed)}"


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that looks most like `word`, or None if none comes near.

    Small and capital letters count as equal. Of words equally near, the choice does not depend
    on the order of `known`.
    """
    by_folded = {name.casefold(): name for name in sorted(known)}
    near = get_close_matches(word.casefold(), by_folded, n=1)
    return by_folded[near[0]] if near else None
