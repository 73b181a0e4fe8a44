"""What a trip of several legs can reach for money: each leg by itself, each thing charged to one.

The legs are payers (`solve/payers`), and so are the rules of what is carried, in a model without
rapids. What a leg uses is charged to it, the smallest leg first; the largest one pays for all the
rest. Then what each could do for its share adds up to a bound, for any budget. What they bought is
put together then (`solve/joints`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

from kitplan.remedies import TEACH
from kitplan.solve.joints import Joiner, Joint
from kitplan.solve.parts import NEVER, Limit
from kitplan.solve.payers import Payer, Terms, name_change
from kitplan.solve.reach import Outcome, Reach, Reached

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from kitplan.solve.booths import Booths
    from kitplan.solve.parts import Values
    from kitplan.solve.payers import Charged, Front, Point, Vector

T = TypeVar("T")

ROUNDS = 3  # of asking a leg with all free that it has not used so far
FOR_WHOLE = 0.5  # of the limit: until then what is not proven is asked in one model of all rapids
TRIES = 8  # of putting together what legs bought, for one limit

Stair = list[tuple[int, "Vector"]]
"""Cents charged and values: with fewer cents than one row's nothing beats those of the next."""


@dataclass(frozen=True, slots=True)
class Level:
    """What can be reached while no more is short than the rules allow for so much money."""

    short: Values
    loose: Values
    stair: Stair
    joints: list[Joint]


