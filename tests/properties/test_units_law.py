"""What is written can be read again, and is the same as far as the digits shown go."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan import units
from kitplan.units import QuantityError

Show = Callable[[int], str]
Read = Callable[[object], int]


def _show_length_exact(length_mm: int) -> str:
    return units.show_length(length_mm, exact=True)


def _show_speed_exact(speed_mm_s: int) -> str:
    return units.show_speed(speed_mm_s, exact=True)


@pytest.mark.parametrize(
    ("show", "read", "least", "most"),
    [
        (units.show_length, units.read_length_mm, 0, 99_000_000),
        (units.show_mass, units.read_mass_g, 0, 99_000_000),
        (units.show_volume, units.read_volume_ml, 0, 99_000_000),
        (units.show_force, units.read_force_n, 0, 990_000),
        (units.show_speed, units.read_speed_mm_s, 0, 12_000),
        (units.show_temperature, units.read_temperature_mdegc, -5_000, 60_000),
        (units.show_time, units.read_time_s, 0, 48 * 3600),
    ],
)
@given(data=st.data())
def test_read_of_show_is_near_and_settles(
    show: Show, read: Read, least: int, most: int, data: st.DataObject
) -> None:
    number = data.draw(st.integers(least, most))
    again = read(show(number))
    # Three digits are shown; a temperature to a tenth of a degree, a time to a tenth of a minute.
    assert abs(again - number) <= max(abs(number) / 100, 50)
    assert show(again) == show(number)


@pytest.mark.parametrize(
    ("show", "read", "most"),
    [
        (_show_length_exact, units.read_length_mm, 100_000_000),
        (_show_speed_exact, units.read_speed_mm_s, 12_000),
        (units.show_months, units.read_months, 600),
    ],
)
@given(data=st.data())
def test_read_of_exact_show_is_equal(
    show: Show, read: Read, most: int, data: st.DataObject
) -> None:
    number = data.draw(st.integers(1, most))
    assert read(show(number)) == number


@given(cents=st.integers(0, 100_000_000), currency=st.sampled_from(["EUR", "USD"]))
def test_a_price_is_never_rounded(cents: int, currency: str) -> None:
    assert units.read_price_cents(units.show_price(cents, currency)) == (cents, currency)


@pytest.mark.parametrize(
    ("read", "dimension"),
    [
        (units.read_length_mm, units.LENGTH),
        (units.read_mass_g, units.MASS),
        (units.read_volume_ml, units.VOLUME),
        (units.read_speed_mm_s, units.SPEED),
        (units.read_time_s, units.TIME),
        (units.read_force_n, units.FORCE),
    ],
)
@given(number=st.integers(0, 50_000))
def test_order_is_kept(read: Read, dimension: units.Dimension, number: int) -> None:
    for unit in dimension.units:
        assert read(f"0.{number:05d} {unit}") <= read(f"0.{number + 1:05d} {unit}")


def complaint_of(read: Callable[[object], object], text: str) -> QuantityError | None:
    """Return the complaint about a text, or None if it was read."""
    try:
        read(text)
    except QuantityError as error:
        return error
    return None


@given(st.text(max_size=50))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    for read in (units.read_length_mm, units.read_temperature_mdegc, units.read_price_cents):
        error = complaint_of(read, text)
        assert error is None or (error.message and error.hint and error.code)
