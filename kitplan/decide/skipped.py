"""Which passages are meant by the name of a rapid that is skipped."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.needs.words import strip_flow
from kitplan.trip import AT_FLOW, FLOWS

if TYPE_CHECKING:
    from kitplan.trip import Trip


def find_skipped(trip: Trip, said: str) -> frozenset[str]:
    """Return the names of the passages that are meant; empty if none is called so.

    A name may end with a level of the water, "Weir at high water" or "Weir, high"; where the trip
    has the rapid at other levels alone, it means what the rapid is called.
    """
    called = _find_called(trip, said)
    for flow in FLOWS:
        for end in (f" {AT_FLOW[flow]}", f", {flow}"):
            if not called and said.endswith(end):
                bare = _find_called(trip, said.removesuffix(end))
                called = frozenset(n for n in bare if trip.rapids[n].flow == flow) or bare
    return called


def _find_called(trip: Trip, said: str) -> frozenset[str]:
    rapids = trip.rapids.values()
    return frozenset(r.name for r in rapids if said in {r.name, r.place, strip_flow(r)})
