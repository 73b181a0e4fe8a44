"""Reading and writing quantities.

Conversion factors: the yard (0.9144 m) and the pound (0.45359237 kg) are exact by the
international yard and pound agreement of 1959; the US gallon is 231 cubic inches, the kilogram
force 9.80665 N (NIST Special Publication 811, appendix B).
"""

import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal

import pytest

from kitplan import units
from kitplan.units import QuantityError


@pytest.mark.parametrize(
    ("read", "text", "expected"),
    [
        (units.read_length_mm, "18 m", 18_000),
        (units.read_length_mm, "60 ft", 18_288),
        (units.read_length_mm, "1 yd", 914),
        (units.read_length_mm, "1 mi", 1_609_344),
        (units.read_length_mm, "6mm", 6),
        (units.read_length_mm, " +2.5  cm ", 25),
        (units.read_length_mm, "10 in", 254),
        (units.read_length_mm, "100 km", 100_000_000),
        (units.read_mass_g, "26 lb", 11_793),
        (units.read_mass_g, "26 lbs", 11_793),
        (units.read_mass_g, "1 oz", 28),
        (units.read_mass_g, "0.08 kg", 80),
        (units.read_mass_g, "1.2 t", 1_200_000),
        (units.read_volume_ml, "1 gal", 3_785),
        (units.read_volume_ml, "2.5 L", 2_500),
        (units.read_volume_ml, "4 qt", 3_785),
        (units.read_speed_mm_s, "1.4 m/s", 1_400),
        (units.read_speed_mm_s, "7 mph", 3_129),
        (units.read_speed_mm_s, "3.6 km/h", 1_000),
        (units.read_speed_mm_s, "10 ft/s", 3_048),
        (units.read_temperature_mdegc, "8 degC", 8_000),
        (units.read_temperature_mdegc, "-5 °C", -5_000),
        (units.read_temperature_mdegc, "50 degF", 10_000),
        (units.read_temperature_mdegc, "46 °F", 7_778),
        (units.read_time_s, "45 min", 2_700),
        (units.read_time_s, "1.5 h", 5_400),
        (units.read_months, "18 months", 18),
        (units.read_months, "1.5 years", 18),
        (units.read_force_n, "22 kN", 22_000),
        (units.read_force_n, "100 kgf", 981),
        (units.read_force_n, "4950 lbf", 22_019),
        (units.read_price_cents, "12.5 EUR", (1_250, "EUR")),
        (units.read_price_cents, "55 USD", (5_500, "USD")),
    ],
)
def test_reads(read: Callable[[object], object], text: str, expected: object) -> None:
    assert read(text) == expected


def test_halves_go_to_the_even_neighbour() -> None:
    assert units.read_length_mm("0.0005 m") == 0
    assert units.read_length_mm("0.0015 m") == 2
    # 32.0009 degF is 0.0005 degC exactly, by way of a ninth that no decimal holds.
    assert units.read_temperature_mdegc("32.0009 degF") == 0


POINT = "write a digit before and behind the point"
UNITS = "the units of length are mm, cm, m, km, in, ft, yd, mi"
LENGTH_HINT = 'write a length as "18 m" or "60 ft"'
LENGTH_UNITS = "the units of length are mm, cm, m, km, in, ft, yd, mi"
SLIP = "look for a slip in the number or its unit"


