"""Pulling systems: what pulleys make of the pull of hands, and what they ask for.

Owns the systems by the names of the trade, efficiencies, and the tension method; knows no
technique. A strand that has gone round a pulley pulls with a share e of the strand before it, so a
simple system of N strands pulls with 1 + e + ... + e^(N-1) times the hands (the tension method);
a system that pulls on the line of another multiplies the two, and one more change of direction at
the anchor takes its share e once. Advantages are exact fractions, forces whole newtons.
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from math import prod

from kitplan.river.force import MEAN_GRIP_N

# Efficiencies of a change of direction, in per cent.
RESCUE_PULLEY_PERCENT = (75, 90)
"""From and to, published ranges for rescue pulleys (second-hand)."""
SMALL_PULLEY_PERCENT = 83
"""Measured, mean of five pulls, published by a rope-rescue trainer in 2016 (second-hand)."""
CARABINER_PERCENT = 53
"""Measured in the same test (second-hand)."""
CARABINER_MOST_PERCENT = 50
""""At most about 0.50", as published for a carabiner in place of a pulley (second-hand)."""

MOST_PEOPLE_TIMES_ADVANTAGE = 12
"""People times ideal advantage; a folk rule of several teachers (second-hand)."""

_WHOLE_PERCENT = 100


@dataclass(frozen=True, slots=True)
class PullingSystem:
    """A pulling system: its name, the strands of each simple system in it, further redirects.

    The first number of `strands` is the system nearest the load; each further one pulls on the
    hauling end of the one before.
    """

    name: str
    strands: tuple[int, ...]
    redirects: int = 0

    @property
    def ideal(self) -> int:
        """The advantage without friction; also metres of line hauled for a metre of the load.

        Both are the same number because what friction does not take, work keeps: a load that
        pulls N times as hard as the hands moves an N-th as far.
        """
        return prod(self.strands)

    @property
    def pulleys(self) -> int:
        """Changes of direction: one less than the strands in each simple system, and redirects."""
        return sum(number - 1 for number in self.strands) + self.redirects

    @property
    def prusik_loops(self) -> int:
        """Loops: one that hauls for each simple system, and one that holds; no spare counted.

        None for hands alone. Derived from how such systems are built on the load's own line:
        each simple system grips the line it pulls on once, and the anchor grips it between pulls.
        """
        return len(self.strands) + 1 if self.ideal > 1 else 0

    def redirect(self) -> "PullingSystem":
        """Return the system with one more change of direction, at the anchor."""
        return replace(
            self, name=f"{self.name} with one more redirect", redirects=self.redirects + 1
        )


HANDS_ALONE = PullingSystem("hands alone", (1,))
SYSTEMS = (
    PullingSystem("2:1", (2,)),
    PullingSystem("3:1", (3,)),
    PullingSystem("2 on 2 (4:1)", (2, 2)),
    PullingSystem("5:1", (5,)),
    PullingSystem("2 on 3 (6:1)", (3, 2)),
    PullingSystem("3 on 3 (9:1)", (3, 3)),
)
"""By ideal advantage, the least first; names as the trade has them."""


def actual_advantage(system: PullingSystem, efficiency_percent: int) -> Fraction:
    """Return how many times the pull of the hands reaches the load, by the tension method.

    Raise ValueError for an efficiency that is not from 1 to 100 per cent.
    """
    if not 1 <= efficiency_percent <= _WHOLE_PERCENT:
        raise ValueError(f"an efficiency is 1 to 100 per cent, not {efficiency_percent}")
    kept = Fraction(efficiency_percent, _WHOLE_PERCENT)
    simple = (sum((kept**turn for turn in range(number)), Fraction(0)) for number in system.strands)
    return prod(simple, start=kept**system.redirects)


def pull_n(
    system: PullingSystem, hands: int, efficiency_percent: int, grip_n: int = MEAN_GRIP_N
) -> int:
    """Return the force in newtons with which so many hands pull on the load, rounded down.

    `hands` are people with one grip each. Raise ValueError as `actual_advantage` does.
    """
    return int(hands * grip_n * actual_advantage(system, efficiency_percent))


def least_system(force_n: int, hands: int, efficiency_percent: int) -> PullingSystem | None:
    """Return the system of least ideal advantage whose pull is at least the force.

    Hands alone come before pulleys. None says that no system listed here pulls as hard, not that
    the load can't be moved: it may be shifted sideways, unloaded or let soft. Raise ValueError as
    `actual_advantage` does.
    """
    for system in (HANDS_ALONE, *SYSTEMS):
        if pull_n(system, hands, efficiency_percent) >= force_n:
            return system
    return None


def extra_line_mm(system: PullingSystem, stroke_mm: int) -> int:
    """Return the line that lies in the system beyond the one strand from load to anchor.

    For a stroke of that length between two settings, in millimetres. A simple system of N strands
    lays N over the stroke, and one of them is the load's own; a second system of M on it has to
    haul N metres a metre, and lays (M - 1) N more; both together come to N M - 1 times the
    stroke, the ideal advantage less one (derived here).
    """
    return (system.ideal - 1) * stroke_mm


def list_haul_cautions(people: int, system: PullingSystem) -> tuple[str, ...]:
    """Return the folk limit that this haul passes, in words; empty if it does not."""
    product = people * system.ideal
    if product <= MOST_PEOPLE_TIMES_ADVANTAGE:
        return ()
    sentence = (
        f"{people} people, {system.name}: {people} x {system.ideal} = {product}, above "
        f"{MOST_PEOPLE_TIMES_ADVANTAGE}, the most by a folk rule of several teachers"
    )
    return (sentence,)
