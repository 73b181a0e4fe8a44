"""Who and what counts most, in words: those that cost most cover first."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from kitplan.report.words import count, join

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitplan.decide.counts import Count, Counted
    from kitplan.decide.missed import Lost
    from kitplan.plan import Packed
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip

PLACES = 2
"""Of how many rapids the names are told."""
NOTHING = (0, 0)


def write_counts(sheet: Sheet, trip: Trip, counted: Counted, ask: str = "--counts") -> None:
    """Write who and what counts most, those that are counted.

    Guests, and who or what costs nothing, are left out. Pieces that cost the very same are told
    together, and somebody's own things with him. `ask` is what asks after all.
    """
    rows = _list_alike([row for row in counted.rows if _is_told(trip, row)])
    sheet.heading("Who and what counts most")
    if rows:
        sheet.say(
            "What cover would be lost with one person hurt, who keeps the seat, or with one piece "
            "gone from where it is missed most. Stations are chosen anew for it; seats, packing "
            "and running order stay as they are."
        )
    for number, alike in enumerate(rows, start=1):
        sheet.point(f"{number}. {_say_row(trip, alike)}")
    _write_steerers(sheet, trip, [row for row in counted.rows if row.rise <= NOTHING])
    for said in _say_rest(counted, len(rows), ask):
        sheet.say(said)


def _say_rest(counted: Counted, told: int, ask: str) -> Iterator[str]:
    """Yield what is not told, and where all of it is."""
    if counted.left_out:
        yield f"Not asked, as {counted.left_out}; {ask} asks all the same."
    elif not counted.complete:
        first = counted.first is not None
        short = "Time was short, and not all was asked" if first else "The limit cut in"
        more = f"; {ask} takes so much time again" if first else ""
        yield f"{short}: somebody or something else may count for more{more}."
    elif not told:
        yield "No one person and no one piece costs any cover."
    elif told == counted.first:
        yield f"No others cost more; {ask} tells all."


def make_counts(trip: Trip, counted: Counted) -> dict[str, Any]:
    """Return all who and what counts as a JSON document, with cases and weights.

    `rise` is what is added to the aims "uncovered" and "one_bank".
    """
    return {
        "complete": counted.complete,
        "rows": [
            {
                "hurt": None if row.item else row.paddler,
                "item": row.item or None,
                "own": row.paddler if row.item and row.paddler else None,
                "guest": not row.item and trip.paddlers[row.paddler].guest,
                "places": [_make_place(place) for place in row.places],
                "rise": _make_rise(row),
                "only_steerer_in": list(row.steers),
                "rapids": [
                    {
                        "rapid": one.rapid,
                        "rise": _make_rise(one),
                        "uncovered": [case._asdict() for case in one.uncovered],
                        "one_bank": [case._asdict() for case in one.one_bank],
                    }
                    for one in row.lost
                ],
            }
            for row in counted.rows
        ],
    }


def _make_rise(row: Count | Lost) -> dict[str, int]:
    return dict(zip(("uncovered", "one_bank"), row.rise, strict=True))


def _make_place(place: Packed) -> dict[str, Any]:
    """Return where somebody sits, or where a piece lies."""
    told = ("boat", "carried", "worn_by")
    return {name: value for name, value in asdict(place).items() if name in told and value}


def _is_told(trip: Trip, row: Count) -> bool:
    guest = not row.item and trip.paddlers[row.paddler].guest
    return row.rise > NOTHING and not guest


def _list_alike(rows: list[Count]) -> list[list[Count]]:
    """Return rows together that cost the very same: somebody with his own things, and pieces."""
    alike: dict[object, list[Count]] = {}
    for row in rows:
        alike.setdefault(row.alike, []).append(row)
    return list(alike.values())


def _say_row(trip: Trip, alike: Sequence[Count]) -> str:
    """Return what is lost with any one of some rows that cost the same, somebody hurt first."""
    first, *others = alike
    lost = _say_lost(first)
    if first.item:
        return f"{_say_pieces(trip, alike)}: {lost}"
    said = [f"{first.paddler} ({_say_places(trip, first.places)}): {lost}"]
    said += _say_steers(trip, first)
    said += [f"as much without {_say_pieces(trip, others)}"] if others else []
    return "; ".join(said)


def _say_pieces(trip: Trip, rows: Sequence[Count]) -> str:
    """Return one piece or another, and where they are."""
    if rows[0].paddler:
        pieces = ", or ".join(f"1 x {row.item}" for row in rows)
        return f"{pieces} ({rows[0].paddler}'s own)"
    return ", or ".join(f"1 x {row.item} ({_say_places(trip, row.places)})" for row in rows)


def _say_places(trip: Trip, places: Sequence[Packed]) -> str:
    """Return where somebody sits or a piece lies, with the day where it changes."""
    said: list[str] = []
    last = ""
    for place in places:
        boat = trip.boats[place.boat]
        here = ", ".join(word for word in (boat.called, _say_carried(place)) if word)
        if here != last:
            since = trip.legs[boat.leg].first_day
            said.append(f"from day {since} {here}" if said or boat.leg else here)
        last = here
    return "; ".join(said)


def _say_carried(place: Packed) -> str:
    return f"worn by {place.worn_by}" if place.worn_by else place.carried


def _say_lost(row: Count) -> str:
    """Return how many cases lose cover, and the rapids that lose most."""
    said = [f"{count(row.uncovered, 'case')} uncovered"] if row.uncovered else []
    if row.one_bank:
        cases = str(row.one_bank) if said else count(row.one_bank, "case")
        said.append(f"{cases} left with one bank")
    names = [one.rapid for one in row.lost]
    more = len(names) - PLACES
    told = names if more <= 0 else [*names[:PLACES], count(more, "more rapid")]
    return f"{', '.join(said)}: {join(told)}"


def _say_steers(trip: Trip, row: Count) -> list[str]:
    boats = join(dict.fromkeys(trip.boats[boat].called for boat in row.steers))
    return [f"the only one in {boats} who can steer it"] if row.steers else []


def _write_steerers(sheet: Sheet, trip: Trip, rows: Sequence[Count]) -> None:
    """Write who costs no cover, but leaves a boat that nobody else in it can steer."""
    for row in rows:
        for said in _say_steers(trip, row):
            sheet.point(f"{row.paddler}: no cover lost, but {said}")
