"""What it takes to mend a trip: what to get, what it covers, and what stays open all the same.

What has a price is the solver's (`solve.mend`). All that is told of a set of remedies is counted
anew on the trip as it is with them, and the second program looks at it. For each remedy it is
asked what opens without it, all else packed and seated as it is told; where boats wait is chosen
anew, rapid by rapid.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan.decide.choices import Decisions, list_decisions
from kitplan.decide.without import Closed, list_closed
from kitplan.explain.alone import Alone
from kitplan.explain.gaps import ALONE, UNPROVEN
from kitplan.explain.make import describe
from kitplan.explain.recount import recount
from kitplan.needs import derive_needs
from kitplan.needs.widen import apply, widen
from kitplan.solve.mend import Mending
from kitplan.solve.parts import Limit
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.demands import Needs
    from kitplan.errors import Finding
    from kitplan.plan import Plan
    from kitplan.remedies import Mend
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    Watch = Callable[[str], None]

FOR_PRICED = 0.6  # of the limit; the rest is for what each remedy closes, and what has no price
FOR_CLOSED = 0.4  # of what is left then
# Sorts of gaps that stay open at the goal, and their notes.
BOUGHT = "whatever is bought, whoever comes, and whatever is packed where"
WEIGHED, OPENS = "nothing with a price closes it", "that does not open as much elsewhere"
UNKNOWN = "the limit cut in before it was known whether anything with a price closes it"


@dataclass(frozen=True, slots=True)
class Step:
    """A set of remedies with the trip as it is with them, and its plan."""

    mend: Mend
    trip: Trip
    needs: Needs
    plan: Plan


@dataclass(frozen=True, slots=True)
class Mended:
    """What mending a trip came to.

    `made`: the best within `limit`; `goal`: the best for any money. `bare`: the best for none, None
    if none was found. `curve`: from the goal downwards; `complete` if less money was looked for
    until nothing is paid, or no plan keeps the rules for less. `closed`: for each remedy of `made`
    what it closes. `left`: the plan of the goal, its gaps sorted by whether anything with a price
    closes them. `unpriced`: what these ask for that has no price. `faults`: what the second program
    has against the plan of `made`.
    """

    trip: Trip
    limit: Limit
    made: Step
    goal: Step
    bare: Step | None
    curve: tuple[Step, ...]
    complete: bool
    closed: tuple[Closed, ...]
    left: Plan
    unpriced: tuple[str, ...]
    decisions: Decisions
    faults: tuple[Finding, ...]
    demands: bool = False


def mend_trip(
    trip: Trip, limit: Limit, clock: Clock, watch: Watch, *, demands: bool = False
) -> Mended | None:
    """Return what it takes to mend a trip within a limit; None if no plan was found at all.

    With `demands` it is also about demands that are met, not cover alone.
    """
    part = clock.part(FOR_PRICED)
    priced = _find_priced(Mending(trip, recount, part, demands=demands), limit, watch)
    if priced is None:
        return None
    goal, *_ = curve = [_tell(trip, one) for one in priced.curve]
    bare = None if curve[-1].mend.price_cents else curve[-1]
    made = _tell(trip, priced.made)
    watch("what each remedy closes")
    remedies, closing = priced.made.remedies, clock.part(FOR_CLOSED)
    closed = list_closed(trip, remedies, (made.trip, made.needs, made.plan), closing)
    base = bare or made
    return Mended(
        trip,
        limit,
        made,
        goal,
        bare,
        tuple(curve),
        priced.whole and (bare is not None or part.left_s() > 0),
        tuple(closed),
        _sort_left(trip, goal),
        tuple(_list_unpriced(trip, goal)),
        list_decisions(base.trip, base.needs, base.plan.arrangement, clock, watch),
        tuple(verify_plan(made.trip, made.plan)),
        demands,
    )


@dataclass(frozen=True, slots=True)
class _Priced:
    """What is made, and the curve; `whole`: each step of it was looked for."""

    made: Mend
    curve: tuple[Mend, ...]
    whole: bool


def _find_priced(mending: Mending, limit: Limit, watch: Watch) -> _Priced | None:
    """Return what money reaches; what nothing bought reaches is looked for first."""
    watch("what is reached with nothing bought")
    free = mending.find_within(Limit(0, limit.mass_g))
    watch("what can be reached for money")
    goal = mending.find_within(Limit(None, limit.mass_g)) or _doubt(free)
    if goal is None:
        return None
    watch("the best within the limit")
    over = limit.cents is not None and goal.price_cents > limit.cents
    made = mending.find_within(limit) or _doubt(free) if over else goal
    if made is None:
        return None
    watch("what less money reaches")
    curve = [*mending.list_curve(goal, limit.mass_g)]
    if not curve[-1].price_cents or free is None:
        return _Priced(made, tuple(curve), whole=True)
    return _Priced(made, (*curve, free), whole=False)


def _doubt(free: Mend | None) -> Mend | None:
    """Return what is reached with nothing bought, where nobody knows what money would reach."""
    return free and replace(free, bounds=dict.fromkeys(free.bounds, 0), least_cents=0)


def _tell(trip: Trip, mend: Mend) -> Step:
    made = apply(trip, mend.remedies)
    needs = derive_needs(made)
    return Step(mend, made, needs, describe(made, needs, mend.arrangement))


# --- what stays open ------------------------------------------------------------------------------


def _sort_left(trip: Trip, goal: Step) -> Plan:
    """Return the plan of the goal, its gaps sorted by whether anything for money closes them."""
    widened = widen(trip, sorted(trip.market.standbys))
    alone = Alone(widened.trip, twice=True)
    best = (WEIGHED, OPENS) if goal.mend.values == goal.mend.bounds else (UNPROVEN, UNKNOWN)
    gaps = []
    for gap in goal.plan.gaps:
        spot = (gap.rapid, gap.spot, gap.scenario)
        choices = [
            choice
            for key, choice in widened.needs.choices.items()
            if key[:3] == spot and choice.accepted and choice.covers and key.bank in {gap.bank, ""}
        ]
        able = any(alone.allows(choice, boat) for choice in choices for boat in gap.running)
        sort, note = best if able else (ALONE, BOUGHT)
        gaps.append(replace(gap, sort=sort, note=note))
    return replace(goal.plan, gaps=tuple(gaps))


def _list_unpriced(trip: Trip, goal: Step) -> list[str]:
    """Return what the gaps of the goal ask for that has no price: things, lessons, certificates."""
    market, kinds, skills, certificates = trip.market, set[str](), set[str](), set[str]()
    for gap in goal.plan.gaps:
        kinds |= {piece.name for piece in gap.missing if piece.what == "item"}
        roles = {piece.name for piece in gap.missing if piece.what == "person"}
        for key, choice in goal.needs.choices.items():
            if (key.rapid, key.spot, key.scenario, key.technique) != (
                gap.rapid, gap.spot, gap.scenario, gap.technique
            ):  # fmt: skip
                continue
            asks = [s.ask for v in choice.variants for s in v.persons if s.role in roles]
            skills |= {skill for ask in asks for skill, _ in ask.skills}
            certificates |= {ask.certificate for ask in asks if ask.certificate}
    taught = {lesson.skill for lesson in market.lessons}
    things = [
        item.name
        for item in trip.catalog.items.values()
        if item.kinds & kinds and item.name not in market.offers
    ]
    lessons = [f"a lesson in {skill}" for skill in sorted(skills - taught)]
    return [*things, *lessons, *(f"the certificate {one}" for one in sorted(certificates))]
