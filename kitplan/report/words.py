"""Names, lists and counts in words, the same on every sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from kitplan.needs.words import say_ask, say_thing, strip_flow
from kitplan.trip import AT_FLOW, FLOWS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.demands import Choice, Needs
    from kitplan.needs.lining import Lining
    from kitplan.plan import Short
    from kitplan.trip import Rapid, Trip

T = TypeVar("T")

BANK_NAMES = {"left": "river left", "right": "river right", "": "the water"}
PLACES = {1: "first choice", 2: "second choice", 3: "third choice"}
STATION_NAMES = {
    "left": "river left",
    "right": "river right",
    "afloat": "afloat below",
    "above": "above",
    "below": "further down",
}

RUN_NAMES = {"portage": "carried round", "lined": "lined"}
"""How a rapid is passed that is not run."""


def join(words: Iterable[str], last: str = "and") -> str:
    """Return "a, b and c"; "nobody" for none."""
    listed = list(words)
    if len(listed) <= 1:
        return listed[0] if listed else "nobody"
    return f"{', '.join(listed[:-1])} {last} {listed[-1]}"


def join_of(words: Iterable[str]) -> str:
    """Return "a, of b and of c", for what something is short of."""
    listed = list(words)
    return join([*listed[:1], *(f"of {word}" for word in listed[1:])])


ITSELF = {
    "a boat that can be spared": ("boat that can be spared", "boats that can be spared"),
    "a seat in another boat there": ("seat in another boat there", "seats in other boats there"),
}
"""What is short itself, one and several, where it is no boat that does a work."""


def count(number: int, one: str, many: str = "") -> str:
    """Return "1 boat" or "5 boats"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def say_days(first: int, last: int) -> str:
    """Return "day 3" or "days 1 to 3"."""
    return f"day {first}" if first == last else f"days {first} to {last}"


def say_without(needs: Needs) -> str:
    """Return how many cases have no accepted technique, "" for none: "; 15 cases have ..."."""
    cases = sum(len(row.running) for row in needs.without_technique)
    have = "has" if cases == 1 else "have"
    return f"; {count(cases, 'more case')} {have} no accepted technique" if cases else ""


def say_place(choice: Choice) -> str:
    """Return the place of a choice among what fits and is accepted, "first choice"."""
    return PLACES.get(choice.place, f"choice {choice.place}")


def say_running(running: Sequence[str], there: Sequence[str]) -> str:
    """Return while which of the boats there run."""
    if len(running) > 1 and set(running) == set(there):
        return "whichever boat runs"
    return f"while {join(running, 'or')} runs"


def say_flows(flows: Sequence[str]) -> str:
    """Return "at low and medium water", the least water first."""
    return f"at {join(flow for flow in FLOWS if flow in flows)} water"


def say_flow(rapid: Rapid) -> str:
    """Return ", at high water" where a passage is of one flow and its name does not say so."""
    if not rapid.flow or rapid.name != strip_flow(rapid):
        return ""
    return f", {AT_FLOW[rapid.flow]}"


def say_passages(alike: Sequence[Rapid]) -> str:
    """Return the name of passages that differ in nothing but the flow."""
    if len(alike) == 1:
        return alike[0].name
    return f"{strip_flow(alike[0])} {say_flows([rapid.flow for rapid in alike])}"


def join_flows(trip: Trip, rows: Iterable[tuple[str, T]]) -> list[tuple[list[Rapid], T]]:
    """Return rows of (passage, what is said of it), those that differ in the flow alone as one."""
    joined: dict[tuple[str, T], list[Rapid]] = {}
    for name, said in rows:
        rapid = trip.rapids[name]
        joined.setdefault((strip_flow(rapid), said), []).append(rapid)
    return [(rapids, said) for (_, said), rapids in joined.items()]


def say_lining(lining: Lining) -> str:
    """Return what is asked for boat after boat at a lined rapid, and along which bank."""
    people = [
        f"{slot.count} x {slot.role}" + _bracket(say_ask(slot.ask)) for slot in lining.persons
    ]
    things = [f"{s.count} x {s.thing.kind}" + _bracket(say_thing(s.thing)) for s in lining.items]
    asked = join([*people, *things]) or "nothing that the catalogues name"
    banks = join((BANK_NAMES[bank] for bank in lining.banks), "or")
    along = f"along {banks}" if banks else "no bank is said to have a path along it"
    return f"{asked}, the same for each boat in turn; {along}"


def _bracket(asked: str) -> str:
    return f" ({asked})" if asked else ""


def say_missing(missing: Sequence[Short]) -> str:
    """Return in a sentence what is short, by where it is short: "river right is short of ..."."""
    places: dict[str, list[str]] = {}
    for piece in missing:
        if not _is_work(piece):
            places.setdefault(_say_place(piece), []).append(say_short(piece))
    said = [f"{place} short of {join_of(pieces)}" for place, pieces in places.items()]
    return "; ".join(said + [say_short(piece) for piece in missing if _is_work(piece)])


def _say_place(piece: Short) -> str:
    if piece.bank:
        return f"{BANK_NAMES[piece.bank]} is"
    return {"above": "above the rapid one is", "anywhere": "the banks and above are"}.get(
        piece.site, "the rest of the party is"
    )


def _is_work(piece: Short) -> bool:
    """Say whether what is short is a boat for a work."""
    return piece.what == "boat" and piece.name not in ITSELF


def say_short(piece: Short) -> str:
    """Return one thing that is short: "1 prusik loop", "1 paddler with rope 2"."""
    if piece.what == "person":
        skill = f" with {piece.asks}" if piece.asks else ""
        return f"{count(piece.short, 'paddler')}{skill} as '{piece.name}'"
    if piece.what == "item":
        more = f" ({piece.asks})" if piece.asks else ""
        return f"{count(piece.short, piece.name)}{more}"
    if piece.what == "swimmer":
        return f"{piece.short} x {piece.name}"
    if piece.what == "hands":
        return f"{count(piece.short, 'further person', 'further people')} to carry bulky things"
    if piece.name in ITSELF:
        return count(piece.short, *ITSELF[piece.name])
    asks = f" ({piece.asks})" if piece.asks else ""
    return f"no boat is there for '{piece.name}'{asks}"
