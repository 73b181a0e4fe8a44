"""Nouns of answers why something is met or not. Knows no solver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.decide.questions import Question
    from kitplan.demands import Needs
    from kitplan.facts import Fact
    from kitplan.plan import DemandResult, Plan, Shift
    from kitplan.solve.reasons import Reasons
    from kitplan.trip import Trip

MET, POSSIBLE, NOT_MET = "met", "possible here", "not met"
AS_PLANNED, TOGETHER = "not met as planned", "not met with the others"
REFUSED, UNKNOWN, UNSEATED = "no technique", "not proven", "no seating"


@dataclass(frozen=True, slots=True)
class Moved:
    """A single move from a plan with which something can be done, and the plan with it.

    `shifts`: who or what moves; `waits`: a boat and what it does then, where stations change.
    `fact`: what was let go. All rules are kept, by the second program's check.
    """

    fact: Fact
    shifts: tuple[Shift, ...]
    waits: str
    plan: Plan


@dataclass(frozen=True, slots=True)
class Told:
    """The answer to one or more questions that differ in the boat in trouble alone.

    `verdict`: one of the words above. `result`: who does it with what, where it can be done;
    `crew`: who sits where then, where no plan says it, and `twice`: who takes which further boat
    down. `reasons`: what makes it so that it can't
    be done. `turns`: single changes that turn it, each solved anew; `tried`: how many were;
    `all_kept`: those shown to leave all that the plan covers and keeps.
    `decided`: for what can be done here, what of the plan is in the way; `moves`: single moves from
    it that turn it. `open_end`: that it goes together with all others is not shown, nor refuted.
    `nothing_else`: besides cover that is kept, no fact of the trip is in the way.
    """

    question: Question
    running: tuple[str, ...]
    verdict: str
    result: DemandResult | None = None
    crew: tuple[tuple[str, tuple[str, ...]], ...] = ()
    twice: tuple[tuple[str, str], ...] = ()
    reasons: Reasons | None = None
    turns: tuple[str, ...] = ()
    tried: int = 0
    all_kept: tuple[str, ...] = ()
    decided: Reasons | None = None
    moves: tuple[Moved, ...] = ()
    open_end: bool = False
    nothing_else: bool = False


@dataclass(frozen=True, slots=True)
class Why:
    """Answers, in the order of the spots; `plan` is None where a trip was asked about.

    `stopped`: the limit cut in.
    """

    trip: Trip
    needs: Needs
    plan: Plan | None
    answers: tuple[Told, ...]
    stopped: bool
