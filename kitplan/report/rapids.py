"""Each rapid where boats wait: who stands where, who does what with which item."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.needs import find_lining
from kitplan.needs.haul import PINNED
from kitplan.needs.lining import LINED
from kitplan.needs.words import strip_flow
from kitplan.report.duties import list_duties, say_changes, say_places
from kitplan.report.sheet import Sheet
from kitplan.report.stations import find_held, say_waits
from kitplan.report.words import (
    BANK_NAMES,
    RUN_NAMES,
    STATION_NAMES,
    count,
    join,
    join_flows,
    say_flow,
    say_flows,
    say_lining,
    say_missing,
    say_passages,
    say_place,
    say_running,
)
from kitplan.trip import ALL_FLOWS, AT_FLOW, FLOWS, HELD, RESET

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.demands import Choice, ChoiceKey, Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.report.duties import Duties
    from kitplan.trip import Rapid, Trip

    Where = tuple[str, str, str]  # rapid, spot, scenario
    Chosen = dict[ChoiceKey, list[str]]  # choice -> the running boats it is printed for
    Line = tuple[str, int]  # what is said, and how deep it is set in


CREW_WIDTH, STATION_WIDTH = 36, 18
"""Columns of a boat with its crew, and of where it waits, in a table of three flows."""
ALONE_IN_CHARGE = "one in charge besides"
PLAIN_WAY = "as it stands"
"""The name of a variant that has nothing to set it apart."""


def write_rapids(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write the time it costs by day, then each rapid where boats or people wait."""
    sheet.heading("Who stands where, and does what")
    _write_days(sheet, trip)
    _write_linings(sheet, trip, plan)
    _write_walkers(sheet, trip, plan)
    sheet.gap()
    sheet.say(
        f"{say_held(trip)} For each spot and scenario the "
        "first choice that can be done is printed, from each bank: whole for the first running "
        "boat; for others, each place where anything is new or gone is printed whole."
    )
    writer = _Writer(sheet, trip, needs, plan)
    sides: dict[tuple[int, str], list[Rapid]] = {}
    for rapid in sorted(trip.rapids.values(), key=lambda rapid: rapid.day):
        sides.setdefault((rapid.day, strip_flow(rapid)), []).append(rapid)
    for passages in sides.values():
        if any(waits_at(rapid) for rapid in passages):
            writer.write_rapid(passages)


def write_passage(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan, rapid: Rapid) -> None:
    """Write who stands where at one passage, and what is done at each spot."""
    _Writer(sheet, trip, needs, plan).write_rapid([rapid])


def list_told(
    trip: Trip, needs: Needs, plan: Plan, rapid: Rapid
) -> Iterator[tuple[ChoiceKey, list[str]]]:
    """Yield the choices that are printed for a rapid, each with its running boats."""
    writer = _Writer(Sheet(""), trip, needs, plan)
    for where in dict.fromkeys(key[:3] for key in needs.cases if key.rapid == rapid.name):
        for chosen in writer.choose_all(where).values():
            yield from chosen.items()


def say_held(trip: Trip) -> str:
    """Return how boats wait, in a sentence or two."""
    if trip.stations == HELD:
        return (
            "A boat waits at one station until it runs and at one from then on. Before its run its "
            "crew can be on a bank only where they walk down from above; further down it counts "
            "nowhere."
        )
    return "Stations are set anew before each boat runs."


def waits_at(rapid: Rapid) -> bool:
    """Say whether anybody waits at a rapid for the others."""
    return rapid.safety != "none" and bool(rapid.spots)


def say_classes(passages: list[Rapid]) -> str:
    """Return "class III", or "class III at low water, class V at high water"."""
    classes: dict[str, list[str]] = {}
    for rapid in passages:
        classes.setdefault(rapid.class_text, []).append(rapid.flow)
    return ", ".join(
        f"class {text}" + (f" {say_flows(flows)}" if len(classes) > 1 else "")
        for text, flows in classes.items()
    )


def _list_scenarios(passages: list[Rapid]) -> dict[tuple[str, str], list[Rapid]]:
    """Return what may happen at which spot, and at which passages it may."""
    found: dict[tuple[str, str], list[Rapid]] = {}
    for rapid in passages:
        for spot in rapid.spots:
            for scenario in spot.scenarios:
                found.setdefault((spot.name, scenario), []).append(rapid)
    return found


