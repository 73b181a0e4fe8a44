"""Turns the records of rapids into nouns: banks, spots, and their distances from the banks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import records
from kitplan.load.names import Names
from kitplan.load.sheet import STAND_IN, read_depth_mm, read_width_mm
from kitplan.trip import Bank, Rapid, Spot
from kitplan.units import read_length_mm, read_speed_mm_s, show_length

if TYPE_CHECKING:
    from kitplan.load.names import Known
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail

_SPOT_KEYS = (
    "from_left",
    "from_right",
    "current",
    "depth",
    "run_in",
    "run_out",
    "slack",
    "scenarios",
    "likely",
)
"""Keys that a rapid without [[rapid.spot]] may carry itself."""
MID_CHANNEL = "mid-channel"
"""Name of the spot of a rapid that says nothing of where."""
_UNREAD_MM = -1
"""Stands for a length that has its finding already; nothing is reckoned with it."""
_TOLERANCE_MM = 500
_TOLERANCE_PERCENT = 5


def read_rapid(sheet: Sheet, record: records.RapidRecord, trail: Trail, known: Known) -> Rapid:
    """Return a rapid."""
    width_mm = None
    if record.width is not None:
        width_mm = sheet.read_positive(read_width_mm, record.width, *trail, "width") or _UNREAD_MM
    own = [key for key in _SPOT_KEYS if is_given(sheet, (*trail, key))]
    spots = [
        (_see_from(record, spot), (*trail, "spot", index)) for index, spot in enumerate(record.spot)
    ]
    if record.spot and own:
        message = f"{own[0]} is a key of the rapid, and the rapid has [[rapid.spot]] tables"
        hint = "say it once: move the key into a [[rapid.spot]]"
        sheet.complain((*trail, own[0]), "said-twice", message, hint)
    elif own and "scenarios" not in own:
        message = f"{own[0]} is given, but scenarios is missing"
        hint = 'write scenarios = ["..."], what may happen there'
        sheet.complain((*trail, own[0]), "missing-key", message, hint)
    elif record.scenarios:
        spots = [(_make_spot(record), trail)]
    if record.guests_walk and record.run == "run" and not (record.left.path or record.right.path):
        message = f"guests can't walk round {record.name}: no path on either bank"
        hint = "write path = true for the bank they walk along"
        sheet.complain((*trail, "guests_walk"), "no-path", message, hint)
    read, width_mm = _read_spots(sheet, spots, width_mm, known)
    return Rapid(
        name=record.name,
        day=record.day,
        river_class=sheet.read_class(record.class_, *trail, "class"),
        class_text=record.class_,
        width_mm=width_mm or 0,
        safety=record.safety,
        left=_read_bank(sheet, record.left, (*trail, "left")),
        right=_read_bank(sheet, record.right, (*trail, "right")),
        eddies=record.eddies,
        spots=read if record.run == "run" else (),
        boats=(),
        run=record.run,
        guests_walk=record.guests_walk,
        place=record.name,
        where=sheet.place(*trail),
    )


def is_given(sheet: Sheet, trail: Trail) -> bool:
    """Say whether the file gives a key of a rapid; an empty list is given."""
    rapid = sheet.data[str(trail[0])][trail[1]]
    return isinstance(rapid, dict) and trail[-1] in rapid


def _make_spot(record: records.RapidRecord) -> records.SpotRecord:
    """Return the one spot of a rapid that carries the spot's keys itself."""
    given = record.from_left is not None or record.from_right is not None
    return records.SpotRecord(
        name="the spot" if given else MID_CHANNEL,
        from_left=record.from_left,
        from_right=record.from_right,
        current=record.current,
        depth=record.depth,
        run_in=record.run_in,
        run_out=record.run_out,
        slack=record.slack,
        scenarios=record.scenarios,
        likely=record.likely,
        sight=record.sight,
    )


def _see_from(rapid: records.RapidRecord, spot: records.SpotRecord) -> records.SpotRecord:
    """Return the spot with the rapid's sight, unless it has its own."""
    return spot.model_copy(update={"sight": rapid.sight}) if spot.sight is None else spot


def _read_bank(sheet: Sheet, record: records.BankRecord, trail: Trail) -> Bank:
    read = sheet.read_if_given
    return Bank(
        landing=record.landing,
        # Who can walk down lands above for it: where nothing is said, as many as below.
        landing_above=record.landing if record.landing_above is None else record.landing_above,
        path=record.path,
        walk_mm=sheet.read(read_length_mm, record.walk, *trail, "walk"),
        anchor=record.anchor,
        # Where a boat can land there is slack water, unless the leader says otherwise.
        eddy=record.landing >= 1 if record.eddy is None else record.eddy,
        edge_depth_mm=read(read_depth_mm, record.edge_depth, *trail, "edge_depth"),
        edge_current_mm_s=read(read_speed_mm_s, record.edge_current, *trail, "edge_current"),
        where=sheet.place(*trail),
    )


