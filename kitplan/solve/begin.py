"""Before and after the aims: a start with much kit at hand, the least shortfalls, an arrangement.

These need no model of what is done at the rapids, only the rules.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.build import Rules, Variables
from kitplan.build.variables import add_up
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import run, start_from

if TYPE_CHECKING:
    from kitplan.plan import Arrangement, Before
    from kitplan.solve.run import Answer, Budget
    from kitplan.trip import Trip

ARRANGES = 1.2  # of the limit: what is decided is made a plan of even where no time is left


@dataclass(frozen=True, slots=True)
class Short:
    """The least that was found to be short, by tier, its bounds, and the plan that has it."""

    at_most: dict[str, int]
    bounds: dict[str, int]
    arrangement: Arrangement
    decided: dict[str, int]


def find_least_short(
    trip: Trip, hints: list[int], rowing: int | None, budget: Budget
) -> Short | None:
    """Return the least pieces of rules and spreads to be short of, tier after tier.

    Stations are any that keep the rules. None where time ran out before anything was found.
    """
    variables = Variables(trip, trip.rapids, twice=rowing is not None)
    rules = Rules(variables)
    rules.add_all()
    if rowing is not None:
        variables.model.add(rules.rowing() <= rowing)
    found: Answer | None = None
    at_most: dict[str, int] = {}
    bounds: dict[str, int] = {}
    for tier, pieces in rules.carriage.short.items() if rules.carriage else ():
        total = add_up(pieces)
        start_from(variables.model, found.list_values() if found else hints)
        answer = run(variables.model, total, budget)
        if not answer.found:
            return None
        found, at_most[tier], bounds[tier] = answer, answer.value, answer.bound
        variables.model.add(total <= answer.value)
    if found is None:
        return None
    arrangement = read_arrangement(variables, found.read)
    return Short(at_most, bounds, arrangement, name_decisions(variables, found))


def pack_much(trip: Trip, hints: list[int], budget: Budget) -> dict[str, int] | None:
    """Return decisions that keep the rules, with much kit at hand: a start to improve on."""
    variables = Variables(trip, trip.rapids)
    Rules(variables).add_all()
    start_from(variables.model, hints)
    at_hand = add_up(v for (_, _, carried), v in variables.pack.items() if carried != "stowed")
    answer = run(variables.model, -at_hand, budget)
    return name_decisions(variables, answer) if answer.found else None


def arrange(trip: Trip, decided: dict[str, int], budget: Budget) -> Arrangement | None:
    """Return what was decided, and any stations at rapids where nothing is asked."""
    variables = Variables(trip, trip.rapids)
    Rules(variables).add_all()
    for _, variable in variables.list_decisions(variables.model):
        if variable.name in decided:
            variables.model.add(variable == decided[variable.name])
    answer = run(variables.model, None, replace(budget, share=ARRANGES))
    return read_arrangement(variables, answer.read) if answer.found else None


def hint_before(variables: Variables, before: Before) -> None:
    """Let a model start from what there is already: seats, packing, stores."""
    known, values = before.list_boats(), name_before(before)
    for family in (variables.seat, variables.pack, variables.stow):
        for key, variable in family.items():
            if key[1] in known:
                variables.model.add_hint(variable, values.get(variable.name, 0))


def name_before(before: Before) -> Counter[str]:
    """Return what there is already by the names of the solver's variables."""
    values = Counter(f"seat[{p},{b}]" for p, b in before.seats if b)
    for row in before.packed:
        values[f"pack[{row.item},{row.boat},{row.carried}]"] += row.count
    for lot in before.stowed:
        values[f"stow[{lot.lot};{lot.boat}]"] += lot.count
    return values


def name_decisions(variables: Variables, answer: Answer) -> dict[str, int]:
    """Return the decisions of an answer by the names of their variables."""
    names, values = variables.model.proto.variables, answer.list_values()
    return {names[n].name: values[n] for n in range(variables.decided)}
