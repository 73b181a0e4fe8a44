"""What a method is: a name, and a function from trip, needs and seconds to an outcome.

A method settles aims 2 to 4 in turn. It says what it found and what it proved; whoever runs it
takes time and memory, and has the plan checked. It must not keep anything between two calls.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.solve import COVER_AIMS

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.demands import Needs
    from kitplan.plan import Arrangement
    from kitplan.trip import Trip

    Values = tuple[int, ...]
    """What a plan comes to in aims 2, 3 and 4."""
    Bounds = tuple[int | None, ...]
    """For each of the aims what no plan can beat while the earlier ones stay; None: not known."""

AIMS = COVER_AIMS
"""The aims that methods settle, in turn: uncovered, one_bank, unmet."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a method came to within its limit.

    `values` is None where no plan was found; a method that stops after an aim gives the aims it has
    (one to three values). `bounds` is as long as AIMS, None where the method has none at all.
    `proven`: all three values are proven best, in turn. `arrangement` is for the verifier; None
    where the method knows values only. `infeasible`: it was proven that no plan keeps the rules.
    """

    values: Values | None = None
    bounds: Bounds | None = None
    proven: bool = False
    arrangement: Arrangement | None = None
    infeasible: bool = False


@dataclass(frozen=True, slots=True)
class Method:
    """A way to solve a trip: `solve(trip, needs, limit_s)`, wall seconds, model building included.

    A method that is not installed raises ImportError when called.
    """

    name: str
    solve: Callable[[Trip, Needs, float], Outcome]
