"""The one place where quantities are read and written.

People write quoted text such as "18 m", "60 ft" or "8 degC"; the program reckons in whole numbers
of a small unit. Our own pattern splits number and unit, so that no expression is ever evaluated;
pint converts the unit, and loads only when the first quantity is read. Text is written in metric
units, and what is written can be read again; for people in the US it is restated in their units.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from kitplan.errors import nearest_word

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")
_HALF_POINT = re.compile(r"[+-]?(?:[.][0-9]|[0-9]+[.](?![0-9]))")
_COMMA = re.compile(r"[+-]?[0-9]+(?:,[0-9]+)+(?![0-9.,])")
_LONGEST_TEXT = 40
"""Characters; more is no quantity, and would only make the complaint about it unreadable."""
_FINEST = Decimal("1e-9")
"""Far below any unit used here; rounding to it first takes away the noise of a conversion, so
that a half is still seen as a half."""


class QuantityError(ValueError):
    """A quantity that can't be taken as written: message, what to try, and the finding's code."""

    def __init__(self, message: str, hint: str, code: str = "bad-quantity") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.code = code


_SPOKEN_OF_IN_MM = 100
"""Below it a length is written in millimetres: ropes, blades, carabiners."""
_SPOKEN_OF_IN_KM = 9_999_500
"""Millimetres; from it, 10 km when rounded to metres, a length is written in kilometres."""
_SMALL_PER_LARGE = 1000
"""Grams in a kilogram, millilitres in a litre, newtons in a kilonewton."""
_MINUTE_S = 60
_MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True)
class Dimension:
    """What can be measured: its units as written and as pint calls them, its range, examples."""

    name: str
    base: str
    """The small unit that the program reckons in, as pint calls it."""
    units: dict[str, str]
    least: int
    most: int
    """The range, in the small unit, both ends in it."""
    range_text: str
    examples: str


LENGTH = Dimension(
    name="length",
    base="millimeter",
    units={
        "mm": "millimeter",
        "cm": "centimeter",
        "m": "meter",
        "km": "kilometer",
        "in": "inch",
        "ft": "foot",
        "yd": "yard",
        "mi": "mile",
    },
    least=0,
    most=100_000_000,
    range_text="at most 100 km",
    examples='"18 m" or "60 ft"',
)
MASS = Dimension(
    name="mass",
    base="gram",
    units={
        "g": "gram",
        "kg": "kilogram",
        "t": "metric_ton",
        "oz": "ounce",
        "lb": "pound",
        "lbs": "pound",
    },
    least=0,
    most=100_000_000,
    range_text="at most 100 t",
    examples='"12 kg" or "26 lb"',
)
VOLUME = Dimension(
    name="volume",
    base="milliliter",
    units={
        "ml": "milliliter",
        "l": "liter",
        "L": "liter",
        "qt": "quart",
        "gal": "gallon",
    },
    least=0,
    most=100_000_000,
    range_text="at most 100000 l",
    examples='"2.5 l" or "3 qt"',
)
SPEED = Dimension(
    name="speed",
    base="millimeter / second",
    units={
        "m/s": "meter / second",
        "km/h": "kilometer / hour",
        "ft/s": "foot / second",
        "mph": "mile / hour",
    },
    least=0,
    most=12_000,
    range_text="at most 12 m/s",
    examples='"1.4 m/s" or "3 mph"',
)
TEMPERATURE = Dimension(
    name="temperature",
    base="millidegC",
    units={
        "degC": "degC",
        "°C": "degC",
        "degF": "degF",
        "°F": "degF",
    },
    least=-5_000,
    most=60_000,
    range_text="between -5 degC and 60 degC",
    examples='"8 degC" or "46 degF"',
)
TIME = Dimension(
    name="time",
    base="second",
    units={"s": "second", "min": "minute", "h": "hour"},
    least=0,
    most=48 * 3600,
    range_text="at most 48 h",
    examples='"45 min" or "2 h"',
)
FORCE = Dimension(
    name="force",
    base="newton",
    units={
        "N": "newton",
        "daN": "decanewton",
        "kN": "kilonewton",
        "kgf": "kilogram_force",
        "lbf": "pound_force",
    },
    least=0,
    most=1_000_000,
    range_text="at most 1000 kN",
    examples='"22 kN" or "4950 lbf"',
)
PRICE = Dimension(
    name="price",
    base="",
    units={"EUR": "", "USD": ""},
    least=0,
    most=100_000_000,
    range_text="at most 1000000 EUR or USD",
    examples='"55 EUR" or "55 USD"',
)
MONTHS = Dimension(
    name="span of months",
    base="month",
    units={"month": "month", "months": "month", "year": "year", "years": "year"},
    least=1,
    most=600,
    range_text="from 1 month to 50 years",
    examples='"6 months" or "2 years"',
)

DIMENSIONS = (LENGTH, MASS, VOLUME, SPEED, TEMPERATURE, TIME, MONTHS, FORCE, PRICE)

_EXACT: dict[str, int | Decimal] = {
    "mm": 1, "cm": 10, "m": 1000, "km": 1_000_000, "in": Decimal("25.4"), "ft": Decimal("304.8"),
    "g": 1, "kg": 1000, "t": 1_000_000, "lb": Decimal("453.59237"),
    "ml": 1, "l": 1000, "L": 1000, "gal": Decimal("3785.411784"),
    "m/s": 1000,
    "degC": 1000, "°C": 1000,
    "s": 1, "min": 60, "h": 3600,
    "N": 1, "daN": 10, "kN": 1000,
}  # fmt: skip
"""How many of the small unit one is, by definition, of units that shipped files use: pint, which
knows them all, takes a quarter of a second to load."""


def read_length_mm(text: object, *, name: str = "length", most_mm: int | None = None) -> int:
    """Return a length in millimetres; `name` is what a complaint calls it.

    `most_mm` is a limit lower than that of all lengths, for instance of a depth.
    Raise QuantityError for anything but a length in range.
    """
    length_mm = _read_whole(text, LENGTH, name)
    if most_mm is not None and length_mm > most_mm:
        raise _complain_of_range(name, f"at most {show_length(most_mm, exact=True)}", str(text))
    return length_mm


def read_mass_g(text: object, *, name: str = "mass") -> int:
    """Return a mass in grams, or raise QuantityError."""
    return _read_whole(text, MASS, name)


def read_volume_ml(text: object, *, name: str = "volume") -> int:
    """Return a volume in millilitres, or raise QuantityError; quarts and gallons are US ones."""
    return _read_whole(text, VOLUME, name)


def read_speed_mm_s(text: object, *, name: str = "speed") -> int:
    """Return a speed in millimetres a second, or raise QuantityError."""
    return _read_whole(text, SPEED, name)


def read_temperature_mdegc(text: object, *, name: str = "temperature") -> int:
    """Return a temperature in thousandths of a degree Celsius, or raise QuantityError."""
    return _read_whole(text, TEMPERATURE, name)


def read_time_s(text: object, *, name: str = "time") -> int:
    """Return a duration in seconds, or raise QuantityError."""
    return _read_whole(text, TIME, name)


def read_months(text: object, *, name: str = "span") -> int:
    """Return a span of months, or raise QuantityError."""
    return _read_whole(text, MONTHS, name)


def read_force_n(text: object, *, name: str = "force") -> int:
    """Return a force in newtons, or raise QuantityError."""
    return _read_whole(text, FORCE, name)


def read_price_cents(text: object, *, name: str = "price") -> tuple[int, str]:
    """Return a price in hundredths and its currency, EUR or USD, or raise QuantityError."""
    number, unit = _split(text, PRICE, name)
    return _fit(number * 100, PRICE, name, str(text)), unit


def _read_whole(text: object, dimension: Dimension, name: str) -> int:
    number, unit = _split(text, dimension, name)
    return _fit(convert(number, unit, dimension.name), dimension, name, str(text))


def _split(text: object, dimension: Dimension, name: str) -> tuple[Decimal, str]:
    """Return number and unit of a quantity as written, the unit being one of the dimension's."""
    hint = f"write a {dimension.name} as {dimension.examples}"
    if not isinstance(text, str):
        raise _complain_of_type(text, name, hint)
    stripped = text.strip()
    if not stripped:
        raise QuantityError(f"{name} is empty", hint)
    if len(stripped) > _LONGEST_TEXT:
        raise QuantityError(f"{name} is longer than {_LONGEST_TEXT} characters", hint)
    number = _NUMBER.match(stripped)
    unit = stripped[number.end() :].strip() if number else ""
    if comma := _COMMA.match(stripped):
        raise _complain_of_comma(stripped, comma[0], name)
    if _HALF_POINT.match(stripped):
        hint = "write a digit before and behind the point"
    if not number or unit[:1] in {".", ","} or re.match(r"[eE][+-]?[0-9]|[0-9]", unit):
        raise QuantityError(f"{name} {_quote(stripped)} is not a plain number and a unit", hint)
    if not unit:
        raise QuantityError(f"{name} {_quote(stripped)} has no unit", hint, "missing-unit")
    if unit not in dimension.units:
        raise _complain_of_unit(stripped, unit, dimension, name)
    return Decimal(number[0]), unit


