"""Before and after the aims: a start with much kit at hand, the least shortfalls, an arrangement.

These need no model of what is done at the rapids, only the rules.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from kitplan.build import Eligible, Rules, Variables
from kitplan.build.variables import add_up
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import run, start_from

if TYPE_CHECKING:
    from kitplan.demands import ChoiceKey, Needs
    from kitplan.plan import Arrangement, Before
    from kitplan.solve.run import Answer, Budget
    from kitplan.trip import Trip

MOST = 100  # the greatest weight of what is wanted in each boat
CREW = 5000  # pieces of kit at hand that the largest crew being one smaller outweighs
AT_HAND = 5  # pieces of kit at hand that a unit of weight outweighs
ARRANGED = ("seat", "steer", "pack", "place", "station", "stow")  # what an arrangement says
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
    rules.hold_rowing(rowing)
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


def spread(
    trip: Trip, needs: Needs, decided: dict[str, int], budget: Budget
) -> dict[str, int] | None:
    """Return decisions that keep the rules, with what is asked for in many boats: a start.

    Whom and what covering choices ask for at once is wanted in each boat, by the weight of what it
    could cover, and half as much a second time; crews about alike; then as much kit
    at hand as fits. Stations are not decided. One leg.
    """
    variables = Variables(trip, ())
    Rules(variables).add_all()
    for _, variable in variables.list_decisions(variables.model):
        if variable.name in decided:
            variables.model.add_hint(variable, decided[variable.name])
    there = []
    for (kind, names), weight in _weigh_asked(trip, needs).items():
        for b in variables.boats:
            first, second = (variables.model.new_bool_var("") for _ in range(2))
            people = variables.count_people(names, b)
            things = variables.count_things(names, b, stowed=False)
            variables.model.add(first + second <= (people if kind == "people" else things))
            there += [2 * weight * first, weight * second]
    crew = variables.model.new_int_var(0, len(trip.paddlers), "largest crew")
    for b in variables.boats:
        variables.model.add(add_up(variables.seat[p, b] for p in variables.paddlers[b]) <= crew)
    at_hand = add_up(v for (_, _, carried), v in variables.pack.items() if carried != "stowed")
    aim = CREW * crew - AT_HAND * add_up(there) - at_hand
    answer = run(variables.model, aim, budget)
    return name_decisions(variables, answer) if answer.found else None


def _weigh_asked(trip: Trip, needs: Needs) -> dict[tuple[str, frozenset[str]], int]:
    """Return who and what is asked for at once by names, and its weight of MOST at the most."""
    eligible, leg = Eligible(trip), trip.legs[0]
    weights: dict[tuple[str, frozenset[str]], Fraction] = {}
    for key, weight in _weigh_choices(needs).items():
        variants = needs.choices[key].variants
        for variant in variants:
            people = (("people", eligible.list_able(s.ask, leg)) for s in variant.persons)
            things = (("things", eligible.serving(s.thing, loose=False)) for s in variant.items)
            for asked in dict.fromkeys((*people, *things)):
                share = Fraction(weight, len(variants))
                weights[asked] = weights.get(asked, Fraction(0)) + share
    most = max(weights.values(), default=Fraction(1))
    return {asked: round(MOST * weight / most) for asked, weight in weights.items()}


def _weigh_choices(needs: Needs) -> dict[ChoiceKey, int]:
    """Return what each choice that covers at once could cover, over all boats."""
    weights: dict[ChoiceKey, int] = {}
    for demand in needs.demands:
        choice = needs.choices[demand.choice]
        if choice.covers and not choice.unhurried:
            weight = needs.cases[demand.case].weight
            weights[choice.key] = weights.get(choice.key, 0) + weight
    return weights


def arrange(trip: Trip, decided: dict[str, int], budget: Budget) -> Arrangement | None:
    """Return what was decided, and any stations at rapids where none are.

    Where nothing is left to decide, it takes no time to speak of.
    """
    whole = Variables(trip, trip.rapids)
    names = (v.name for kind, v in whole.list_decisions(whole.model) if kind in ARRANGED)
    values: dict[str, int] | None = decided
    if any(name not in decided for name in names):
        stations = whole.station.items()
        rapids = {key[0] for key, variable in stations if variable.name not in decided}
        values = _decide_rest(Variables(trip, rapids), decided, budget)
    return read_arrangement(whole, lambda variable: values[variable.name]) if values else None


def _decide_rest(
    variables: Variables, decided: dict[str, int], budget: Budget
) -> dict[str, int] | None:
    """Return what was decided, and the rest of the variables so that the rules are kept."""
    Rules(variables).add_all()
    for _, variable in variables.list_decisions(variables.model):
        if variable.name in decided:
            variables.model.add(variable == decided[variable.name])
    answer = run(variables.model, None, replace(budget, share=ARRANGES))
    return {**decided, **name_decisions(variables, answer)} if answer.found else None


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
