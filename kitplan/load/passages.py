"""Makes passages of rapids: one for each group that passes apart, and each flow planned for.

A rapid is read once for each flow, with what the flow says laid over what is written; whatever is
found wrong is said at the flow's own line where it says the value, else at the line it keeps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from kitplan import records
from kitplan.load.automatic import add_automatic
from kitplan.load.legs import AWAY
from kitplan.load.rapids import read_rapid
from kitplan.load.sheet import STAND_IN, Sheet, has_member, show_value
from kitplan.trip import ALL_FLOWS, AT_FLOW, FLOWS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from kitplan.errors import Finding, Place
    from kitplan.load.names import Known, Names
    from kitplan.load.sheet import PlaceFinder
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat, Leg, Rapid, Scenario

_R = TypeVar("_R", bound=records.Record)

_RAPID_STEPS, _SPOT_STEPS = 2, 4
"""Steps of the trails ("rapid", 0) and ("rapid", 0, "spot", 0): below them a flow may stand."""
_OF_FLOW = frozenset({"distances-off", "width-missing", "said-twice", "missing-key", "no-path"})
"""Codes of what comes of several values, and so may be wrong at one flow and right at another."""


@dataclass(frozen=True, slots=True)
class Around:
    """What a rapid is read with: names known, the legs and their boats, the flow planned for.

    `automatic` are the scenarios that may happen unnamed on this trip.
    """

    known: Known
    legs: tuple[Leg, ...]
    boats: Mapping[str, Boat]
    boat_names: Names
    flow: str
    automatic: tuple[Scenario, ...] = ()

    def find_leg(self, day: int) -> int:
        """Return the place of the leg of a day; of the last one for a day after the end."""
        found = (n for n, leg in enumerate(self.legs) if leg.first_day <= day <= leg.last_day)
        return next(found, len(self.legs) - 1)

    def list_boats(self, day: int) -> dict[str, str]:
        """Return the boats on the water on a day: what they are called -> their name then."""
        names = self.legs[self.find_leg(day)].boats
        return {self.boats[name].called: name for name in sorted(names)}


def read_passages(
    sheet: Sheet, record: records.RapidRecord, trail: Trail, around: Around
) -> list[Rapid]:
    """Return the passages of one rapid, group by group, each from low to high water.

    The rapid is read at all flows, whichever is planned for, so that nothing wrong waits until it
    is asked for.
    """
    read = _read_flows(sheet, record, trail, around)
    flows = [flow for flow in read if not flow or around.flow in {flow, ALL_FLOWS}]
    passages = []
    for with_whom, boats in _read_groups(sheet, record, trail, around):
        for flow in flows:
            at_flow = f" {AT_FLOW[flow]}" if len(flows) > 1 else ""
            name = f"{record.name}{with_whom}{at_flow}"
            leg = around.find_leg(record.day)
            passages.append(replace(read[flow], name=name, boats=boats, flow=flow, leg=leg))
    return passages


# --- groups ---------------------------------------------------------------------------------------


def _read_groups(
    sheet: Sheet, record: records.RapidRecord, trail: Trail, around: Around
) -> list[tuple[str, tuple[str, ...]]]:
    """Return the groups, each with what it adds to the name; one with all boats if none is said."""
    there = around.list_boats(record.day)
    if record.groups is None:
        return [("", tuple(sorted(there.values())))]
    if not record.groups:
        message = "groups names no group, so that nobody would pass"
        hint = "leave groups out, and all boats pass together"
        sheet.complain((*trail, "groups"), "empty", message, hint)
    seen: dict[str, int] = {}
    for number, group in enumerate(record.groups):
        at: Trail = (*trail, "groups", number)
        if not group and _find_value(sheet.data, at) == []:
            message = f"group {number + 1} names no boat"
            sheet.complain(at, "empty", message, "name its boats, or leave the group out")
        for index, name in enumerate(group):
            around.boat_names.check(sheet, name, *at, index)
            if name in {boat.called for boat in around.boats.values()} - set(there):
                message = f"boat {show_value(name)} is not on the water on day {record.day}"
                sheet.complain((*at, index), AWAY, message, "leave it out, or change its days")
            first = seen.setdefault(name, number)
            if name == STAND_IN or (first == number and name not in group[:index]):
                continue
            _complain_of_second(sheet, (*at, index), name, first)
    groups = dict.fromkeys(tuple(group) for group in record.groups if group)
    return [
        (
            f" with {', '.join(group)}",
            tuple(sorted(there[called] for called in there if called in group)),
        )
        for group in groups
    ]


def _complain_of_second(sheet: Sheet, trail: Trail, name: str, first: int) -> None:
    """Complain of a boat that is named before, in this group or another one."""
    if trail[-2] == first:
        message = f"boat {show_value(name)} is there twice"
        sheet.complain(trail, "name-used-twice", message, "name it once")
        return
    message = f"boat {show_value(name)} is in group {first + 1} already"
    hint = "a boat passes a rapid once: name it in one group"
    sheet.complain(trail, "boat-in-two-groups", message, hint)


# --- flows ----------------------------------------------------------------------------------------


def _read_flows(
    sheet: Sheet, record: records.RapidRecord, trail: Trail, around: Around
) -> dict[str, Rapid]:
    """Return the rapid by flow; as written, under "", where it says nothing of flows."""
    changes = [getattr(one, flow) for one in (record, *record.spot) for flow in FLOWS]
    if not any(change is not None and change.model_fields_set for change in changes):
        return {"": _read_one(sheet, record, trail, around)}
    read, found = {}, {}
    for flow in FLOWS:
        laid = _lay_sheet(sheet, trail, flow)
        read[flow] = _read_one(laid, _lay_rapid(record, flow), trail, around)
        found[flow] = laid.findings
    sheet.findings += _join_findings(found)
    return read


def _read_one(sheet: Sheet, record: records.RapidRecord, trail: Trail, around: Around) -> Rapid:
    """Return the rapid of a record, with what may happen there unnamed."""
    rapid = read_rapid(sheet, record, trail, around.known)
    return add_automatic(sheet, rapid, trail, around.automatic)


def _join_findings(found: dict[str, list[Finding]]) -> Iterator[Finding]:
    """Yield each finding once, saying at which flows it holds where it does not hold at all."""
    flows: dict[Finding, list[str]] = {}
    for flow, findings in found.items():
        for finding in findings:
            flows.setdefault(finding, []).append(flow)
    for finding, at in flows.items():
        if finding.code in _OF_FLOW and len(at) < len(FLOWS):
            message = f"{finding.message}, at {' and '.join(at)} water"
            yield replace(finding, message=message)
        else:
            yield finding


def _lay_rapid(record: records.RapidRecord, flow: str) -> records.RapidRecord:
    """Return the rapid as it is at a flow."""
    spots = [_lay_over(spot, getattr(spot, flow)) for spot in record.spot]
    return _lay_over(record, getattr(record, flow)).model_copy(update={"spot": spots})


def _lay_over(record: _R, change: records.Record | None) -> _R:
    """Return the record with what the change says in place of its own; tables key by key."""
    laid: dict[str, Any] = {}
    for key in change.model_fields_set if change else ():
        value = getattr(change, key)
        if isinstance(value, records.Record):
            value = _lay_over(getattr(record, key), value)
        laid[key] = value
    return record.model_copy(update=laid)


def _lay_sheet(sheet: Sheet, trail: Trail, flow: str) -> Sheet:
    """Return the sheet as if the rapid were written as it is at a flow; its findings are new."""
    rapids = list(sheet.data["rapid"])
    index = int(trail[1])
    rapids[index] = _lay_data(rapids[index], flow)
    data = {**sheet.data, "rapid": rapids}
    return Sheet(data, _FlowPlaces(sheet.data, sheet.places, flow), settled=sheet.settled)


def _lay_data(table: Any, flow: str) -> Any:
    """Return a table of the file with what it says of a flow laid over it, its spots too."""
    if not isinstance(table, dict):
        return table
    change = table.get(flow)
    laid = dict(table)
    for key, value in change.items() if isinstance(change, dict) else ():
        both = isinstance(value, dict) and isinstance(laid.get(key), dict)
        laid[key] = {**laid[key], **value} if both else value
    spots = laid.get("spot")
    if isinstance(spots, list):
        laid["spot"] = [_lay_data(spot, flow) for spot in spots]
    return laid


@dataclass(frozen=True, slots=True)
class _FlowPlaces:
    """Finds a value of a rapid where a flow says it, else where it is written for all flows."""

    data: dict[str, Any]
    places: PlaceFinder
    flow: str

    def find(self, trail: Trail) -> Place:
        steps = _SPOT_STEPS if "spot" in trail else _RAPID_STEPS
        own = (*trail[:steps], self.flow, *trail[steps:])
        said = len(trail) > steps and _find_value(self.data, own) is not None
        return self.places.find(own if said else trail)


def _find_value(data: Any, trail: Trail) -> Any:
    """Return the value at the end of a trail, None if there is none."""
    for step in trail:
        if not has_member(data, step):
            return None
        data = data[step]
    return data