def _complain_of_type(value: object, name: str, hint: str) -> QuantityError:
    if isinstance(value, int | Decimal | float) and not isinstance(value, bool):
        return QuantityError(f"{name} {value} has no unit", hint, "missing-unit")
    return QuantityError(f"{name} must be quoted text, a number and a unit", hint)


def _complain_of_comma(text: str, number: str, name: str) -> QuantityError:
    point = ".".join(number.rsplit(",", 1)).replace(",", "")
    rest = text[len(number) :]
    hint = f"write {_quote(point + rest)}"
    # "1,000 m" may be a kilometre or a metre; only the writer knows.
    if len(number.rsplit(",", 1)[1]) == len("000"):
        hint += f" or {_quote(number.replace(',', '') + rest)}"
    return QuantityError(f"{name} {_quote(text)} has a comma in its number", hint)


def _complain_of_unit(text: str, unit: str, dimension: Dimension, name: str) -> QuantityError:
    hint = f"the units of {dimension.name} are {', '.join(dimension.units)}"
    for other in DIMENSIONS:
        if unit in other.units:
            message = f"{name} {_quote(text)} is a {other.name}, not a {dimension.name}"
            return QuantityError(message, hint, "wrong-unit")
    near = _nearest_unit(unit, dimension)
    if near:
        hint = f"{near}; {hint}"
    message = f"{name} {_quote(text)} has an unknown unit, {_quote(unit)}"
    return QuantityError(message, hint, "unknown-unit")


