"""What is lost of a plan's cover with one loss: each rapid at its best with it and without."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.terms import BANK_SITES, TermsBook
from kitplan.decide.missed import NOTHING, Lost, Missed
from kitplan.explain.scene import Party
from kitplan.explain.witness import Prover
from kitplan.needs.roster import worn_kinds
from kitplan.plan import DemandResult
from kitplan.solve.held import Waits

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator

    from kitplan.decide.losses import Loss, Piece
    from kitplan.demands import CaseKey, DemandKey, Needs, Thing, Variant
    from kitplan.plan import Arrangement, Packed
    from kitplan.solve.held import Waiting
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

    Teams = dict[DemandKey, list[tuple[Variant, DemandResult]]]
    Rise = tuple[int, int]


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
    def alike(self) -> tuple[str, tuple[Lost, ...]]:
        """Return what is the same for those told together: one's own things and oneself, pieces."""
        return self.paddler, self.lost

    @property
    def uncovered(self) -> int:
        """Return how many cases become uncovered."""
        return sum(len(one.uncovered) for one in self.lost)

    @property
    def one_bank(self) -> int:
        """Return for how many other cases a bank is lost."""
        return sum(len(one.one_bank) for one in self.lost)


@dataclass(frozen=True, slots=True)
class _Best:
    """A rapid at its best stations with nothing lost; `decided` as in `Waiting`.

    `teams`: for each demand all variants that meet it, each with a team.
    """

    teams: Teams
    missed: Missed
    decided: dict[str, int]


class Counter:
    """Counts loss after loss against each rapid at its best.

    `proven`: all stations found so far are proven to be the best. `late`: time ran out.
    """

    def __init__(self, trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock) -> None:
        self.trip, self.needs, self.clock = trip, needs, clock
        self.arrangement = arrangement
        self.waits = Waits(trip, needs, clock, TermsBook(trip, minded=True))
        self.best: dict[str, _Best] = {}
        self.proven, self.late = True, False
        self.cases: dict[str, list[CaseKey]] = {}
        self.demands: dict[CaseKey, list[DemandKey]] = {case: [] for case in needs.cases}
        for case in needs.cases:
            self.cases.setdefault(case.rapid, []).append(case)
        for key in needs.demands:
            if needs.choices[key.choice].covers:
                self.demands[key.case].append(key)
        self.worn, self.things = _list_asked(needs)
        self.left: dict[Hashable, dict[str, Missed]] = {}
        self.lost: dict[Hashable, tuple[Lost, ...]] = {}
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
            asked = (key for case in self.cases[rapid] for key in self.demands[case])
            teams = {key: self._list_teams(prover, key) for key in asked}
            missed = self.miss(rapid, [partial(_has_team, teams)])
            self.best[rapid] = _Best(teams, missed, decided.get(rapid, {}))

    def _list_teams(self, prover: Prover, key: DemandKey) -> list[tuple[Variant, DemandResult]]:
        """Return the variants that meet a demand, each with its team."""
        choice, without = self.needs.choices[key.choice], frozenset({key.running})
        return [
            (
                variant,
                DemandResult(
                    key,
                    met=True,
                    way=variant.way,
                    witness=prover.fill(choice, variant, without).parts,
                ),
            )
            for variant in choice.variants
            if prover.can(choice, variant, without)
        ]

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

    def miss(self, rapid: str, tests: Iterable[Callable[[DemandKey], bool]]) -> Missed:
        """Return what is missed at a rapid, where a demand is met that passes one of the tests.

        To later tests no more demands are put than it takes to know what covers a case.
        """
        met = {case: _find_met(self.demands[case], tests) for case in self.cases[rapid]}
        banks = {case: self.needs.cases[case].banks for case in met}
        return Missed(
            frozenset(case for case, found in met.items() if not found),
            frozenset(
                case for case, found in met.items()
                if len(banks[case]) > 1 and "" not in found and not found.issuperset(banks[case])
            ),
        )  # fmt: skip


def _has_team(teams: Teams, key: DemandKey) -> bool:
    return bool(teams[key])


class Hurt:
    """Somebody who may be hurt; `most`: what that costs at most."""

    def __init__(self, counter: Counter, loss: Loss) -> None:
        self.without = _Without(counter, loss)
        self.most = self.without.most

    def count(self) -> Count:
        """Return what is lost with him hurt."""
        counter, loss = self.without.counter, self.without.loss
        steers = list_steered_alone(counter.trip, counter.arrangement, loss.paddler)
        return replace(self.without.count(), steers=steers)


