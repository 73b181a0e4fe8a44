"""Laws of force, pulling and strength, and the edges of what they take."""

from fractions import Fraction
from math import cos, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.river import (
    BODY_DRAG_MN,
    HANDS_ALONE,
    MEAN_GRIP_N,
    SYSTEMS,
    PullingSystem,
    actual_advantage,
    check_strength,
    count_hands,
    drag_n,
    extra_line_mm,
    haul_forces,
    holding_current_mm_s,
    joined_length_mm,
    least_system,
    list_haul_cautions,
    list_strength_cautions,
    loop_fits_line,
    loop_strength_n,
    pull_n,
    tension_n,
    tension_ratio,
)

drags = st.integers(min_value=1, max_value=4_000_000)
currents = st.integers(min_value=0, max_value=12_000)
forces = st.integers(min_value=0, max_value=1_000_000)
angles = st.integers(min_value=0, max_value=179)
hands_there = st.integers(min_value=0, max_value=100)
percents = st.integers(min_value=1, max_value=100)
strands = st.lists(st.integers(min_value=1, max_value=7), min_size=1, max_size=3)
systems = st.builds(
    lambda numbers, redirects: PullingSystem("drawn", tuple(numbers), redirects),
    strands,
    st.integers(min_value=0, max_value=2),
)


@given(drags, currents, currents)
def test_more_current_is_never_less_force(drag_mn: int, one: int, other: int) -> None:
    slow, fast = sorted((one, other))
    assert drag_n(drag_mn, slow) <= drag_n(drag_mn, fast)


@given(drags, currents)
def test_force_is_rounded_up_by_less_than_a_newton(drag_mn: int, current_mm_s: int) -> None:
    exact = Fraction(drag_mn, 1000) * Fraction(current_mm_s, 1000) ** 2
    assert 0 <= drag_n(drag_mn, current_mm_s) - exact < 1


@given(drags, st.integers(min_value=1, max_value=50))
def test_holding_current_is_the_last_that_holds(drag_mn: int, grips: int) -> None:
    last = holding_current_mm_s(drag_mn, grips)
    assert drag_n(drag_mn, last) <= grips * MEAN_GRIP_N < drag_n(drag_mn, last + 1)


@given(forces, angles)
def test_tension_is_never_below_half_the_force(force_n: int, angle_deg: int) -> None:
    assert 2 * tension_n(force_n, angle_deg) >= force_n


@given(forces, angles)
def test_tension_is_rounded_up_by_less_than_a_newton(force_n: int, angle_deg: int) -> None:
    exact = force_n * tension_ratio(angle_deg)
    assert -1e-6 * force_n <= tension_n(force_n, angle_deg) - exact < 1 + 1e-6


@pytest.mark.parametrize("angle_deg", range(180))
def test_tension_at_every_angle(angle_deg: int) -> None:
    """The law of cosines for the two halves: F^2 = 2 T^2 (1 + cos angle)."""
    tension = tension_n(1_000_000, angle_deg)
    held = 2 * (1 + cos(radians(angle_deg)))
    assert (tension - 1) ** 2 * held < 1e12
    assert tension**2 * held >= 1e12 * (1 - 1e-9)


@given(forces, forces, angles, angles)
def test_tension_grows_with_force_and_angle(one: int, other: int, a: int, b: int) -> None:
    assert tension_n(min(one, other), min(a, b)) <= tension_n(max(one, other), max(a, b))


@pytest.mark.parametrize("angle_deg", [-1, 180, 360])
def test_a_line_with_no_angle_has_no_tension(angle_deg: int) -> None:
    """Pulled straight, no tension is enough: 1 / cos(90 degrees)."""
    message = f"an angle between the halves of a line is 0 to 179, not {angle_deg}"
    with pytest.raises(ValueError, match=message):
        tension_n(1, angle_deg)
    with pytest.raises(ValueError, match=message):
        tension_ratio(angle_deg)


@given(forces, st.integers(min_value=1, max_value=5), st.integers(min_value=1, max_value=4))
def test_hands_are_as_few_as_hold(tension: int, least: int, grips_each: int) -> None:
    hands = count_hands(tension, least, grips_each)
    assert hands * grips_each * MEAN_GRIP_N >= tension
    assert hands == least or (hands - 1) * grips_each * MEAN_GRIP_N < tension


def test_hands_at_the_edge() -> None:
    """418 N is two grips of 209 N, one newton more is three."""
    assert [count_hands(tension, 1) for tension in (0, 209, 210, 418, 419)] == [1, 1, 2, 2, 3]


@given(systems, percents, percents)
def test_better_pulleys_never_pull_less(system: PullingSystem, one: int, other: int) -> None:
    worse, better = sorted((one, other))
    assert actual_advantage(system, worse) <= actual_advantage(system, better) <= system.ideal


@given(systems, hands_there, hands_there, percents)
def test_more_hands_never_pull_less(
    system: PullingSystem, one: int, other: int, percent: int
) -> None:
    few, many = sorted((one, other))
    assert pull_n(system, few, percent) <= pull_n(system, many, percent)


@given(systems, percents)
def test_a_redirect_keeps_the_share_of_one_pulley(system: PullingSystem, percent: int) -> None:
    turned = system.redirect()
    assert actual_advantage(turned, percent) == actual_advantage(system, percent) * Fraction(
        percent, 100
    )
    assert (turned.ideal, turned.pulleys) == (system.ideal, system.pulleys + 1)


@given(forces, hands_there, percents)
def test_least_system_pulls_and_a_lesser_one_does_not(
    force_n: int, hands: int, percent: int
) -> None:
    """By looking at every system: which is enough, and which has the least ideal advantage."""
    enough = [one for one in (HANDS_ALONE, *SYSTEMS) if pull_n(one, hands, percent) >= force_n]
    found = least_system(force_n, hands, percent)
    assert found == min(enough, key=lambda one: one.ideal, default=None)


