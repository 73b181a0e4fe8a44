"""Stores in words: which box lies where, what moves, what to eat when, what comes on the way."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from kitplan.needs.boxes import FOOD, list_box_moves, list_meals, list_passing
from kitplan.needs.stores import BAGS, CAMP_KIT, OWN_THINGS, find_morning
from kitplan.needs.supplies import find_rate, is_in_ml, measure_content
from kitplan.report.words import join
from kitplan.trip import FILLS
from kitplan.units import show_mass, show_volume

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.needs.boxes import Box, BoxMove, Dealt
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Container, Leg, Lot, StoreRate, Trip

FIRST_KINDS = (CAMP_KIT, OWN_THINGS, FOOD, "drinking water", "fuel", "toilet")
"""What is packed first is said first; kinds of the trip's own come after these, bags last."""
EMPTY = "empty"
SPAN = 3  # numbers in a row that are said as a span: "1 and 2" is no longer than "1 to 2"
MEAL_WIDTHS = (8, 20, 9, 54)
"""Columns of the table of food: the day, the boat, the boxes."""
NUMBERED = re.compile(r"(.*?)([0-9]+) of ([0-9]+)")


# --- words ----------------------------------------------------------------------------------------


def say_boxes(boxes: Sequence[Box], said: str = "") -> str:
    """Return boxes in words, things without a box by count: "2 x tent; food bag 1 to 3 of 4".

    Names do not begin with what is `said` already, "food" or "food, day 3".
    """
    named = join_numbers(name for name, lot in boxes if lot.container)
    return "; ".join(_say_loose(boxes) + [name.removeprefix(f"{said}, ") for name in named])


def say_filled(trip: Trip, boxes: Sequence[Box], said: str, day: int) -> str:
    """Return boxes as `say_boxes` does, with what goes into each: "bottle 1 to 6 of 6 (1 l each)".

    Of a box that is filled already it is what is left in it on the morning of `day`.
    """
    alike: dict[tuple[str, str], list[Box]] = {}
    for name, lot in boxes:
        if lot.container:
            found = NUMBERED.fullmatch(name)
            key = found[1] if found else name, _say_content(trip, lot, day)
            alike.setdefault(key, []).append((name, lot))
    filled = [
        f"{say_boxes(same, said)}{_bracket(content, len(same))}"
        for (_, content), same in alike.items()
    ]
    return "; ".join(_say_loose(boxes) + filled)


def _bracket(content: str, count: int) -> str:
    """Return what is in each of so many containers, in brackets."""
    if not content:
        return ""
    return f" ({content} each)" if count > 1 and content != EMPTY else f" ({content})"


def _say_content(trip: Trip, lot: Lot, day: int) -> str:
    """Return what is in one container on a morning: "20 l", of a box that fills "0.5 l of 20 l"."""
    rate = find_rate(trip, lot)
    if rate is None:
        return ""
    content, size = measure_content(rate, lot, day), say_size(rate.container)
    if rate.use == FILLS:
        return f"{say_amount(rate, content)} of {size}" if content else f"{EMPTY}, holds {size}"
    return say_amount(rate, content) if content else EMPTY


def say_amount(rate: StoreRate, amount: int) -> str:
    """Return an amount of a store in its own unit, "1.5 l" or "6.4 kg"."""
    return show_volume(amount) if is_in_ml(rate) else show_mass(amount)


def say_size(container: Container) -> str:
    """Return what a container holds, "20 l" or "8 kg"."""
    if container.holds_g is not None:
        return show_mass(container.holds_g)
    return show_volume(container.holds_ml or 0)


def _say_loose(boxes: Iterable[Box]) -> list[str]:
    """Return things without a box, by count."""
    loose = Counter(lot.store for _, lot in boxes if not lot.container)
    return [f"{number} x {store}" for store, number in loose.items()]


def join_numbers(names: Iterable[str]) -> list[str]:
    """Return names, those alike but for their number as one: "food bag 1 to 3 and 5 of 6"."""
    numbers: dict[tuple[str, str], list[int]] = {}  # by name and by how many are alike
    for name in names:
        found = NUMBERED.fullmatch(name)
        if found:
            numbers.setdefault((found[1], found[3]), []).append(int(found[2]))
        else:
            numbers[name, ""] = []
    return [
        f"{name}{join(_say_spans(alike))} of {of}" if of else name
        for (name, of), alike in numbers.items()
    ]


