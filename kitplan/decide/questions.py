"""What is asked of a rapid, out of names as people type them: which choices, which boats.

Names may be parts of names, in small or capital letters, as long as they mean one thing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Finding, nearest_word, offer_words, shorten
from kitplan.needs.roster import list_running, list_ways

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from kitplan.demands import Choice, Needs
    from kitplan.trip import Rapid, Trip

_MOST_QUOTED = 60  # signs of what was typed that a finding repeats


@dataclass(frozen=True, slots=True)
class Wanted:
    """What somebody wants to know, as typed; "" where it is left open."""

    rapid: str
    spot: str = ""
    scenario: str = ""
    technique: str = ""
    bank: str = ""
    running: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """A case and a bank, or a technique from a bank, while one boat is in trouble.

    `technique` is "" where it is about the case; `bank` is "" for from anywhere, or for a technique
    that works from the water. `choices`: accepted ones that would do; `refused`: others.
    """

    rapid: str
    spot: str
    scenario: str
    technique: str
    bank: str
    running: str
    choices: tuple[Choice, ...]
    refused: tuple[Choice, ...]


def find_questions(
    trip: Trip, needs: Needs, wanted: Wanted
) -> tuple[list[Question], list[Finding]]:
    """Return all questions that what is wanted comes to, or findings about its names."""
    names = _Names(trip, needs)
    found = names.resolve(wanted)
    if names.findings:
        return [], names.findings
    questions = [
        question
        for rapid in names.rapids
        for question in _list_questions(trip, needs, rapid, found)
    ]
    return questions, [] if questions else [_say_nothing_asked(names.rapids, found)]


def _say_nothing_asked(rapids: list[Rapid], wanted: Wanted) -> Finding:
    rapid = rapids[0]
    hint = "`kitplan needs` says what is asked where"
    message = f"nothing is asked so at '{rapid.name}'"
    if rapid.run != "run":
        how = {"portage": "carried round", "lined": "lined"}[rapid.run]
        message = f"nothing is asked at '{rapid.name}': it is {how}"
    elif wanted.technique:
        message = f"'{wanted.technique}' serves for nothing that may happen there"
    return Finding(rapid.where, "error", "not-asked", message, hint)


class _Names:
    """Names of a trip, and findings about those that mean nothing, or several things."""

    def __init__(self, trip: Trip, needs: Needs) -> None:
        self.trip, self.needs = trip, needs
        self.findings: list[Finding] = []
        self.rapids: list[Rapid] = []

    def resolve(self, wanted: Wanted) -> Wanted:
        """Return what is wanted with whole names; `rapids` are the passages it is about."""
        every = self.trip.rapids.values()
        places = dict.fromkeys(r.place or r.name for r in every)
        passages = dict.fromkeys(r.name for r in every)
        meant = _match(wanted.rapid, places) or _match(wanted.rapid, passages)
        name = self._choose("rapid", wanted.rapid, meant, {**places, **passages})
        self.rapids = [r for r in every if name in {r.name, r.place}]
        if not self.rapids:
            return wanted
        spots = dict.fromkeys(s.name for r in self.rapids for s in r.spots)
        there = dict.fromkeys(n for r in self.rapids for s in r.spots for n in s.scenarios)
        boats = dict.fromkeys(self.trip.boats[b].called for r in self.rapids for b in r.boats)
        return Wanted(
            name,
            self._find("spot", wanted.spot, spots),
            self._find("scenario", wanted.scenario, there),
            self._find("technique", wanted.technique, self.trip.catalog.techniques),
            wanted.bank,
            self._find("boat", wanted.running, boats),
        )

    def _find(self, word: str, said: str, known: Iterable[str]) -> str:
        """Return the whole name of what is said; "" where nothing is, or a finding was made."""
        names = list(known)
        return self._choose(word, said, _match(said, names), names) if said.strip() else ""

    def _choose(self, word: str, said: str, meant: list[str], names: Collection[str]) -> str:
        """Return the only name that is meant; "" and a finding where there is none, or more."""
        if len(meant) == 1:
            return meant[0]
        shown = shorten(said, _MOST_QUOTED)
        if meant:
            message = f"'{shown}' may be any of these: {', '.join(meant)}"
            hint = "say more of the name"
            self.findings.append(Finding(NOWHERE, "error", "ambiguous-name", message, hint))
        else:
            near = nearest_word(shown, names)
            hint = near or (offer_words(names) if names else f"there is no {word} there")
            message = f"unknown {word} '{shown}'"
            self.findings.append(Finding(NOWHERE, "error", f"unknown-{word}", message, hint))
        return ""


def _match(said: str, known: Iterable[str]) -> list[str]:
    """Return the names that are just so, else those in other letters, else those it is part of."""
    names, folded = list(known), said.strip().casefold()
    return (
        [name for name in names if name == said]
        or [name for name in names if name.casefold() == folded]
        or [name for name in names if folded in name.casefold()]
    )


def _list_questions(trip: Trip, needs: Needs, rapid: Rapid, wanted: Wanted) -> Iterator[Question]:
    """Yield the questions about a rapid, in the order of its spots and scenarios."""
    for spot in rapid.spots:
        for scenario in spot.scenarios:
            if wanted.spot not in {"", spot.name} or wanted.scenario not in {"", scenario}:
                continue
            where = (rapid.name, spot.name, scenario)
            found = [choice for key, choice in needs.choices.items() if key[:3] == where]
            for boat in list_running(trip, rapid, scenario):
                if wanted.running in {"", trip.boats[boat].called}:
                    yield from _ask(trip, found, wanted, (*where, boat))


def _ask(
    trip: Trip, found: list[Choice], wanted: Wanted, where: tuple[str, str, str, str]
) -> Iterator[Question]:
    """Yield the questions about a boat in trouble: for each bank where a technique is named."""
    banks = {"", wanted.bank} if wanted.bank else {"left", "right", ""}
    there = [choice for choice in found if choice.key.bank in banks]
    if wanted.technique:
        for choice in there:
            if choice.key.technique == wanted.technique:
                yield _make(trip, [choice], where, wanted.technique, choice.key.bank)
        return
    yield _make(trip, there, where, "", wanted.bank)


def _make(
    trip: Trip,
    choices: list[Choice],
    where: tuple[str, str, str, str],
    technique: str,
    bank: str,
) -> Question:
    """Return a question; what would do must be accepted and, for a case, cover it."""
    *place, running = where
    kind = trip.boats[running].type
    will_do = [
        choice
        for choice in choices
        if choice.accepted and (choice.covers or technique) and list_ways(choice, kind)
    ]
    refused = tuple(choice for choice in choices if choice not in will_do)
    ordered = tuple(sorted(will_do, key=lambda choice: (choice.place, choice.key)))
    return Question(place[0], place[1], place[2], technique, bank, running, ordered, refused)
