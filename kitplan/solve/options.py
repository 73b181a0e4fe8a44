"""How to solve, how long each step may take, and what solving came to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.solve.floors import COVER_AIMS, Floors
from kitplan.solve.run import Clock, Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.errors import Finding
    from kitplan.plan import Arrangement, Before

    Watch = Callable[[str], None]

# Share of the time limit that may be spent when an aim is done; the rest is for what follows.
SOON = 400  # demands; of fewer the aims are settled in seconds
SHARES = {
    "start": 1.0,
    "short": 0.2,
    "soon": 0.5,
    "floors": 0.25,
    "cover": 0.65,
    "moves": 0.7,
    "backed": 0.75,
    "completed": 0.95,
    "legs": 0.95,
    "mass": 0.85,
    "balance": 0.88,
    "next level": 0.88,
    "changes": 0.92,
    "level": 0.95,
}
# The solver's deterministic time for one run; a unit was about 2.5 s on the machine it was set on.
DETERMINISTIC = {
    "start": 20.0,
    "short": 4.0,
    "cover": 30.0,
    "moves": 6.0,
    "backed": 9.0,
    "completed": 2.0,
    "legs": 20.0,
    "mass": 3.0,
    "balance": 1.0,
    "next level": 1.0,
    "changes": 3.0,
    "level": 1.0,
}
# What is held, by kinds of decisions, where an aim is first looked for near the plan so far: one
# kind after the other, each for so long.
NEAR_UNITS = {"mass": 1.5, "balance": 1.5, "next level": 0.4, "changes": 1.5}
PEOPLE = ("seat", "steer")
ORDER = ("place", "ahead", "rank", "rows")
WAITS = ("station", "wait")
KIT = ("pack", "taken")
EVENLY = ((*PEOPLE, *KIT, *ORDER, *WAITS), (*ORDER, *WAITS))  # stores alone, then all that is heavy
NEAR: dict[str, tuple[tuple[str, ...], ...]] = {
    "mass": ((*PEOPLE, *ORDER, *WAITS),),
    "balance": EVENLY,
    "next level": EVENLY,
    "changes": ((*PEOPLE, *ORDER, *WAITS), (*ORDER, *WAITS)),
}
AT_ONCE = COVER_AIMS[:2]
SHORT_AIMS = ("short_of_law", "short_of_house", "short_of_spread")
ALL_AIMS = (*SHORT_AIMS, *COVER_AIMS, "moves", "backed", "mass", "balance", "changes")


def keep_quiet(_said: str) -> None:
    """Say nothing."""


@dataclass(frozen=True, slots=True)
class SolveOptions:
    """How to solve: seconds in all, processes, whether bytes may differ, which aims.

    `before`: what there is already; then moves from it come after aim 4, as few as can be.
    With `soon` a plan to fall back on is made first, where the trip asks for much.
    `watch` is told at the start of each step what it is.
    """

    time_limit_s: float = 240.0
    workers: int = 2
    fast: bool = False
    aims: tuple[str, ...] = ALL_AIMS
    before: Before | None = None
    watch: Watch = keep_quiet
    soon: bool = True


@dataclass(slots=True)
class Solution:
    """What solving came to. `arrangement` is None for infeasible and unknown.

    `bounds`: for each aim that was asked for, a value that no plan can beat while the earlier aims
    stay as they are. That of "backed" counts uncovered cases too.
    """

    status: Status
    arrangement: Arrangement | None = None
    bounds: dict[str, int] = field(default_factory=dict)
    floors: Floors = field(default_factory=Floors)
    canonical: bool = True
    clock: Clock = field(default_factory=lambda: Clock(0.0))
    findings: list[Finding] = field(default_factory=list)
    values: dict[str, int] = field(default_factory=dict)  # as found last, aims 2 to 5
    decided: dict[str, int] = field(default_factory=dict)  # decisions found last, by their names
    short: dict[str, int] = field(default_factory=dict)  # of rules and spreads, by tier, as held
    rowing: int | None = None  # most minutes of walking back up to row twice; None: nobody does
