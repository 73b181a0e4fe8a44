"""Strength of lines, cord and what joins them, against the force on them.

Owns the strength left at a knot, that of cord, and the parts of a haul; knows no technique. Forces
are whole newtons; strength is rounded down.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from kitplan.river.pulling import PullingSystem, actual_advantage
from kitplan.units import show_force

Knot = Literal["figure-8", "bowline", "butterfly"]
Verdict = Literal["holds", "depends on the knot", "too weak"]

KNOT_LEFT_PERCENT: Mapping[Knot, int] = MappingProxyType(
    {"figure-8": 80, "bowline": 60, "butterfly": 75}
)
"""Share of a line's strength left at a knot. Source: notes of a club's swiftwater class
(second-hand)."""
KNOT_DOUBT_POINTS = 25
"""Sources differ about these shares by 10 to 25 points; the larger is taken as the doubt."""
CORD_N_PER_MM2 = 200
"""Breaking strength of accessory cord, 0.20 kN/mm2 times the diameter squared. Computed here; it
is exact for the 4 to 8 mm of EN 564 as a cord maker tabulates them (second-hand)."""
LOOP_SLIPS_N = (7_000, 9_500)
"""Where a three-wrap loop of 8 mm on a 12.7 mm line starts to slip. Source: published slip tests
(second-hand)."""
LOOP_OF_LINE_PERCENT = (60, 80)
"""Diameter of a prusik loop as a share of its line's (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HaulForces:
    """The greatest force on each part of a haul, in newtons."""

    line_n: int
    connector_n: int
    loop_n: int
    anchor_n: int


@dataclass(frozen=True, slots=True)
class StrengthCheck:
    """A force against the strength left: newtons, the safety factor asked, and the verdict."""

    force_n: int
    left_n: int
    doubtful_left_n: int
    """What is left if the knot takes as much more as sources differ by; the same without a knot."""
    safety: Fraction

    @property
    def factor(self) -> Fraction | None:
        """How many times the force the strength left is; None without a force."""
        return Fraction(self.left_n, self.force_n) if self.force_n else None

    @property
    def verdict(self) -> Verdict:
        """Whether the factor asked is kept, also by the more cautious sources about the knot."""
        asked = self.force_n * self.safety
        if self.left_n < asked:
            return "too weak"
        return "holds" if self.doubtful_left_n >= asked else "depends on the knot"


def haul_forces(load_n: int, system: PullingSystem, efficiency_percent: int) -> HaulForces:
    """Return the greatest force on each part of a haul that holds or moves a load.

    Line, connector at the load and each loop may carry all of the load: the holding loop does so
    whenever the hands let go, and then the anchor does, too. While hands pull away from the load
    they take their share off the anchor; with one more change of direction they pull towards it,
    and the anchor carries their pull on top (equilibrium of the whole). Raise ValueError for an
    efficiency that is not from 1 to 100 per cent.
    """
    hands_n = load_n / actual_advantage(system, efficiency_percent) if system.redirects else 0
    return HaulForces(load_n, load_n, load_n, load_n + int(-(-hands_n // 1)))


def check_strength(
    force_n: int, breaking_n: int, safety: Fraction | int, knot: Knot | None = None
) -> StrengthCheck:
    """Return how the breaking strength, less what a knot takes, stands to the force on it.

    `safety` is the factor asked: strength left over force. No knot for what is sewn or forged.
    """
    percent = KNOT_LEFT_PERCENT[knot] if knot else 100
    doubtful = percent - KNOT_DOUBT_POINTS if knot else 100
    return StrengthCheck(
        force_n, breaking_n * percent // 100, breaking_n * doubtful // 100, Fraction(safety)
    )


def list_strength_cautions(checks: Mapping[str, StrengthCheck]) -> tuple[str, ...]:
    """Return a sentence for each part that does not surely keep its factor, in the order given.

    The keys are what the parts are called in the sentences; empty if all hold.
    """
    return tuple(
        f"{part}: {_compare(check)}" for part, check in checks.items() if check.verdict != "holds"
    )


def _compare(check: StrengthCheck) -> str:
    # Cut, not rounded: a factor that is just missed must not read as if it were kept.
    factor = int((check.factor or 0) * 100) / 100
    return (
        f"{show_force(check.left_n)} of strength against {show_force(check.force_n)} is "
        f"{factor:.2f} times, where {float(check.safety):g} times is asked"
        + (": below" if check.verdict == "too weak" else "; sources differ about its knot")
    )


def list_loop_cautions(force_n: int) -> tuple[str, ...]:
    """Return the published slip of a prusik loop that this force reaches, in words; or nothing."""
    least, most = LOOP_SLIPS_N
    if force_n < least:
        return ()
    sentence = (
        f"{show_force(force_n)} on a prusik loop: loops of 8 mm with three wraps are published to "
        f"start slipping at {show_force(least)} to {show_force(most)}"
    )
    return (sentence,)


def cord_strength_n(diameter_mm: int) -> int:
    """Return the breaking strength of a single strand of accessory cord, in newtons."""
    return CORD_N_PER_MM2 * diameter_mm**2


def loop_strength_n(cord_n: int, left_percent: int) -> int:
    """Return the breaking strength of a tied loop: two strands of its cord, less the knot.

    `left_percent` is what the knot leaves.
    """
    return 2 * cord_n * left_percent // 100


def loop_fits_line(loop_um: int, line_um: int) -> bool:
    """Say whether a prusik loop grips a line: 60 to 80 % of its diameter, both ends in it.

    Diameters in thousandths of a millimetre, since lines of 6.4 or 9.5 mm are usual.
    """
    least, most = LOOP_OF_LINE_PERCENT
    return least * line_um <= 100 * loop_um <= most * line_um


def joined_length_mm(first_mm: int, second_mm: int, joint_mm: int) -> int:
    """Return the length of two lines tied into one, less what the joint takes; never negative."""
    return max(0, first_mm + second_mm - joint_mm)
