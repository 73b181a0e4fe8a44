"""The force of moving water on what it holds, and what hands on a line hold against it.

Owns drag, grip, and the tension of a line held at two ends; knows no technique. Forces are whole
newtons. What has to be held is rounded up and what is able to hold is rounded down, so that no
rounding makes a team look stronger than it is; each step is off by less than 1 N.
"""

from math import cos, isqrt, radians

# Drag as newtons x 1000 at a current of 1 m/s; it grows with the square of the current, F = k v^2,
# so these are k in mN per (m/s)^2. Computed here from the table of Bechdel & Ray, "River Rescue",
# 4th edition, read second-hand (its copies print pounds-force at 3, 6, 9 and 12 mph). The table is
# rounded: k reproduces it to 0.5 %.
LEGS_DRAG_MN = 41_550
"""On the legs of somebody who wades: 41.55 N at 1 m/s."""
BODY_DRAG_MN = 83_100
"""On the whole body of somebody held in the current: 83.1 N at 1 m/s."""
SWAMPED_BOAT_DRAG_MN = 415_500
"""On a swamped boat, an open canoe: 415.5 N at 1 m/s. A wrapped raft takes far more."""

# Grip of one hand on a moving rope, in newtons. Source: tests by Mauthner, cited by Moyer,
# International Technical Rescue Symposium 2006 (second-hand).
LEAST_GRIP_N = 46
MEAN_GRIP_N = 209
MOST_GRIP_N = 425

_STRAIGHT_DEG = 180
_SQUARED_SUMS = {0: 4, 60: 3, 90: 2, 120: 1}
"""By angle in degrees: (2 cos(angle/2))^2 = 2 + 2 cos(angle), where that is a whole number. There
the tension needs no cosine, and comes out exact."""
_MN_MM2_S2_PER_N = 10**9
"""mN at 1 m/s times (mm/s)^2 to newtons: 1,000 for the milli, 1,000,000 for the squared metre."""


def drag_n(drag_mn: int, current_mm_s: int) -> int:
    """Return the force of a current on something, in newtons, rounded up.

    `drag_mn` is its drag in millinewtons at 1 m/s: one of the constants here, or an estimate.
    """
    return -(-drag_mn * current_mm_s**2 // _MN_MM2_S2_PER_N)


def holding_current_mm_s(drag_mn: int, grips: int = 1, grip_n: int = MEAN_GRIP_N) -> int:
    """Return the fastest whole mm/s at which so many grips hold something with this drag."""
    return isqrt(grips * grip_n * _MN_MM2_S2_PER_N // drag_mn)


def tension_ratio(angle_deg: int) -> float:
    """Return the tension of a line held at both ends as a share of the force in its middle.

    It is 1 / (2 cos(angle/2)), the angle being the one between the two halves of the line: 0.5 when
    they lie side by side, 1 at 120 degrees, without limit towards 180. Raise ValueError for an
    angle that is not from 0 to 179.
    """
    _check_angle(angle_deg)
    return 1 / (2 * cos(radians(angle_deg) / 2))


def tension_n(force_n: int, angle_deg: int) -> int:
    """Return the tension in a line held at both ends against a force in its middle, rounded up.

    Newtons. Angle and error are those of `tension_ratio`.
    """
    _check_angle(angle_deg)
    squared_sum = _SQUARED_SUMS.get(angle_deg)
    if squared_sum is None:
        # No multiple of these cosines is a whole number, so noise can't lift one over the edge.
        return int(-(-force_n * tension_ratio(angle_deg) // 1))
    tension = isqrt(force_n**2 // squared_sum)
    return tension if squared_sum * tension**2 == force_n**2 else tension + 1


def count_hands(tension: int, least: int, grips_each: int = 1) -> int:
    """Return the people who hold an end of a line: by its tension in newtons, but at least `least`.

    Each is one mean grip. `grips_each` is what one person counts for if the line does not just run
    through a hand; somebody seated with the line round the hips holds about three (common
    practice, no source).
    """
    return max(least, -(-tension // (MEAN_GRIP_N * grips_each)))


def _check_angle(angle_deg: int) -> None:
    if not 0 <= angle_deg < _STRAIGHT_DEG:
        raise ValueError(f"an angle between the halves of a line is 0 to 179, not {angle_deg}")
