"""When the people rules can't be met together: an irreducible set of them, in words.

Every rule of seating, payload included, hangs on an assumption. The solver's core is cut down by
leaving out one rule at a time: what stays can't be met, and without any one of it could be.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from kitplan import needs as asks
from kitplan.build import Rules, Variables
from kitplan.errors import Finding, Place
from kitplan.solve.run import SEED
from kitplan.units import show_mass

if TYPE_CHECKING:
    from kitplan.trip import Trip

Rule = tuple[str, str]


def explain_conflict(trip: Trip, limit_s: float) -> list[Finding]:
    """Return findings that name an irreducible conflict of people rules; [] if there is none."""
    core = _shrink(trip, limit_s)
    if core is None:
        return []
    said = [(_where(trip, rule), _say(trip, rule)) for rule in sorted(core)]
    where = min(place for place, _ in said)
    reasons = "; ".join(f"{text} ({place.text()})" for place, text in said)
    return [
        Finding(
            where,
            "error",
            "people-conflict",
            f"the party can't be seated: these can't hold together: {reasons}",
            "none of these can be left out of the conflict; change any one of them",
        )
    ]


def _shrink(trip: Trip, limit_s: float) -> list[Rule] | None:
    """Return an irreducible set of rules that can't hold together, None if all can."""
    variables = Variables(trip, ())
    rules = Rules(variables, assumed=True)
    rules.add_all()
    core = list(rules.assume)
    if _holds(rules, core, limit_s):
        return None
    for rule in sorted(rules.assume):
        rest = [kept for kept in core if kept != rule]
        if not _holds(rules, rest, limit_s):
            core = rest
    return core


def _holds(rules: Rules, assumed: list[Rule], limit_s: float) -> bool:
    """Say whether the rules can hold together; unknown counts as yes, so that no rule is blamed."""
    model = rules.v.model
    model.clear_assumptions()
    model.add_assumptions([rules.assume[rule] for rule in assumed])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_time_in_seconds = limit_s
    return solver.solve(model) != cp_model.INFEASIBLE


def _where(trip: Trip, rule: Rule) -> Place:
    family, subject = rule
    if family in {"together", "apart"}:
        return trip.companies[int(subject)].where
    if family == "tied":
        return trip.paddlers[subject].where
    if family == "take":
        return trip.kit[subject].where
    return trip.boats[subject].where


def _say(trip: Trip, rule: Rule) -> str:
    family, subject = rule
    if family in {"together", "apart"}:
        names = ", ".join(trip.companies[int(subject)].paddlers)
        return f"{names} sit in one boat" if family == "together" else f"{names} sit apart"
    if family == "tied":
        return f"{subject} sits in '{trip.paddlers[subject].boat}'"
    if family == "take":
        return f"{trip.kit[subject].take} x {subject} must go"
    boat = trip.boats[subject]
    hardest = asks.hardest_class(trip, subject)
    sentences = {
        "seats": f"'{subject}' has {boat.type.seats} seats",
        "least-crew": f"'{subject}' needs a crew of {asks.least_crew(boat.type, hardest)}",
        "payload": f"'{subject}' carries {show_mass(boat.type.payload_g)} and has "
        f"{show_mass(boat.dry_load_g)} of dry load",
        "steerer": _say_steerer(trip, subject, hardest),
    }
    return sentences[family]


def _say_steerer(trip: Trip, name: str, hardest: int) -> str:
    kind = trip.boats[name].type
    level = asks.steerer_level(kind, hardest, guests_aboard=False)
    higher = asks.steerer_level(kind, hardest, guests_aboard=True)
    guests = f", {higher} with guests aboard" if higher > level else ""
    people = sorted(p.name for p in trip.paddlers.values() if not p.guest)
    able = [p for p in people if trip.paddlers[p].level(kind.skill) >= level]
    if able:
        nearest = f", which {' or '.join(able)} can"
    elif people:
        best = max(people, key=lambda p: trip.paddlers[p].level(kind.skill))
        nearest = f"; nearest to it is {best} with {trip.paddlers[best].level(kind.skill)}"
    else:
        nearest = " and all are guests"
    return f"'{name}' needs a steerer with {kind.skill} {level}{guests}{nearest}"