@pytest.mark.parametrize("percent", [-5, 0, 101])
def test_no_such_efficiency(percent: int) -> None:
    message = f"an efficiency is 1 to 100 per cent, not {percent}"
    with pytest.raises(ValueError, match=message):
        pull_n(SYSTEMS[0], 4, percent)


def test_hands_alone_ask_for_nothing() -> None:
    """No pulley, no loop, no line in the system, and friction takes nothing."""
    assert (HANDS_ALONE.pulleys, HANDS_ALONE.prusik_loops) == (0, 0)
    assert extra_line_mm(HANDS_ALONE, 5_000) == 0
    assert pull_n(HANDS_ALONE, 4, 50) == 4 * MEAN_GRIP_N


@given(strands, st.integers(min_value=0, max_value=20_000))
def test_line_in_a_system_by_its_strands(numbers: list[int], stroke_mm: int) -> None:
    """Counted strand by strand: each system lays one less than its strands over what it pulls."""
    laid, travel = 0, stroke_mm
    for number in numbers:
        laid += (number - 1) * travel
        travel *= number
    system = PullingSystem("drawn", tuple(numbers))
    assert extra_line_mm(system, stroke_mm) == laid
    assert system.ideal * stroke_mm == travel


def test_cap_names_the_system() -> None:
    """Twelve is still within; hands alone count once each."""
    assert list_haul_cautions(12, HANDS_ALONE) == ()
    assert list_haul_cautions(3, SYSTEMS[-1]) == (
        "3 people, 3 on 3 (9:1): 3 x 9 = 27, above 12, the most by a folk rule of several teachers",
    )


@given(forces, systems, percents)
def test_no_part_of_a_haul_carries_less_than_the_load(
    load_n: int, system: PullingSystem, percent: int
) -> None:
    parts = haul_forces(load_n, system, percent)
    assert parts.line_n == parts.connector_n == parts.loop_n == load_n
    # Rounded up, so what the hands add at least moves the load.
    added_n = parts.anchor_n - load_n
    if system.redirects:
        assert added_n * actual_advantage(system, percent) >= load_n
    else:
        assert added_n == 0


def test_verdicts_by_the_knot() -> None:
    """22 kN with a figure-8: 17.6 kN by the note, 12.1 kN with 25 points less; asked 4 times."""
    verdicts = [check_strength(n, 22_000, 4, "figure-8").verdict for n in (3_025, 4_400, 4_401)]
    assert verdicts == ["holds", "depends on the knot", "too weak"]


def test_verdict_without_a_knot() -> None:
    """20 kN at 2.5 times is 8 kN, and there is no knot to doubt."""
    safety = Fraction(5, 2)
    verdicts = [check_strength(force_n, 20_000, safety).verdict for force_n in (8_000, 8_001)]
    assert verdicts == ["holds", "too weak"]
    check = check_strength(8_000, 20_000, safety)
    assert check.left_n == check.doubtful_left_n == 20_000


def test_strength_in_words() -> None:
    """One sentence for each part that is in doubt, in the order given."""
    checks = {
        "sling": check_strength(1_000, 22_000, 10),
        "line": check_strength(4_400, 22_000, 4, "figure-8"),
        "loop": check_strength(4_400, 10_000, Fraction(5, 2)),
    }
    line, loop = list_strength_cautions(checks)
    assert line == (
        "line: 17.6 kN of strength against 4.4 kN is 4.00 times, where 4 times is asked; sources "
        "differ about its knot"
    )
    assert loop == (
        "loop: 10 kN of strength against 4.4 kN is 2.27 times, where 2.5 times is asked: below"
    )


def test_a_factor_just_missed_never_reads_as_kept() -> None:
    """2,999 N of strength against 1,000 N is 2.999 times."""
    (caution,) = list_strength_cautions({"loop": check_strength(1_000, 2_999, 3)})
    assert caution == (
        "loop: 3 kN of strength against 1 kN is 2.99 times, where 3 times is asked: below"
    )


def test_without_a_force_everything_holds() -> None:
    check = check_strength(0, 100, 10, "bowline")
    assert check.factor is None
    assert check.verdict == "holds"


@given(forces, forces, st.integers(min_value=1, max_value=15))
def test_more_force_is_never_a_better_verdict(one: int, other: int, safety: int) -> None:
    order = ["holds", "depends on the knot", "too weak"]
    light, heavy = (
        order.index(check_strength(force_n, 22_000, safety, "butterfly").verdict)
        for force_n in sorted((one, other))
    )
    assert light <= heavy


def test_loop_is_two_strands_less_the_knot() -> None:
    """7.2 kN cord, a knot that leaves 60 %: 2 x 7.2 x 0.6 = 8.64 kN."""
    assert loop_strength_n(7_200, 60) == 8_640


def test_loop_fits_from_60_to_80_per_cent() -> None:
    """On a 10 mm line 6 and 8 mm, ends included; a loop as thick as its line never grips."""
    fits = [loop_fits_line(loop_um, 10_000) for loop_um in (5_999, 6_000, 8_000, 8_001)]
    assert fits == [False, True, True, False]


def test_joined_lines() -> None:
    """18 m and 20 m less 1 m of joint are 37 m; less than nothing is nothing."""
    assert joined_length_mm(18_000, 20_000, 1_000) == 37_000
    assert joined_length_mm(500, 0, 1_000) == 0


def test_slow_water_still_pulls() -> None:
    """0.1 m/s on a body is 0.83 N, and not nothing."""
    assert [drag_n(BODY_DRAG_MN, current) for current in (0, 100)] == [0, 1]
