"""Writes a plan as JSON: the same plan gives the same bytes.

Every row of a list stands on a line of its own, so that two plans can be compared line by line.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import TYPE_CHECKING, Any

from kitplan import __version__
from kitplan.errors import CAUTION
from kitplan.needs import find_walk, minutes_back
from kitplan.needs.loads import list_loads
from kitplan.plan import PersonPart, PlacePart, list_moves
from kitplan.planfile.past import GRAMS, make_before, make_restarts
from kitplan.planfile.stores import list_stores, make_supplies
from kitplan.trip import ALL_FLOWS, FLOWS

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.needs.loads import Load
    from kitplan.plan import DemandResult, Gap, Packed, Part, Plan, Short
    from kitplan.trip import Trip

# What a missing piece is called in the document, by its sort.
MISSING_KEYS = {
    "person": "role",
    "item": "kind",
    "hands": "hands",
    "boat": "work",
    "swimmer": "swimmers",
}


def write_plan(trip: Trip, needs: Needs, plan: Plan) -> str:
    """Return the plan as the text of a plan file."""
    return format_document(make_document(trip, needs, plan))


def make_document(trip: Trip, needs: Needs, plan: Plan) -> dict[str, Any]:
    """Return the plan as dicts, lists, texts and numbers, in the order of the file."""
    return {
        "caution": CAUTION,
        "version": __version__,
        "digest": plan.digest,
        "trip": plan.trip_name,
        "flow": trip.flow,
        "canonical": plan.canonical,
        "aims": [
            {"name": a.name, "value": a.value, "bound": a.bound, "proven": a.proven}
            for a in plan.aims
        ],
        "totals": _make_totals(trip, needs, plan),
        **_make_shortfalls(trip, plan),
        **({"supplies": make_supplies(trip)} if trip.stores else {}),
        "gaps": [_make_gap(gap) for gap in plan.gaps],
        "boats": _make_boats(trip, plan),
        "order": [
            {"days": [leg.first_day, leg.last_day], "boats": plan.arrangement.list_run(leg.boats)}
            for leg in trip.legs
        ],
        "twice": [
            {"rapid": rapid, "boat": boat, "paddler": who, **_make_walk(trip, plan, rapid, boat)}
            for (rapid, boat), who in plan.arrangement.twice.items()
        ],
        "moves": _make_moves(trip, plan),
        **({"before": make_before(trip, plan.before)} if plan.before is not None else {}),
        **({"happened": make_restarts(plan.happened)} if plan.happened else {}),
        "not_called_for": [{"item": x.item, "count": x.count} for x in plan.not_called_for],
        "stations": [
            {"rapid": rapid, **_make_flow(trip, rapid), "running": running, "boat": boat,
             "station": station}
            for (rapid, boat, running), station in plan.arrangement.stations.items()
        ],
        "demands": [_make_demand(trip, result) for result in plan.demands],
        "sources": [
            {"file": s.file, "digest": s.digest, "text": s.text} for s in plan.sources
        ],
    }  # fmt: skip


def format_document(document: dict[str, Any]) -> str:
    """Return a document as JSON, each row of a list of tables on a line of its own."""
    members = [f"{_dump(key)}: {_format_member(value)}" for key, value in document.items()]
    return "{\n" + ",\n".join(members) + "\n}\n"


def _format_member(value: Any) -> str:
    if isinstance(value, list) and any(isinstance(row, dict) for row in value):
        return "[\n" + ",\n".join(f" {_dump(row)}" for row in value) + "\n]"
    return _dump(value)


def _dump(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def count_by_flow(trip: Trip, needs: Needs, plan: Plan) -> dict[str, tuple[int, int]]:
    """Return for each flow how many cases are covered, of how many; empty for a single flow.

    Rapids that say nothing of flows count at each.
    """
    if trip.flow != ALL_FLOWS:
        return {}
    covered = {
        result.key.case
        for result in plan.demands
        if result.met and needs.choices[result.key.choice].covers
    }
    counts = {}
    for flow in FLOWS:
        cases = [key for key in needs.cases if trip.rapids[key.rapid].flow in {flow, ""}]
        counts[flow] = (sum(key in covered for key in cases), len(cases))
    return counts


def _make_totals(trip: Trip, needs: Needs, plan: Plan) -> dict[str, Any]:
    totals = plan.totals
    cases = {
        "all_banks": totals.all_banks,
        "one_bank": totals.one_bank,
        "from_water": totals.from_water,
        "none": totals.none,
        "backed": totals.backed,
        "total": totals.cases,
    }
    flows = {
        flow: {"covered": covered, "total": total}
        for flow, (covered, total) in count_by_flow(trip, needs, plan).items()
    }
    return {
        "cases": cases,
        "demands": {"met": totals.met, "total": totals.demands},
        "without_technique": len(needs.without_technique),
        "flows": flows,
    }


def _make_flow(trip: Trip, rapid: str) -> dict[str, str]:
    flow = trip.rapids[rapid].flow
    return {"flow": flow} if flow else {}


def _make_walk(trip: Trip, plan: Plan, rapid: str, boat: str) -> dict[str, Any]:
    """Return on which bank who rows twice walks back up, and for how long."""
    place = trip.rapids[rapid]
    bank = find_walk(place, plan.arrangement, boat)
    return {"bank": bank, "minutes": minutes_back(trip, place, bank)}


def _make_moves(trip: Trip, plan: Plan) -> list[dict[str, Any]]:
    """Return a row for each paddler who moves, and one for all equal moves of an item."""
    rows = []
    moves = list_moves(trip, plan.arrangement)
    for leg, moved in zip(trip.legs[1:], moves, strict=True):
        for move, times in Counter(moved).items():
            carry = {"carried": move.carried, "to_carry": move.to_carry} if move.item else {}
            rows.append(
                {
                    "day": leg.first_day,
                    "item" if move.item else "paddler": move.name,
                    "from": move.source,
                    "to": move.target,
                    **carry,
                    "count": times,
                }
            )
    return rows


def _make_shortfalls(trip: Trip, plan: Plan) -> dict[str, Any]:
    """Return where the plan falls short; nothing for a trip with no rules and no spreads."""
    if not trip.rules and not trip.spreads:
        return {}
    rows = [
        {
            "tier": row.tier,
            "name": row.name,
            "day": row.day,
            "boat": row.boat or None,
            "asked": row.asked,
            "there": row.there,
            "short": row.short,
        }
        for row in plan.shortfalls
    ]
    return {"shortfalls": rows}


def _make_boats(trip: Trip, plan: Plan) -> list[dict[str, Any]]:
    loads = list_loads(trip, plan.arrangement)
    stores = list_stores(trip, plan.arrangement)
    rows = []
    for boat in plan.arrangement.crew:
        row = _make_boat(trip, plan, boat)
        row["mass_kg"] = max(load.total_g for load in loads[boat].values()) / GRAMS
        row["payload_kg"] = trip.boats[boat].type.payload_g / GRAMS
        if trip.stores is not None:
            row["stores"] = stores[boat]
            row["mass_by_day"] = [_make_load(day, load) for day, load in loads[boat].items()]
        rows.append(row)
    return rows


def _make_boat(trip: Trip, plan: Plan, name: str) -> dict[str, Any]:
    """Return who sits in a boat and what kit lies in it."""
    arrangement = plan.arrangement
    boat = trip.boats[name]
    return {
        "name": name,
        "called": boat.called,
        "days": [trip.legs[boat.leg].first_day, trip.legs[boat.leg].last_day],
        "crew": list(arrangement.crew[name]),
        "steerer": arrangement.steerer[name],
        "items": [_make_packed(row) for row in arrangement.packed if row.boat == name],
    }


def _make_load(day: int, load: Load) -> dict[str, Any]:
    return {
        "day": day,
        "people_kg": load.people_g / GRAMS,
        "kit_kg": load.kit_g / GRAMS,
        "stores_kg": load.stores_g / GRAMS,
        "camp_kg": load.camp_g / GRAMS,
        "dry_kg": load.dry_g / GRAMS,
    }


def _make_packed(row: Packed) -> dict[str, Any]:
    return {
        "item": row.item,
        "count": row.count,
        "carried": row.carried,
        "worn_by": row.worn_by or None,
    }


def _make_demand(trip: Trip, result: DemandResult) -> dict[str, Any]:
    key = result.key
    return {
        "rapid": key.rapid,
        "day": trip.rapids[key.rapid].day,
        "spot": key.spot,
        "scenario": key.scenario,
        "technique": key.technique,
        "bank": key.bank or None,
        "running": key.running,
        "met": result.met,
        "way": result.way,
        "witness": [_make_part(part) for part in result.witness],
        "missing": [_make_missing(piece) for piece in result.missing],
    }


def _make_part(part: Part) -> dict[str, Any]:
    place: dict[str, Any] = {"site": part.site, "bank": part.bank or None}
    if isinstance(part, PlacePart):
        return {**place, "swimmers": part.swimmers, "boat": part.boat}
    aboard = {"boat": part.boat} if part.boat else {}
    if isinstance(part, PersonPart):
        return {**place, "role": part.role, "paddler": part.paddler, **aboard}
    worn = {"worn_by": part.worn_by} if part.worn_by else {}
    bundle = {"bundle": part.bundle} if part.bundle else {}
    thing = {"kind": part.kind, "item": part.item, "count": part.count, "from": part.source}
    return {**place, **thing, "carried": part.carried, **worn, **bundle, **aboard}


def _make_missing(piece: Short) -> dict[str, Any]:
    return {
        "site": piece.site,
        "bank": piece.bank or None,
        MISSING_KEYS[piece.what]: piece.name,
        "asks": piece.asks,
        "short": piece.short,
    }


def _make_gap(gap: Gap) -> dict[str, Any]:
    return {
        "day": gap.day,
        "rapid": gap.rapid,
        "spot": gap.spot,
        "scenario": gap.scenario,
        "bank": gap.bank or None,
        "technique": gap.technique,
        "running": list(gap.running),
        "missing": [_make_missing(piece) for piece in gap.missing],
        "sort": gap.sort,
        "note": gap.note,
        "weight": gap.weight,
        "covered_elsewhere": gap.covered_elsewhere,
    }