@pytest.mark.parametrize(
    ("text", "message", "hint", "code"),
    [
        ("18", 'length "18" has no unit', LENGTH_HINT, "missing-unit"),
        (18, "length 18 has no unit", LENGTH_HINT, "missing-unit"),
        (Decimal("1.5"), "length 1.5 has no unit", LENGTH_HINT, "missing-unit"),
        (
            True,
            "length must be quoted text, a number and a unit",
            LENGTH_HINT,
            "bad-quantity",
        ),
        ("  ", "length is empty", LENGTH_HINT, "bad-quantity"),
        (
            "1,5 m",
            'length "1,5 m" has a comma in its number',
            'write "1.5 m"',
            "bad-quantity",
        ),
        (
            "1,000 m",
            'length "1,000 m" has a comma in its number',
            'write "1.000 m" or "1000 m"',
            "bad-quantity",
        ),
        ("18 kg", 'length "18 kg" is a mass, not a length', LENGTH_UNITS, "wrong-unit"),
        (
            "18 ftt",
            'length "18 ftt" has an unknown unit, "ftt"',
            f"ft; {LENGTH_UNITS}",
            "unknown-unit",
        ),
        (
            "18 cubits",
            'length "18 cubits" has an unknown unit, "cubits"',
            LENGTH_UNITS,
            "unknown-unit",
        ),
        (
            "1 m + 2 m",
            'length "1 m + 2 m" has an unknown unit, "m + 2 m"',
            LENGTH_UNITS,
            "unknown-unit",
        ),
        (
            "-2 m",
            'length must not be negative, and "-2 m" is',
            "leave the minus sign out",
            "out-of-range",
        ),
        ("101 km", "length must be at most 100 km, not 101 km", SLIP, "out-of-range"),
        *(
            (text, f'length "{text}" is not a plain number and a unit', LENGTH_HINT, "bad-quantity")
            for text in (
                "nan m",
                "inf m",
                "1e3 m",
                "1.2.3 m",
                "m",
                "two m",
                "1 000 m",
            )
        ),
        *(
            (text, f'length "{text}" is not a plain number and a unit', POINT, "bad-quantity")
            for text in (".5 m", "5. m", "-.5 m")
        ),
        *(
            (f"16 {unit}", f'length "16 {unit}" has an unknown unit, "{unit}"', tip, "unknown-unit")
            for unit, tip in (
                ("metres", f"m; {UNITS}"),
                ("meter", f"m; {UNITS}"),
                ("Feet", f"ft; {UNITS}"),
                ("M", f"m; {UNITS}"),
                ("µm", UNITS),
            )
        ),
        ("9" * 41, "length is longer than 40 characters", LENGTH_HINT, "bad-quantity"),
        (
            "9" * 38 + " m",
            f"length must be at most 100 km, not {'9' * 38} m",
            SLIP,
            "out-of-range",
        ),
    ],
)
def test_refuses_in_the_words_of_the_user(text: object, message: str, hint: str, code: str) -> None:
    with pytest.raises(QuantityError) as caught:
        units.read_length_mm(text)
    assert (caught.value.message, caught.value.hint, caught.value.code) == (message, hint, code)


@pytest.mark.parametrize(
    ("read", "text", "message"),
    [
        (units.read_mass_g, "101 t", "mass must be at most 100 t, not 101 t"),
        (units.read_volume_ml, "100001 l", "volume must be at most 100000 l, not 100001 l"),
        (units.read_speed_mm_s, "12.1 m/s", "speed must be at most 12 m/s, not 12.1 m/s"),
        (
            units.read_temperature_mdegc,
            "-6 degC",
            "temperature must be between -5 degC and 60 degC, not -6 degC",
        ),
        (
            units.read_temperature_mdegc,
            "61 degC",
            "temperature must be between -5 degC and 60 degC, not 61 degC",
        ),
        (units.read_time_s, "49 h", "time must be at most 48 h, not 49 h"),
        (units.read_months, "51 years", "span must be from 1 month to 50 years, not 51 years"),
        (units.read_force_n, "1001 kN", "force must be at most 1000 kN, not 1001 kN"),
        (
            units.read_price_cents,
            "1000001 EUR",
            "price must be at most 1000000 EUR or USD, not 1000001 EUR",
        ),
    ],
)
def test_every_dimension_has_a_limit(
    read: Callable[[object], object], text: str, message: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text)
    assert caught.value.message == message