def _write_days(sheet: Sheet, trip: Trip) -> None:
    """Write the time it costs by day, at each flow planned for, and what is carried round."""
    said: dict[int, dict[str, list[str]]] = {}
    for flow in FLOWS if trip.flow == ALL_FLOWS else (trip.flow,):
        rapids = {name: one for name, one in trip.rapids.items() if one.flow in {flow, ""}}
        for day, (number, minutes) in asks.minutes_by_day(replace(trip, rapids=rapids)).items():
            text = (
                f"{count(number, 'rapid')} with people on the banks, about {minutes} min to scout, "
                "set safety, run and gather"
            )
            said.setdefault(day, {}).setdefault(text, []).append(flow)
    for day, texts in sorted(said.items()):
        for text, flows in texts.items():
            always = trip.flow != ALL_FLOWS or len(flows) == len(FLOWS)
            sheet.point(f"day {day}{'' if always else f', {say_flows(flows)}'}: {text}")
    around: dict[tuple[int, str], list[str]] = {}
    for one in trip.rapids.values():
        at = around.setdefault((one.day, one.place or one.name), [])
        if one.run == "portage" and one.flow not in at:
            at.append(one.flow)
    for (day, name), at in sorted(around.items(), key=lambda pair: pair[0][0]):
        when = f" {say_flows(at)}" if any(at) else ""
        if at:
            sheet.point(f"day {day}: {name} is carried round{when}, and asks for nothing")


