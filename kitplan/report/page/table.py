"""The table of cover: for each rapid and technique, from which bank it can be done how often."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.report.page.rapids import SIDES

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import DemandResult, Plan
    from kitplan.report.page.rapids import Rapids
    from kitplan.trip import Trip


@dataclass(frozen=True, slots=True)
class Cell:
    """What a technique from a bank comes to; the numbers are those of the pick that it opens."""

    met: int
    asked: int
    technique: int
    side: int
    running: int

    @property
    def sign(self) -> str:
        """Return a sign that reads without colour: all, some or none."""
        return "●" if self.met == self.asked else "◐" if self.met else "○"

    @property
    def said(self) -> str:
        """Return the same in words."""
        if self.met == self.asked:
            return f"all {self.asked}"
        return f"{self.met} of {self.asked}"


@dataclass(slots=True)
class Row:
    """A technique at a rapid, with a cell for each bank and the water; None: not asked."""

    technique: str
    notes: list[str]
    cells: list[Cell | None] = field(default_factory=list)


def list_cover(
    trip: Trip, needs: Needs, plan: Plan, rapids: Rapids
) -> list[tuple[str, str, list[Row]]]:
    """Return for each rapid its id, its heading and its rows."""
    found: dict[str, dict[str, list[DemandResult]]] = {}
    for result in plan.demands:
        found.setdefault(result.key.rapid, {}).setdefault(result.key.technique, []).append(result)
    by_day = sorted(found, key=lambda name: trip.rapids[name].day)
    return [
        (
            rapids.ids[name],
            f"Day {trip.rapids[name].day}, {name}",
            [
                _make_row(needs, rapids, technique, results)
                for technique, results in found[name].items()
            ],
        )
        for name in by_day
    ]


def _make_row(needs: Needs, rapids: Rapids, technique: str, results: list[DemandResult]) -> Row:
    choices = [needs.choices[result.key.choice] for result in results]
    notes = []
    if all(choice.support_only for choice in choices):
        notes.append("support only")
    elif not any(choice.covers for choice in choices):
        notes.append("last resort")
    if all(choice.unhurried for choice in choices):
        notes.append("unhurried")
    row = Row(technique, notes)
    for side, bank in enumerate(SIDES):
        here = [result for result in results if result.key.bank == bank]
        row.cells.append(_make_cell(rapids, side, here) if here else None)
    return row


def _make_cell(rapids: Rapids, side: int, results: list[DemandResult]) -> Cell:
    """Return a cell that opens the first demand that is not met, or else the first one."""
    shown = next((result for result in results if not result.met), results[0])
    id_ = rapids.ids[shown.key.rapid]
    data = next(one for one in rapids.picks if one["id"] == id_)
    names = [tuple(pick[:3]) for pick in data["picks"]]
    called = rapids.trip.boats[shown.key.running].called
    met = sum(result.met for result in results)
    return Cell(met, len(results), names.index(shown.key[1:4]), side, data["runs"].index(called))
