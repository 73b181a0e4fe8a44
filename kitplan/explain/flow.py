"""Cheapest largest assignment by the solver's minimum-cost flow; knows nothing of boats.

The third method beside Hall's conditions (build) and augmenting paths (verify).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.graph.python import min_cost_flow

if TYPE_CHECKING:
    from collections.abc import Sequence


def assign(
    sees: Sequence[Sequence[int]],
    room: Sequence[int],
    cost: Sequence[int] | None = None,
    likes: Sequence[Sequence[int]] | None = None,
) -> list[int]:
    """Return for each place the filler it gets, or -1; as many places as possible are filled.

    `sees[k]` lists the fillers that place k may have, `room[f]` how often filler f may be used,
    `cost[f]` what each use costs, `likes[k]` what each filler in `sees[k]` costs there. Among the
    largest assignments the fillers are as cheap as can be; between places, earlier ones come
    first; and of these assignments, one is taken that costs least by `likes`.
    """
    if not any(sees):
        return [-1] * len(sees)
    flow = min_cost_flow.SimpleMinCostFlow()
    places = len(sees)
    source, sink = places + len(room), places + len(room) + 1
    # So that what is liked never outweighs the order of places, nor that a filler's cost.
    early = 1 + sum(max(row, default=0) for row in likes or ())
    scale = early * (places * places + 1)
    for place in range(places):
        flow.add_arc_with_capacity_and_unit_cost(source, place, 1, early * place)
    arcs: list[tuple[int, int, int]] = []
    for place, fillers in enumerate(sees):
        for n, filler in enumerate(fillers):
            liked = likes[place][n] if likes else 0
            arc = flow.add_arc_with_capacity_and_unit_cost(place, places + filler, 1, liked)
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
