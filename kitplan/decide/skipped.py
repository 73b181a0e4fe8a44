"""Which passages are meant by the name of a rapid that is skipped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs.words import strip_flow
from kitplan.trip import AT_FLOW, FLOWS

if TYPE_CHECKING:
    from kitplan.trip import Trip

_ENDS = (*(f" {AT_FLOW[flow]}" for flow in FLOWS), *(f", {flow}" for flow in FLOWS))
"""How the name of a rapid at one level of the water ends, as a plan writes it or in short."""


def find_skipped(trip: Trip, said: str) -> frozenset[str]:
    """Return the names of the passages that are meant; empty if none is called so.

    A name with a level of the water that is none of the trip's means what it is called without.
    """
    bare = next((said.removesuffix(end) for end in _ENDS if said.endswith(end)), said)
    return _find_called(trip, said) or _find_called(trip, bare)


def _find_called(trip: Trip, said: str) -> frozenset[str]:
    rapids = trip.rapids.values()
    return frozenset(r.name for r in rapids if said in {r.name, r.place, strip_flow(r)})
