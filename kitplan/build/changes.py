"""What is other than in the leg before: aim 8, counted over seats and pieces of kit."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.build.variables import Linear, Variables
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
