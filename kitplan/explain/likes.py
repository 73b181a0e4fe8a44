"""Who and what did a job before, and what it costs to have another do it; knows no rivers."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.plan import ItemPart, PersonPart

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.explain.scene import Lot
    from kitplan.plan import Part

    Holder = tuple[str, str, str, str, str]  # item, boat, carried, worn by, bundle

# Every change is dearer than anything said of those who come in; then that they did so before.
CHANGE, NEW, NO_JOB, OTHER_JOB = 100, 10, 1, 2


@dataclass(frozen=True)
class Team:
    """What parts of witnesses came to so far: who did which role, what served as which kind."""

    people: set[tuple[str, str]] = field(default_factory=set)
    things: Counter[tuple[str, Holder]] = field(default_factory=Counter)
    boats: set[str] = field(default_factory=set)

    def add(self, parts: Iterable[Part]) -> Team:
        """Return the team with these parts as well; of things as many as were needed at once."""
        grown = Team(set(self.people), Counter(), set(self.boats))
        for part in parts:
            grown.boats.update([part.boat] if part.boat else [])
            if isinstance(part, PersonPart):
                grown.people.add((part.role, part.paddler))
            elif isinstance(part, ItemPart):
                holder = (part.item, part.source, part.carried, part.worn_by, part.bundle)
                grown.things[part.kind, holder] += part.count
        return Team(grown.people, grown.things | self.things, grown.boats)


@dataclass(frozen=True)
class Likes:
    """What is liked in a witness: `first` unchanged, else as in `since`, else as at the rapid.

    `first` is None while the team of a choice is looked for.
    """

    first: Team | None = None
    since: Team = field(default_factory=Team)
    here: Team = field(default_factory=Team)

    def person(self, role: str, paddler: str) -> int:
        """Return what it costs that a paddler does a role."""
        if self.first is not None and (role, paddler) in self.first.people:
            return 0
        jobs = {_stem(job) for job, name in self.here.people if name == paddler}
        usual = NO_JOB if not jobs else 0 if _stem(role) in jobs else OTHER_JOB
        return usual + self._change(known=(role, paddler) in self.since.people)

    def thing(self, kind: str, lot: Lot, copy: int) -> int:
        """Return what it costs that a copy of a lot, counted from 0, serves as a kind."""
        use = (kind, (lot.item.name, lot.boat, lot.carried, lot.worn_by, lot.bundle))
        if self.first is not None and copy < self.first.things[use]:
            return 0
        return int(copy >= self.here.things[use]) + self._change(
            known=copy < self.since.things[use]
        )

    def boat(self, boat: str) -> int:
        """Return what it costs that a boat does the work of boats."""
        if self.first is not None and boat in self.first.boats:
            return 0
        return int(boat not in self.here.boats) + self._change(known=boat in self.since.boats)

    def _change(self, *, known: bool) -> int:
        if self.first is None:
            return 0
        return CHANGE + (0 if known else NEW)


def _stem(role: str) -> str:
    """Return a role's name without its bank: "puller, far bank" is the work of a puller."""
    return role.partition(",")[0]
