"""What is changed in a model of a widened trip: its cost, how many changes, what comes along."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build.variables import add_up
from kitplan.remedies import BRING, BUY, TEACH, Remedy

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear, Variables
    from kitplan.needs.widen import Widened


class Bill:
    """Cost, changes and mass of what is bought and taught, as expressions over a model.

    `made`: a literal for each change that is open, by its remedy (of one copy): at least 1 if it is
    made. In the order of remedies.
    """

    def __init__(self, v: Variables, widened: Widened) -> None:
        """Add a literal for each item on offer; lessons have theirs."""
        self.v, self.widened = v, widened
        self._offers = widened.trip.market.offers
        self._counts: dict[int, cp_model.IntVar] = {}
        self.made: dict[Remedy, cp_model.IntVar] = dict(sorted(self._list_made()))

    def _list_made(self) -> Iterator[tuple[Remedy, cp_model.IntVar]]:
        for item, bought in sorted(self.v.bought.items()):
            some = self.v.model.new_bool_var(f"buys[{item}]")
            self.v.model.add(bought <= self.widened.trip.kit[item].offered * some)
            self._counts[some.index] = bought
            yield self._buy(item, 1), some
        for name, taught in self.v.taught.items():
            yield self._teach(name), taught

    def _buy(self, item: str, count: int) -> Remedy:
        offer = self._offers[item]
        mass_g = count * offer.item.mass_g
        return Remedy(BUY, item, "", 0, count, count * offer.price_cents, mass_g)

    def _teach(self, name: str) -> Remedy:
        lesson = self.widened.lessons[name]
        return Remedy(TEACH, lesson.paddler, lesson.skill, lesson.level, 1, lesson.price_cents)

    def count(self, made: cp_model.IntVar) -> cp_model.IntVar:
        """Return how many copies come of a change: the number bought, or its own literal."""
        return self._counts.get(made.index, made)

    # --- sums -----------------------------------------------------------------------------------

    @property
    def brought_cents(self) -> int:
        """Return what it costs to bring those who are brought."""
        return sum(one.price_cents for one in self.widened.brought)

    def cost(self) -> Linear:
        """Return what all of it costs, in cents, those who are brought included."""
        return self._sum_bought(lambda item: self._offers[item].price_cents) + add_up(
            [
                self.brought_cents,
                *(self.widened.lessons[p].price_cents * one for p, one in self.v.taught.items()),
            ]
        )

    def mass_g(self) -> Linear:
        """Return what comes along by it, in grams: all copies that are bought."""
        return self._sum_bought(lambda item: self._offers[item].item.mass_g)

    def changes(self) -> Linear:
        """Return how many changes there are; so many copies of an item are one."""
        return add_up([len(self.widened.brought), *self.made.values()])

    def pieces(self) -> Linear:
        """Return how many copies are bought in all."""
        return self._sum_bought(lambda _: 1)

    def _sum_bought(self, each: Callable[[str], int]) -> Linear:
        return add_up(each(item) * bought for item, bought in self.v.bought.items())

    # --- what was decided -----------------------------------------------------------------------

    def list_remedies(self, read: Callable[[cp_model.IntVar], int]) -> tuple[Remedy, ...]:
        """Return the remedies of a solution: who is brought, what is bought, who is taught."""
        made = [Remedy(BRING, one.paddler.name, price_cents=one.price_cents)
                for one in self.widened.brought]  # fmt: skip
        for item in self.v.bought:
            count = read(self.v.taken[item]) - self.widened.trip.kit[item].owned
            if count > 0:
                made.append(self._buy(item, count))
        made += [self._teach(name) for name, taught in self.v.taught.items() if read(taught)]
        return tuple(sorted(made))
