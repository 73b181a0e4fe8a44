"""The standard kit for other programs: its lists as CSV, all of it as JSON."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

from kitplan import __version__
from kitplan.errors import CAUTION
from kitplan.fleet.nouns import PER_CENT
from kitplan.plan import digest_sources
from kitplan.planfile import format_document
from kitplan.ramp import CAUTION_ROW, disarm
from kitplan.report.standard import count_copies, weigh_own

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.fleet.nouns import Fleet, Line, Standard, Suffers

COLUMNS = ("row", "for", "item", "count", "lists", "copies", "each", "unit", "needed_by")


def render_lists(found: Standard) -> str:
    """Return one row for each line, boat types first; lines end in a line feed."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for row in _list_rows(found):
        writer.writerow({column: disarm(cell) for column, cell in row.items()})
    return stream.getvalue()


def _list_rows(found: Standard) -> Iterator[dict[str, str]]:
    """Yield what each row says; the caution last. `each` is what a copy costs."""
    fleet = found.fleet
    needed = {one.line: sorted({s.trip for s in one.suffers}) for one in found.needed}
    for line in found.lists.list_lines():
        copies = count_copies(fleet, line)
        yield {
            "row": line.what,
            "for": str(line.key[0]),
            "item": line.item,
            "count": str(line.count),
            "lists": str(copies // line.count),
            "copies": str(copies),
            "each": _say_each(fleet, line),
            "unit": "g" if fleet.by_mass else fleet.currency,
            "needed_by": "; ".join(needed.get(line, ())),
        }
    yield {"row": CAUTION_ROW, "item": CAUTION}


def _say_each(fleet: Fleet, line: Line) -> str:
    cost = fleet.cost(line.item)
    return str(cost) if fleet.by_mass else f"{cost / PER_CENT:.2f}"


def write_standard(found: Standard) -> str:
    """Return the lists, what each line is needed for, each trip and the bound as JSON."""
    fleet = found.fleet
    document = {
        "caution": CAUTION,
        "version": __version__,
        "unit": "g" if fleet.by_mass else fleet.currency,
        "cost": found.cost / _per_unit(fleet),
        "bound": found.bound / _per_unit(fleet),
        "proven": found.bound >= found.cost,
        "canonical": found.canonical,
        "extras_factor": fleet.factor / PER_CENT,
        "boats": fleet.boats,
        "guides": [{"leading": level, "guides": n} for level, n in fleet.guides.items()],
        "unpriced": list(fleet.unpriced),
        "lines": [_make_line(found, line) for line in found.lists.list_lines()],
        "trips": [_make_trip(found, name) for name in fleet.outings],
    }
    return format_document(document)


def _per_unit(fleet: Fleet) -> int:
    """Return how many hundredths of a cent or gram are one of the unit that is shown."""
    return PER_CENT if fleet.by_mass else PER_CENT * PER_CENT


def _make_line(found: Standard, line: Line) -> dict[str, Any]:
    needed = next((one for one in found.needed if one.line == line), None)
    return {
        "row": line.what,
        "for": line.key[0],
        "item": line.item,
        "count": line.count,
        "copies": count_copies(found.fleet, line),
        "suffers": [] if needed is None else [_make_loss(one) for one in needed.suffers],
        "asked": needed is not None and needed.proven,
    }


def _make_loss(one: Suffers) -> dict[str, Any]:
    return {
        "trip": one.trip,
        "rapid": one.rapid or None,
        "rule": one.rule or None,
        "uncovered": one.loses[0],
        "one_bank": one.loses[1],
    }


def _make_trip(found: Standard, name: str) -> dict[str, Any]:
    fleet, outcome = found.fleet, found.outcomes[name]
    alone = found.apart.get(name)
    plan = outcome.plan
    goal = outcome.goal
    return {
        "trip": name,
        "digest": digest_sources(fleet.outings[name].trip.sources),
        "misses": outcome.misses,
        "goal": {"short": goal.short, "uncovered": goal.uncovered, "one_bank": goal.one_bank},
        "goal_proven": goal.exact,
        "aims": {} if plan is None else {aim.name: aim.value for aim in plan.aims},
        "with_lists": weigh_own(found, name) / _per_unit(fleet),
        "alone": None if alone is None else alone[0] / _per_unit(fleet),
        "alone_bound": None if alone is None else alone[1] / _per_unit(fleet),
        "packed": [] if plan is None else [_make_packed(row) for row in plan.arrangement.packed],
    }


def _make_packed(row: Any) -> dict[str, Any]:
    return {
        "boat": row.boat,
        "item": row.item,
        "count": row.count,
        "carried": row.carried,
        "worn_by": row.worn_by or None,
    }
