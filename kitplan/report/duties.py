"""A witness in words: who does what with which item, and what changes when another boat runs."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.plan import PersonPart, PlacePart
from kitplan.report.words import BANK_NAMES, count, join

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.plan import DemandResult, ItemPart, Part

    Post = tuple[str, str]  # "role" or "kind", and its name
    Entry = tuple[str, str]  # where, and who or what
    Duties = dict[Post, list[Entry]]

ROLE, KIND = "role", "kind"
ROOM = "room"


def list_duties(result: DemandResult) -> Duties:
    """Return who fills each role and what serves as each kind of thing, and where."""
    duties: Duties = {}
    for part in result.witness:
        if isinstance(part, PlacePart):
            said = f"room for {count(part.swimmers, 'swimmer')}"
            duties.setdefault((KIND, ROOM), []).append((say_where(part), said))
            continue
        post = (ROLE, part.role) if isinstance(part, PersonPart) else (KIND, part.kind)
        said = part.paddler if isinstance(part, PersonPart) else say_piece(part)
        copies = 1 if isinstance(part, PersonPart) else part.count
        duties.setdefault(post, []).extend([(say_where(part), said)] * copies)
    return {post: sorted(duties[post]) for post in sorted(duties, key=lambda post: post[0] == KIND)}


def say_places(duties: Duties) -> list[str]:
    """Return a line for each place: its people with their roles, then its things."""
    places = _list_places(duties)
    return [_say_line(place, *places[place]) for place in sorted(places, key=order_places)]


def say_changes(first: Duties, other: Duties) -> str:
    """Return each place where `other` differs from `first`, whole; "nobody" where all are gone."""
    before, after = _list_places(first), _list_places(other)
    changed = [
        place for place in {**before, **after} if _sort(before, place) != _sort(after, place)
    ]
    return "; ".join(
        _say_line(place, *after[place]) if place in after else f"{place}: nobody for this"
        for place in sorted(changed, key=order_places)
    )


def _list_places(duties: Duties) -> dict[str, tuple[list[str], list[str]]]:
    """Return for each place its people with their roles, and its things."""
    places: dict[str, tuple[list[str], list[str]]] = {}
    for (sort, name), entries in duties.items():
        for place, said in _by_place(entries).items():
            people, things = places.setdefault(place, ([], []))
            if sort == ROLE:
                people.append(f"{join(said)} ({name})")
            else:
                things.extend(said)
    return places


def _sort(places: dict[str, tuple[list[str], list[str]]], place: str) -> list[list[str]]:
    """Return people and things of a place in an order of their own, to compare places by."""
    return [sorted(said) for said in places.get(place, ())]


def _say_line(place: str, people: list[str], things: list[str]) -> str:
    said = [", ".join(people)] if people else []
    counts = Counter(things)
    if counts:
        said.append("; ".join(f"{n} x {thing}" if n > 1 else thing for thing, n in counts.items()))
    return f"{place}: {' with '.join(said)}"


def _by_place(entries: Iterable[Entry]) -> dict[str, list[str]]:
    places: dict[str, list[str]] = {}
    for place, said in entries:
        places.setdefault(place, []).append(said)
    return places


def order_places(place: str) -> tuple[int, str]:
    """Return what places are sorted by: banks, above, ashore, then boats."""
    known = [*BANK_NAMES.values(), "above", "ashore"]
    return (known.index(place) if place in known else len(known), place)


def say_where(part: Part) -> str:
    """Return where a part of a witness is: "river left", "in Heron", "above", "ashore"."""
    if part.boat:
        return f"in {part.boat}"
    if part.bank:
        return BANK_NAMES[part.bank]
    return "above" if part.site == "above" else "ashore"


def say_piece(part: ItemPart) -> str:
    """Return a thing and where it lies: "throw bag 20 m (Heron)"."""
    holder = part.worn_by or part.source
    stowed = ", stowed" if part.carried == "stowed" else ""
    if part.bundle:
        return f"{part.item} (from the {part.bundle} in {holder}{stowed})"
    return f"{part.item} ({holder}{stowed})"
