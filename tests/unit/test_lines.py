"""Which line of a witness does what, with lengths worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitplan.needs.lines import IS_READY, LIES_ACROSS, REACHES, list_lines
from kitplan.plan import ItemPart
from tests.golden import stored
from tests.page.pages import show_demo


def find(where: tuple[str, str, str, str]) -> list[tuple[str, str, list[int]]]:
    """Return the lines of a technique, bank, running boat and rapid of the six-day demo.

    Item, what it does; what it spans, how long it must be, is, and is left over, in metres.
    """
    shown = show_demo("six-days")
    [result] = [
        one
        for one in shown.plan.demands
        if (one.key.technique, one.key.bank, one.key.running, one.key.rapid) == where
    ]
    found = []
    for line in list_lines(shown.trip, shown.needs.choices[result.key.choice], result):
        lengths = (line.span_mm, line.asked_mm, line.length_mm, line.left_mm)
        found.append((line.part.item, line.does, [mm // 1000 for mm in lengths]))
    return found


def test_a_low_line_lies_across_and_two_bags_wait() -> None:
    # Clockmaker is 16 m wide and its spot 7 m from river left: 16 + 6 = 22 m, more than 2 x 7 + 6.
    [low, *ready] = find(("two-bank-low-line", "left", "Dipper", "Clockmaker"))
    assert low == ("throw bag 25 m, strong core", LIES_ACROSS, [16, 22, 25, 3])
    assert [(line[1], line[2][:2]) for line in ready] == [(IS_READY, [0, 15])] * 2


def test_a_loop_goes_to_the_spot_and_back() -> None:
    # From river right the spot is 9 m off: 2 x 9 + 4 = 22 m.
    [loop, *ready] = find(("one-bank-loop", "right", "Dipper", "Clockmaker"))
    assert loop == ("throw bag 25 m, strong core", REACHES, [9, 22, 25, 3])
    assert [line[1] for line in ready] == [IS_READY, IS_READY]


@pytest.mark.parametrize("name", stored.NAMES)
def test_every_line_from_a_bank_is_told_once(name: str) -> None:
    shown = show_demo(name)
    for result in shown.plan.demands:
        lines = list_lines(shown.trip, shown.needs.choices[result.key.choice], result)
        parts = [
            part
            for part in result.witness
            if isinstance(part, ItemPart) and part.kind == "line" and part.site != "aboard"
            for _ in range(part.count)
        ]
        assert sorted(map(repr, parts)) == sorted(repr(line.part) for line in lines)
        assert all(line.left_mm >= 0 for line in lines)
        assert all(line.span_mm <= line.length_mm for line in lines)


def test_what_is_not_met_has_no_lines() -> None:
    shown = show_demo("six-days")
    short = next(one for one in shown.plan.demands if not one.met)
    choice = shown.needs.choices[short.key.choice]
    assert list_lines(shown.trip, choice, short) == ()
    strange = replace(short, met=True, way="a way that the catalogue does not know")
    assert list_lines(shown.trip, choice, strange) == ()
