"""What a command came to, and a trip with its plan."""

import textwrap
from dataclasses import dataclass
from typing import NamedTuple

from kitplan.demands import Needs
from kitplan.errors import CAUTION
from kitplan.plan import Plan
from kitplan.trip import Trip

CLOSING = textwrap.fill(CAUTION, 100)


@dataclass(frozen=True, slots=True)
class Said:
    """Exit code, stdout and stderr of a command."""

    code: int
    out: str
    err: str

    @property
    def words(self) -> str:
        """Return stdout with every break of a line as one space."""
        return " ".join(self.out.split())


class Made(NamedTuple):
    """A trip, what it asks for, and its plan."""

    trip: Trip
    needs: Needs
    plan: Plan
