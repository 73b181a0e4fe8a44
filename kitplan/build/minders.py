"""Guides who mind the guests on a bank, beside the team at work: Hall's condition with a count.

How many guides a bank asks depends on where guests stand, so it is a variable of the solver. It
is at least so many that each minds no more than the figure says; the solver is free to keep it
there. A set of places that holds the guides of a bank asks for that many more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from kitplan import needs as asks
from kitplan.build.hall import list_conditions
from kitplan.build.variables import add_up

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from ortools.sat.python import cp_model

    from kitplan.build.hall import Condition
    from kitplan.build.standing import Standing
    from kitplan.build.variables import Linear, When
    from kitplan.demands import PersonSlot
    from kitplan.trip import Trip

    Sights = list[tuple[frozenset[tuple[str, str]], int]]


class Asked(NamedTuple):
    """A condition of the team and of the guides who mind: on `banks`."""

    sees: frozenset[tuple[str, str]]
    places: int
    banks: tuple[str, ...]


class Guests:
    """Who is a guest at each rapid, and where a team's places ask for guides beside it."""

    def __init__(self, trip: Trip, walkers: Mapping[str, frozenset[str]]) -> None:
        """Note who is minded, guests and who is hurt. `walkers[rapid]`: who walks round it."""
        guests = frozenset(p for p, paddler in trip.paddlers.items() if paddler.minded)
        self.any_guests = bool(guests)
        self.there = {
            name: (guests & set(trip.leg_of(name).paddlers)) - walkers[name] for name in trip.rapids
        }

    def list_asked(
        self, persons: Sequence[PersonSlot], sights: Sights, rapid: str, guides: frozenset[str]
    ) -> Iterator[Asked]:
        """Yield the conditions in which guides who mind have a part; none without guests."""
        if not self.there[rapid]:
            return
        mind = {bank: frozenset((bank, p) for p in guides) for bank in asks.minded_banks(persons)}
        types = [*sights, *((there, 0) for there in mind.values())]
        conditions: list[Condition[tuple[str, str]]] = list_conditions(types) if mind else []
        for condition in conditions:
            banks = tuple(bank for bank, there in mind.items() if there <= condition.sees)
            if banks:
                yield Asked(condition.sees, condition.places, banks)


class Minders:
    """Counts the guides that guests ask for, each bank, rapid and running boat once."""

    def __init__(self, standing: Standing, guests: Guests) -> None:
        """Add nothing yet."""
        self.v, self.standing, self._guests = standing.v, standing, guests.there
        self.figures = standing.trip.catalog.figures
        self._count: dict[tuple[When, str], cp_model.IntVar] = {}
        self._any: dict[tuple[When, str], cp_model.IntVar] = {}

    def count(self, asked: Asked, when: When) -> Linear:
        """Return how many guides the banks of a condition ask for beside the team."""
        return add_up(self._get(bank, when) for bank in asked.banks)

    def spare(self, asked: Asked, when: When) -> Linear:
        """Return one where any place of a condition is to be filled at all, after one loss too.

        No place of the team, and no guest to mind: then nobody is asked for, lost or not.
        """
        if asked.places:
            return add_up([1])
        return add_up(self._need(bank, when) for bank in asked.banks)

    def _get(self, bank: str, when: When) -> cp_model.IntVar:
        """Return at least (guests on the bank) / 8, or what the catalogue has instead of 8."""
        key = (when, bank)
        if key not in self._count:
            rapid, k = when
            each, model = self.figures.guests_per_guide, self.v.model
            count = model.new_int_var(0, self._most(rapid), f"minders[{rapid},{k},{bank}]")
            there = self.standing.crowd(self._guests[rapid], when, bank)
            model.add(each * count >= there)
            self._count[key] = count
        return self._count[key]

    def _most(self, rapid: str) -> int:
        """Return the most guides that the guests at a rapid can ask for."""
        return -(-len(self._guests[rapid]) // self.figures.guests_per_guide)

    def _need(self, bank: str, when: When) -> cp_model.IntVar:
        key = (when, bank)
        if key not in self._any:
            need = self.v.model.new_bool_var(f"minded[{when[0]},{when[1]},{bank}]")
            self.v.model.add(self._get(bank, when) <= self._most(when[0]) * need)
            self._any[key] = need
        return self._any[key]
