"""Wading limits against the published values they are taken from."""

from pathlib import Path

import pytest

from kitplan.river import can_wade, list_wading_cautions, wading_product_mm2_s
from tests.places import look

FT_MM = 304.8


def test_ten_square_feet_a_second_is_the_limit() -> None:
    """Depth x speed below 10 ft2/s (0.93 m2/s): stream-gauging field practice, second-hand."""
    limit = 10 * FT_MM * FT_MM
    assert limit == pytest.approx(930_000, rel=0.002)
    assert can_wade(1000, 929)
    assert not can_wade(1000, 930)


def test_arithmetic_is_depth_times_speed() -> None:
    """0.6 m at 1.4 m/s is 0.84 m2/s, by hand."""
    assert wading_product_mm2_s(600, 1400) == 840_000


@pytest.mark.parametrize(
    ("depth_mm", "current_mm_s", "count"),
    [(500, 700, 0), (500, 800, 1), (1201, 300, 1), (400, 801, 1), (1300, 900, 3)],
)
def test_lower_published_figures_are_cautions(depth_mm: int, current_mm_s: int, count: int) -> None:
    """0.4 m2/s (Australian Rainfall & Runoff), over 1.2 m or 0.8 m/s (EMA): second-hand slides."""
    assert len(list_wading_cautions(depth_mm, current_mm_s)) == count


def test_depth_not_given_does_not_fit(tmp_path: Path) -> None:
    """A limit that can't be judged is not passed: the project's own rule."""
    choice = look(tmp_path, "entrapment, head up", "group-wading", "left", spot='current = "1 m/s"')
    assert choice.verdict == "does not fit"
    assert "depth not given (at most 0.9 m asked)" in choice.reasons


def test_too_much_water_says_its_arithmetic(tmp_path: Path) -> None:
    """0.8 m x 1.2 m/s = 0.96 m2/s, not below 0.93 m2/s."""
    choice = look(tmp_path, "entrapment, head up", "group-wading", "left")
    assert choice.reasons == (
        "too much water to wade at the spot: 0.8 m x 1.2 m/s = 0.96 m2/s, not below 0.93 m2/s",
    )
