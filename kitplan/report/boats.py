"""The packing list of each boat: crew, what is worn, quick and stowed, mass against payload."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.report.words import count, join
from kitplan.units import show_mass

if TYPE_CHECKING:
    from kitplan.plan import Packed, Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


def write_boats(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write what goes into each boat, in the order of the trip file."""
    sheet.heading("Packing, boat by boat")
    for name, boat in trip.boats.items():
        crew = plan.arrangement.crew[name]
        steerer = plan.arrangement.steerer[name]
        others = [p for p in crew if p != steerer]
        sheet.minor(f"{name} ({boat.type.name})")
        sheet.point(f"crew: {steerer} steers" + (f"; {join(others)}" if others else ""))
        rows = [row for row in plan.arrangement.packed if row.boat == name]
        for carried, words in (("worn", "worn besides their own"), ("quick", "quick"),
                               ("stowed", "stowed")):  # fmt: skip
            listed = _list_items([row for row in rows if row.carried == carried])
            if listed:
                sheet.point(f"{words}: {listed}")
        paddles = asks.crew_paddles(boat, len(crew))
        if paddles:
            sheet.point(f"crew paddles: {paddles} x {boat.type.crew_paddle}")
        sheet.point(_say_mass(trip, plan, name))


def _list_items(rows: list[Packed]) -> str:
    by_wearer: dict[str, list[str]] = {}
    for row in rows:
        by_wearer.setdefault(row.worn_by, []).append(f"{row.count} x {row.item}")
    return "; ".join(
        (f"{wearer} wears " if wearer else "") + "; ".join(things)
        for wearer, things in by_wearer.items()
    )


def _say_mass(trip: Trip, plan: Plan, name: str) -> str:
    boat = trip.boats[name]
    crew = plan.arrangement.crew[name]
    people = sum(asks.person_mass_g(trip.paddlers[p], trip) for p in crew)
    kit = sum(
        row.count * trip.kit[row.item].item.mass_g
        for row in plan.arrangement.packed
        if row.boat == name
    )
    load = people + kit + boat.dry_load_g
    share = 100 * load / boat.type.payload_g
    wet = show_mass(trip.catalog.figures.wet_kit_g)
    return (
        f"mass: {count(len(crew), 'person', 'people')} {show_mass(people)} ({wet} of wet clothes "
        "and what is worn for each), safety kit "
        f"{show_mass(kit)}, dry load {show_mass(boat.dry_load_g)}: {show_mass(load)} of "
        f"{show_mass(boat.type.payload_g)} payload ({share:.0f} %)"
    )
