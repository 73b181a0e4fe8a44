"""When the people rules can't be met together: a set of them that can't, in words.

Every rule of seating, payload included, and of what must go, hangs on an assumption. Of all of
them one at a time is left out: if the rest still can't be met, it stays out. What is left can't be
met, and could be without any one of it: an irreducible set. Where a limit cut in, a rule may have
stayed that is not needed; then the set is not called irreducible.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import Rules, Variables
from kitplan.errors import Finding, Place
from kitplan.solve.run import Budget, Clock, run
from kitplan.units import show_mass, show_volume

if TYPE_CHECKING:
    from kitplan.solve.run import Status
    from kitplan.trip import Trip

Rule = tuple[str, str]
"""A rule family and whom it binds: a boat, paddler or item by name, a company by its number."""

# The solver's deterministic time for one run; seconds are only the emergency brake.
DETERMINISTIC = 20.0
SHORTEST = "none of these can be left out of the conflict; change any one of them"
PERHAPS = (
    "perhaps not the shortest such list: the time was up; change any one of them and plan anew"
)


@dataclass(frozen=True, slots=True)
class Conflict:
    """Rules, sorted, that are shown not to hold together.

    `irreducible`: it is shown as well that without any one of them the others can hold.
    """

    rules: tuple[Rule, ...]
    irreducible: bool


def find_conflict(trip: Trip, limit_s: float) -> Conflict | None:
    """Return rules of seating and of what must go that can't hold together.

    None: they all can, or `limit_s` seconds in all were too few to show that they can't. What each
    paddler and thing is bound to anyway, a seat and room to lie, is no rule that could be left out.
    """
    rules = Rules(Variables(trip, ()), assumed=True)
    rules.add_all()
    clock = Clock(limit_s)
    kept = sorted(rules.assume)
    if _try(rules, kept, clock) != "infeasible":
        return None
    irreducible = True
    for rule in sorted(rules.assume):
        rest = [other for other in kept if other != rule]
        status = _try(rules, rest, clock)
        if status == "infeasible":
            kept = rest
        else:
            irreducible &= status == "proven"
    return Conflict(tuple(kept), irreducible)


def explain_conflict(trip: Trip, limit_s: float) -> list[Finding]:
    """Return what to say of a trip that is shown to have no seating.

    The finding names a conflict; if none was found within the limit, it says that.
    """
    conflict = find_conflict(trip, limit_s)
    if conflict is None:
        message = "the party can't be seated; time was up before it was found what is in the way"
        return [Finding(trip.where, "error", "people-conflict", message, "a longer --time-limit")]
    said = [(_where(trip, rule), _say(trip, rule)) for rule in conflict.rules]
    where = min(place for place, _ in said)
    reasons = "; ".join(f"{text} ({place.text()})" for place, text in said)
    stores = any(family == "stowed" for family, _ in conflict.rules)
    what = "the stores can't be stowed" if stores else "the party can't be seated"
    code = "stores-conflict" if stores else "people-conflict"
    message = f"{what}: these can't hold together: {reasons}"
    hint = SHORTEST if conflict.irreducible else PERHAPS
    return [Finding(where, "error", code, message, hint)]


def _try(rules: Rules, assumed: list[Rule], clock: Clock) -> Status:
    """Say whether the assumed rules can hold together: "proven", "infeasible" or "unknown"."""
    model = rules.v.model
    model.clear_assumptions()
    model.add_assumptions([rules.assume[rule] for rule in assumed])
    return run(model, None, Budget(clock, 1.0, DETERMINISTIC, linear=1)).status


def _where(trip: Trip, rule: Rule) -> Place:
    family, subject = rule
    if family in {"together", "apart"}:
        return trip.companies[int(subject)].where
    if family in {"lead", "sweep"}:
        return trip.order.where
    if family == "tied":
        return trip.paddlers[subject].where
    if family == "take":
        return trip.kit[subject].where
    if family == "stowed" and trip.stores is not None:
        return trip.stores.where
    return trip.boats[subject].where


def _say(trip: Trip, rule: Rule) -> str:
    family, subject = rule
    if family in {"together", "apart"}:
        names = ", ".join(trip.companies[int(subject)].paddlers)
        return f"{names} sit in one boat" if family == "together" else f"{names} sit apart"
    if family == "tied":
        return f"{subject} sits in '{trip.paddlers[subject].boat}'"
    if family == "take":
        return f"{trip.kit[subject].take} x {subject} must be taken along"
    if family in {"lead", "sweep", "stowed"}:
        return _say_of_trip(trip, family, subject)
    boat = trip.boats[subject]
    hardest = asks.hardest_class(trip, subject)
    hold_ml = boat.type.hold_ml or 0
    sentences = {
        "hold": f"'{subject}' has room for {show_volume(hold_ml)}",
        "seats": f"'{subject}' has {boat.type.seats} seat{'' if boat.type.seats == 1 else 's'}",
        "least-crew": f"'{subject}' needs a crew of {asks.least_crew(boat.type, hardest)}",
        "payload": f"'{subject}' carries {show_mass(boat.type.payload_g)} and has "
        f"{show_mass(boat.dry_load_g)} of dry load",
        "steerer": _say_steerer(trip, subject),
    }
    return sentences[family]


def _say_of_trip(trip: Trip, family: str, subject: str) -> str:
    """Return what a rule says that is about no one boat, paddler or thing."""
    if family == "lead":
        return f"the first boat's steerer has level {trip.order.lead}"
    if family == "sweep":
        return f"the last boat has something of kind '{subject}'"
    return _say_stores(trip)


def _say_stores(trip: Trip) -> str:
    """Return what the stores come to on their heaviest morning."""
    lots = asks.list_lots(trip)
    day = max(trip.days, key=lambda d: (asks.mass_by_morning(lots, d), -d))
    mass, volume = asks.mass_by_morning(lots, day), asks.volume_by_morning(lots, day)
    said = f"all stores are aboard, {show_mass(mass)} and {show_volume(volume)}"
    return f"{said} on the morning of day {day}"


def _say_steerer(trip: Trip, name: str) -> str:
    """Return what a boat asks of its steerer, for which rapid, and who of its leg answers that."""
    boat, rapid = trip.boats[name], asks.find_hardest(trip, name)
    kind = boat.type
    level = asks.boat_level(trip, name, guests_aboard=False)
    higher = asks.boat_level(trip, name, guests_aboard=True)
    guests = f", {higher} with guests aboard" if higher > level else ""
    water = f" for class {rapid.class_text} on day {rapid.day}, {rapid.name}" if rapid else ""
    party = trip.list_party(trip.legs[boat.leg])
    people = sorted(p.name for p in party.values() if not p.minded)
    able = [p for p in people if party[p].level(kind.skill) >= level]
    if able:
        nearest = f", which {' or '.join(able)} can"
    elif people:
        best = max(people, key=lambda p: party[p].level(kind.skill))
        nearest = f"; nearest to it is {best} with {party[best].level(kind.skill)}"
    else:
        hurt = any(p.hurt for p in party.values())
        nearest = f" and all are guests{' or hurt' if hurt else ''}"
    return f"'{name}' needs a steerer with {kind.skill} {level}{guests}{water}{nearest}"
