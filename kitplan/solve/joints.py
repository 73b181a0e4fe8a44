"""What legs reached by themselves, put together: one party, and one set of things taken along.

First in the model without rapids: seats, order and stations as each leg has them, at least as much
packed, what one leg takes and another one has no use for stowed there. Where that does not go, in
the model of all rapids, where packing is open, then all.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from kitplan.build import Variables
from kitplan.build.variables import add_up
from kitplan.remedies import TEACH, Remedy
from kitplan.solve.parts import Limit, hint
from kitplan.solve.payers import COPIES, name_change
from kitplan.solve.reach import Reach, Reached, rename
from kitplan.solve.read import read_arrangement
from kitplan.solve.run import Budget, run

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build.mending import Bill
    from kitplan.build.variables import Linear
    from kitplan.solve.parts import Asked, Values
    from kitplan.solve.payers import Point, Vector
    from kitplan.solve.run import Answer

# The solver's deterministic time: in the model without rapids, with packing open, with all open.
BARE, PACKED, OPEN = 4.0, 2.0, 8.0


class Joint(NamedTuple):
    """What legs bought in all, the values it reaches, and the point of each leg."""

    values: Vector
    remedies: tuple[Remedy, ...]
    points: tuple[Point, ...]

    @property
    def limit(self) -> Limit:
        """Return what all of it costs and weighs."""
        return Limit(
            sum(one.price_cents for one in self.remedies), sum(one.mass_g for one in self.remedies)
        )


class Joiner:
    """Puts together what legs of a trip reached."""

    def __init__(self, reach: Reach) -> None:
        """Solve nothing yet."""
        self.reach = reach

    def join(self, joint: Joint, short: Values) -> Reached | None:
        """Return a plan of all legs with no more short, bought or missed; None: none was found."""
        decided = {name: n for point in joint.points for name, n in point.decided.items()}
        bare = self.reach.bare
        model = self._limit(bare, joint, self.reach.short, short)
        _hold(bare.v, model, decided)
        _hold_packed(bare.v, model, decided)
        answer = self._ask(model, bare.bill, BARE)
        if answer.found:
            names, solved = bare.v.model.proto.variables, answer.list_values()
            decided |= {names[n].name: solved[n] for n in range(bare.v.decided)}
            return self._read(joint, short, bare, answer, decided)
        return self._join_open(joint, short, decided)

    def _join_open(self, joint: Joint, short: Values, decided: Values) -> Reached | None:
        whole = self.reach.whole
        cover = dict(zip(self.reach.cover, joint.values, strict=True))
        model = self._limit(whole, joint, self.reach.aims, short | cover)
        hint(whole.v, model, decided)
        near = model.clone()
        _hold(whole.v, near, decided)
        for one in whole.v.station.values():
            if one.name in decided:
                near.add(one == decided[one.name])
        answer = self._ask(near, whole.bill, PACKED)
        answer = answer if answer.found else self._ask(model, whole.bill, OPEN)
        if not answer.found:
            return None
        names, solved = whole.v.model.proto.variables, answer.list_values()
        found = {names[n].name: solved[n] for n in range(whole.v.decided)}
        return self._read(joint, short, whole, answer, found)

    def _limit(
        self, asked: Asked, joint: Joint, aims: Mapping[str, Linear], most: Values
    ) -> cp_model.CpModel:
        """Return a clone of a model with what was bought and taught, and aims held."""
        model, bill = asked.limit(joint.limit), asked.bill
        counts = {name_change(one): one.count for one in joint.remedies}
        for remedy, made in bill.made.items():
            model.add(bill.count(made) <= counts.get(name_change(remedy), 0))
            if remedy.sort == TEACH:
                model.add(made >= counts.get(name_change(remedy), 0))
        for aim, total in aims.items():
            model.add(total <= most[aim])
        return model

    def _ask(self, model: cp_model.CpModel, bill: Bill, units: float) -> Answer:
        price = COPIES * bill.cost() + bill.changes() + bill.pieces()
        return run(model, price, Budget(self.reach.clock, 1.0, units))

    def _read(
        self, joint: Joint, short: Values, asked: Asked, answer: Answer, decided: Values
    ) -> Reached:
        arrangement = read_arrangement(self._v, lambda one: decided.get(one.name, 0))
        return Reached(
            short | dict(zip(self.reach.cover, joint.values, strict=True)),
            asked.bill.list_remedies(answer.read),
            rename(arrangement, self.reach.widened.name_person),
        )

    @cached_property
    def _v(self) -> Variables:
        """Return variables with the stations of all rapids, by whose names a plan is read."""
        trip = self.reach.widened.trip
        return Variables(trip, trip.rapids)


def _hold(v: Variables, model: cp_model.CpModel, decided: Values) -> None:
    """Keep seats, steerers and order; who is taught for one leg sits where he did in another."""
    for some in _list_held(v):
        there = [decided[one.name] for one in some if one.name in decided]
        if there:
            model.add(add_up(some) == sum(there))


def _list_held(v: Variables) -> Iterator[list[cp_model.IntVar]]:
    people = [names for p, names in v.alike.items() if not v.trip.paddlers[p].taught]
    for keyed in (v.seat, v.steer):
        for b in v.boats:
            for names in people:
                yield [keyed[p, b] for p in names if (p, b) in keyed]
    for one in v.place.values():
        yield [one]


def _hold_packed(v: Variables, model: cp_model.CpModel, decided: Values) -> None:
    """Have as much packed at least; bundles that lie quick would be carried ashore."""
    for (item, _, carried), one in v.pack.items():
        if one.name in decided:
            more = carried == "stowed" or not v.trip.kit[item].item.contains
            n = decided[one.name]
            model.add(one >= n if more else one == n)