class Gone:
    """An item of which a piece may be gone; `most`: what that costs at most."""

    def __init__(self, counter: Counter, piece: Piece) -> None:
        self.counter, self.item = counter, piece.item
        dealt = [losses for _, losses in sorted(piece.dealt.items())]
        self.legs = [[_Without(counter, loss) for loss in losses] for losses in dealt]
        self.own = [_Without(counter, loss) for loss in piece.own]
        legs = _add_up(max(map(get_most, leg)) for leg in self.legs)
        self.most = max([legs, *map(get_most, self.own)])

    def count(self) -> Count:
        """Return what is lost with a piece gone from where it is missed most.

        A dealt piece is gone in all legs, and in each from the worst place.
        """
        nothing = Count(self.item, "", (), NOTHING, ())
        dealt = _join([nothing, *(self._find_worst(leg, nothing) for leg in self.legs)])
        return self._find_worst(self.own, dealt)

    def _find_worst(self, losses: list[_Without], least: Count) -> Count:
        """Return the first of the losses that cost most, or `least` if none costs more.

        Stations are looked for only where a loss may cost more than what is known.
        """
        worst = least
        for one in sorted(losses, key=get_most, reverse=True):
            if one.most <= worst.rise or self.counter.is_late():
                break
            worst = max(worst, one.count(), key=_rise)
        return worst


class _Without:
    """The trip without what is lost, and what it is short of then; models are made when asked.

    `most`: what it costs at most, which is what it does where stations stay as they are.
    """

    def __init__(self, counter: Counter, loss: Loss) -> None:
        self.counter, self.loss = counter, loss
        self.trip, self.arrangement = loss.take_from(counter.trip, counter.arrangement)
        self._asked: tuple[Needs, Waits] | None = None
        self._like = self._tell_like()
        if self._like not in counter.left:
            counter.left[self._like] = self._stay()
        self._left = counter.left[self._like]
        self.most = _add_up(self._rise(rapid, missed) for rapid, missed in self._left.items())

    def _stay(self) -> dict[str, Missed]:
        """Return what rapids miss that miss more with their stations as they are.

        What is sure to be met as it is told is not looked at again.
        """
        counter, left = self.counter, {}
        prover = Prover(Party(self.trip, self.arrangement), counter.needs)
        bare = self._bares()
        for rapid in counter.cases:
            if self.trip.rapids[rapid].leg not in self.loss.legs or counter.is_late():
                continue
            missed = counter.miss(rapid, self._list_tests(rapid, prover, bare=bare))
            if self._rise(rapid, missed) > NOTHING:
                left[rapid] = missed
        return left

    def _list_tests(
        self, rapid: str, prover: Prover, *, bare: bool
    ) -> list[Callable[[DemandKey], bool]]:
        """Return what tells whether a demand is met: by a team as it is told, or by another.

        What did not do before is not tried, but without a bundle, which frees hands.
        """
        teams, choices = self.counter.best[rapid].teams, self.counter.needs.choices
        spared = {
            key
            for key, ways in teams.items()
            if any(self._spares(key, team, bare=bare) for _, team in ways)
        }

        def is_met(key: DemandKey) -> bool:
            choice, without = choices[key.choice], frozenset({key.running})
            before = [variant for variant, _ in teams[key]]
            ways = choice.variants if before and self.loss.frees_hands(self.trip) else before
            return any(prover.can(choice, variant, without) for variant in ways)

        return [spared.__contains__, is_met]

    def _spares(self, key: DemandKey, result: DemandResult, *, bare: bool) -> bool:
        if self.loss.hurt:
            unhurried = self.counter.needs.choices[key.choice].unhurried
            return not self.loss.takes_part(result) and (unhurried or self._is_apart(key))
        if bare and self.loss.takes_part(result):
            return False
        return self.loss.is_spare(result, self.counter.trip)

    def _is_apart(self, key: DemandKey) -> bool:
        """Say whether who is hurt is on no bank: nobody has to mind him, and no hands are gone."""
        there = self.trip.rapids[key.rapid].boats
        stations = self.counter.arrangement.stations
        sites = (
            stations.get((key.rapid, place.boat, key.running), "")
            for place in self.loss.places
            if place.boat in there
        )
        return not any(site in BANK_SITES for site in sites)

    def _bares(self) -> bool:
        """Say whether somebody lacks what is worn at some work, without his piece."""
        bared = self.loss.list_bared(self.trip, self.counter.trip)
        return any(bared.intersection(kinds) for kinds in self.counter.worn)

    def _tell_like(self) -> Hashable:
        """Return what is the same for losses that cost the same.

        That is, of somebody's own things that do nothing but dress him, what he is dressed for
        without.
        """
        trip, loss = self.trip, self.loss
        if loss.hurt or not loss.paddler:
            return loss
        if any(asks.serves(trip.catalog.items[loss.item], thing) for thing in self.counter.things):
            return loss
        wears = worn_kinds(trip.paddlers[loss.paddler], trip.catalog)
        return loss.paddler, frozenset(k for k in self.counter.worn if wears.issuperset(k))

    def _rise(self, rapid: str, missed: Missed) -> tuple[int, int]:
        needs = self.counter.needs
        after, had = missed.weigh(needs), self.counter.best[rapid].missed.weigh(needs)
        return after[0] - had[0], after[1] - had[1]

    def count(self) -> Count:
        """Return what it costs, stations chosen anew."""
        known, loss = self.counter.lost, self.loss
        if self._like not in known:
            known[self._like] = tuple(self._list_lost())
        lost = known[self._like]
        return _join([Count(loss.item, loss.paddler, loss.places, NOTHING, lost)])

    def _list_lost(self) -> Iterator[Lost]:
        """Yield what each rapid loses, as long as there is time."""
        for rapid, missed in self._left.items():
            if not self.counter.is_late():
                row = self._find_lost(rapid, missed)
                if row.rise > NOTHING:
                    yield row

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
        """Return what the river asks without it, and who is asked for stations.

        What ways ask of whom is the same without a piece, unless somebody is bare without it.
        """
        if self._asked is None:
            counter = self.counter
            needs, book = counter.needs, counter.waits.book
            if self.loss.asks_anew(self.trip):
                needs, book = asks.derive_needs(self.trip), TermsBook(self.trip)
            elif self.loss.hurt:
                book = TermsBook(self.trip, whole=book)
            elif self._bares():
                book = TermsBook(self.trip)
            self._asked = needs, Waits(self.trip, needs, counter.clock, book)
        return self._asked


