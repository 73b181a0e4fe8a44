"""The water's force, grip and the tension of held lines against published values.

The table of force is converted here with pint, so that no arithmetic of the project checks itself.
"""

import pytest
from pint import UnitRegistry

from kitplan.river import (
    BODY_DRAG_MN,
    LEAST_GRIP_N,
    LEGS_DRAG_MN,
    MEAN_GRIP_N,
    MOST_GRIP_N,
    SWAMPED_BOAT_DRAG_MN,
    count_hands,
    drag_n,
    holding_current_mm_s,
    tension_n,
    tension_ratio,
)

PINT: UnitRegistry[float] = UnitRegistry()
CAUGHT_DEG = 90
"""Two teams that pull from 45 degrees upstream each (common practice, no source)."""


@pytest.mark.parametrize(
    ("mph", "legs_lbf", "body_lbf", "boat_lbf"),
    [(3, 16.8, 33.6, 168), (6, 67.2, 134, 672), (9, 151, 302, 1512), (12, 269, 538, 2688)],
)
def test_force_of_the_current(mph: int, legs_lbf: float, body_lbf: float, boat_lbf: float) -> None:
    """Bechdel & Ray, "River Rescue", 4th edition, read second-hand; to 0.5 %, as it is rounded.

    The copies print foot-pounds; the numbers are pounds-force. The program reckons in mm/s and
    rounds forces up to whole newtons.
    """
    current_mm_s = round(PINT.Quantity(mph, "mile / hour").to("mm / s").magnitude)
    table = {LEGS_DRAG_MN: legs_lbf, BODY_DRAG_MN: body_lbf, SWAMPED_BOAT_DRAG_MN: boat_lbf}
    for drag_mn, force_lbf in table.items():
        published_n = PINT.Quantity(force_lbf, "pound_force").to("newton").magnitude
        assert drag_n(drag_mn, current_mm_s) == pytest.approx(published_n, rel=0.005)


def test_wader_body_and_boat_are_as_one_to_two_to_ten() -> None:
    """The columns of the same table: 16.8, 33.6 and 168 lbf at 3 mph."""
    assert BODY_DRAG_MN == 2 * LEGS_DRAG_MN
    assert SWAMPED_BOAT_DRAG_MN == 10 * LEGS_DRAG_MN


def test_grip_of_a_hand() -> None:
    """46, 209 and 425 N: Mauthner, cited by Moyer, Int. Technical Rescue Symposium 2006.

    Second-hand; the constants are copied, so this holds the copy and the order of the three.
    """
    assert (LEAST_GRIP_N, MEAN_GRIP_N, MOST_GRIP_N) == (46, 209, 425)


def test_one_mean_grip_holds_a_body_at_1580_mm_s_but_not_at_1590() -> None:
    """sqrt(209 / 83.1) = 1.5859 m/s, from the two sources above; 207.5 N and 210.1 N by hand."""
    assert drag_n(BODY_DRAG_MN, 1580) == 208 <= MEAN_GRIP_N
    assert drag_n(BODY_DRAG_MN, 1590) == 211 > MEAN_GRIP_N
    assert holding_current_mm_s(BODY_DRAG_MN) == 1585


@pytest.mark.parametrize(
    ("current_mm_s", "force_n", "hands"),
    [(1000, 84, 2), (2500, 520, 2), (2600, 562, 2), (3000, 748, 3), (3500, 1018, 4)],
)
def test_hands_of_a_line_team(current_mm_s: int, force_n: int, hands: int) -> None:
    """2 hands up to 2.6 m/s, 3 at 3.0, 4 at 3.5: T = 0.71 F by the sources above.

    83.1 N x 2.5^2 = 519.4 N, x 0.7071 = 367 N, / 209 N = 1.8; at 2.6 m/s 561.8 N, 397 N, 1.9; at
    3 m/s 747.9 N, 529 N, 2.5; at 3.5 m/s 1018.0 N, 720 N, 3.4. Two hands at least is practice.
    """
    force = drag_n(BODY_DRAG_MN, current_mm_s)
    assert force == force_n
    assert count_hands(tension_n(force, CAUGHT_DEG), least=2) == hands


def test_at_120_degrees_the_tension_is_the_force() -> None:
    """2 cos(60 degrees) = 1: the geometry of every rope handbook."""
    assert [tension_n(force, 120) for force in (0, 1, 209, 19_350)] == [0, 1, 209, 19_350]


@pytest.mark.parametrize(
    ("angle_deg", "ratio"),
    [(90, 0.707), (120, 1.000), (140, 1.462), (150, 1.932), (160, 2.879), (170, 5.737)],
)
def test_tension_over_force(angle_deg: int, ratio: float) -> None:
    """T/F = 1 / (2 cos(angle/2)), to the digits of the list; computed from the formula by hand."""
    assert f"{tension_ratio(angle_deg):.3f}" == f"{ratio:.3f}"
    assert tension_n(1_000_000, angle_deg) == pytest.approx(ratio * 1_000_000, abs=501)


def test_tension_where_no_cosine_is_needed() -> None:
    """Half the force side by side; F / sqrt(2) at 90 degrees, F / sqrt(3) at 60; rounded up.

    1000 / 1.41421 = 707.1, 1000 / 1.73205 = 577.4. 239 / 1.41421356 is 168.9991, by Theon's
    fractions of sqrt(2), so it has to come out as 169.
    """
    assert tension_n(1000, 0) == 500
    assert tension_n(1000, 90) == 708
    assert tension_n(1000, 60) == 578
    assert tension_n(239, 90) == 169


def test_who_holds_the_one_who_holds_a_tethered_swimmer() -> None:
    """Two bodies at 2 m/s: 2 x 83.1 x 4 = 664.8 N, by the sources above.

    Standing that is 664.8 / 209 = 3.2, so 4 people; seated with the line round the hips about
    three grips each (common practice, no source): 664.8 / 627 = 1.06, so a second one.
    """
    force = drag_n(2 * BODY_DRAG_MN, 2000)
    assert force == 665
    assert count_hands(force, least=1) == 4
    assert count_hands(force, least=1, grips_each=3) == 2