class Shares:
    """A widened trip of several legs, and what has been found out about it by legs."""

    def __init__(
        self, reach: Reach, number: int, booths: Booths, holds: Callable[[Reached], bool]
    ) -> None:
        """Solve nothing yet.

        `reach`: the same trip, which is asked in one model where legs don't do; `holds` counts anew
        whether something that was put together reaches what it is to.
        """
        self.reach, self._number, self._booths, self._holds = reach, number, booths, holds
        self.clock, self._joiner = reach.clock, Joiner(reach)
        self.rules = Payer(reach.bare, reach.short, {})
        self.legs = booths.open(number, reach.widened, reach.cover)
        self._claims: list[Charged] = []  # of the rules, then of each leg
        self._tiers: dict[int | None, Front] = {}
        self._levels: dict[tuple[int | None, int], Level] = {}

    @property
    def brought_cents(self) -> int:
        """Return what it costs to bring those who are brought."""
        return self.reach.brought_cents

    def find(self, limit: Limit, bar: Reached | None = None) -> Outcome:
        """Return the best within a limit; nothing where it is no better than the bar."""
        brought = self.brought_cents
        cents = NEVER if limit.cents is None else limit.cents
        tiers = self._list_tiers(limit.mass_g)
        number = next((number for number, least in tiers if least <= cents), None)
        if number is None:
            none = dict.fromkeys((*self.reach.short, *self.reach.cover), 0)
            return Outcome(None, none, brought, brought)
        # With no bound on cover yet, what is short may say it all.
        bounds = self._bound_short(limit)
        if _is_beaten(bounds, bar):
            return Outcome(None, bounds, brought, brought)
        level = self._get_level(limit.mass_g, number)
        bounds = self._bound(level, limit)
        if _is_beaten(bounds, bar):
            return Outcome(None, bounds, brought, brought)
        outcome = self._tell(level, bounds, limit)
        if not _is_proven(outcome) and self.clock.left_s():
            more, others = self._ask_within(level, limit)
            bounds = max(bounds, others, key=lambda one: tuple(one.values()))
            outcome = self._tell(more, bounds, limit)
        return self._settle(outcome, limit, bar)

    def _tell(self, level: Level, bounds: Values, limit: Limit) -> Outcome:
        """Return what is reached on a level, and what it costs at least.

        A plan that beats a bound shows that the bound is wrong.
        """
        reached = self._join_best(level, limit)
        least = self._count_least(level, reached) if reached else self.brought_cents
        if reached and (
            tuple(reached.values.values()) < tuple(bounds.values()) or reached.price_cents < least
        ):
            message = f"{reached.values} for {reached.price_cents}: bounds are {bounds}, {least}"
            raise RuntimeError(message)
        return Outcome(reached, bounds, least, self.brought_cents)

    def _ask_within(self, level: Level, limit: Limit) -> tuple[Level, Values]:
        """Return a level with what legs reach when each has the limit to itself, and the bound.

        For little money that says more than what they do for their shares.
        """
        terms = Terms({}, limit, level.short, level.loose)
        waiting = [self._booths.ask(self._number, leg, terms) for leg in range(len(self.legs))]
        least = none = (0,) * len(self.reach.cover)
        joints = [Joint(none, (), ())]
        for front in (wait() for wait in waiting):
            least = _add(least, min((row for _, row in front.bounds), default=none))
            joints = _drop_beaten(_unite(joints, front.points), _rate)
        joints = sorted([*level.joints, *joints], key=lambda one: (one.values, one.limit))
        return replace(level, joints=joints), self._add_cover(level, limit, least)

    def _settle(self, outcome: Outcome, limit: Limit, bar: Reached | None) -> Outcome:
        """Return what came of a question, asked in one model too where it is not proven so far."""
        found = outcome.reached
        if found is None:
            return self._ask_whole(outcome, limit, bar)
        late = self.clock.left_s(FOR_WHOLE) <= 0
        return outcome if _is_proven(outcome) or late else self._ask_whole(outcome, limit, found)

    def _ask_whole(self, outcome: Outcome, limit: Limit, bar: Reached | None) -> Outcome:
        """Return what comes of a question in one model of all rapids, with what was known before.

        Nothing is found there that is no better than what was found before.
        """
        whole = self.reach.find(limit, bar)
        bounds = max(outcome.bounds, whole.bounds, key=lambda one: tuple(one.values()))
        found, least = whole.reached or outcome.reached, outcome.least_cents
        if found is not None and found is whole.reached:
            least = whole.least_cents
        elif found is not None:
            least = max(least, whole.least_for(found.values) or 0)
        return Outcome(found, bounds, least, self.brought_cents)

    # --- bounds ---------------------------------------------------------------------------------

    def _bound_short(self, limit: Limit) -> Values:
        """Return what nothing within a limit beats, by the rules alone."""
        cents = NEVER if limit.cents is None else limit.cents - self.brought_cents
        rows = (row for start, row in self._get_tiers(limit.mass_g).bounds if start <= cents)
        short = dict(zip(self.reach.short, min(rows), strict=True))
        return short | dict.fromkeys(self.reach.cover, 0)

    def _bound(self, level: Level, limit: Limit) -> Values:
        """Return what nothing within a limit beats."""
        cents = NEVER if limit.cents is None else limit.cents - self.brought_cents
        least = min(row for start, row in level.stair if start <= cents)
        if max(least, default=0) >= NEVER:
            # Whether more may be short then is asked in one model.
            least = (0,) * len(least)
        return self._add_cover(level, limit, least)

    def _add_cover(self, level: Level, limit: Limit, least: Vector) -> Values:
        """Return a bound on cover with that on what is short, where the level is at the latter."""
        bounds = self._bound_short(limit)
        if any(bounds[tier] != n for tier, n in level.short.items()):
            return bounds
        return bounds | dict(zip(self.reach.cover, least, strict=True))

    def _count_least(self, level: Level, reached: Reached) -> int:
        """Return what the values of something cost at least."""
        values = tuple(reached.values[aim] for aim in self.reach.cover)
        starts = [start for start, row in level.stair if row <= values]
        return self.brought_cents + min(starts, default=0)

    # --- what is short --------------------------------------------------------------------------

    def _list_tiers(self, mass_g: int | None) -> list[tuple[int, int]]:
        """Return what may be short at best, by number, and what that costs at least."""
        front = self._get_tiers(mass_g)
        return [
            (number, self.brought_cents + min(s for s, row in front.bounds if row <= one.values))
            for number, one in enumerate(front.points)
            if any(row <= one.values for _, row in front.bounds)
        ]

    def _get_tiers(self, mass_g: int | None) -> Front:
        """Return what the rules ask; its points the best first, each with less short than others.

        What they use is charged to them.
        """
        if mass_g not in self._tiers:
            terms = Terms(self.rules.prices, Limit(None, mass_g), {}, {})
            claimed, front = _claim(self.rules.find_front, terms)
            self._claims = self._claims or [claimed]
            points = {one.values: one for one in sorted(front.points, key=_price, reverse=True)}
            best = [points[values] for values in sorted(points)]
            self._tiers[mass_g] = replace(front, points=tuple(best))
        return self._tiers[mass_g]

    # --- levels ---------------------------------------------------------------------------------

    def _get_level(self, mass_g: int | None, number: int) -> Level:
        key = (mass_g, number)
        if key not in self._levels:
            self._levels[key] = self._make_level(mass_g, number)
        return self._levels[key]

    def _make_level(self, mass_g: int | None, number: int) -> Level:
        """Ask all legs: with no more money, but on the first level, than the level before costs."""
        tiers = self._get_tiers(mass_g)
        point = tiers.points[number]
        most = _price(tiers.points[number - 1]) - 1 if number else None
        # Of the tiers one may be less where an earlier one is more.
        loose = [max(row) for row in zip(*(one.values for one in tiers.points), strict=True)]
        names = list(self.reach.short)
        short = dict(zip(names, point.values, strict=True))
        terms = Terms({}, Limit(most, mass_g), short, dict(zip(names, loose, strict=True)))
        fronts = self._ask_legs(terms)
        stair: Stair = [(start, ()) for start, row in tiers.bounds if row <= point.values]
        stair = [(min(start for start, _ in stair), (0,) * len(self.reach.cover))]
        joints = [Joint(stair[0][1], point.remedies, ())]
        for front in fronts:
            rows = front.bounds or ((0, (0,) * len(self.reach.cover)),)
            sums = [(a + b, _add(u, v)) for a, u in stair for b, v in rows]
            stair = _drop_beaten(sums, lambda one: one)
            joints = _drop_beaten(_unite(joints, front.points), _rate)
        joints.sort(key=lambda one: (one.values, one.limit))
        return Level(short, terms.loose, stair, joints)

    def _ask_legs(self, terms: Terms) -> list[Front]:
        """Return the fronts of all legs; the first time it is seen what is charged to whom."""
        legs = range(len(self.legs))
        if len(self._claims) > 1:
            waiting = [
                self._booths.ask(self._number, leg, terms._replace(charged=claim))
                for leg, claim in zip(legs, self._claims[1:], strict=True)
            ]
            return [wait() for wait in waiting]
        for leg in legs:
            self._booths.begin(self._number, leg, terms)
        left = _take_off(self.rules.prices, self._claims[0])
        fronts: dict[int, Front] = {}
        claims: dict[int, Charged] = {}
        *small, largest = sorted(legs, key=self.legs.count_demands)
        for leg in small:
            ask = self._booths.asker(self._number, leg)
            claims[leg], fronts[leg] = _claim(ask, terms._replace(charged=left))
            left = _take_off(left, claims[leg])
        claims[largest] = left
        fronts[largest] = self._booths.asker(self._number, largest)(terms._replace(charged=left))
        for leg in self._split(claims, fronts):
            ask = self._booths.asker(self._number, leg)
            fronts[leg] = ask(terms._replace(charged=claims[leg]))
        self._claims += [claims[leg] for leg in legs]
        return [fronts[leg] for leg in legs]

    def _split(self, claims: dict[int, Charged], fronts: dict[int, Front]) -> list[int]:
        """Charge what several legs use to all of them alike; return whose charges are others then.

        What the rules use is theirs: legs have to have it for them.
        """
        changed = set[int]()
        for one in self.rules.prices:
            cents = sum(claim.get(one, 0) for claim in claims.values())
            users = [leg for leg, front in fronts.items() if _list_used(front, {one: cents})]
            if len(users) > 1 and one not in self._claims[0]:
                for leg in sorted(claims):
                    share = (cents + users.index(leg)) // len(users) if leg in users else 0
                    changed |= {leg} if share != claims[leg].get(one, 0) else set()
                    claims[leg] = claims[leg] | {one: share}
        return sorted(changed)

    # --- together -------------------------------------------------------------------------------

    def _join_best(self, level: Level, limit: Limit) -> Reached | None:
        """Return the best within a limit that goes together; None: none was found."""
        within = (one for one in level.joints if limit.allows(one.limit))
        found = (self._joiner.join(one, level.short) for one in islice(within, TRIES))
        return next((one for one in found if one and self._holds(one)), None)