def _say_spans(numbers: Iterable[int]) -> list[str]:
    """Return numbers, three or more that follow each other as one: "1 to 3", "5"."""
    spans: list[list[int]] = []
    for number in sorted(numbers):
        if spans and spans[-1][-1] == number - 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    said = []
    for span in spans:
        few = len(span) < SPAN
        said += [str(n) for n in span] if few else [f"{span[0]} to {span[-1]}"]
    return said


# --- on the card of a boat ------------------------------------------------------------------------


def write_stowed(sheet: Sheet, trip: Trip, leg: Leg, boxes: list[Box]) -> None:
    """Write what is stowed in a boat, kind by kind, and what is in it as it comes aboard.

    What comes aboard later stands by itself.
    """
    groups: dict[tuple[str, int], list[Box]] = {}
    for box in boxes:
        groups.setdefault((box[1].kind, max(box[1].first_day, leg.first_day)), []).append(box)
    for (kind, day), alike in sorted(groups.items(), key=lambda one: _rank(*one[0])):
        later = f" from the morning of day {day}" if day > leg.first_day else ""
        sheet.point(f"{kind}{later}: {say_filled(trip, alike, kind, day)}")


def _rank(kind: str, day: int) -> tuple[int, str, int]:
    """Return the place of a kind on a card."""
    if kind in FIRST_KINDS:
        return FIRST_KINDS.index(kind), "", day
    return len(FIRST_KINDS) + (kind == BAGS), kind, day


def write_box_moves(sheet: Sheet, moves: Iterable[BoxMove]) -> None:
    """Write what stores change boat on a morning."""
    ways: dict[tuple[str, str], list[Box]] = {}
    for move in moves:
        ways.setdefault((move.source, move.target), []).append(move.box)
    for (source, target), boxes in ways.items():
        sheet.point(f"stores from {source} to {target}: {say_boxes(boxes)}")
    if not ways:
        sheet.point("no stores move")


def list_moves_into(trip: Trip, dealt: Dealt) -> list[list[BoxMove]]:
    """Return the boxes that move into each leg, into the first none."""
    return [[], *list_box_moves(trip, dealt)]


# --- by day ---------------------------------------------------------------------------------------


def write_meals(sheet: Sheet, trip: Trip, dealt: Dealt) -> None:
    """Write for each day which boxes food is eaten from, and in which boats they are."""
    rows = []
    for day in trip.days:
        meals = list_meals(trip, dealt, day)
        for number, (boat, boxes) in enumerate(meals.items()):
            said = say_boxes(boxes, f"{FOOD}, day {day}")
            mass_g = sum(lot.weigh(day) for _, lot in boxes)
            when = "" if number else f"day {day}"
            rows.append((when, trip.boats[boat].called, show_mass(mass_g), said))
    if rows:
        sheet.heading("Food, day by day")
        sheet.table(rows, ("", "in", "mass", "eat from"), widths=MEAL_WIDTHS)


def write_passing(sheet: Sheet, trip: Trip, dealt: Dealt) -> None:
    """Write what comes aboard and goes ashore on the way."""
    passing = list_passing(trip, dealt)
    if passing:
        sheet.heading("Stores that come aboard or go ashore on the way")
    for one in passing:
        sheet.point(f"{_say_when(trip, one.day)}:")
        for words, there in (("ashore from", one.ashore), ("aboard", one.aboard)):
            for boat, boxes in there.items():
                sheet.point(f"{words} {trip.boats[boat].called}: {say_boxes(boxes)}", 1)


def _say_when(trip: Trip, day: int) -> str:
    """Return the time before a morning at which stores come and go."""
    restocks = trip.stores.restocks if trip.stores else ()
    when = dict.fromkeys(
        f"{one.at} of day {one.day}" for one in restocks if find_morning(one) == day
    )
    return f"restock, {join(when)}" if when else f"morning of day {day}"