def _nearest_unit(unit: str, dimension: Dimension) -> str | None:
    """Return the unit that was meant; two letters are near too much, so only case may differ."""
    spoken = unit.casefold().removesuffix("s").replace("metre", "meter").replace("litre", "liter")
    for known, name in dimension.units.items():
        if spoken == name or unit.casefold() == known.casefold():
            return known
    return nearest_word(unit, dimension.units) if len(unit) > len("mm") else None


def _complain_of_range(name: str, range_text: str, text: str) -> QuantityError:
    message = f"{name} must be {range_text}, not {text.strip()}"
    return QuantityError(message, "look for a slip in the number or its unit", "out-of-range")


def _quote(text: str) -> str:
    return f'"{text}"'


def _fit(number: Decimal, dimension: Dimension, name: str, text: str) -> int:
    """Return the number as a whole one, halves to the even neighbour, once it is in range."""
    if number < 0 <= dimension.least:
        message = f"{name} must not be negative, and {_quote(text.strip())} is"
        raise QuantityError(message, "leave the minus sign out", "out-of-range")
    if not dimension.least <= number <= dimension.most:
        raise _complain_of_range(name, dimension.range_text, text)
    return int(number.quantize(_FINEST).quantize(Decimal(1), ROUND_HALF_EVEN))


@cache
def _load_registry() -> "UnitRegistry[Decimal]":
    from pint import UnitRegistry  # noqa: PLC0415 - slow to load, and many commands need none

    return UnitRegistry(non_int_type=Decimal)


@lru_cache(maxsize=4096)
def convert(number: Decimal, unit: str, dimension_name: str) -> Decimal:
    """Return how many of the small unit of a dimension so many of another unit of it are."""
    if unit in _EXACT:
        return number * _EXACT[unit]
    dimension = next(one for one in DIMENSIONS if one.name == dimension_name)
    registry = _load_registry()
    quantity = registry.Quantity(number, dimension.units[unit])
    if dimension is TEMPERATURE:
        # pint gives a scale with a zero of its own no thousandths.
        return Decimal(quantity.to("degC").magnitude) * 1000
    return Decimal(quantity.to(dimension.base).magnitude)


def show_length(length_mm: int, *, exact: bool = False) -> str:
    """Return a length as "14 m", "9.14 m", "6 mm" or "12.5 km".

    `exact` keeps every millimetre: a comparison must not read "10 m > 10 m".
    """
    if abs(length_mm) < _SPOKEN_OF_IN_MM:
        return f"{length_mm} mm"
    if exact:
        return f"{_digits(Decimal(length_mm) / 1000, 3)} m"
    if abs(length_mm) >= _SPOKEN_OF_IN_KM:
        return f"{_digits(Decimal(length_mm) / 1_000_000, 1)} km"
    return f"{_three_digits(Decimal(length_mm) / 1000)} m"


