"""The card of a boat for a day: where it waits at each rapid, and what each of its people does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.demands import DemandKey
from kitplan.plan import PersonPart
from kitplan.report.duties import say_where
from kitplan.report.rapids import list_told, say_classes, waits_at
from kitplan.report.stations import say_waits
from kitplan.report.words import BANK_NAMES, RUN_NAMES, STATION_NAMES, join

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.trip import Rapid, Trip


@dataclass(frozen=True, slots=True)
class Duty:
    """What somebody does in which techniques, at whatever spot and while whichever boat runs."""

    paddler: str
    tasks: tuple[str, ...]
    techniques: list[str]


@dataclass(frozen=True, slots=True)
class Stop:
    """A rapid of a duty card; `waits`: when and where the boat waits."""

    heading: str
    id: str
    note: str
    waits: list[tuple[str, str]]
    duties: list[Duty]


@dataclass(frozen=True, slots=True)
class DutyCard:
    """What a boat has to do on a day."""

    id: str
    boat: str
    day: int
    crew: list[str]
    stops: list[Stop]


class DutyCards:
    """Makes the duty cards of a plan."""

    def __init__(self, trip: Trip, needs: Needs, plan: Plan, ids: dict[str, str]) -> None:
        self.trip, self.plan, self.ids = trip, plan, ids
        self.results = {result.key: result for result in plan.demands}
        self.told = {
            name: list(list_told(trip, needs, plan, rapid)) if waits_at(rapid) else []
            for name, rapid in trip.rapids.items()
        }

    def make_all(self) -> list[DutyCard]:
        """Return a card for each boat and day, day by day; none on which it passes no rapid."""
        cards = []
        for leg in self.trip.legs:
            for day in range(leg.first_day, leg.last_day + 1):
                for number, boat in enumerate(leg.boats, start=1):
                    stops = [self._make_stop(rapid, boat) for rapid in self._list_rapids(day, boat)]
                    if stops:
                        called, crew = (
                            self.trip.boats[boat].called,
                            self.plan.arrangement.crew[boat],
                        )
                        cards.append(
                            DutyCard(f"duty-{day}-{number}", called, day, list(crew), stops)
                        )
        return cards

    def _list_rapids(self, day: int, boat: str) -> list[Rapid]:
        return [r for r in self.trip.rapids.values() if r.day == day and boat in r.boats]

    def _make_stop(self, rapid: Rapid, boat: str) -> Stop:
        heading = f"{rapid.name}, {say_classes([rapid])}"
        id_ = self.ids[rapid.name]
        if rapid.run in RUN_NAMES:
            return Stop(heading, id_, RUN_NAMES[rapid.run], [], [])
        if not waits_at(rapid):
            return Stop(heading, id_, "nobody waits for the others here", [], [])
        arrangement = self.plan.arrangement
        runs = arrangement.list_run(rapid.boats)
        note = f"runs as number {runs.index(boat) + 1} of {len(runs)}"
        waits = [
            (when, STATION_NAMES[station])
            for when, station in say_waits(self.trip, arrangement, rapid, boat)
        ]
        return Stop(heading, id_, note, waits, self._list_duties(rapid, boat))

    def _list_duties(self, rapid: Rapid, boat: str) -> list[Duty]:
        """Return what each of a boat's people does at a rapid, in the choices that are printed."""
        tasks: dict[tuple[str, str, str], dict[str, None]] = {}
        for key, running in self.told[rapid.name]:
            for one in running:
                for paddler, task in self._list_tasks(self.results[DemandKey(*key, one)], boat):
                    tasks.setdefault((paddler, key.technique, key.bank), {})[task] = None
        alike: dict[tuple[str, tuple[str, ...]], dict[str, list[str]]] = {}
        for (paddler, technique, bank), found in tasks.items():
            banks = alike.setdefault((paddler, tuple(found)), {}).setdefault(technique, [])
            banks.append(BANK_NAMES[bank])
        order = list(self.trip.paddlers)
        return [
            Duty(*who, [f"{name} from {join(banks, 'or')}" for name, banks in techniques.items()])
            for who, techniques in sorted(alike.items(), key=lambda row: order.index(row[0][0]))
        ]

    def _list_tasks(self, result: DemandResult, boat: str) -> Iterator[tuple[str, str]]:
        crew = self.plan.arrangement.crew[boat]
        for part in result.witness:
            if isinstance(part, PersonPart) and part.paddler in crew:
                yield part.paddler, f"{part.role}, {say_where(part)}"
