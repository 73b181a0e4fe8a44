"""Competing rapids: only rapids that compete are solved together.

Given seats, packing and running order, what happens at one rapid has nothing to do with another
one. So a few rapids are solved together, then each of the rest is asked what it comes to with the
seats, packing and order found. Where all of these stand at their floors, the best they could do by
themselves, the whole trip is at its best: the few can't do better together, nor the others alone.
Otherwise those that lose most join the few, and it begins anew. Where it is not proven what the few
come to, the best plan is improved by turns, seats and packing for the stations and stations for
these, then with all rapids in one model: a part of it is let go, the rest held, again and again.
That proves nothing, and finds good plans soon. Where there is no time for a model of all rapids,
the turns come first.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.build import TripModel, Variables
from kitplan.build.variables import add_up
from kitplan.needs.extent import is_large
from kitplan.solve.begin import spread
from kitplan.solve.dealt import deal_out
from kitplan.solve.floors import COVER_AIMS, Floors, add_on_floors, count_never
from kitplan.solve.repack import NEARS, Packer
from kitplan.solve.run import Answer, Budget, run, run_soon, start_from
from kitplan.solve.singles import Asked, Floor, Singles, hint

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.solve.floors import Limits
    from kitplan.solve.singles import Decided, Vector
    from kitplan.trip import Trip

FEW = 4  # rapids at first, at least, and of those that join at a time
FIRST = 8  # rapids at first, at most
# The solver's deterministic time for one run; to repack, for each demand.
DETERMINISTIC = {
    "spread": 2.0,
    "repacked": 0.0004,
    "at floors": 3.0,
    "together": 10.0,
    "filled in": 2.0,
    "around": 3.0,
}
SPREAD = 0.2  # of the limit: what may be spent when the start is there
SMALLER = 3.0  # times as long as to build it, to make a model smaller as well, about
ROOMY = 5.0  # the same, to have time for the few before turns
SEARCH = 2.0  # times as long as to build it, to search a model for a while as well
AGAIN = 0.6  # times as long as to ask all rapids at first, to ask them once more, about
REPACK = 1.2  # times as long as to ask all rapids at first, to build seats and packing for all
WORST = 0.3  # the same, kept free to ask those that lose most where there is no time to ask all
OPEN = 1.0  # times as long as to ask a rapid with all decided, to build it with all open, about
PARTS = (0.75, 0.9, 1.0)  # of the time for aims 2 to 4: what is spent when each of them is done


@dataclass(slots=True)
class Found:
    """A plan of all rapids: what each adds to the aims, and every decision by its name."""

    vectors: dict[str, Vector]
    decided: Decided

    @property
    def total(self) -> Vector:
        """Return the values of the aims."""
        return tuple(sum(column) for column in zip(*self.vectors.values(), strict=True))


@dataclass(slots=True)
class Settled:
    """The best plan found, a bound for each aim, and the floors that had to be known.

    `partial`: what was decided for those asked so far, where time did not allow to ask all.
    """

    found: Found | None = None
    partial: Decided = field(default_factory=dict)
    bounds: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COVER_AIMS, 0))
    floors: Floors = field(default_factory=Floors)


class Competing:
    """Settles aims 2 to 4 with as few rapids together as will do."""

    def __init__(self, trip: Trip, needs: Needs, limits: Limits) -> None:
        """Order the rapids by how much they weigh; nothing is solved yet."""
        self.trip, self.needs, self.limits = trip, needs, limits
        weight: dict[str, int] = {}
        for case in needs.cases.values():
            weight[case.key.rapid] = weight.get(case.key.rapid, 0) + case.weight
        self.rapids = sorted(weight, key=lambda rapid: (-weight[rapid], rapid))
        self.few = self.rapids[: min(max(FEW, len(self.rapids) // 5), FIRST)]
        self.outcome = Settled()
        self.at_floors = True  # the few stand at their floors of all aims so far
        self.exact = True  # all aims so far are proven: bounds of later ones are bounds
        self._hints: Decided = {}
        self._whole: TripModel | None = None
        self._demands = Counter(demand.rapid for demand in needs.demands)
        self._demand_s = 0.0  # about how long a demand takes to be built with all open
        self._asks_s = 0.0  # how long it took to ask all rapids
        self._roomy = True  # whether there is time for a model of all rapids
        self._never: dict[str, dict[str, int]] = {}
        self._packer = Packer(trip, needs)
        self._repacked: Vector = ()  # what the plan came to that repacking made no better
        self._singles: Singles

    def settle(self, decided: Decided, watch: Callable[[str], None]) -> Settled:
        """Return the best plan found in time, with bounds.

        `decided`: decisions of any plan, by their names, where none can be dealt out by hand.
        """
        with Singles(self.trip, self.needs, self.rapids, self.limits) as self._singles:
            # Meanwhile processes start.
            budget = replace(self._budget("spread", 0), share=SPREAD)
            self._hints = deal_out(self.trip, budget) or decided
            if large := is_large(self.trip, self.needs):
                self._hints = self._spread(self._hints)
            self._never = count_never(self.trip, self.needs)
            self._raise_bounds()
            watch("each rapid as the start leaves it")
            began_s = self.limits.clock.spent_s
            self._keep(self._ask(self._hints, {}, self.rapids))
            self._asks_s = self.limits.clock.spent_s - began_s
            self._demand_s = OPEN * self._asks_s * self.limits.workers / len(self.needs.demands)
            self._roomy = self.limits.left_s() > self._guess_s(self.rapids, ROOMY)
            if not self._roomy:
                self._repack(0, watch)
            elif not large:
                self._start_anew(watch)
            held: list[int] = []  # the value of each aim settled so far
            for number in range(len(COVER_AIMS)):
                self._settle_aim(number, held, watch)
                if self.outcome.found is None:
                    break
                held.append(self._best.total[number])
            self.outcome.floors = self._tell_floors()
            self._raise_bounds()
        return self.outcome

    def _spread(self, dealt: Decided) -> Decided:
        """Return seats, packing and order with what is asked for in many boats, else as dealt."""
        budget = replace(self._budget("spread", 0), share=SPREAD, linear=1)
        return spread(self.trip, self.needs, dealt, budget) or dealt

    def _start_anew(self, watch: Callable[[str], None]) -> None:
        """Try the other start, and go on from the better one, dealt out by hand at times."""
        watch("each rapid with kit spread out")
        self._keep(self._ask(self._spread(self._hints), {}, self.rapids))
        if self.outcome.found:
            self._hints = self._best.decided

    def _repack(self, number: int, watch: Callable[[str], None]) -> None:
        """Find seats and packing for the stations, stations for these, and so on while it helps.

        Aims 2 and 3 alone get better by it, in this order.
        """
        nears = list(NEARS[-1:] if self._repacked else NEARS)
        takes_s = REPACK * self._asks_s
        units = DETERMINISTIC["repacked"] * len(self.needs.demands)
        # Making a model smaller takes as long as all the rest of a turn.
        share = self._share_to_repack(number)
        budget = Budget(self.limits.clock, share, units, presolve=self._roomy)
        while nears and self.outcome.found and self._repacked != self._best.total:
            began_s, before = self.limits.clock.spent_s, self._best
            if self.limits.clock.left_s(budget.share) <= takes_s:
                self.limits.clock.cut = True
                return
            watch("seats and packing for the stations")
            better = self._packer.better(before.decided, nears[0], budget)
            takes_s = self.limits.clock.spent_s - began_s
            if better:
                watch("stations for these seats and packing")
                worst = sorted(self.rapids, key=lambda r: better.vectors[r], reverse=True)
                self._keep(self._ask(before.decided | better.shared, better.vectors, worst))
            if self._best is before or len(nears) > 1:
                nears.pop(0)
        if self.outcome.found:
            self._hints = self._best.decided
        if self.outcome.found and self.limits.clock.left_s(budget.share):
            self._repacked = self._best.total

    def _raise_bounds(self) -> None:
        """Let bounds be no less than what each rapid adds at least, by what is known so far."""
        for number, aim in enumerate(COVER_AIMS):
            least = (self._never[rapid][aim] for rapid in self.rapids)
            if number == 0:
                least = (self._tell_floor(rapid, 0).values[0] for rapid in self.rapids)
            self.outcome.bounds[aim] = max(self.outcome.bounds[aim], sum(least))

    @property
    def _best(self) -> Found:
        found = self.outcome.found
        if found is None:
            message = "nothing was found yet"
            raise ValueError(message)
        return found

    def _has_time(self, number: int, takes_s: float = 0.0) -> bool:
        """Say whether the part of the time that is an aim's leaves so many seconds and more."""
        enough = self.limits.clock.left_s(self._share(number)) > takes_s
        self.limits.clock.cut |= not enough
        return enough

    def _build(self, rapids: list[str]) -> TripModel:
        """Return a model of some rapids; note how long it takes."""
        began = self.limits.clock.spent_s
        tm = TripModel(Variables(self.trip, rapids), self.needs)
        took_s = self.limits.clock.spent_s - began
        self._demand_s = took_s / self._count_demands(rapids)
        return tm

    def _guess_s(self, rapids: list[str], times: float = SEARCH) -> float:
        """Return about how long a model of some rapids takes, in times of building it."""
        return times * self._demand_s * self._count_demands(rapids)

    def _count_demands(self, rapids: list[str]) -> int:
        return sum(self._demands[rapid] for rapid in rapids)

    def _settle_aim(self, number: int, held: list[int], watch: Callable[[str], None]) -> None:
        """Find the least value of an aim with the earlier ones held, as far as time allows."""
        aim, settled, searched = COVER_AIMS[number], False, False
        while self.exact and not settled and self._has_time(number, self._fit_few(number)):
            watch(f"aim {aim}, {len(self.few)} of {len(self.rapids)} rapids together")
            tm = self._build(self.few)
            self._hold(tm, held)
            hint(tm, tm.model, self._hints)
            answer = self._try_floors(tm, number) if self.at_floors and self._roomy else None
            answer = answer or self._minimise_few(tm, number)
            found = self._ask_all(tm, answer) if answer.found else None
            if found is not None and not (searched or answer.status == "proven"):
                searched = True
                self._keep(found)
                self._look_around(number, held, watch)
            settled = self._settle_few(answer, found, number)
            if searched and self._best.total[number] == self.outcome.bounds[aim]:
                settled = self.exact = True
        self.exact &= settled
        if not (self.exact or searched):
            self._look_around(number, held, watch)
        total = self._best.total[number] if self.outcome.found else 0
        self.at_floors &= self.exact and total == self._sum_floors(self.rapids, number)

    def _fit_few(self, number: int) -> float:
        """Return the seconds the few take at least; where time is short, drop what does not fit."""
        if self._roomy:
            return 0.0
        left_s = self.limits.clock.left_s(self._share(number))
        while len(self.few) > FEW and self._guess_s(self.few) > left_s:
            self.few.pop()
        return self._guess_s(self.few)

    def _settle_few(self, answer: Answer, found: Found | None, number: int) -> bool:
        """Go on from what the few came to; say whether no more of them would do any good.

        `found`: with all others asked too; None where time ran out.
        """
        if found is None:
            self.exact = False
            return True
        self._keep(found)
        rest = [rapid for rapid in self.rapids if rapid not in self.few]
        floors = self._find_floors(rest, number)
        bound = answer.bound + sum(floor.values[number] for floor in floors.values())
        bounds, aim = self.outcome.bounds, COVER_AIMS[number]
        bounds[aim] = max(bounds[aim], bound)
        losing = self._list_losing(found, floors, number)
        if losing:
            self.few += losing[:FEW]
            return False
        self.exact = answer.status == "proven" and all(f.exact[number] for f in floors.values())
        if self.exact:
            # Another plan may have been better by a later aim.
            self.outcome.found = found
        return True

    def _sum_floors(self, rapids: list[str], number: int) -> int:
        """Return what rapids come to at their floors of an aim."""
        floors = self._find_floors(rapids, number)
        return sum(floor.values[number] for floor in floors.values())

    # --- the few --------------------------------------------------------------------------------

    def _try_floors(self, tm: TripModel, number: int) -> Answer | None:
        """Return a plan in which the few stand at their floors; None: there is none, or no time."""
        trial = tm.model.clone()
        for rapid, floor in self._find_floors(self.few, number).items():
            trial.add(tm.gap[rapid][COVER_AIMS[number]] <= floor.values[number])
        answer = run_soon(trial, None, self._budget("at floors", number))
        least = self._sum_floors(self.few, number)
        return replace(answer, value=least, bound=least) if answer.found else None

    def _minimise_few(self, tm: TripModel, number: int) -> Answer:
        """Return the least the few come to together."""
        if not self.at_floors:
            return run_soon(tm.model, self._sum(tm, number), self._budget("together", number))
        gaps = {rapid: tm.gap[rapid][COVER_AIMS[number]] for rapid in self.few}
        floors = {r: f.values[number] for r, f in self._find_floors(self.few, number).items()}
        aim = add_on_floors(tm.model, gaps, floors)
        answer = run_soon(tm.model, aim, self._budget("together", number))
        return replace(answer, bound=max(answer.bound, sum(floors.values())))

    def _hold(self, tm: TripModel, held: list[int]) -> None:
        """Hold the few at what the earlier aims leave them, the rest standing at its floors."""
        rest = [rapid for rapid in self.rapids if rapid not in self.few]
        for number, value in enumerate(held):
            floors = self._find_floors(rest, number)
            left = value - sum(floor.values[number] for floor in floors.values())
            tm.model.add(self._sum(tm, number) <= left)

    def _sum(self, tm: TripModel, number: int) -> Linear:
        return add_up(tm.gap[rapid][COVER_AIMS[number]] for rapid in self.few)

    def _ask_all(self, tm: TripModel, answer: Answer) -> Found | None:
        """Return the plan that seats, packing and order of an answer make with all rapids.

        The few are asked too: by later aims they may do better with other stations.
        """
        return self._ask(_read(tm, answer), _read_vectors(tm, answer), self.rapids)

    # --- all rapids -----------------------------------------------------------------------------

    def _look_around(self, number: int, held: list[int], watch: Callable[[str], None]) -> None:
        """Improve the best plan with all rapids in one model, the earlier aims held."""
        if self.outcome.found is not None and number < len(COVER_AIMS) - 1:
            self._repack(number, watch)
        if self.outcome.found is None or not self._has_time(
            number, self._guess_s(self.rapids, SMALLER)
        ):
            return
        watch(f"aim {COVER_AIMS[number]}, around the best plan so far")
        whole = self._whole = self._whole or self._build(self.rapids)
        model = whole.model.clone()
        for earlier, value in enumerate(held):
            model.add(whole.total(COVER_AIMS[earlier]) <= value)
        gaps = {rapid: gap[COVER_AIMS[number]] for rapid, gap in whole.gap.items()}
        aim = add_on_floors(model, gaps, {r: self._tell_least(r, number) for r in self.rapids})
        as_is = model.clone()
        for _, variable in whole.v.list_decisions(as_is):
            if variable.name in self._best.decided:
                as_is.add(variable == self._best.decided[variable.name])
        answer = run_soon(as_is, aim, self._budget("filled in", number))
        if not answer.found:
            return
        start_from(model, answer.list_values())
        answer = run(model, aim, replace(self._budget("around", number), around=True))
        if answer.found:
            self._hints = _read(whole, answer)
            self._keep(Found(_read_vectors(whole, answer), self._hints))

    def _tell_least(self, rapid: str, number: int) -> int:
        """Return a rapid's floor where it is known and every plan left keeps it, else 0."""
        floor = self._singles.tell_floor(rapid).values
        return floor[number] if self.exact and number < len(floor) else 0

    # --- each rapid by itself -------------------------------------------------------------------

    def _ask(self, decided: Decided, vectors: dict[str, Vector], rest: list[str]) -> Found | None:
        """Ask each of the rest what it comes to with what was decided; None if time ran out.

        One of which it is known already stays as it is where that is better, or time ran out.
        """
        decided, vectors = dict(decided), dict(vectors)
        for rapid, one in zip(rest, self._singles.ask(rest, decided), strict=False):
            if one is not None and one.vector <= vectors.get(rapid, one.vector):
                vectors[rapid] = one.vector
                decided |= one.decided
            elif rapid not in vectors:
                self.outcome.partial = decided
                return None
        self._hints = decided
        return Found(vectors, decided)

    def _find_floors(self, rapids: list[str], number: int) -> dict[str, Floor]:
        """Return floors up to an aim; what adds nothing in the best plan can't do better."""
        vectors = self.outcome.found.vectors if self.outcome.found else {}
        nothing = Floor((0,) * (number + 1), (True,) * (number + 1))
        done = {r for r in rapids if r in vectors and not any(vectors[r][: number + 1])}
        asked = Asked(number, self.limits.share * PARTS[number])
        if self._roomy:
            rest = [rapid for rapid in rapids if rapid not in done]
            self._singles.find_floors(rest, asked, self._hints)
        return {r: nothing if r in done else self._tell_floor(r, number) for r in rapids}

    def _tell_floor(self, rapid: str, number: int) -> Floor:
        """Return what is known of a rapid's floors up to an aim: no less than what it never can."""
        known = self._singles.tell_floor(rapid).fill_up(number)
        never = [self._never[rapid][aim] for aim in COVER_AIMS]
        values = tuple(max(pair) for pair in zip(known.values, never, strict=False))
        return replace(known, values=values)

    def _list_losing(self, found: Found, floors: dict[str, Floor], number: int) -> list[str]:
        """Return the rapids that stand above their floors of this aim or an earlier one."""
        losses: dict[str, tuple[int, ...]] = {}
        for rapid, floor in floors.items():
            vector = found.vectors[rapid][: number + 1]
            loss = tuple(v - f for v, f in zip(vector, floor.values, strict=False))
            if any(step > 0 for step in loss):
                losses[rapid] = loss
        return sorted(losses, key=lambda rapid: (losses[rapid], rapid), reverse=True)

    def _tell_floors(self) -> Floors:
        """Return the floors of all rapids; what had not to be known is 0, and not proven.

        Where a rapid adds nothing to an aim, nothing is what it could do at best.
        """
        told = Floors({}, dict.fromkeys(COVER_AIMS, True))
        vectors = self.outcome.found.vectors if self.outcome.found else {}
        unmet = [r for r in self.rapids if any(vectors.get(r, (1,))[:2])]
        unmet.sort(key=lambda rapid: vectors.get(rapid, ()), reverse=True)
        for number in range(2) if self.limits.left_s() else ():
            self._singles.find_floors(unmet, Asked(number, self.limits.share), self._hints)
        for rapid in self.rapids:
            vector = vectors.get(rapid, (1,) * len(COVER_AIMS))
            floor = self._singles.tell_floor(rapid)
            told.value[rapid] = {}
            for number, aim in enumerate(COVER_AIMS):
                known = number < len(floor.values)
                told.value[rapid][aim] = floor.values[number] if known else 0
                told.proven[aim] &= floor.exact[number] if known else not any(vector[: number + 1])
        return told

    def _keep(self, found: Found | None) -> None:
        best = self.outcome.found
        if found is not None and (best is None or found.total < best.total):
            self.outcome.found = found

    def _share(self, number: int) -> float:
        """Return the share of the limit that is spent when an aim of the few is settled.

        What it takes to ask all others after that is left.
        """
        asks = AGAIN * self._asks_s / self.limits.clock.limit_s
        return self.limits.share * PARTS[number] - asks

    def _share_to_repack(self, number: int) -> float:
        """Return the share of the limit that is spent when seats and packing are found anew.

        Where time is short there is little that serves better, and the worst can be asked again.
        """
        if self._roomy:
            return self._share(number)
        return self.limits.share - WORST * self._asks_s / self.limits.clock.limit_s

    def _budget(self, what: str, number: int) -> Budget:
        return Budget(self.limits.clock, self._share(number), DETERMINISTIC[what])


def _read(tm: TripModel, answer: Answer) -> Decided:
    """Return the decisions of an answer by their names."""
    values, proto = answer.list_values(), tm.model.proto.variables
    return {proto[n].name: values[n] for n in range(tm.v.decided)}


def _read_vectors(tm: TripModel, answer: Answer) -> dict[str, Vector]:
    """Return what each rapid of a model adds to the aims."""
    return {
        rapid: tuple(answer.evaluate(gap[aim]) for aim in COVER_AIMS)
        for rapid, gap in tm.gap.items()
    }
