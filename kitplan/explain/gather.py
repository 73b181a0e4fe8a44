"""How all who sat in a boat are taken: by how many throwers ashore, into which boats afloat.

Counts alone: who throws and who steers is settled where witnesses are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.needs.words import NO_BOAT, NO_PLACE, NO_THROWER
from kitplan.plan import Short

if TYPE_CHECKING:
    from kitplan.demands import Throwing


@dataclass(frozen=True, slots=True)
class Taking:
    """So many throwers with a bag each by site, and so many free places by boat.

    `both`: at least one is to be taken ashore and at least one afloat.
    """

    thrown: dict[Throwing, int]
    free: dict[str, int]
    both: bool

    @property
    def ashore(self) -> int:
        """Return how many are taken ashore."""
        return sum(self.thrown.values())

    @property
    def afloat(self) -> int:
        """Return how many are taken aboard."""
        return sum(self.free.values())

    def list_short(self, swimmers: int) -> tuple[Short, ...]:
        """Return what is short to take so many swimmers; each piece takes one."""
        lacks = {("ashore", NO_THROWER): self.ashore, ("afloat", NO_BOAT): self.afloat}
        short = [
            Short(site, "", "swimmer", name, "", 1)
            for (site, name), there in lacks.items()
            if self.both and not there
        ]
        rest = swimmers - self.ashore - self.afloat - len(short)
        if rest > 0:
            short.append(Short("afloat", "", "swimmer", NO_PLACE, "", rest))
        return tuple(short)

    def share(self, swimmers: int, boats: list[str]) -> Taking:
        """Return who takes so many swimmers: throwers first, then boats in this order."""
        afloat = max(int(self.both), swimmers - self.ashore)
        ashore = max(int(self.both), swimmers - afloat)
        thrown, free = {}, {}
        for one, there in self.thrown.items():
            thrown[one] = min(there, ashore)
            ashore -= thrown[one]
        for boat in boats:
            free[boat] = min(self.free[boat], afloat)
            afloat -= free[boat]
        return Taking(
            {one: n for one, n in thrown.items() if n},
            {boat: n for boat, n in free.items() if n},
            self.both,
        )

    def is_backed(self, swimmers: int) -> bool:
        """Say whether so many are taken without any one thrower, bag or boat.

        Without one of the first two one less is taken, without a boat all that it has free.
        """
        if self.ashore + self.afloat <= swimmers or (self.both and self.ashore <= 1):
            return False
        return all(
            self.ashore + self.afloat - lost >= swimmers and not (self.both and lost == self.afloat)
            for lost in (*self.free.values(), 0)
        )
