"""What is other than in the leg before (aim 8), and what is moved from where it lies already.

Seats and pieces of kit count, and of what lies there already boxes of stores too.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.build.variables import Linear, Variables
    from kitplan.plan import Before
    from kitplan.trip import Leg


def add_changes(variables: Variables) -> Linear:
    """Return the seats and pieces of kit that are not where they were in the leg before.

    Who and what is in both legs counts: a seat in another boat, a piece in another boat or carried
    in another way. sum over p of (1 - sum over b of x[p,b] x[p,b']) + sum over i of (taken[i] -
    sum over b, w of min(y[i,b,w], y[i,b',w])), where b' is boat b in the next leg.
    """
    moved: list[Linear] = []
    for before, after in pairwise(variables.legs):
        boats = list(_pair_boats(variables, before, after))
        moved += _move_people(variables, (before, after), boats)
        moved += _move_kit(variables, (before, after), boats)
    return add_up(moved)


def _pair_boats(variables: Variables, before: Leg, after: Leg) -> Iterator[tuple[str, str]]:
    """Yield each boat that is in both legs, as both call it."""
    boats = variables.trip.boats
    later = {boats[b].called: b for b in after.boats}
    for b in sorted(before.boats):
        if boats[b].called in later:
            yield b, later[boats[b].called]


def _move_people(
    variables: Variables, legs: tuple[Leg, Leg], boats: list[tuple[str, str]]
) -> Iterator[Linear]:
    for p in sorted(set(legs[0].paddlers) & set(legs[1].paddlers)):
        stays = []
        for b, later in boats:
            stay = variables.model.new_bool_var(f"stays[{p},{b}]")
            variables.model.add_implication(stay, variables.seat[p, b])
            variables.model.add_implication(stay, variables.seat[p, later])
            stays.append(stay)
        yield 1 - add_up(stays)


def _move_kit(
    variables: Variables, legs: tuple[Leg, Leg], boats: list[tuple[str, str]]
) -> Iterator[Linear]:
    later_of = dict(boats)
    for i in sorted(set(legs[0].kit) & set(legs[1].kit)):
        most, stays = variables.trip.kit[i].count, []
        for (item, b, w), packed in variables.pack.items():
            later = later_of.get(b)
            if item != i or later is None or (i, later, w) not in variables.pack:
                continue
            stay = variables.model.new_int_var(0, most, f"stays[{i},{b},{w}]")
            variables.model.add(stay <= packed)
            variables.model.add(stay <= variables.pack[i, later, w])
            stays.append(stay)
        yield variables.taken[i] - add_up(stays)


def add_moves(variables: Variables, before: Before) -> Linear:
    """Return how many people, pieces of kit and boxes are not where they were, in legs known.

    Whoever sat elsewhere, or nowhere, is one. Of an item in a leg, what is taken less what stays:
    max(taken, there) - sum over b, w of min(y[i,b,w], there[i,b,w]); so is what is left behind, and
    what comes new. Of a lot of stores, what no longer is where it was.
    """
    known = before.list_boats()
    legs = [leg for leg in variables.legs if known & set(leg.boats)]
    moved: list[Linear] = []
    for leg in legs:
        moved += _move_seats(variables, before, leg)
        moved += _move_pieces(variables, before, leg)
    boxes = Counter({(row.lot, row.boat): row.count for row in before.stowed})
    for key, count in sorted(boxes.items()):
        if key in variables.stow:
            gone = variables.model.new_int_var(0, count, "")
            variables.model.add(gone >= count - variables.stow[key])
            moved.append(1 * gone)
    return add_up(moved)


def _move_seats(variables: Variables, before: Before, leg: Leg) -> Iterator[Linear]:
    for p, boat in before.list_seats(leg):
        yield 1 - add_up([variables.seat[p, boat]] if boat else [])


def _move_pieces(variables: Variables, before: Before, leg: Leg) -> Iterator[Linear]:
    there: dict[str, Counter[tuple[str, str]]] = {i: Counter() for i in leg.kit}
    for row in before.packed:
        if row.item in there and (not row.boat or row.boat in leg.boats):
            there[row.item][row.boat, row.carried] += row.count
    for i, places in sorted(there.items()):
        most, total = variables.trip.kit[i].count, places.total()
        stays = []
        for (boat, carried), count in sorted(places.items()):
            packed = variables.pack.get((i, boat, carried))
            if packed is not None:
                stay = variables.model.new_int_var(0, count, "")
                variables.model.add(stay <= packed)
                stays.append(stay)
        either = variables.model.new_int_var(total, max(most, total), "")
        variables.model.add(either >= variables.taken[i])
        yield either - add_up(stays)
