"""The aims in turn, each fixed before the next, each with value, bound and proof.

A trip of several legs is first solved leg by leg; where all legs can stand at their best at once,
aims 2 to 5 are settled by that. In a leg it is asked first whether every rapid can stand at its
floors at once: then aims 2 and 3 are settled in one go. Other aims are minimised one by one, with
the floors as cuts where they are valid. Each run starts from the plan so far; as all have one
worker, one seed and limits in the solver's own time, the way to the plan is the same each time.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build import Rules, TripModel, Variables, build_model
from kitplan.build.variables import add_up
from kitplan.needs.extent import MANY, is_large
from kitplan.solve.begin import arrange, find_least_short, hint_before
from kitplan.solve.competing import Competing
from kitplan.solve.conflict import explain_conflict
from kitplan.solve.floors import COVER_AIMS, Floors, Limits, find_floors
from kitplan.solve.legs import solve_legs
from kitplan.solve.level import Levels, level_stores, moves_stores
from kitplan.solve.options import (
    ALL_AIMS,
    AT_ONCE,
    DETERMINISTIC,
    NEAR,
    NEAR_UNITS,
    SHARES,
    SHORT_AIMS,
    SOON,
    Solution,
    SolveOptions,
    keep_quiet,
)
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import Answer, Budget, Clock, run, start_from
from kitplan.solve.soon import plan_soon

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.build.variables import Linear
    from kitplan.demands import Needs
    from kitplan.trip import Trip

    Watch = Callable[[str], None]


def solve_trip(
    trip: Trip, needs: Needs, options: SolveOptions, clock: Clock | None = None
) -> Solution:
    """Return the best seats, packing and stations found, aim by aim, with bounds.

    Stopping the clock from another thread ends the search: what was found so far is returned.
    """
    return _Solver(trip, needs, options, clock or Clock(options.time_limit_s)).solve()


def _solve_leg(options: SolveOptions, trip: Trip, needs: Needs, clock: Clock) -> Solution:
    """Return what a leg alone comes to; what would have to be said of it is not."""
    return replace(solve_trip(trip, needs, options, clock), findings=[])


class _Solver:
    """The state of one solve: the model, the last solution, what is fixed so far."""

    def __init__(self, trip: Trip, needs: Needs, options: SolveOptions, clock: Clock) -> None:
        self.trip, self.needs, self.options, self.watch = trip, needs, options, options.watch
        self.clock = clock
        self.done = Solution("unknown", clock=clock, canonical=False)
        self.rapids = sorted({case.rapid for case in needs.cases})
        self.fixed: dict[str, int | None] = {}
        self.by_leg: list[dict[str, int]] = []  # values each leg is held at
        self.hints: list[int] = []
        self.most_moves: int | None = None  # from what there is already, once that is settled
        short = (f"short_of_{tier}" for tier in trip.tiers)
        later = (a for a in ALL_AIMS if a in options.aims and a not in SHORT_AIMS)
        later = (a for a in later if a != "moves" or options.before)
        asked = dict.fromkeys((*short, *COVER_AIMS, *later), 0)
        self.done.bounds.update(asked)
        self.soon: dict[str, int] = {}  # decisions of a plan to fall back on
        self.later = True  # whether aims 5 to 8 are tried
        self.at_floors = True  # every rapid stands at its floors of all aims fixed so far

    def solve(self) -> Solution:
        """Run the steps in turn, each from the best plan so far; stop where there is none."""
        if not self._start() or not self._settle_short():
            return self.done
        by_few = len(self.rapids) > MANY and self.done.rowing is None
        if len(self.trip.legs) > 1 or not by_few:
            self._plan_soon()
        if len(self.trip.legs) > 1 and self._settle_legs():
            settled = True
        elif by_few:
            settled = self._settle_competing()
        else:
            self._find_floors()
            settled = self._settle_cover()
        if settled and "moves" in self.done.bounds:
            self._settle_moves()
        if settled and "backed" not in self.done.values:
            self._settle_backed()
        done = settled and self._settle_later()
        self.done.canonical = done and not self.clock.cut and not self.options.fast
        return self.done

    def _find_floors(self) -> None:
        if not self.done.floors.value:
            self.watch("what each rapid could do alone")
            twice = self.done.rowing is not None
            limits = Limits(self.clock, self._share("floors"), self.options.workers, twice)
            self.done.floors = find_floors(self.trip, self.needs, limits)
        self.floors = self.done.floors
        self._record(COVER_AIMS[0], self.floors.total(COVER_AIMS[0]))

    # --- legs -----------------------------------------------------------------------------------

    def _settle_legs(self) -> bool:
        """Settle aims 2 to 5 by each leg's own best; say whether all legs can have it at once."""
        self.watch("each leg alone")
        # Few moves come before what is backed, and are a matter of all legs.
        later = () if self.options.before else tuple(a for a in self.options.aims if a == "backed")
        alone = replace(self.options, workers=1, aims=later, watch=keep_quiet, soon=False)
        solve = partial(_solve_leg, alone)
        legs = solve_legs(self.trip, self.needs, solve, self.clock, self.options.workers)
        self.clock.cut |= not legs or any(leg.clock.cut for leg in legs)
        # As little has to be rowed twice in all legs as in each by itself.
        if not legs or (self.done.rowing or 0) != sum(leg.rowing or 0 for leg in legs):
            return False
        self.done.floors = Floors.join(leg.floors for leg in legs)
        aims = [aim for aim in (*COVER_AIMS, "backed") if all(aim in leg.values for leg in legs)]
        if not set(COVER_AIMS) <= set(aims) or not self._has_time("legs"):
            return False
        self.watch("all legs together")
        self.tm = self._build(backing="backed" in aims)
        self.by_leg = [{aim: leg.values[aim] for aim in aims} for leg in legs]
        self._hold_legs()
        answer = self._complete({name: n for leg in legs for name, n in leg.decided.items()})
        if not answer.found:
            answer = run(self.tm.model, None, self._budget("legs"))
        if not answer.found:
            self.by_leg = []
            return False
        self._take(answer)
        for aim in aims:
            self._record(aim, sum(leg.bounds[aim] for leg in legs))
        return True

    def _hold_legs(self) -> None:
        """Hold each leg at the values it has alone, where the trip was solved so."""
        for number, values in enumerate(self.by_leg):
            rapids = [name for name, rapid in self.trip.rapids.items() if rapid.leg == number]
            for aim, value in values.items():
                backed = aim == "backed"
                here = (self.tm.unbacked[r] if backed else self.tm.gap[r][aim] for r in rapids)
                self.tm.model.add(add_up(here) <= value)

    def _complete(self, decided: dict[str, int]) -> Answer:
        """Solve with seats, order and stations as they were decided, by the names of variables.

        Of each thing a boat has no less than was decided, so that kit which one leg takes and
        another one has no use for can be stowed there.
        """
        trial = self.tm.model.clone()
        for what, variable in self.tm.v.list_decisions(trial):
            if variable.name in decided and what != "taken":
                value = decided[variable.name]
                trial.add(variable >= value if what == "pack" else variable == value)
        aim = self.tm.total("backed") if self.tm.backing else None
        return run(trial, aim, self._budget("completed"))

    def _build(self, *, backing: bool) -> TripModel:
        """Return the model of all rapids; who rows twice does so no more than need be."""
        return build_model(self.trip, self.needs, self.done.rowing, backing=backing)

    def _start(self) -> bool:
        """Take any seating, packing and stations that keep the rules; say whether there are any.

        That somebody rows twice is tried only if there are none else.
        """
        answer = self._seat(twice=False)
        if answer.status == "infeasible" and asks.may_row_twice(self.trip):
            answer = self._seat(twice=True)
            if answer.status == "feasible":
                # The fewest minutes are not known, so no plan can stand on them.
                answer, self.done.arrangement = replace(answer, status="unknown"), None
            self.done.rowing = answer.value if answer.found else None
        if answer.found:
            self.done.status = "feasible"
            return True
        self.done.status = answer.status
        if answer.status == "infeasible":
            self.done.findings = explain_conflict(self.trip, max(self.clock.left_s(), 5.0))
        return False

    def _seat(self, *, twice: bool) -> Answer:
        """Look for anything that keeps the rules; with `twice` the least walking back up."""
        variables = Variables(self.trip, self.trip.rapids, twice=twice)
        rules = Rules(variables)
        rules.add_all()
        if self.options.before:
            hint_before(variables, self.options.before)
        answer = run(variables.model, rules.rowing() if twice else None, self._budget("start"))
        if answer.found:
            self.done.arrangement = read_arrangement(variables, answer.read)
            self.hints = answer.list_values()[: variables.decided]
            names = variables.model.proto.variables
            self.done.decided = {names[n].name: value for n, value in enumerate(self.hints)}
        return answer

    def _settle_short(self) -> bool:
        """Hold what carriage rules and spreads are short of at its least; say whether it is known.

        A leg of a trip holds what was found for all legs together.
        """
        if not self.trip.tiers or self.trip.short_at_most:
            return True
        self.watch("what is to be carried")
        short = find_least_short(self.trip, self.hints, self.done.rowing, self._budget("short"))
        if short is None:
            self.clock.cut = True
            return False
        for tier, bound in short.bounds.items():
            self._record(f"short_of_{tier}", bound)
        self.trip = replace(self.trip, short_at_most=short.at_most)
        self.done.short, self.done.arrangement = short.at_most, short.arrangement
        self.done.decided, self.hints = short.decided, list(short.decided.values())
        return True

    def _share(self, step: str) -> float:
        """Return the share of the limit that is spent when a step is done, if all goes into it."""
        if set(self.options.aims) <= set(COVER_AIMS):
            return min(1.0, SHARES[step] / SHARES["cover"])
        return SHARES[step]

    def _has_time(self, step: str) -> bool:
        """Say whether the clock leaves time for a step; if not, that is noted."""
        left = self.clock.left_s(self._share(step)) > 0
        self.clock.cut |= not left
        return left

    # --- aims 2 to 4 ----------------------------------------------------------------------------

    def _settle_competing(self) -> bool:
        """Settle aims 2 to 4 with few rapids together; say whether the later aims can be tried."""
        limits = Limits(self.clock, self._share("cover"), self.options.workers)
        competing = Competing(self.trip, self.needs, limits)
        outcome = competing.settle(self.done.decided, self.watch)
        self.done.floors = outcome.floors
        for aim, bound in outcome.bounds.items():
            self._record(aim, bound)
        found = outcome.found
        if found is None:
            if not self.soon:
                self._arrange(outcome.partial)
            self.clock.cut |= not self.clock.left_s(self._share("cover"))
            return False
        self._arrange(found.decided)
        self.done.values = dict(zip(COVER_AIMS, found.total, strict=True))
        self.done.decided = found.decided
        self.fixed |= self.done.values
        self.clock.cut |= not self.clock.left_s(self._share("cover"))
        if is_large(self.trip, self.needs) or not set(self.options.aims) - set(COVER_AIMS):
            self.later = False
            return True
        self.watch("all rapids together")
        self.tm = self._build(backing=False)
        answer = self._complete(found.decided)
        if answer.found:
            self._take(answer)
        return answer.found

    def _arrange(self, decided: dict[str, int]) -> None:
        """Take what was decided, if anything was, and any stations where nothing is asked."""
        found = arrange(self.trip, decided, self._budget("start")) if decided else None
        self.done.arrangement = found or self.done.arrangement

    def _plan_soon(self) -> None:
        """Have a plan to fall back on, where time may run out and nobody rows twice."""
        asks_much = len(self.needs.demands) >= SOON and self.options.soon
        if asks_much and self.done.rowing is None and not self.options.before:
            self.watch("a plan to fall back on")
            limits = Limits(self.clock, self._share("soon"), 1)
            self.soon = plan_soon(self.trip, self.needs, limits)
            self._arrange(self.soon)

    def _settle_cover(self) -> bool:
        """Settle aims 2 to 4; say whether time allowed to hold each at the best value found."""
        if not self._has_time("cover"):
            return False
        self.tm = self._build(backing=False)
        aims: tuple[str, ...] = COVER_AIMS
        if all(self.floors.proven[aim] for aim in AT_ONCE) and self._stand_at_floors():
            aims = aims[len(AT_ONCE) :]
        return all(self._settle_cover_aim(aim) for aim in aims)

    def _stand_at_floors(self) -> bool:
        """Say whether every rapid can stand at its floors of aims 2 and 3; if so, they are done.

        That of aim 4 is left out: it is met seldom, and to show that it is not takes long.
        """
        self.watch("whether every rapid can be at its best at once")
        trial = self.tm.model.clone()
        for rapid in self.rapids:
            for aim in AT_ONCE:
                trial.add(self.tm.gap[rapid][aim] <= self.floors.value[rapid][aim])
        answer = run(trial, None, self._budget("cover"))
        if not answer.found:
            return False
        self._take(answer)
        for aim in AT_ONCE:
            self._record(aim, self.floors.total(aim))
            self._fix(aim, None)
        return True

    def _settle_cover_aim(self, aim: str) -> bool:
        """Minimise an aim, the earlier ones held; say whether there was time to find anything."""
        self.watch(f"aim {aim}")
        floor = self.floors.total(aim) if self.at_floors else 0
        if self.at_floors:
            for rapid in self.rapids:
                self.tm.model.add(self.tm.gap[rapid][aim] >= self.floors.value[rapid][aim])
        start_from(self.tm.model, self.hints)
        answer = run(self.tm.model, self.tm.total(aim), self._budget("cover"))
        if not answer.found:
            self._record(aim, floor)
            return False
        self._take(answer)
        self._record(aim, max(answer.bound, floor))
        if self.at_floors and self.floors.proven[aim] and answer.value == floor:
            self._fix(aim, None)
        else:
            self.at_floors = False
            self._fix(aim, answer.value)
        return True

    def _fix(self, aim: str, value: int | None) -> None:
        """Hold an aim at a value, or with None each rapid at its floor."""
        self.fixed[aim] = value
        if value is not None:
            self.tm.model.add(self.tm.total(aim) <= value)
            return
        for rapid in self.rapids:
            self.tm.model.add(self.tm.gap[rapid][aim] <= self.floors.value[rapid][aim])

    # --- aims 5 to 8 ----------------------------------------------------------------------------

    def _settle_later(self) -> bool:
        """Settle aims 6 to 8 as far as time allows; say whether it did not run out."""
        settle: dict[str, Callable[[], object]] = {
            "mass": lambda: self._minimise("mass", self.tm.total("mass")),
            "balance": self._settle_balance,
            "changes": lambda: self._minimise("changes", self.tm.add_changes()),
        }
        for aim in settle if self.later else ():
            if aim in self.options.aims and self._has_time(aim):
                self.watch(f"aim {aim}")
                settle[aim]()
        if "balance" in self.options.aims:
            self._level_stores()
        return not self.clock.cut

    def _settle_balance(self) -> None:
        """Make the fullest boat as low as can be, then the fullest of the others, and so on.

        The bound recorded is that of the fullest boat.
        """
        levels = Levels(self.tm.rules)
        answer = fullest = levels.settle(partial(self._minimise, "balance"))
        proven = fullest.status == "proven"
        while levels.left and answer.found and self._has_time("balance"):
            # Below a level that is not proven nothing can be, so no time is spent on proof.
            step, look = ("balance", self._minimise) if proven else ("next level", self._look_near)
            answer = levels.settle(partial(look, step))
            proven &= answer.status == "proven"
        self._record("balance", fullest.bound)

    def _level_stores(self) -> None:
        """Deal stores evenly, with all else as it is."""
        moved = self.options.before is not None or not moves_stores(self.done.decided)
        if self.done.arrangement is None or moved:
            return
        self.watch("stores dealt evenly")
        decided = level_stores(self.trip, self.done.decided, self._budget("level"))
        found = arrange(self.trip, decided, self._budget("start"))
        if found is not None:
            stowed = found.stowed
            self.done.arrangement = replace(self.done.arrangement, stowed=stowed)
            self.done.decided = decided

    def _settle_moves(self) -> None:
        """Hold the moves from what there is already at as few as can be found.

        First whether there need be none at all.
        """
        before = self.options.before
        if before is None or not (self.later and self._has_time("moves")):
            return
        self.watch("aim moves")
        moves = self.tm.add_moves(before)
        trial = self.tm.model.clone()
        trial.add(moves <= 0)
        start_from(trial, self.hints)
        answer = run(trial, None, self._budget("moves"))
        if answer.found:
            self._take(answer)
        else:
            answer = self._minimise("moves", moves)
        if answer.found:
            self.most_moves = answer.value
            self.tm.model.add(moves <= answer.value)

    def _settle_backed(self) -> None:
        """Go on with a model that has the backed ways too, at the values of aims 2 to 4 and moves.

        Without a better one there is the plan so far.

        They are left out before, since they only slow the earlier aims down. The bound recorded is
        that of all cases without a backed way, the uncovered ones included.
        """
        if "backed" not in self.options.aims or not (self.later and self._has_time("backed")):
            return
        self.watch("aim backed")
        earlier = self.tm, self.hints
        self.tm = self._build(backing=True)
        for aim, value in list(self.fixed.items()):
            self._fix(aim, value)
        self._hold_legs()
        if self.options.before and self.most_moves is not None:
            self.tm.model.add(self.tm.add_moves(self.options.before) <= self.most_moves)
        answer = self._complete(self.done.decided)
        if answer.found:
            self._take(answer)
        if not self._minimise("backed", self.tm.total("backed")).found:
            if answer.found:
                self.tm.model.add(self.tm.total("backed") <= answer.value)
            else:
                self.tm, self.hints = earlier

    def _minimise(self, aim: str, expression: Linear) -> Answer:
        """Minimise from the last solution, hold the value, and return what was found.

        What is found near that solution is found soon.
        """
        near = self._look_near(aim, expression) if aim in NEAR else None
        start_from(self.tm.model, self.hints)
        answer = run(self.tm.model, expression, self._budget(aim))
        self._record(aim, answer.bound)
        if near is not None and near.found and not (answer.found and answer.value <= near.value):
            answer = replace(near, bound=answer.bound)
        if answer.found:
            self._take(answer)
            self.tm.model.add(expression <= answer.value)
        return answer

    def _look_near(self, aim: str, expression: Linear) -> Answer:
        """Minimise with some kinds of decisions as they are, then with others; return the best.

        It proves nothing.
        """
        budget = replace(self._budget(aim), deterministic=NEAR_UNITS[aim])
        best: Answer | None = None
        for held in NEAR[aim]:
            trial = self.tm.model.clone()
            decisions = self.tm.v.list_decisions(trial)
            for (what, variable), value in zip(decisions, self.hints, strict=False):
                if what in held:
                    trial.add(variable == value)
            start_from(trial, self.hints)
            answer = run(trial, expression, budget)
            if answer.found and (best is None or answer.value <= best.value):
                self._take(answer)
                best = replace(answer, status="feasible", bound=0)
        return best or answer

    def _record(self, aim: str, bound: int) -> None:
        self.done.bounds[aim] = bound

    # --- small parts ----------------------------------------------------------------------------

    def _budget(self, step: str) -> Budget:
        workers = self.options.workers if self.options.fast else 1
        linear = step in {"mass", "balance", "next level", "level"}
        return Budget(self.clock, self._share(step), DETERMINISTIC[step], workers, linear)

    def _take(self, answer: Answer) -> None:
        self.done.arrangement = read_arrangement(self.tm.v, answer.read)
        self.hints = answer.list_values()
        aims = (*COVER_AIMS, *(("backed",) if self.tm.backing else ()))
        self.done.values = {aim: answer.evaluate(self.tm.total(aim)) for aim in aims}
        proto = self.tm.model.proto.variables
        self.done.decided = {proto[n].name: self.hints[n] for n in range(self.tm.v.decided)}
