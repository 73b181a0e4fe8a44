"""From the solver's values to an arrangement: crews, steerers, packing with wearers, stations."""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

from kitplan import needs as asks
from kitplan.build.variables import list_stations
from kitplan.plan import Arrangement, Packed, Stowed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from ortools.sat.python import cp_model

    from kitplan.build import Variables
    from kitplan.trip import Leg, Trip


def read_arrangement(variables: Variables, read: Callable[[cp_model.IntVar], int]) -> Arrangement:
    """Return what the solver decided, with names sorted and wearers named."""
    crew = {
        b: tuple(p for p in variables.paddlers[b] if read(variables.seat[p, b]))
        for b in variables.boats
    }
    steerer = {b: p for (p, b), steers in sorted(variables.steer.items()) if read(steers)}
    packed: list[Packed] = []
    worn: dict[str, dict[str, int]] = {b: {} for b in variables.boats}
    for (i, b, w), variable in sorted(variables.pack.items()):
        count = read(variable)
        if count and w == "worn":
            worn[b][i] = count
        elif count:
            packed.append(Packed(b, i, w, count))
    twice = read_twice(variables, read)
    for b, things in worn.items():
        wearers = list_wearers(variables.trip, twice, crew[b], b)
        packed += name_wearers(variables.trip, b, wearers, things)
    order = tuple(b for leg in variables.legs for b in _read_order(variables, leg, read))
    stations = dict(sorted(read_stations(variables, order, read), key=_tell_boat))
    return Arrangement(
        crew,
        dict(sorted(steerer.items())),
        tuple(sorted(packed)),
        stations,
        order,
        twice,
        tuple(sorted(_read_stowed(variables, read))),
    )


def _read_stowed(variables: Variables, read: Callable[[cp_model.IntVar], int]) -> Iterator[Stowed]:
    for (lot, b), variable in variables.stow.items():
        count = read(variable)
        if count:
            yield Stowed(b, lot, count)


def read_twice(
    variables: Variables, read: Callable[[cp_model.IntVar], int]
) -> dict[tuple[str, str], str]:
    """Return who rows twice: (rapid, boat) -> paddler."""
    return {(r, b): p for (p, b, r), rows in sorted(variables.rows.items()) if read(rows)}


def list_wearers(
    trip: Trip, twice: Mapping[tuple[str, str], str], crew: Iterable[str], boat: str
) -> tuple[str, ...]:
    """Return those of a boat to whom things may be dealt: nobody who rows twice in its leg."""
    leg = trip.boats[boat].leg
    rowers = {p for (rapid, _), p in twice.items() if trip.rapids[rapid].leg == leg}
    return tuple(p for p in crew if p not in rowers)


def _read_order(
    variables: Variables, leg: Leg, read: Callable[[cp_model.IntVar], int]
) -> Iterator[str]:
    for k in range(len(leg.boats)):
        yield next(b for b in sorted(leg.boats) if read(variables.place[b, k]))


def read_stations(
    variables: Variables, order: tuple[str, ...], read: Callable[[cp_model.IntVar], int]
) -> Iterator[tuple[tuple[str, str, str], str]]:
    """Yield where each boat waits while each other one that is there runs."""
    for rapid in variables.rapids:
        boats = [b for b in order if b in rapid.boats]
        for k, j in permutations(range(len(boats)), 2):
            for _, site in list_stations(rapid):
                stands = variables.stands(rapid, j, k, site)
                if stands is not None and read(stands):
                    yield (rapid.name, boats[j], boats[k]), site


def _tell_boat(station: tuple[tuple[str, str, str], str]) -> tuple[str, str]:
    """Return what stations are sorted by; those of a boat at a rapid stay in the running order."""
    (rapid, boat, _), _ = station
    return boat, rapid


def name_wearers(
    trip: Trip, boat: str, crew: tuple[str, ...], things: dict[str, int]
) -> list[Packed]:
    """Deal worn things to named wearers with room, in turn, so that no vest carries all."""
    rooms = {"vest": asks.vest_room, "waist": asks.waist_room}
    packed: dict[tuple[str, str], int] = {}
    for place, room in rooms.items():
        left = {p: room(trip.paddlers[p], trip.catalog) for p in crew}
        pieces = [
            i for i, n in sorted(things.items()) if trip.kit[i].item.worn_on == place
            for _ in range(n)
        ]  # fmt: skip
        for piece in pieces:
            wearer = max(left, key=lambda p: (left[p], p))
            left[wearer] -= 1
            packed[piece, wearer] = packed.get((piece, wearer), 0) + 1
    return [Packed(boat, i, "worn", n, p) for (i, p), n in sorted(packed.items())]