def _read_spots(
    sheet: Sheet,
    spots: list[tuple[records.SpotRecord, Trail]],
    width_mm: int | None,
    known: Known,
) -> tuple[tuple[Spot, ...], int | None]:
    """Return the spots and the rapid's width, which may be known from a spot only."""
    names = Names("spot")
    given = [_read_distances(sheet, record, trail) for record, trail in spots]
    sums = [left + right for left, right in given if left is not None and right is not None]
    if width_mm is None and sums:
        unread = any(_UNREAD_MM in distances for distances in given)
        width_mm = _UNREAD_MM if unread else sums[0]
    read = []
    for (record, trail), distances in zip(spots, given, strict=True):
        if _has_own_table(trail):
            names.add(sheet, record.name, *trail, "name")
        both = _settle_distances(sheet, trail, distances, width_mm)
        read.append(_read_spot(sheet, (record, trail), both, known))
    # At some flow nothing may happen at a spot: the rock is dry, or deep under water.
    return tuple(spot for spot in read if spot.scenarios), width_mm


def _has_own_table(trail: Trail) -> bool:
    return "spot" in trail


def _read_distances(
    sheet: Sheet, record: records.SpotRecord, trail: Trail
) -> tuple[int | None, int | None]:
    return (
        _read_distance(sheet, record.from_left, (*trail, "from_left")),
        _read_distance(sheet, record.from_right, (*trail, "from_right")),
    )


def _read_distance(sheet: Sheet, text: str | None, trail: Trail) -> int | None:
    before = len(sheet.findings)
    distance_mm = sheet.read_if_given(read_width_mm, text, *trail)
    return distance_mm if len(sheet.findings) == before else _UNREAD_MM


def _settle_distances(
    sheet: Sheet, trail: Trail, distances: tuple[int | None, int | None], width_mm: int | None
) -> tuple[int, int]:
    """Return both distances; what is missing is the rest of the width, or half of it each."""
    left, right = distances
    if _UNREAD_MM in (left, right, width_mm):
        return 0, 0
    if width_mm is None:
        message = "neither the width nor both distances from the banks are given"
        hint = "write width for the rapid, or from_left and from_right"
        sheet.complain((*trail, "width"), "width-missing", message, hint)
        return left or 0, right or 0
    tolerance_mm = max(_TOLERANCE_MM, width_mm * _TOLERANCE_PERCENT // 100)
    if left is not None and right is not None:
        if abs(left + right - width_mm) > tolerance_mm:
            _complain_of_sum(sheet, trail, (left, right), width_mm)
        return left, right
    if left is None and right is None:
        return width_mm // 2, width_mm - width_mm // 2
    key, one = ("from_left", left) if left is not None else ("from_right", right or 0)
    if one > width_mm + tolerance_mm:
        message = f"{key} is {_show(one)}, but the river is {_show(width_mm)} wide"
        sheet.complain((*trail, key), "distances-off", message, "measure again, or change width")
    rest = max(0, width_mm - one)
    return (one, rest) if key == "from_left" else (rest, one)


def _complain_of_sum(sheet: Sheet, trail: Trail, distances: tuple[int, int], width_mm: int) -> None:
    left, right = distances
    message = (
        f"from_left {_show(left)} and from_right {_show(right)} make {_show(left + right)}, "
        f"but the river is {_show(width_mm)} wide"
    )
    hint = "change one of the three; a distance left out is the rest of the width"
    sheet.complain((*trail, "from_left"), "distances-off", message, hint)


def _show(length_mm: int) -> str:
    return show_length(length_mm, exact=True)


def _read_spot(
    sheet: Sheet,
    written: tuple[records.SpotRecord, Trail],
    distances: tuple[int, int],
    known: Known,
) -> Spot:
    record, trail = written
    read = sheet.read_if_given
    for index, scenario in enumerate(record.scenarios):
        known.scenarios.check(sheet, scenario, *trail, "scenarios", index)
        if scenario in record.scenarios[:index] and scenario != STAND_IN:
            message = f"scenario '{scenario}' is there twice"
            at = (*trail, "scenarios", index)
            sheet.complain(at, "name-used-twice", message, "name it once; likely weighs it")
    return Spot(
        name=record.name,
        from_left_mm=distances[0],
        from_right_mm=distances[1],
        scenarios=tuple(record.scenarios),
        likely=record.likely,
        current_mm_s=read(read_speed_mm_s, record.current, *trail, "current"),
        depth_mm=read(read_depth_mm, record.depth, *trail, "depth"),
        run_in_mm=read(read_length_mm, record.run_in, *trail, "run_in"),
        run_out_mm=read(read_length_mm, record.run_out, *trail, "run_out"),
        slack=record.slack,
        sight=record.sight is not False,
        where=sheet.place(*trail),
    )