def show_mass(mass_g: int) -> str:
    """Return a mass as "80 g", "1.4 kg" or "320 kg"."""
    return _small_or_large(mass_g, "g", "kg")


def show_volume(volume_ml: int) -> str:
    """Return a volume as "500 ml" or "2.5 l"."""
    return _small_or_large(volume_ml, "ml", "l")


def show_force(force_n: int) -> str:
    """Return a force as "750 N" or "22 kN"."""
    return _small_or_large(force_n, "N", "kN")


def show_speed(speed_mm_s: int, *, exact: bool = False) -> str:
    """Return a speed as "1.4 m/s"; `exact` keeps every millimetre a second."""
    return f"{_digits(Decimal(speed_mm_s) / 1000, 3 if exact else 2)} m/s"


def show_temperature(temperature_mdegc: int) -> str:
    """Return a temperature as "8 degC" or "7.8 degC"."""
    return f"{_digits(Decimal(temperature_mdegc) / 1000, 1)} degC"


def show_time(time_s: int) -> str:
    """Return a duration as "45 s", "45 min", "2.5 min" or "2 h"."""
    if abs(time_s) < _MINUTE_S:
        return f"{time_s} s"
    minutes = _digits(Decimal(time_s) / _MINUTE_S, 1)
    hours, rest = divmod(Decimal(minutes), _MINUTES_PER_HOUR)
    return f"{minutes} min" if rest else f"{hours} h"


def show_months(months: int) -> str:
    """Return a span as "1 month" or "18 months"."""
    return f"{months} month{'' if months == 1 else 's'}"


def show_price(price_cents: int, currency: str) -> str:
    """Return a price as "55 EUR" or "12.50 USD"."""
    if price_cents % 100 == 0:
        return f"{price_cents // 100} {currency}"
    return f"{Decimal(price_cents).scaleb(-2)} {currency}"


METRIC, US = "metric", "us"
"""Systems of units in which people read what is written."""
_US_OF = {
    "m": (Decimal(1000), "length"),
    "km": (Decimal(1_000_000), "length"),
    "g": (Decimal(1), "mass"),
    "kg": (Decimal(1000), "mass"),
    "ml": (Decimal(1), "volume"),
    "l": (Decimal(1000), "volume"),
    "m/s": (Decimal(1000), "speed"),
}
"""Of each metric unit that is written how many small ones it is, and of what."""
_US_UNITS = {
    "length": (("mi", "1609344", "3218688"), ("ft", "304.8", "914.4"), ("in", "25.4", "0")),
    "mass": (("lb", "453.59237", "453.59237"), ("oz", "28.349523125", "0")),
    "volume": (
        ("gal", "3785.411784", "3785.411784"),
        ("qt", "946.352946", "946.352946"),
        ("fl oz", "29.5735295625", "0"),
    ),
    "speed": (("mph", "447.04", "0"),),
}
"""US units with what one is in small units, exact, and from how many small ones it is used."""
_EXACT_FROM = 10
"""From so many US units no decimals are told."""


def restate_us(number: Decimal, unit: str, *, more: int = 0) -> str:
    """Return a written metric quantity in US units, "46 ft", "3.1 lb", rounded for people.

    `more` decimals are told than usual. What people in the US measure so as well stays as it is:
    millimetres of ropes and blades, newtons.
    """
    if unit == "degC":
        return f"{_digits(number * 9 / 5 + 32, more)} degF"
    if unit == "mm":
        return f"{number} mm" if number else "0 ft"
    per, dimension = _US_OF[unit]
    small = number * per
    for us_unit, one, least in _US_UNITS[dimension]:
        if abs(small) >= Decimal(least):
            there = small / Decimal(one)
            usual = 0 if abs(there) >= _EXACT_FROM else 1
            return f"{_digits(there, usual + more)} {us_unit}"
    raise AssertionError(dimension)


def _small_or_large(number: int, small: str, large: str) -> str:
    if abs(number) < _SMALL_PER_LARGE:
        return f"{number} {small}"
    return f"{_three_digits(Decimal(number) / _SMALL_PER_LARGE)} {large}"


def _three_digits(number: Decimal) -> str:
    """Return the number with about three digits that count, but never less than whole ones."""
    whole_digits = number.adjusted() + 1
    return _digits(number, max(0, 3 - max(1, whole_digits)))


def _digits(number: Decimal, most: int) -> str:
    """Return the number with at most so many decimals, halves to even, no idle zeros."""
    text = f"{number.quantize(Decimal(1).scaleb(-most), ROUND_HALF_EVEN):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
