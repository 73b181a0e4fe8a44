"""Says of people kept together or apart what needs no solver to see that it can't be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.errors import MOST_FINDINGS
from kitplan.load.sheet import count_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat, Company, Paddler

    Companies = Sequence[tuple[Trail, Company]]

_CODE = "people-conflict"
_HINT = "change one of them, or leave it out"


def check_companies(
    sheet: Sheet, companies: Companies, paddlers: Mapping[str, Paddler], boats: Mapping[str, Boat]
) -> None:
    """Complain of companies that contradict each other, what people are tied to, or the boats.

    Without boats nothing is said of seats: not all of them could be read.
    """
    groups = _Groups(companies, paddlers)
    for leader, (trail, *_) in groups.trails.items():
        _check_tied(sheet, trail, groups, leader)
        _check_room(sheet, trail, groups.members[leader], boats)
    for trail, company in companies:
        if len(sheet.findings) > MOST_FINDINGS:
            return
        if not company.together:
            known = [name for name in dict.fromkeys(company.paddlers) if name in paddlers]
            _check_apart(sheet, trail, known, groups)
            if boats and len(known) > len(boats):
                message = f"{len(known)} people sit apart by this, and the boats are {len(boats)}"
                sheet.complain(trail, _CODE, message, "bring more boats, or name fewer people")


class _Groups:
    """Who sits with whom, once all companies that share somebody are merged.

    A group goes by its leader, any one of it; who sits with nobody leads himself.
    """

    def __init__(self, companies: Companies, paddlers: Mapping[str, Paddler]) -> None:
        self._leader = {name: name for name in paddlers}
        self.members: dict[str, list[str]] = {}
        self.tied: dict[str, list[Paddler]] = {}
        self.trails: dict[str, list[Trail]] = {}
        self._wheres: dict[str, list[Company]] = {}
        together = [
            (trail, company, [name for name in company.paddlers if name in paddlers])
            for trail, company in companies
            if company.together
        ]
        for _, _, names in together:
            for name in names[1:]:
                self._leader[self.find(name)] = self.find(names[0])
        for name, paddler in paddlers.items():
            self.members.setdefault(self.find(name), []).append(name)
            if paddler.boat is not None:
                self.tied.setdefault(self.find(name), []).append(paddler)
        for trail, company, names in together:
            if names:
                self.trails.setdefault(self.find(names[0]), []).append(trail)
                self._wheres.setdefault(self.find(names[0]), []).append(company)

    def find(self, name: str) -> str:
        """Return the leader of the group of a paddler."""
        while self._leader[name] != name:
            self._leader[name] = self._leader[self._leader[name]]
            name = self._leader[name]
        return name

    def say_why(self, first: str, second: str) -> str:
        """Return where it is written that two of a group sit in one boat."""
        chain = self._wheres[self.find(first)]
        both = [company for company in chain if {first, second} <= set(company.paddlers)]
        return " and ".join(company.where.text() for company in both[:1] or chain)


def _check_tied(sheet: Sheet, trail: Trail, groups: _Groups, leader: str) -> None:
    """Complain of the first two of a group who are tied to different boats."""
    first, *others = groups.tied.get(leader, [None])
    other = next((one for one in others if first and one and one.boat != first.boat), None)
    if first is None or other is None:
        return
    ties = " and ".join(f"'{one.boat}' ({one.where.text()})" for one in (first, other))
    message = (
        f"'{first.name}' and '{other.name}' sit in one boat by "
        f"{groups.say_why(first.name, other.name)}, and are tied to {ties}"
    )
    sheet.complain(trail, _CODE, message, _HINT)


def _check_room(sheet: Sheet, trail: Trail, people: list[str], boats: Mapping[str, Boat]) -> None:
    seats = max((boat.type.seats for boat in boats.values()), default=len(people))
    if len(people) > seats:
        message = (
            f"{len(people)} people sit in one boat by this, and none has more than "
            f"{count_text(seats, 'seat')}"
        )
        sheet.complain(trail, _CODE, message, "make two companies of them")


def _check_apart(sheet: Sheet, trail: Trail, names: list[str], groups: _Groups) -> None:
    """Complain of the first two who can't sit apart."""
    seen: dict[tuple[str, str], str] = {}  # who of a group, or tied to a boat, was named before
    for name in names:
        leader = groups.find(name)
        tied = groups.tied.get(leader)
        boat = tied[0].boat if tied else None
        message = ""
        if ("group", leader) in seen:
            other = seen["group", leader]
            message = f"sit apart by this, and in one boat by {groups.say_why(other, name)}"
        elif boat is not None and ("boat", boat) in seen:
            other = seen["boat", boat]
            message = f"sit apart by this, and must both sit in '{boat}'"
        if message:
            sheet.complain(trail, _CODE, f"'{other}' and '{name}' {message}", _HINT)
            return
        seen["group", leader] = name
        if boat is not None:
            seen["boat", boat] = name
