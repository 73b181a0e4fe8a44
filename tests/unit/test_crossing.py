"""How a line gets across: thrown itself, drawn by a messenger, or taken by a boat.

That a static line can't be thrown, and that a light line is thrown over to draw it: common
practice, no source.
"""

from pathlib import Path

import pytest

from kitplan.demands import Choice, ItemSlot, Variant
from kitplan.needs import serves
from kitplan.trip import Trip
from tests.places import lay

WIDTH_MM = 12_000


def lines_at(variant: Variant, site: str) -> list[ItemSlot]:
    return [slot for slot in variant.items if slot.site == site and slot.thing.kind == "line"]


def thrown_from(variant: Variant) -> str:
    """Return the bank from which a way throws the line across, "" where a boat takes it."""
    crossing = next((part for part in variant.way.split("; ") if " across" in part), "")
    return crossing.rpartition(" river ")[2] if " throws " in crossing else ""


@pytest.fixture(name="drawn")
def _drawn(tmp_path: Path) -> tuple[Trip, Choice]:
    trip, needs = lay(tmp_path, "entrapment, head up", width=12, reach=5)
    choice = next(
        choice
        for key, choice in needs.choices.items()
        if (key.technique, key.bank) == ("support-line", "left")
    )
    return trip, choice


def test_who_throws_has_something_to_throw(drawn: tuple[Trip, Choice]) -> None:
    """12 m of channel and 2 m that the throw spends: a messenger of 14 m."""
    _, choice = drawn
    ways = [variant for variant in choice.variants if thrown_from(variant)]
    assert {thrown_from(variant) for variant in ways} == {"left", "right"}
    for variant in ways:
        there = lines_at(variant, thrown_from(variant))
        itself = [slot for slot in there if {"across", "thrown"} <= set(slot.thing.flags)]
        messenger = [
            slot
            for slot in there
            if slot.thing.flags == ("thrown",) and slot.thing.least_mm == WIDTH_MM + 2_000
        ]
        assert bool(itself) == ("throws the line itself" in variant.way)
        assert bool(messenger) == ("throws a messenger line" in variant.way)
        assert itself or messenger


def test_a_static_line_lies_across_and_is_never_thrown(drawn: tuple[Trip, Choice]) -> None:
    trip, choice = drawn
    static, bag = (
        trip.catalog.items[name] for name in ("static line 30 m", "throw bag 25 m, strong core")
    )
    lying = {
        slot.thing for v in choice.variants for slot in v.items if "across" in slot.thing.flags
    }
    thrown = {thing for thing in lying if "thrown" in thing.flags}
    assert thrown
    assert not any(serves(static, thing) for thing in thrown)
    assert all(serves(static, thing) for thing in lying - thrown)
    assert all(serves(bag, thing) for thing in lying)
