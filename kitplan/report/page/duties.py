"""The card of a boat for a day: where it waits at each rapid, and what each of its people does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kitplan.demands import DemandKey
from kitplan.plan import PersonPart
from kitplan.report.duties import say_where
from kitplan.report.rapids import list_told, say_classes, waits_at
from kitplan.report.stations import say_waits
from kitplan.report.words import BANK_NAMES, RUN_NAMES, STATION_NAMES, join, say_days
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from kitplan.demands import Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.trip import Rapid, Trip


@dataclass(frozen=True, slots=True)
class Duty:
    """What people do in which techniques, at which spots and while which boats run."""

    paddlers: tuple[str, ...]
    tasks: tuple[str, ...]
    techniques: tuple[str, ...]
    spots: tuple[str, ...]
    running: str


@dataclass(frozen=True, slots=True)
class Stop:
    """A rapid of a duty card; `waits`: when and where the boat waits.

    `spots`: whether there are several, so that duties have to say at which.
    """

    heading: str
    id: str
    note: str
    waits: list[tuple[str, str]]
    duties: list[Duty]
    spots: bool = False


@dataclass(frozen=True, slots=True)
class DutyCard:
    """What a boat has to do on a day."""

    id: str
    boat: str
    day: int
    crew: list[str]
    stops: list[Stop]


@dataclass(frozen=True, slots=True)
class Sheaf:
    """The cards of one boat for one leg."""

    heading: str
    cards: list[DutyCard]


class DutyCards:
    """Makes the duty cards of a plan."""

    def __init__(self, trip: Trip, needs: Needs, plan: Plan, ids: dict[str, str]) -> None:
        self.trip, self.plan, self.ids = trip, plan, ids
        self.results = {result.key: result for result in plan.demands}
        self.told = {
            name: list(list_told(trip, needs, plan, rapid)) for name, rapid in trip.rapids.items()
        }

    def make_all(self) -> list[Sheaf]:
        """Return the cards of each boat and leg, day by day; none on which it passes no rapid."""
        sheaves = []
        for leg in self.trip.legs:
            for number, boat in enumerate(leg.boats, start=1):
                days = range(leg.first_day, leg.last_day + 1)
                cards = [self._make_card(f"duty-{day}-{number}", boat, day) for day in days]
                heading = f"{self._call(boat)}, {say_days(leg.first_day, leg.last_day)}"
                sheaves.append(Sheaf(heading, [card for card in cards if card.stops]))
        return [sheaf for sheaf in sheaves if sheaf.cards]

    def _make_card(self, id_: str, boat: str, day: int) -> DutyCard:
        stops = [self._make_stop(rapid, boat) for rapid in self._list_rapids(day, boat)]
        crew = list(self.plan.arrangement.crew[boat])
        return DutyCard(id_, self._call(boat), day, crew, stops)

    def _call(self, boat: str) -> str:
        return self.trip.boats[boat].called

    def _list_rapids(self, day: int, boat: str) -> list[Rapid]:
        return [r for r in self.trip.rapids.values() if r.day == day and boat in r.boats]

    def _make_stop(self, rapid: Rapid, boat: str) -> Stop:
        heading = f"{rapid.name}, {say_classes([rapid])}"
        id_ = self.ids[rapid.name]
        if rapid.run in RUN_NAMES:
            return Stop(heading, id_, RUN_NAMES[rapid.run], [], [])
        duties, several = self._list_duties(rapid, boat), len(rapid.spots) > 1
        if not waits_at(rapid):
            return Stop(heading, id_, "nobody waits for the others here", [], duties, several)
        arrangement = self.plan.arrangement
        runs = arrangement.list_run(rapid.boats)
        note = f"runs as number {runs.index(boat) + 1} of {len(runs)}"
        waits = [
            (when, STATION_NAMES[station])
            for when, station in say_waits(self.trip, arrangement, rapid, boat)
        ]
        return Stop(heading, id_, note, waits, duties, several)

    def _list_duties(self, rapid: Rapid, boat: str) -> list[Duty]:
        """Return what each of a boat's people does at a rapid, in the choices that are printed.

        What is alike but for the running boat, bank, technique, spot or paddler is one duty.
        """
        tasks = _gather(
            ((paddler, key.spot, key.technique, key.bank, one), task)
            for key, running in self.told[rapid.name]
            for one in running
            for paddler, task in self._list_tasks(self.results[DemandKey(*key, one)], boat)
        )
        running = _gather(((*who, done), one) for (*who, one), done in tasks.items())
        banks = _gather(
            ((paddler, spot, done, self._say_running(rapid, boat, boats), technique), bank)
            for (paddler, spot, technique, bank, done), boats in running.items()
        )
        names = _gather(((*alike, found), one) for (*alike, one), found in banks.items())
        ways = _gather(
            (alike, f"{join(found)} from {_say_banks(sides)}")
            for (*alike, sides), found in names.items()
        )
        spots = _gather(
            ((paddler, done, found, boats), spot)
            for (paddler, spot, done, boats), found in ways.items()
        )
        order = list(self.trip.paddlers)
        first = sorted(spots.items(), key=lambda row: order.index(row[0][0]))
        people = _gather(((*alike, at), paddler) for (paddler, *alike), at in first)
        return [
            Duty(who, done, found, at, boats) for (done, found, boats, at), who in people.items()
        ]

    def _say_running(self, rapid: Rapid, boat: str, running: Iterable[str]) -> str:
        """Return which boats run meanwhile: names, or that any other one may."""
        runs = self.plan.arrangement.list_run(rapid.boats)
        others = [one for one in runs if one != boat]
        if len(others) > 1 and set(running) == set(others):
            return "any other boat"
        return ", ".join(self._call(one) for one in runs if one in running)

    def _list_tasks(self, result: DemandResult, boat: str) -> Iterator[tuple[str, str]]:
        crew = self.plan.arrangement.crew[boat]
        for part in result.witness:
            if isinstance(part, PersonPart) and part.paddler in crew:
                yield part.paddler, f"{part.role}, {say_where(part)}"


def _say_banks(banks: Sequence[str]) -> str:
    return "either bank" if set(banks) == set(BANKS) else BANK_NAMES[banks[0]]


def _gather(rows: Iterable[tuple[Iterable[Any], Any]]) -> dict[tuple[Any, ...], tuple[Any, ...]]:
    """Return the values of each key, each once, in the order in which they come."""
    found: dict[tuple[Any, ...], dict[Any, None]] = {}
    for key, value in rows:
        found.setdefault(tuple(key), {})[value] = None
    return {key: tuple(values) for key, values in found.items()}
