"""Checks the figures of a plan file that its plan does not hold: masses, amounts, days, counts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kitplan.errors import CAUTION, Finding, Place
from kitplan.planfile.write import make_document

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitplan.demands import Needs
    from kitplan.planfile.read import PlanFile
    from kitplan.planfile.records import PlanRecord, Row
    from kitplan.trip import Trip


def check_document(kept: PlanFile, trip: Trip, needs: Needs) -> list[Finding]:
    """Return what the file says otherwise than its plan, which verify has accepted, makes it."""
    document = make_document(trip, needs, kept.plan)
    return [
        Finding(
            Place(kept.file, 0, 0),
            "error",
            "wrong-total",
            f"{path} is {said!r} in the file and should be {should!r}",
        )
        for path, said, should in _compare(kept, document)
        if said != should
    ]


def _compare(kept: PlanFile, document: dict[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    record = kept.record
    yield "caution", record.caution, CAUTION
    without = document["totals"]["without_technique"]
    yield "totals.without_technique", record.totals.without_technique, without
    flows = {flow: row.model_dump() for flow, row in record.totals.flows.items()}
    yield "totals.flows", flows, document["totals"]["flows"]
    for number, station in enumerate(record.stations):
        yield f"stations[{number}].flow", station.flow, document["stations"][number].get("flow")
    walks = [(row.bank, row.minutes) for row in record.twice]
    made_walks = [(row["bank"], row["minutes"]) for row in document["twice"]]
    yield "bank and minutes of twice", walks, made_walks
    moves = [row.model_dump(by_alias=True, exclude_none=True) for row in record.moves]
    yield "moves", moves, document["moves"]
    yield from _compare_past(record, document)
    days = [row.days for row in record.order]
    yield "days of the order", days, [row["days"] for row in document["order"]]
    for boat, made in zip(record.boats, document["boats"], strict=True):
        yield f"called of boat {boat.name!r}", boat.called, made["called"]
        yield f"days of boat {boat.name!r}", boat.days, made["days"]
        yield f"mass_kg of boat {boat.name!r}", boat.mass_kg, made["mass_kg"]
        yield f"payload_kg of boat {boat.name!r}", boat.payload_kg, made["payload_kg"]
        for key, rows in (("stores", boat.stores), ("mass_by_day", boat.mass_by_day)):
            yield from _compare_rows(key, f" of boat {boat.name!r}", rows, made.get(key))
    yield from _compare_rows("shortfalls", "", record.shortfalls, document.get("shortfalls"))
    yield from _compare_rows("supplies", "", record.supplies, document.get("supplies"))
    for number, row in enumerate(record.demands):
        yield f"demands[{number}].day", row.day, document["demands"][number]["day"]


def _compare_past(record: PlanRecord, document: dict[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    """Yield what is said of boats before, of damage, and of each evening, row by row."""
    yield from _compare_rows("before", "", record.before, document.get("before"))
    for number, row in enumerate(record.happened or ()):
        whose, made = f" of happened[{number}]", document["happened"][number]
        yield from _compare_rows("damaged", whose, row.damaged, made["damaged"])
        yield from _compare_rows("boats", whose, row.boats, made["boats"])


def _compare_rows(
    key: str, whose: str, rows: Sequence[Row] | None, made: list[dict[str, Any]] | None
) -> Iterator[tuple[str, Any, Any]]:
    """Yield rows side by side, figure by figure; None: there are no such rows."""
    said = None if rows is None else [row.model_dump() for row in rows]
    if said is None or made is None or len(said) != len(made):
        yield f"{key}{whose}", said, made
        return
    for number, (one, other) in enumerate(zip(said, made, strict=True)):
        for name, value in one.items():
            yield f"{key}[{number}].{name}{whose}", value, other[name]
