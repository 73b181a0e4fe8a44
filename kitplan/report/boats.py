"""The packing list of each boat: crew, what is worn, quick and stowed, mass against payload."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.loads import find_fullest, list_loads, measure_rooms
from kitplan.plan import list_moves
from kitplan.report.stores import list_moves_into, write_box_moves, write_stowed
from kitplan.report.words import count, join, say_days
from kitplan.units import show_mass, show_volume

if TYPE_CHECKING:
    from kitplan.needs.loads import Load
    from kitplan.plan import Move, Packed, Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Leg, Trip


def write_boats(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write for each leg the running order, what moves, and what goes into each boat."""
    dealt, loads = deal_boxes(trip, plan.arrangement), list_loads(trip, plan.arrangement)
    moves = [[], *list_moves(trip, plan.arrangement)]
    for leg, moved, stores in zip(trip.legs, moves, list_moves_into(trip, dealt), strict=True):
        when = f", {say_days(leg.first_day, leg.last_day)}" if len(trip.legs) > 1 else ""
        sheet.heading(f"Packing, boat by boat{when}")
        if leg is not trip.legs[0]:
            write_leg_moves(sheet, leg, moved)
            if trip.stores is not None:
                write_box_moves(sheet, stores)
            sheet.gap()
        runs = [trip.boats[b].called for b in plan.arrangement.list_run(leg.boats)]
        if len(runs) > 1:
            sheet.say(f"Running order: {', '.join(runs)}.")
        for name in leg.boats:
            _write_boat(sheet, trip, plan, name)
            write_stowed(sheet, trip, leg, dealt[name])
            sheet.point(say_mass(trip, plan, name, loads[name]))


def write_leg_moves(sheet: Sheet, leg: Leg, moves: list[Move]) -> None:
    """Write what is other than the day before for those who stay."""
    sheet.say(f"What moves on the morning of day {leg.first_day}:")
    people = [f"{m.name} from {m.source} to {m.target}" for m in moves if not m.item]
    things = Counter(m for m in moves if m.item)
    sheet.point(f"people: {join(people)}" if people else "nobody changes boat")
    for move, times in things.items():
        where = f"from {move.source} ({move.carried}) to {move.target} ({move.to_carry})"
        if move.source == move.target:
            where = f"in {move.source}, {move.carried} before, {move.to_carry} from now on"
        sheet.point(f"{times} x {move.name} {where}")
    if not things:
        sheet.point("no kit moves")


def _write_boat(sheet: Sheet, trip: Trip, plan: Plan, name: str) -> None:
    boat = trip.boats[name]
    crew = plan.arrangement.crew[name]
    steerer = plan.arrangement.steerer[name]
    others = [p for p in crew if p != steerer]
    sheet.minor(f"{boat.called} ({boat.type.name})")
    sheet.point(f"crew: {steerer} steers" + (f"; {join(others)}" if others else ""))
    for (rapid, boat_down), paddler in plan.arrangement.twice.items():
        if boat_down == name:
            sheet.point(f"at {rapid}: {paddler} walks back up and takes it down")
    rows = [row for row in plan.arrangement.packed if row.boat == name]
    for carried, words in (("worn", "worn besides their own"), ("quick", "quick"),
                           ("stowed", "stowed")):  # fmt: skip
        listed = _list_items(trip, [row for row in rows if row.carried == carried])
        if listed:
            sheet.point(f"{words}: {listed}")
    paddles = asks.crew_paddles(boat, len(crew))
    if paddles:
        sheet.point(f"crew paddles: {paddles} x {boat.type.crew_paddle}")


def _list_items(trip: Trip, rows: list[Packed]) -> str:
    by_wearer: dict[str, list[str]] = {}
    for row in rows:
        contents = ", ".join(f"{n} x {one.name}" for one, n in trip.kit[row.item].item.contains)
        inside = f" (in it {contents})" if contents else ""
        by_wearer.setdefault(row.worn_by, []).append(f"{row.count} x {row.item}{inside}")
    return "; ".join(
        (f"{wearer} wears " if wearer else "") + "; ".join(things)
        for wearer, things in by_wearer.items()
    )


def say_mass(trip: Trip, plan: Plan, name: str, loads: dict[int, Load]) -> str:
    """Return mass against payload, on the morning on which it is greatest."""
    day = find_fullest(loads)
    load = loads[day]
    people = count(len(plan.arrangement.crew[name]), "person", "people")
    wet = show_mass(trip.catalog.figures.wet_kit_g)
    parts = [
        f"{people} {show_mass(load.people_g)} ({wet} of wet clothes and what is worn for each)",
        f"safety kit {show_mass(load.kit_g)}",
    ]
    if load.stores_g:
        parts.append(f"stores {show_mass(load.stores_g)}")
    if load.camp_g:
        parts.append(f"camp kit, own things and bags {show_mass(load.camp_g)}")
    if load.dry_g:
        parts.append(f"dry load {show_mass(load.dry_g)}")
    same = all(one == load for one in loads.values())
    when = "" if same else f" on the morning of day {day}, when it is greatest"
    return (
        f"mass{when}: {', '.join(parts)}: "
        f"{show_mass(load.total_g)} of {show_mass(load.payload_g)} payload ({load.percent:.0f} %)"
        + _say_room(trip, plan, name)
    )


def _say_room(trip: Trip, plan: Plan, name: str) -> str:
    """Return what is stowed against the hold, on the morning on which it is most."""
    hold_ml = trip.boats[name].type.hold_ml
    if trip.stores is None or hold_ml is None:
        return ""
    room_ml = max(measure_rooms(trip, plan.arrangement, name).values())
    return f"; {show_volume(room_ml)} of {show_volume(hold_ml)} hold"