def test_a_limit_and_a_name_of_the_caller() -> None:
    assert units.read_length_mm("30 m", name="depth", most_mm=30_000) == 30_000
    with pytest.raises(QuantityError) as caught:
        units.read_length_mm("31 m", name="depth", most_mm=30_000)
    assert caught.value.message == "depth must be at most 30 m, not 31 m"


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (units.show_length(6), "6 mm"),
        (units.show_length(600), "0.6 m"),
        (units.show_length(9_144), "9.14 m"),
        (units.show_length(9_500), "9.5 m"),
        (units.show_length(14_000), "14 m"),
        (units.show_length(18_288), "18.3 m"),
        (units.show_length(120_000), "120 m"),
        (units.show_length(12_500_000), "12.5 km"),
        (units.show_length(9_999_499), "9999 m"),
        (units.show_length(9_999_500), "10 km"),
        (units.show_length(10_004), "10 m"),
        (units.show_length(10_004, exact=True), "10.004 m"),
        (units.show_length(-1_500), "-1.5 m"),
        (units.show_mass(80), "80 g"),
        (units.show_mass(1_400), "1.4 kg"),
        (units.show_mass(320_000), "320 kg"),
        (units.show_volume(500), "500 ml"),
        (units.show_volume(2_500), "2.5 l"),
        (units.show_speed(1_400), "1.4 m/s"),
        (units.show_speed(3_129), "3.13 m/s"),
        (units.show_speed(3_129, exact=True), "3.129 m/s"),
        (units.show_temperature(8_000), "8 degC"),
        (units.show_temperature(7_778), "7.8 degC"),
        (units.show_temperature(-20), "0 degC"),
        (units.show_time(0), "0 s"),
        (units.show_time(45), "45 s"),
        (units.show_time(150), "2.5 min"),
        (units.show_time(2_700), "45 min"),
        (units.show_time(5_400), "90 min"),
        (units.show_time(7_200), "2 h"),
        (units.show_time(10_797), "3 h"),
        (units.show_months(1), "1 month"),
        (units.show_months(18), "18 months"),
        (units.show_force(750), "750 N"),
        (units.show_force(22_000), "22 kN"),
        (units.show_price(5_500, "EUR"), "55 EUR"),
        (units.show_price(1_250, "USD"), "12.50 USD"),
    ],
)
def test_writes(shown: str, expected: str) -> None:
    assert shown == expected


def test_pint_loads_for_what_is_not_metric_only() -> None:
    code = (
        "import sys, kitplan.units as units; before = 'pint' in sys.modules;"
        "units.read_length_mm('1 m'); metric = 'pint' in sys.modules;"
        "units.read_length_mm('1 yd'); print(before, metric, 'pint' in sys.modules)"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.split() == ["False", "False", "True"]


@pytest.mark.parametrize("number", [Decimal("0.003"), Decimal(1), Decimal("17.25")])
@pytest.mark.parametrize("dimension", units.DIMENSIONS, ids=lambda one: one.name)
def test_factors_by_definition_are_those_of_pint(
    dimension: units.Dimension, number: Decimal, monkeypatch: pytest.MonkeyPatch
) -> None:
    known = [unit for unit in dimension.units if unit in units._EXACT]  # noqa: SLF001
    quick = [units.convert(number, unit, dimension.name) for unit in known]
    monkeypatch.setattr(units, "_EXACT", {})
    units.convert.cache_clear()
    assert quick == [units.convert(number, unit, dimension.name) for unit in known]
    units.convert.cache_clear()


# --- restated for the US --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "unit", "expected"),
    [
        ("18.3", "m", "60 ft"),
        ("3", "m", "9.8 ft"),
        ("0.55", "m", "22 in"),
        ("12.5", "km", "7.8 mi"),
        ("6", "mm", "6 mm"),
        ("0", "mm", "0 ft"),
        ("80", "g", "2.8 oz"),
        ("550", "g", "1.2 lb"),
        ("2.49", "kg", "5.5 lb"),
        ("907", "kg", "2000 lb"),
        ("500", "ml", "17 fl oz"),
        ("20", "l", "5.3 gal"),
        ("1.4", "m/s", "3.1 mph"),
        ("8", "degC", "46 degF"),
        ("-5", "degC", "23 degF"),
    ],
)
def test_restates_in_us_units(number: str, unit: str, expected: str) -> None:
    assert units.restate_us(Decimal(number), unit) == expected


def test_more_decimals_tell_two_apart() -> None:
    said = [units.restate_us(Decimal(number), "m", more=2) for number in ("10.1", "10.2")]
    assert said == ["33.14 ft", "33.46 ft"]


@pytest.mark.parametrize("metres", [1, 3, 9, 30, 100, 1000, 9000])
def test_what_is_restated_can_be_read_again(metres: int) -> None:
    """One decimal below ten feet, whole feet above: off by a fiftieth at most."""
    said = units.restate_us(Decimal(metres), "m")
    assert units.read_length_mm(said) == pytest.approx(1000 * metres, rel=0.02)
