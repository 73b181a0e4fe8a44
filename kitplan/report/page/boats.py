"""Mass by boat and day, and the card that each boat is packed by, leg by leg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.needs.boxes import deal_boxes
from kitplan.needs.loads import list_loads
from kitplan.plan import list_moves
from kitplan.report.boats import say_mass, write_leg_moves
from kitplan.report.page.record import Block, make_record
from kitplan.report.stores import list_moves_into, write_box_moves, write_stowed
from kitplan.report.words import say_days
from kitplan.units import show_mass

if TYPE_CHECKING:
    from kitplan.needs.boxes import Box
    from kitplan.needs.loads import Load
    from kitplan.plan import Move, Packed, Plan
    from kitplan.trip import Trip

BAR = 60
"""How many points a bar is wide for a full payload."""


@dataclass(frozen=True, slots=True)
class MassRow:
    """What a boat carries on days that are alike; `bar` is its share of the payload in points."""

    boat: str
    days: str
    mass: str
    percent: str
    bar: float


@dataclass(frozen=True, slots=True)
class Thing:
    """An item of a card: how many in all, how they lie, and what is in each."""

    item: str
    count: int
    lies: str
    inside: str


@dataclass(frozen=True, slots=True)
class PackingCard:
    """All that goes into one boat of one leg."""

    id: str
    boat: str
    type: str
    days: str
    order: str
    steerer: str
    others: list[str]
    things: list[Thing]
    stores: list[Block]
    mass: str


@dataclass(frozen=True, slots=True)
class LegCards:
    """The cards of a leg, and what moves on its first morning."""

    days: str
    moves: list[Block]
    cards: list[PackingCard]


def list_masses(trip: Trip, plan: Plan) -> list[MassRow]:
    """Return mass by boat, days in a row that are alike as one."""
    rows = []
    for boat, loads in list_loads(trip, plan.arrangement).items():
        spans: list[tuple[int, int, Load]] = []
        for day, load in loads.items():
            if spans and spans[-1][2] == load:
                spans[-1] = (spans[-1][0], day, load)
            else:
                spans.append((day, day, load))
        for first, last, load in spans:
            rows.append(_make_mass(trip.boats[boat].called, say_days(first, last), load))
    order = list(dict.fromkeys(row.boat for row in rows))
    return sorted(rows, key=lambda row: order.index(row.boat))


def _make_mass(boat: str, days: str, load: Load) -> MassRow:
    mass = f"{show_mass(load.total_g)} of {show_mass(load.payload_g)}"
    bar = round(BAR * min(1.0, load.percent / 100), 1)
    return MassRow(boat, days, mass, f"{load.percent:.0f} %", bar)


def list_cards(trip: Trip, plan: Plan) -> list[LegCards]:
    """Return the cards of all boats, leg by leg."""
    dealt, loads = deal_boxes(trip, plan.arrangement), list_loads(trip, plan.arrangement)
    moves: list[list[Move]] = [[], *list_moves(trip, plan.arrangement)]
    legs = []
    for leg, moved, stores in zip(trip.legs, moves, list_moves_into(trip, dealt), strict=True):
        record = make_record(trip)
        if leg is not trip.legs[0]:
            write_leg_moves(record, leg, moved)
            if trip.stores is not None:
                write_box_moves(record, stores)
        cards = [_make_card(trip, plan, boat, dealt[boat], loads[boat]) for boat in leg.boats]
        legs.append(LegCards(say_days(leg.first_day, leg.last_day), record.blocks, cards))
    return legs


def _make_card(
    trip: Trip, plan: Plan, name: str, boxes: list[Box], loads: dict[int, Load]
) -> PackingCard:
    boat, done = trip.boats[name], plan.arrangement
    leg = trip.legs[boat.leg]
    runs, steerer = done.list_run(leg.boats), done.steerer[name]
    stores = make_record(trip)
    write_stowed(stores, trip, leg, boxes)
    return PackingCard(
        id=f"pack-{boat.leg + 1}-{leg.boats.index(name) + 1}",
        boat=boat.called,
        type=boat.type.name,
        days=say_days(leg.first_day, leg.last_day),
        order=f"{runs.index(name) + 1} of {len(runs)}",
        steerer=steerer,
        others=[paddler for paddler in done.crew[name] if paddler != steerer],
        things=_list_things(trip, plan, name),
        stores=stores.blocks,
        mass=say_mass(trip, plan, name, loads),
    )


def _list_things(trip: Trip, plan: Plan, name: str) -> list[Thing]:
    """Return each item in a boat once, with what paddlers are dealt to wear and crew paddles."""
    lies: dict[str, list[tuple[int, str]]] = {}
    for row in plan.arrangement.packed:
        if row.boat == name:
            lies.setdefault(row.item, []).append((row.count, _say_lies(row)))
    boat = trip.boats[name]
    paddles = asks.crew_paddles(boat, len(plan.arrangement.crew[name]))
    if paddles and boat.type.crew_paddle:
        lies.setdefault(boat.type.crew_paddle, []).append((paddles, "crew paddle"))
    return [
        Thing(item, sum(number for number, _ in rows), _join_lies(rows), _say_inside(trip, item))
        for item, rows in sorted(lies.items())
    ]


def _say_lies(row: Packed) -> str:
    return f"{row.worn_by} wears it" if row.worn_by else row.carried


def _join_lies(rows: list[tuple[int, str]]) -> str:
    """Return how copies lie, with how many where they lie in different ways."""
    if len(rows) == 1:
        return rows[0][1]
    return "; ".join(f"{number} {said}" for number, said in rows)


def _say_inside(trip: Trip, item: str) -> str:
    """Return what a bundle has in it, "" for what is none."""
    contains = trip.catalog.items[item].contains
    return ", ".join(f"{number} x {one.name}" for one, number in contains)
