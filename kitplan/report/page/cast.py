"""Who and what of a witness is drawn where: sorted by place, nothing measured."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.needs.lines import IS_READY, list_lines
from kitplan.plan import PersonPart, PlacePart
from kitplan.trip import BANKS

if TYPE_CHECKING:
    from kitplan.demands import Choice
    from kitplan.needs.lines import Line
    from kitplan.plan import DemandResult, Part
    from kitplan.trip import Trip

ABOVE, ASHORE = "above", "ashore"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Cast:
    """People by bank, each once in the order of the witness; `lines` lie between them.

    `team` is at the spot, `guards` are downstream safety, `lookouts` spotters; `above` is who
    stands above the rapid, `works` names boats whose crews do something aboard. Unhurried work is
    drawn on the bank it is done from.
    """

    spot: str = ""
    team: dict[str, list[str]] = field(default_factory=dict)
    guards: dict[str, list[str]] = field(default_factory=dict)
    lookouts: dict[str, list[str]] = field(default_factory=dict)
    above: list[str] = field(default_factory=list)
    works: list[str] = field(default_factory=list)
    lines: tuple[Line, ...] = ()

    def list_lettered(self) -> list[tuple[str, Line]]:
        """Return all lines, those that are drawn with a letter: they span something from a bank."""
        letters = iter(LETTERS)
        drawn = (line.does != IS_READY and bool(line.bank) for line in self.lines)
        return [
            (next(letters, "*") if d else "", line)
            for d, line in zip(drawn, self.lines, strict=True)
        ]

    def list_drawn(self, bank: str) -> list[tuple[str, Line]]:
        """Return the lines that are drawn from a bank, each with its letter."""
        return [pair for pair in self.list_lettered() if pair[0] and pair[1].bank == bank]


def make_cast(trip: Trip, choice: Choice, result: DemandResult) -> Cast:
    """Return who and what is drawn for a demand; nobody where it is not met."""
    cast = Cast(result.key.spot, lines=list_lines(trip, choice, result))
    for part in result.witness:
        _place(trip, cast, part, choice.key.bank)
    return cast


def _place(trip: Trip, cast: Cast, part: Part, working: str) -> None:
    if part.boat and part.boat not in cast.works:
        cast.works.append(part.boat)
    if part.boat or isinstance(part, PlacePart) or not isinstance(part, PersonPart):
        return
    bank = part.bank or (working if part.site == ASHORE else "")
    groups = {
        trip.catalog.downstream.role.name: cast.guards,
        trip.catalog.spotter.name: cast.lookouts,
    }
    names = cast.above
    if bank in BANKS:
        names = groups.get(part.role, cast.team).setdefault(bank, [])
    elif part.site != ABOVE:
        return
    if part.paddler not in names:
        names.append(part.paddler)
