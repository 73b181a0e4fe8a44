"""What each line of the lists is needed for: which trip suffers where without one copy of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.fleet.checks import BRIEF, Asked
from kitplan.fleet.nouns import Needed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.fleet.nouns import Line, Standard, Suffers
    from kitplan.fleet.pool import Trialling
    from kitplan.solve.run import Clock


def find_needed(standard: Standard, trialling: Trialling, clock: Clock) -> tuple[Needed, ...]:
    """Return for each line which trips suffer without one copy of it, solved anew.

    With seats, stations and order free, and no further extras. Lines for which there was no time
    are not proven.
    """
    return tuple(
        _find_needed(standard, line, trialling)
        if clock.left_s()
        else Needed(line, (), proven=False)
        for line in standard.lists.list_lines()
    )


def _find_needed(standard: Standard, line: Line, trialling: Trialling) -> Needed:
    less = standard.lists.less_one(line)
    goals = {name: one.goal for name, one in standard.outcomes.items()}
    asked = [Asked(name, less.of_trip(name)) for name in _list_touched(standard, line)]
    checks = trialling.check(asked, goals, BRIEF)
    failing = [one for one, check in zip(asked, checks, strict=True) if check.reached is False]
    proven = all(check.reached is not None for check in checks)
    suffers: list[Suffers] = []
    gaps = {name: one.gaps for name, one in standard.outcomes.items()}
    for rows in trialling.find_suffering(failing, gaps):
        suffers += rows or ()
        proven &= rows is not None
    return Needed(line, tuple(suffers), proven)


def _list_touched(standard: Standard, line: Line) -> Iterable[str]:
    """Return the trips that have what a line is for, and reach their goals with it."""
    outings = standard.fleet.outings.values()
    for one in outings:
        if standard.outcomes[one.name].misses or standard.outcomes[one.name].plan is None:
            continue
        kinds = {boat.type.name for boat in one.trip.boats.values()}
        levels = {p.level("leading") for p in one.trip.paddlers.values() if not p.minded}
        if (
            (line.what == "boat" and line.key[0] in kinds)
            or (line.what == "guide" and line.key[0] in levels)
            or (line.what == "extra" and line.key[0] == one.name)
        ):
            yield one.name
