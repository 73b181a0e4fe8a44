"""Cheapest largest assignment by the solver's minimum-cost flow; knows nothing of boats.

The third method beside Hall's conditions (build) and augmenting paths (verify).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.graph.python import min_cost_flow

if TYPE_CHECKING:
    from collections.abc import Sequence


def assign(
    sees: Sequence[Sequence[int]], room: Sequence[int], cost: Sequence[int] | None = None
) -> list[int]:
    """Return for each place the filler it gets, or -1; as many places as possible are filled.

    `sees[k]` lists the fillers that place k may have, `room[f]` how often filler f may be used,
    `cost[f]` what each use costs. Among the largest assignments a cheapest is taken; between
    places, earlier ones come first.
    """
    if not any(sees):
        return [-1] * len(sees)
    flow = min_cost_flow.SimpleMinCostFlow()
    places = len(sees)
    source, sink = places + len(room), places + len(room) + 1
    scale = places * places + 1  # so that the order of places never outweighs a filler's cost
    for place in range(places):
        flow.add_arc_with_capacity_and_unit_cost(source, place, 1, place)
    arcs: list[tuple[int, int, int]] = []
    for place, fillers in enumerate(sees):
        for filler in fillers:
            arc = flow.add_arc_with_capacity_and_unit_cost(place, places + filler, 1, 0)
            arcs.append((arc, place, filler))
    for filler, times in enumerate(room):
        each = scale * (cost[filler] if cost else 0)
        flow.add_arc_with_capacity_and_unit_cost(places + filler, sink, times, each)
    flow.set_node_supply(source, places)
    flow.set_node_supply(sink, -places)
    flow.solve_max_flow_with_min_cost()
    got = [-1] * places
    for arc, place, filler in arcs:
        if flow.flow(arc):
            got[place] = filler
    return got
