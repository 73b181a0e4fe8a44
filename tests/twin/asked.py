"""One question put to the plain twin: whether something can be done at a rapid at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.demands import Case, CaseKey, DemandKey, Needs
from tests.twin.plain import solve_plain

if TYPE_CHECKING:
    from kitplan.facts import Asked
    from kitplan.trip import Trip


def can(trip: Trip, asked: Asked) -> bool:
    """Say whether what is asked can be done in a trip of one leg; what it asks for stays so."""
    choices = {choice.key: replace(choice, covers=True) for choice in asked.choices}
    first = asked.choices[0].key
    key = CaseKey(first.rapid, first.spot, first.scenario, asked.running)
    demands = {DemandKey(*choice, asked.running): 1 for choice in choices}
    needs = Needs(choices, {key: Case(key, 1, ())}, demands, ())
    found = solve_plain(replace(trip, rules=(), spreads=()), needs)["uncovered"]
    assert found.status == "optimal"
    return found.value == 0