def _find_met(asked: list[DemandKey], tests: Iterable[Callable[[DemandKey], bool]]) -> set[str]:
    """Return the banks that a case is covered from; "" is from the water, and for all banks."""
    met: set[str] = set()
    for is_met in tests:
        for key in asked:
            if "" not in met and key.bank not in met and is_met(key):
                met.add(key.bank)
    return met


def _wait(arrangement: Arrangement, stations: dict[tuple[str, str, str], str]) -> Arrangement:
    return replace(arrangement, stations=arrangement.stations | stations)


def _list_asked(needs: Needs) -> tuple[frozenset[tuple[str, ...]], frozenset[Thing]]:
    """Return what somebody at work is asked to wear of his own, and the things that are asked for.

    Kinds that one and the same person wears are together.
    """
    variants = [variant for choice in needs.choices.values() for variant in choice.variants]
    options = [option for v in variants for slot in v.boats for option in slot.options]
    catches = [v.catch for v in variants if v.catch is not None]
    options += [option for catch in catches for option in catch.options]
    slots = [slot for variant in variants for slot in variant.persons]
    slots += [slot for option in options for slot in option.persons]
    given = [*(slot.ask for slot in slots), *(one.ask for c in catches for one in c.ashore)]
    worn = [*(one.wears for one in given), *(option.wears for option in options)]
    items = [slot for variant in variants for slot in variant.items]
    items += [slot for option in options for slot in option.items]
    things = [*(slot.thing for slot in items), *(one.bag for c in catches for one in c.ashore)]
    return frozenset(worn), frozenset(things)


def _join(parts: list[Count]) -> Count:
    """Return what is lost in some legs together."""
    lost = sorted((one for part in parts for one in part.lost), key=_rise, reverse=True)
    places = tuple(place for part in parts for place in part.places)
    return replace(parts[0], places=places, rise=_add_up(map(_rise, lost)), lost=tuple(lost))


def _add_up(rises: Iterable[Rise]) -> Rise:
    """Return what is added to each of the two aims in all."""
    rows = list(rises)
    return sum(row[0] for row in rows), sum(row[1] for row in rows)


def get_most(one: Hurt | Gone | _Without) -> Rise:
    """Return what a loss costs at most."""
    return one.most


def _rise(row: Count | Lost) -> Rise:
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