# --- small parts ----------------------------------------------------------------------------------


def _is_beaten(bounds: Values, bar: Reached | None) -> bool:
    return bar is not None and tuple(bounds.values()) > tuple(bar.values.values())


def _is_proven(outcome: Outcome) -> bool:
    found = outcome.reached
    return (
        found is not None
        and found.values == outcome.bounds
        and found.price_cents <= outcome.least_cents
    )


def _claim(ask: Callable[[Terms], Front], terms: Terms) -> tuple[Charged, Front]:
    """Return what a payer is charged of what is left, and what it reaches with all else free.

    That is what it uses; and what it would use if that were free, at no more than it spends: for
    less that does not take its place, and the rest is left for others.
    """
    front = ask(terms)
    most = max((point.charge(terms.charged) for point in front.points), default=0)
    claimed = _list_used(front, terms.charged)
    for _ in range(ROUNDS):
        front = ask(terms._replace(charged=claimed))
        used = _list_used(front, terms.charged)
        more = {one: min(cents, most) for one, cents in used.items() if one not in claimed}
        if not more:
            break
        claimed = claimed | more
    return claimed, front


def _list_used(front: Front, charged: Charged) -> Charged:
    used = {name_change(one) for point in front.points for one in point.remedies}
    return {one: cents for one, cents in charged.items() if cents and name_change(one) in used}


