"""How much a trip asks, and beyond what a model of all its rapids is of no use."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.trip import Trip

MANY = 15
"""Rapids that ask for something: with more, only those that compete are solved together."""
LARGE = 20_000
"""Demands times boats: with more, aims 5 to 8 are not tried, nor what is traded for what."""


def is_large(trip: Trip, needs: Needs) -> bool:
    """Say whether some leg of a trip asks so much that all its rapids are too much at once."""
    return any(_asks_much(trip, needs, number) for number in range(len(trip.legs)))


def _asks_much(trip: Trip, needs: Needs, number: int) -> bool:
    rapids = {case.rapid for case in needs.cases if trip.rapids[case.rapid].leg == number}
    demands = sum(demand.rapid in rapids for demand in needs.demands)
    return len(rapids) > MANY and demands * len(trip.legs[number].boats) > LARGE
