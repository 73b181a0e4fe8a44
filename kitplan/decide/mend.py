"""What it takes to mend a trip: what to get, what it covers, and what stays open all the same.

What has a price is the solver's (`solve.mend`). All that is told of a set of remedies is counted
anew on the trip as it is with them, and the second program looks at it. For each remedy it is
asked what opens without it, all else packed and seated as it is told; where boats wait is chosen
anew, rapid by rapid.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.decide.choices import Decisions, list_decisions
from kitplan.decide.without import Closed, list_closed
from kitplan.explain import SolveOptions, plan_trip
from kitplan.explain.alone import Alone
from kitplan.explain.gaps import ALONE, UNPROVEN
from kitplan.explain.make import describe
from kitplan.needs import derive_needs
from kitplan.needs.widen import apply, widen
from kitplan.remedies import Mend
from kitplan.solve.floors import COVER_AIMS
from kitplan.solve.mend import Mending, goes_by_legs
from kitplan.solve.options import SHORT_AIMS
from kitplan.solve.parts import Limit
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from kitplan.demands import Needs
    from kitplan.errors import Finding
    from kitplan.plan import Arrangement, Plan
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    Watch = Callable[[str], None]

FOR_BARE = 0.3  # of the limit: for the trip as it is
FOR_PRICED = 0.6  # of what is left then; the rest is for what each closes, and what has no price
# By legs the trip as it is is a step among others, and made anew if that is not proven.
FOR_LEGS, FOR_BARE_AFTER = 0.67, 0.6  # of the limit, and of what is left then
FOR_CLOSED = 0.4  # of what is left then
NOTHING = Limit(0, 0)
# Sorts of gaps that stay open at the goal, and their notes.
BOUGHT = "whatever is bought, whoever comes, and whatever is packed where"
WEIGHED, OPENS = "nothing with a price closes it", "without opening as much elsewhere"
LIGHT = "nothing with a price that is light enough closes it"
UNKNOWN = "the limit cut in before it was known whether anything with a price closes it"


@dataclass(frozen=True, slots=True)
class MendOptions:
    """The most that remedies may cost and weigh, processes, and whether demands count as well.

    With `demands` it is also about demands that are met, not cover alone.
    """

    limit: Limit = field(default_factory=Limit)
    workers: int = 1
    demands: bool = False


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

    `made`: the best within `limit`; `goal`: the best for any money, within its mass. `bare`: the
    trip as it is, None if no plan of it was found. `curve`: from the goal downwards; `complete` if
    less money was looked for until nothing is paid, or no plan keeps the rules for less. `closed`:
    for each remedy of `made` what it closes. `left`: the plan of the goal, its gaps sorted by
    whether anything with a price closes them. `unpriced`: what these ask for that has no price.
    `faults`: what the second program has against the plan of `made`.
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


def mend_trip(trip: Trip, options: MendOptions, clock: Clock, watch: Watch) -> Mended | None:
    """Return what it takes to mend a trip; None if no plan was found at all."""
    limit, demands = options.limit, options.demands
    told = _Told(trip)
    priced, settled = _settle(told, options, clock, watch)
    if priced is None:
        return None
    goal, *_ = curve = [told.tell(one) for one in priced.curve]
    bare = None if curve[-1].mend.remedies else curve[-1]
    made = told.tell(priced.made)
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
        priced.whole and settled,
        tuple(closed),
        _sort_left(trip, goal, limit),
        tuple(_list_unpriced(trip, goal)),
        list_decisions(base.trip, base.needs, base.plan.arrangement, clock, watch),
        tuple(verify_plan(made.trip, made.plan)),
        demands,
    )


class _Told:
    """Plans of arrangements, each told once: for the values of its aims, then as a step."""

    def __init__(self, trip: Trip) -> None:
        """Tell nothing yet."""
        self.trip = trip
        self._plans: list[tuple[Arrangement, Trip, Needs, Plan]] = []

    def count(self, trip: Trip, arrangement: Arrangement) -> dict[str, int]:
        """Return the values of aims, counted anew by matching, of the trip with remedies made."""
        needs = derive_needs(trip)
        plan = describe(trip, needs, arrangement)
        self._plans.append((arrangement, trip, needs, plan))
        return {aim.name: aim.value for aim in plan.aims}

    def tell(self, mend: Mend) -> Step:
        """Return a mend as a step."""
        for arrangement, trip, needs, plan in self._plans:
            if arrangement is mend.arrangement:
                return Step(mend, trip, needs, plan)
        made = apply(self.trip, mend.remedies)
        needs = derive_needs(made)
        return Step(mend, made, needs, describe(made, needs, mend.arrangement))


def _settle(
    told: _Told, options: MendOptions, clock: Clock, watch: Watch
) -> tuple[_Priced | None, bool]:
    """Return what money reaches, and whether it is known what is reached with none."""
    trip = told.trip
    by_legs = goes_by_legs(trip)
    free, settled = None, True
    if not by_legs:
        watch("what is reached with nothing bought")
        free, settled = _plan_bare(trip, clock.part(FOR_BARE), options)
    part = clock.part(FOR_LEGS if by_legs else FOR_PRICED)
    demands, workers = options.demands, options.workers
    with Mending(trip, told.count, part, demands=demands, workers=workers) as mending:
        priced = _find_priced(mending, free, options.limit, watch)
        if not by_legs or (priced and not priced.curve[-1].remedies):
            return priced, settled
        watch("what is reached with nothing bought")
        free = mending.find_within(NOTHING)
    if free is None or free.remedies or free.values != free.bounds:
        planned, settled = _plan_bare(trip, clock.part(FOR_BARE_AFTER), options)
        free = join_bare(free, planned)
    return _end_with(priced, free, options.limit), settled


def join_bare(found: Mend | None, planned: Mend | None) -> Mend | None:
    """Return the better of two ways of the trip as it is; what bounds one bounds the other."""
    if found is None or found.remedies or planned is None:
        return planned or found
    bounds = max((one.bounds for one in (found, planned)), key=lambda row: tuple(row.values()))
    return replace(min((found, planned), key=_rate), bounds=bounds)


def _end_with(priced: _Priced | None, free: Mend | None, limit: Limit) -> _Priced | None:
    """Return what money reaches with what is reached with none at the end of it."""
    if free is None:
        return priced
    if priced is None:
        unknown = replace(free, bounds=dict.fromkeys(free.values, 0))
        return _Priced(unknown, (unknown,), whole=False)
    curve = tuple(drop_dearer([*priced.curve, free]))
    return replace(priced, made=_choose(priced.made, curve, limit), curve=curve)


def _plan_bare(trip: Trip, clock: Clock, options: MendOptions) -> tuple[Mend | None, bool]:
    """Return what the trip as it is reaches, and whether it is known that there is nothing else.

    None: no plan keeps the rules, which is known then, or time ran out before one was found.
    """
    told = (*SHORT_AIMS, *COVER_AIMS[: 3 if options.demands else 2])
    solving = SolveOptions(clock.limit_s, options.workers, aims=told)
    outcome = plan_trip(trip, solving, clock)
    if outcome.plan is None:
        return None, outcome.status == "infeasible"
    aims = [aim for aim in outcome.plan.aims if aim.name in told]
    values, bounds = ({a.name: getattr(a, what) for a in aims} for what in ("value", "bound"))
    return Mend((), values, bounds, 0, outcome.plan.arrangement), True


@dataclass(frozen=True, slots=True)
class _Priced:
    """What is made, and the curve; `whole`: each step of it was looked for."""

    made: Mend
    curve: tuple[Mend, ...]
    whole: bool


def _find_priced(mending: Mending, free: Mend | None, limit: Limit, watch: Watch) -> _Priced | None:
    """Return what money reaches, beside what is reached with nothing bought."""
    watch("what can be reached for money")
    goal = _find_better(mending, Limit(None, limit.mass_g), free)
    if goal is None:
        return None
    watch("the best within the limit")
    over = limit.cents is not None and goal.price_cents > limit.cents
    made = _find_better(mending, limit, free) if over else goal
    if made is None:
        return None
    watch("what less money reaches")
    curve = [*mending.list_curve(goal, limit.mass_g)] if goal.remedies else [goal]
    whole = not curve[-1].price_cents or (free is None and mending.clock.left_s() > 0)
    if free is not None and goal.remedies:
        curve = [*curve, free]
    curve = drop_dearer(curve)
    return _Priced(_choose(made, curve, limit), tuple(curve), whole)


def _choose(made: Mend, curve: Iterable[Mend], limit: Limit) -> Mend:
    """Return the best of all that keeps to a budget."""
    allowed = (one for one in curve if limit.cents is None or one.price_cents <= limit.cents)
    return min((made, *allowed), key=_rate)


def drop_dearer(curve: list[Mend]) -> list[Mend]:
    """Return the steps that reach more than all that cost less, the dearest one first.

    Where time ran out before a least price was proven, a step may have been found later that
    reaches as much for less. What is known of the values and the price of the one holds for the
    other; what no money betters is known of the first step alone.
    """
    kept: list[Mend] = []
    for one in reversed(curve):
        if not kept or _is_better(one, kept[-1]):
            kept.append(one)
        elif one.values == kept[-1].values:
            cheaper = kept.pop()
            least = min(cheaper.price_cents, max(one.least_cents, cheaper.least_cents))
            known = [one.bounds] if one is curve[0] else [one.bounds, cheaper.bounds]
            bounds = max(known, key=lambda row: tuple(row.values()))
            kept.append(replace(cheaper, bounds=bounds, least_cents=least))
    return kept[::-1]


def _rate(one: Mend) -> tuple[tuple[int, ...], int]:
    """Return what tells which of two is the better one: the lesser."""
    return tuple(one.values.values()), one.price_cents


def _find_better(mending: Mending, limit: Limit, free: Mend | None) -> Mend | None:
    """Return the best within a limit, or what nothing bought reaches where that is as good.

    That nothing reaches more is not known then, unless it was found out.
    """
    found = mending.find_within(limit)
    if free is None or (found is not None and _is_better(found, free)):
        return found
    bounds = dict.fromkeys(free.values, 0) if found is None else found.bounds
    return replace(free, bounds=bounds)


def _is_better(one: Mend, other: Mend) -> bool:
    return tuple(one.values.values()) < tuple(other.values.values())


# --- what stays open ------------------------------------------------------------------------------


def _sort_left(trip: Trip, goal: Step, limit: Limit) -> Plan:
    """Return the plan of the goal, its gaps sorted by whether anything for money closes them."""
    widened = widen(trip, sorted(trip.market.standbys))
    alone = Alone(widened.trip, twice=True)
    sought = WEIGHED if limit.mass_g is None else LIGHT
    best = (sought, OPENS) if goal.mend.values == goal.mend.bounds else (UNPROVEN, UNKNOWN)
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