def _take_off(charged: Charged, claimed: Charged) -> Charged:
    """Return what is left to be charged to others."""
    return {one: cents - claimed.get(one, 0) for one, cents in charged.items()}


def _price(point: Point) -> int:
    return sum(one.price_cents for one in point.remedies)


def _unite(joints: Iterable[Joint], points: Sequence[Point]) -> list[Joint]:
    """Return what was bought with each of some points of a further leg."""
    united = []
    for joint in joints:
        for point in points:
            most = {name_change(one): one for one in joint.remedies}
            for one in point.remedies:
                had = most.get(name_change(one))
                if had is None or had.count < one.count:
                    most[name_change(one)] = one
            remedies = tuple(sorted(most.values()))
            taught = [one.name for one in remedies if one.sort == TEACH]
            if len(taught) == len(set(taught)):
                values = _add(joint.values, point.values)
                united.append(Joint(values, remedies, (*joint.points, point)))
    return united


def _add(one: Vector, other: Vector) -> Vector:
    return tuple(min(NEVER, a + b) for a, b in zip(one, other, strict=True))


def _rate(joint: Joint) -> tuple[int, Vector]:
    return joint.limit.cents or 0, joint.values


def _drop_beaten(rows: Iterable[T], rate: Callable[[T], tuple[int, Vector]]) -> list[T]:
    """Return those rows that reach more than all that cost no more."""
    kept: list[T] = []
    for one in sorted(rows, key=rate):
        if not kept or rate(one)[1] < rate(kept[-1])[1]:
            kept.append(one)
    return kept