def _write_linings(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write what each lined rapid asks for, and what of it is short as the plan packs."""
    rows = []
    for rapid in sorted(trip.rapids.values(), key=lambda rapid: rapid.day):
        if rapid.run == LINED:
            people = [p for boat in rapid.boats for p in plan.arrangement.crew[boat]]
            packed = [row for row in plan.arrangement.packed if row.boat in rapid.boats]
            kit = [(trip.kit[row.item].item, row.count) for row in packed]
            things = [one for item, number in kit for one in item.list_pieces(number)]
            for name in people:
                worn = trip.paddlers[name].wears.items()
                things += [(trip.catalog.items[item], number) for item, number in worn]
            lining = find_lining(trip, rapid, people, things)
            short = f"; as packed, {say_missing(lining.missing)}" if lining.missing else ""
            rows.append((rapid.name, f"lined, and asks for {say_lining(lining)}{short}"))
    for rapids, said in join_flows(trip, rows):
        sheet.point(f"day {rapids[0].day}: {say_passages(rapids)} is {said}")


def _write_walkers(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write which guests walk round which rapid, and at which flows."""
    walks: dict[tuple[int, str, str], list[str]] = {}
    for one in trip.rapids.values():
        walkers = asks.list_walkers(trip, one)
        names = [p for b in one.boats for p in plan.arrangement.crew[b] if p in walkers]
        if names and one.run == "run":
            key = (one.day, one.place or one.name, join(sorted(names)))
            walks.setdefault(key, []).append(one.flow)
    for (day, name, who), at in sorted(walks.items()):
        when = f" {say_flows(at)}" if any(at) else ""
        sheet.point(f"day {day}: guests walk round {name}{when}: {who}")


class _Writer:
    """Writes the duties at rapids from one plan."""

    def __init__(self, sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
        self.sheet, self.trip, self.needs, self.plan = sheet, trip, needs, plan
        self.lines: list[Line] = []
        self.there: tuple[str, ...] = ()
        self.met: dict[ChoiceKey, dict[str, DemandResult]] = {}
        for result in plan.demands:
            known = self.met.setdefault(result.key.choice, {})
            if result.met:
                known[result.key.running] = result

    def write_rapid(self, passages: list[Rapid]) -> None:
        """Write who stands where, at each flow beside the other, then each spot and scenario."""
        first = passages[0]
        self.there = first.boats
        name = strip_flow(first) + ("" if len(passages) > 1 else say_flow(first))
        self.sheet.minor(f"Day {first.day}, {name}, {say_classes(passages)}")
        if len(passages) > 1:
            self._write_table(passages)
        else:
            self._write_stations(first)
        for where, rapids in _list_scenarios(passages).items():
            self._write_flows(where, rapids, len(passages))

    def _write_stations(self, rapid: Rapid) -> None:
        """Write who stands where at one flow, in the running order."""
        runs = self.plan.arrangement.list_run(rapid.boats)
        if self.trip.stations == RESET:
            for running in runs:
                there = [(b, self._find(rapid, b, running)) for b in runs if b != running]
                self.sheet.point(f"{running} runs: {self._say_there(there)}")
            return
        held = {b: find_held(self.plan.arrangement, rapid, b) for b in runs}
        rows = [(b, before) for b, (before, _) in held.items() if before]
        self.sheet.point(f"order: {', '.join(self._name_crew(b) for b in runs)}")
        self.sheet.point(f"until they run: {self._say_there(rows)}")
        self.sheet.point(
            f"once they have run: {self._say_there([(b, s) for b, (_, s) in held.items() if s])}"
        )

    def _find(self, rapid: Rapid, boat: str, running: str) -> str:
        return self.plan.arrangement.stations[rapid.name, boat, running]

    def _say_there(self, rows: list[tuple[str, str]]) -> str:
        """Return who is at each station: "river left: Heron, Otter; above: Swift"."""
        there: dict[str, list[str]] = {}
        for boat, station in rows:
            there.setdefault(station, []).append(boat)
        said = [f"{w} {join(there[s])}" for s, w in STATION_NAMES.items() if s in there]
        return "; ".join(said) or "nobody"

    def _write_table(self, passages: list[Rapid]) -> None:
        """Write where each boat waits at each flow."""
        rows = [
            (self._name_crew(boat), *(self._say_station(rapid, boat) for rapid in passages))
            for boat in self.plan.arrangement.list_run(passages[0].boats)
        ]
        heads = ("boat, as they run", *(AT_FLOW[rapid.flow] for rapid in passages))
        self.sheet.gap()
        self.sheet.table(rows, heads, widths=(CREW_WIDTH, *(STATION_WIDTH for _ in passages)))

    def _name_crew(self, boat: str) -> str:
        return f"{boat} ({', '.join(self.plan.arrangement.crew[boat]) or 'nobody'})"

    def _say_station(self, rapid: Rapid, boat: str) -> str:
        if rapid.run in RUN_NAMES:
            return RUN_NAMES[rapid.run]
        if not waits_at(rapid):
            return "does not wait"
        waits = say_waits(self.trip, self.plan.arrangement, rapid, boat)
        if self.trip.stations == RESET:
            return "; ".join(f"{when}: {STATION_NAMES[station]}" for when, station in waits)
        return ", then ".join(STATION_NAMES[station] for _, station in waits)

    def _write_flows(self, where: tuple[str, str], rapids: list[Rapid], flows: int) -> None:
        """Write a spot and scenario; what is done alike at several flows is said once."""
        blocks: dict[tuple[Line, ...], list[str]] = {}
        for rapid in rapids:
            self.lines = []
            self._write_scenario((rapid.name, *where))
            if self.lines:
                blocks.setdefault(tuple(self.lines), []).append(rapid.flow)
        for lines, at in blocks.items():
            when = "" if len(at) == flows else f", {say_flows(at)}"
            self.sheet.point(f"{': '.join(where)}{when}")
            for text, depth in lines:
                self.sheet.point(text, depth)

    def _note(self, text: str, depth: int) -> None:
        self.lines.append((text, depth))

    def _write_scenario(self, where: Where) -> None:
        """Write what is done first from each bank, and what no bank can do from the water."""
        cases = [key for key in self.needs.cases if key[:3] == where]
        if not cases:
            return
        banks = self.needs.cases[cases[0]].banks
        running = [case.running for case in cases]
        told = self.choose_all(where)
        done = {bank: told[bank] for bank in banks}
        if len(banks) > 1 and self._say_alike(done["left"]) == self._say_alike(done["right"]):
            self._write_bank("river left or right", done["left"])
        else:
            for bank in banks:
                self._write_bank(BANK_NAMES[bank], done[bank])
        bare = self._list_bare(where, running)
        self._write_lacking(done, [boat for boat in running if boat not in bare])
        self._write_bank(BANK_NAMES[""], told[""])
        if bare:
            self._note(f"covered by nothing {say_running(bare, self.there)}: see the gaps", 1)

    def choose_all(self, where: Where) -> dict[str, Chosen]:
        """Return what is printed for a spot and scenario, bank by bank and "" for the water."""
        cases = [key for key in self.needs.cases if key[:3] == where]
        running = [case.running for case in cases]
        banks = self.needs.cases[cases[0]].banks
        done = {bank: self._choose(where, bank, running) for bank in banks}
        wanted = {
            key: [boat for boat in boats if self._is_wanted(key, boat, done)]
            for key, boats in self._choose(where, "", running).items()
        }
        return {**done, "": {key: boats for key, boats in wanted.items() if boats}}

    def _write_lacking(self, done: dict[str, Chosen], running: list[str]) -> None:
        """Write from which banks nothing is possible while which boats run."""
        lacking: dict[tuple[str, ...], list[str]] = {}
        for bank, chosen in done.items():
            able = {boat for boats in chosen.values() for boat in boats}
            without = tuple(boat for boat in running if boat not in able)
            if without:
                lacking.setdefault(without, []).append(BANK_NAMES[bank])
        for boats, banks in lacking.items():
            self._note(f"not from {join(banks, 'or')} {say_running(boats, self.there)}", 1)

    def _is_wanted(self, key: ChoiceKey, boat: str, done: dict[str, Chosen]) -> bool:
        """Say whether work from the water is printed: it comes first, or a bank can't do it."""
        places = [
            self.needs.choices[one].place
            for chosen in done.values()
            for one, boats in chosen.items()
            if boat in boats
        ]
        freed = bool(done) and all(self._frees(chosen, boat) for chosen in done.values())
        return not freed or self.needs.choices[key].place < min(places)

    def _choose(self, where: Where, bank: str, running: list[str]) -> Chosen:
        """Return which choices are printed for which running boats, by place.

        A boat has the first choice that is met; where that is support only, the first one that
        sets somebody free as well.
        """
        keys = [key for key in self.met if tuple(key[:3]) == where and key.bank == bank]
        chosen: dict[ChoiceKey, list[str]] = {}
        for boat in running:
            for key in sorted(keys, key=lambda key: self.needs.choices[key].place):
                if boat not in self.met[key]:
                    continue
                only_supports = self.needs.choices[key].support_only
                if not only_supports or not any(boat in boats for boats in chosen.values()):
                    chosen.setdefault(key, []).append(boat)
                if not only_supports:
                    break
        return dict(sorted(chosen.items(), key=lambda pair: self.needs.choices[pair[0]].place))

    def _frees(self, done: Chosen, boat: str) -> bool:
        return any(
            boat in boats and not self.needs.choices[key].support_only
            for key, boats in done.items()
        )

    def _say_alike(self, done: Chosen) -> list[object]:
        """Return what two banks have in common if nothing but their names differs."""
        return [
            (
                key.technique,
                self.needs.choices[key].place,
                [(boat, list_duties(self.met[key][boat])) for boat in boats],
            )
            for key, boats in done.items()
        ]

    def _write_bank(self, bank: str, done: Chosen) -> None:
        for key, boats in done.items():
            groups: list[tuple[Duties, str, list[str]]] = []
            for boat in boats:
                result = self.met[key][boat]
                duties, doubled = list_duties(result), say_doubled(result.way)
                alike = [names for one, way, names in groups if (one, way) == (duties, doubled)]
                if alike:
                    alike[0].append(boat)
                else:
                    groups.append((duties, doubled, [boat]))
            self._write_groups(f"from {bank}: {key.technique}", key, groups)

    def _write_groups(
        self, said: str, key: ChoiceKey, groups: list[tuple[Duties, str, list[str]]]
    ) -> None:
        """Write the duties for the first running boats whole, and what is other for others."""
        first, doubled, running = groups[0]
        way = f" ({doubled})" if doubled else ""
        kind = say_kind(self.needs.choices[key])
        self._note(f"{said}{kind}; {say_running(running, self.there)}{way}", 1)
        for line in say_places(first):
            self._note(line, 2)
        changed: dict[str, list[str]] = {}
        for duties, other, boats in groups[1:]:
            also = [other or "nobody does two things"] if other != doubled else []
            changes = "; ".join([*filter(None, [say_changes(first, duties)]), *also])
            changed.setdefault(changes, []).extend(boats)
        for changes, boats in changed.items():
            self._note(f"{say_running(boats, self.there)}: {changes}", 2)

    def _list_bare(self, where: Where, running: list[str]) -> list[str]:
        """Return while which boats run nothing covers the scenario, from anywhere."""
        covered = {
            boat
            for key, met in self.met.items()
            if tuple(key[:3]) == where and self.needs.choices[key].covers
            for boat in met
        }
        return [boat for boat in running if boat not in covered]


def say_doubled(way: str) -> str:
    """Return what roles alone do not tell: who throws a line across, who is in charge as well.

    Where downstream safety stands is told with its people, and so is one who is in charge alone,
    and how many there are for the people in the running boat; for which boats a way is, with them.
    """
    parts = [
        part
        for part in way.split("; ")
        if part not in {PLAIN_WAY, ALONE_IN_CHARGE}
        and not part.startswith(PINNED)
        and "downstream safety" not in part
        and "in the running boat" not in part
    ]
    return "; ".join(parts)


def say_kind(choice: Choice) -> str:
    """Return what a choice is good for, and its place: " (support only), first choice"."""
    caution = "" if choice.covers else " (a last resort: covers nothing)"
    if choice.support_only:
        caution = " (support only)"
    return f"{caution}, {say_place(choice)}" + (", unhurried" if choice.unhurried else "")
