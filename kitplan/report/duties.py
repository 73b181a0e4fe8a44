"""A witness in words: who does what with which item, and what changes when another boat runs."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.plan import ItemPart, PersonPart
from kitplan.report.words import BANK_NAMES, join

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.plan import DemandResult

    Post = tuple[str, str]  # "role" or "kind", and its name
    Entry = tuple[str, str]  # where, and who or what
    Duties = dict[Post, list[Entry]]

ROLE, KIND = "role", "kind"


def list_duties(result: DemandResult) -> Duties:
    """Return who fills each role and what serves as each kind of thing, and where."""
    duties: Duties = {}
    for part in result.witness:
        post = (ROLE, part.role) if isinstance(part, PersonPart) else (KIND, part.kind)
        said = part.paddler if isinstance(part, PersonPart) else _say_thing(part)
        copies = 1 if isinstance(part, PersonPart) else part.count
        duties.setdefault(post, []).extend([(_say_place(part), said)] * copies)
    return {post: sorted(duties[post]) for post in sorted(duties, key=lambda post: post[0] == KIND)}


def say_places(duties: Duties) -> list[str]:
    """Return a line for each place: its people with their roles, then its things."""
    places: dict[str, tuple[list[str], list[str]]] = {}
    for (sort, name), entries in duties.items():
        for place, said in _by_place(entries).items():
            people, things = places.setdefault(place, ([], []))
            if sort == ROLE:
                people.append(f"{join(said)} ({name})")
            else:
                things.extend(said)
    return [_say_line(place, *places[place]) for place in sorted(places, key=_order)]


def _say_line(place: str, people: list[str], things: list[str]) -> str:
    said = [", ".join(people)] if people else []
    counts = Counter(things)
    if counts:
        said.append("; ".join(f"{n} x {thing}" if n > 1 else thing for thing, n in counts.items()))
    return f"{place}: {' with '.join(said)}"


def say_changes(first: Duties, other: Duties) -> str:
    """Return what is new against `first`: roles that change, whole, and things not used there."""
    new: Duties = {}
    for post, entries in other.items():
        known = first.get(post, [])
        if post[0] == ROLE and entries != known:
            new[post] = entries
        elif post[0] == KIND and (more := Counter(entries) - Counter(known)):
            new[post] = list(more.elements())
    gone = [
        f"nobody as '{name}'" for sort, name in first if sort == ROLE and (sort, name) not in other
    ]
    return "; ".join([*say_places(new), *gone])


def _by_place(entries: Iterable[Entry]) -> dict[str, list[str]]:
    places: dict[str, list[str]] = {}
    for place, said in entries:
        places.setdefault(place, []).append(said)
    return places


def _order(place: str) -> tuple[int, str]:
    known = [*BANK_NAMES.values(), "above", "ashore"]
    return (known.index(place) if place in known else len(known), place)


def _say_place(part: PersonPart | ItemPart) -> str:
    if part.boat:
        return f"in {part.boat}"
    if part.bank:
        return BANK_NAMES[part.bank]
    return "above" if part.site == "above" else "ashore"


def _say_thing(part: ItemPart) -> str:
    holder = part.worn_by or part.source
    stowed = ", stowed" if part.carried == "stowed" else ""
    return f"{part.item} ({holder}{stowed})"
