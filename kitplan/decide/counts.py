"""Who and what counts most: what cover is lost with somebody hurt, or with one piece gone.

Where boats wait is chosen anew then, rapid by rapid; seats, packing and running order stay as they
are. Rapids have nothing in common but these.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.decide.losses import list_hurt, list_pieces
from kitplan.decide.missed import NOTHING, Lost, Missed, find_missed
from kitplan.explain.scene import Party
from kitplan.explain.witness import Prover
from kitplan.solve.held import Waits

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.decide.losses import Loss, Piece
    from kitplan.demands import CaseKey, DemandKey, Needs
    from kitplan.plan import Arrangement, DemandResult, Packed
    from kitplan.solve.held import Waiting
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    Results = dict[DemandKey, DemandResult]


@dataclass(frozen=True, slots=True)
class Count:
    """Who or what counts, and for how much.

    `item`: of which one piece is gone; "" where a paddler is hurt. `paddler`: he, or whose own the
    piece is. `places`: where he sits or where it lies, once for each leg. `lost`: the most first.
    `steers`: boats that he alone can steer; their cover is counted as if they ran all the same.
    """

    item: str
    paddler: str
    places: tuple[Packed, ...]
    rise: tuple[int, int]
    lost: tuple[Lost, ...]
    steers: tuple[str, ...] = ()

    @property
    def uncovered(self) -> int:
        """Return how many cases become uncovered."""
        return sum(len(one.uncovered) for one in self.lost)

    @property
    def one_bank(self) -> int:
        """Return for how many other cases a bank is lost."""
        return sum(len(one.one_bank) for one in self.lost)


@dataclass(frozen=True, slots=True)
class Counted:
    """All who and what counts: people, and items at their worst places, those that cost most first.

    Who loses nothing is in it, what loses nothing is not. `complete`: all was asked, and all that
    is told is proven; else somebody or something may count for more, and be missing here.
    """

    rows: tuple[Count, ...]
    complete: bool


def count_most(
    trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock, watch: Callable[[str], None]
) -> Counted:
    """Return what is lost with each paddler hurt, and with one piece of each item gone.

    What it costs is the difference between two bests: of the stations with and those without. It is
    never below nothing, as whatever is possible without is possible with; but for a bundle, which
    keeps hands busy, and a line, without which two joined may do: where a loss helps a rapid, that
    rapid is left out.

    Nothing is solved for a rapid at which as much is covered without, stations and all else as they
    are at its best: it loses nothing then. A team that is told for a demand and has no use for what
    is lost is possible without, so that such demands are not even looked at again. Where somebody
    rows twice stations are not chosen anew, but stay as they are.
    """
    counter = _Counter(trip, needs, arrangement, clock)
    rows: list[Count] = []
    watch("the best stations of each rapid")
    counter.begin()
    watch("who counts most")
    _gather(rows, counter, map(counter.count_hurt, list_hurt(trip, arrangement)))
    watch("what counts most")
    _gather(rows, counter, map(counter.count_piece, list_pieces(trip, arrangement)))
    there = [row for row in rows if row.rise > NOTHING or not row.item]
    there.sort(key=lambda row: (*(-one for one in row.rise), row.item, row.paddler))
    return Counted(tuple(there), not counter.late and counter.proven)


def _gather(rows: list[Count], counter: _Counter, found: Iterator[Count]) -> None:
    """Take rows as long as there is time; one that time ran out for is not known."""
    for row in () if counter.is_late() else found:
        if counter.is_late():
            return
        rows.append(row)


@dataclass(frozen=True, slots=True)
class _Best:
    """A rapid at its best stations with nothing lost; `decided` as in `Waiting`."""

    results: Results
    missed: Missed
    decided: dict[str, int]


class _Counter:
    """Counts loss after loss against each rapid at its best.

    `proven`: all stations found so far are proven to be the best. `late`: time ran out.
    """

    def __init__(self, trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock) -> None:
        self.trip, self.needs, self.clock = trip, needs, clock
        self.arrangement = arrangement
        self.waits = Waits(trip, needs, clock)
        self.best: dict[str, _Best] = {}
        self.proven, self.late = True, False
        self.cases: dict[str, list[CaseKey]] = {}
        self.demands: dict[str, list[DemandKey]] = {}
        for case in needs.cases:
            self.cases.setdefault(case.rapid, []).append(case)
        for key in needs.demands:
            if needs.choices[key.choice].covers:
                self.demands.setdefault(key.rapid, []).append(key)
        self.asked_worn = _list_worn(needs)
        self._twice = {rapid for rapid, _ in arrangement.twice}

    def begin(self) -> None:
        """Find the best stations of all rapids."""
        decided: dict[str, dict[str, int]] = {}
        for rapid in self.cases:
            best = self.find(self.waits, rapid, self.arrangement, {})
            if best is not None:
                self.arrangement = _wait(self.arrangement, best.stations)
                decided[rapid] = best.decided
        prover = Prover(Party(self.trip, self.arrangement), self.needs)
        for rapid in () if self.is_late() else self.cases:
            results = {key: prover.prove(key) for key in self.demands.get(rapid, [])}
            missed = self.miss(rapid, results)
            self.best[rapid] = _Best(results, missed, decided.get(rapid, {}))

    def is_late(self) -> bool:
        """Say whether time has run out."""
        self.late |= not self.clock.left_s()
        return self.late

    def find(
        self, waits: Waits, rapid: str, arrangement: Arrangement, near: dict[str, int]
    ) -> Waiting | None:
        """Return the best stations of a rapid.

        None if time ran out, or if somebody rows twice there: stations stay as they are then.
        """
        if rapid in self._twice:
            return None
        found = waits.find(rapid, arrangement, near)
        self.late |= found is None
        self.proven &= found is not None and found.proven
        return found

    def miss(self, rapid: str, results: Results) -> Missed:
        """Return what is missed at a rapid with what is met there."""
        return find_missed(self.needs, self.cases[rapid], results)

    # --- losses -----------------------------------------------------------------------------------

    def count_hurt(self, loss: Loss) -> Count:
        """Return what is lost with somebody hurt."""
        steers = list_steered_alone(self.trip, self.arrangement, loss.paddler)
        return replace(_Without(self, loss).count(), steers=steers)

    def count_piece(self, piece: Piece) -> Count:
        """Return what is lost with a piece gone from where it is missed most.

        A dealt piece is gone in all legs, and in each from the worst place.
        """
        nothing = Count(piece.item, "", (), NOTHING, ())
        legs = [self._find_worst(losses, nothing) for _, losses in sorted(piece.dealt.items())]
        return self._find_worst(piece.own, _join([nothing, *legs]))

    def _find_worst(self, losses: list[Loss], least: Count) -> Count:
        """Return the first of the losses that cost most, or `least` if none costs more.

        Stations are looked for only where a loss may cost more than what is known.
        """
        worst = least
        without = [_Without(self, loss) for loss in losses]
        for one in sorted(without, key=lambda one: one.most, reverse=True):
            if one.most <= worst.rise or self.is_late():
                break
            worst = max(worst, one.count(), key=_rise)
        return worst


class _Without:
    """The trip without what is lost, and what it is short of then; models are made when asked.

    `most`: what it costs at most, which is what it does where stations stay as they are.
    """

    def __init__(self, counter: _Counter, loss: Loss) -> None:
        self.counter, self.loss = counter, loss
        self.trip, self.arrangement = loss.take_from(counter.trip, counter.arrangement)
        self._asked: tuple[Needs, Waits] | None = None
        self._left = self._stay()
        rises = [self._rise(rapid, missed) for rapid, missed in self._left.items()]
        self.most = (sum(rise[0] for rise in rises), sum(rise[1] for rise in rises))

    def _stay(self) -> dict[str, Missed]:
        """Return what rapids miss that miss more with their stations as they are.

        What is sure to be met as it is told is not looked at again.
        """
        counter, left = self.counter, {}
        prover = Prover(Party(self.trip, self.arrangement), counter.needs)
        bare = bool(self.loss.list_bared(self.trip, counter.trip) & counter.asked_worn)
        for rapid in counter.cases:
            if self.trip.rapids[rapid].leg not in self.loss.legs or counter.is_late():
                continue
            results = counter.best[rapid].results
            spoilt = {
                key: prover.prove(key)
                for key, result in results.items()
                if result.met and not self._spares(key, result, bare=bare)
            }
            missed = counter.miss(rapid, results | spoilt) if spoilt else None
            if missed is not None and self._rise(rapid, missed) > NOTHING:
                left[rapid] = missed
        return left

    def _spares(self, key: DemandKey, result: DemandResult, *, bare: bool) -> bool:
        if self.loss.hurt:
            unhurried = self.counter.needs.choices[key.choice].unhurried
            return unhurried and not self.loss.takes_part(result)
        if bare and self.loss.takes_part(result):
            return False
        return self.loss.is_spare(result, self.counter.trip)

    def _rise(self, rapid: str, missed: Missed) -> tuple[int, int]:
        needs = self.counter.needs
        after, had = missed.weigh(needs), self.counter.best[rapid].missed.weigh(needs)
        return after[0] - had[0], after[1] - had[1]

    def count(self) -> Count:
        """Return what it costs, stations chosen anew."""
        lost = []
        for rapid, missed in self._left.items():
            if not self.counter.is_late():
                row = self._find_lost(rapid, missed)
                lost += [row] if row.rise > NOTHING else []
        return _join(
            [Count(self.loss.item, self.loss.paddler, self.loss.places, NOTHING, (*lost,))]
        )

    def _find_lost(self, rapid: str, staying: Missed) -> Lost:
        """Return what a rapid loses from its best stations, or from those it has."""
        counter, had = self.counter, self.counter.best[rapid].missed
        needs, waits = self._ask()
        missed = staying
        best = counter.find(waits, rapid, self.arrangement, counter.best[rapid].decided)
        if best is not None:
            moved = Missed(best.uncovered, best.one_bank)
            missed = min(moved, staying, key=lambda one: one.weigh(needs))
        return missed.lose(counter.needs, rapid, had)

    def _ask(self) -> tuple[Needs, Waits]:
        """Return what the river asks without it, and who is asked for stations."""
        if self._asked is None:
            needs = self.counter.needs
            if self.loss.asks_anew(self.trip):
                needs = asks.derive_needs(self.trip)
            self._asked = needs, Waits(self.trip, needs, self.counter.clock)
        return self._asked


def _wait(arrangement: Arrangement, stations: dict[tuple[str, str, str], str]) -> Arrangement:
    return replace(arrangement, stations=arrangement.stations | stations)


def _list_worn(needs: Needs) -> frozenset[str]:
    """Return the kinds of things that somebody at work is asked to wear of his own."""
    variants = [variant for choice in needs.choices.values() for variant in choice.variants]
    options = [option for v in variants for slot in v.boats for option in slot.options]
    catches = [v.catch for v in variants if v.catch is not None]
    options += [option for catch in catches for option in catch.options]
    slots = [slot for variant in variants for slot in variant.persons]
    slots += [slot for option in options for slot in option.persons]
    given = [*(slot.ask for slot in slots), *(one.ask for c in catches for one in c.ashore)]
    worn = [*(one.wears for one in given), *(option.wears for option in options)]
    return frozenset(kind for kinds in worn for kind in kinds)


def _join(parts: list[Count]) -> Count:
    """Return what is lost in some legs together."""
    lost = sorted((one for part in parts for one in part.lost), key=_rise, reverse=True)
    places = tuple(place for part in parts for place in part.places)
    rise = (sum(one.rise[0] for one in lost), sum(one.rise[1] for one in lost))
    return replace(parts[0], places=places, rise=rise, lost=tuple(lost))


def _rise(row: Count | Lost) -> tuple[int, int]:
    return row.rise


def list_steered_alone(trip: Trip, arrangement: Arrangement, paddler: str) -> tuple[str, ...]:
    """Return the boats that he alone of their crews can steer, at the hardest rapid of their leg.

    Where somebody rows twice, easier ones are enough.
    """
    ask = asks.level_everywhere if arrangement.twice else asks.boat_level
    boats = []
    for boat, crew in sorted(arrangement.crew.items()):
        aboard = [trip.paddlers[name] for name in crew]
        level = ask(trip, boat, guests_aboard=any(one.guest for one in aboard))
        skill = trip.boats[boat].type.skill
        able = [one.name for one in aboard if one.level(skill) >= level and not one.minded]
        boats += [boat] if able == [paddler] else []
    return tuple(sorted(boats, key=lambda boat: trip.boats[boat].leg))
