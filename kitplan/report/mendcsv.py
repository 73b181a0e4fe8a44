"""What to get, as CSV: one row for each change of each step of the curve, the dearest step first.

`step` counts from 1; the set to get has step 0. The last row is the caution.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.ramp import CAUTION_ROW, disarm

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.decide.mend import Mended, Step

COLUMNS = (
    "step", "change", "name", "skill", "level", "count", "price", "currency", "mass_g", "covered",
    "cases",
)  # fmt: skip


def render_mend_csv(mended: Mended) -> str:
    """Return the rows with their heading; lines end in a line feed."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for number, step in enumerate([mended.made, *mended.curve]):
        for row in _list_rows(step, mended.trip.market.currency):
            cells = {"step": str(number), **row}
            writer.writerow({column: disarm(cell) for column, cell in cells.items()})
    writer.writerow({"change": CAUTION_ROW, "name": CAUTION})
    return stream.getvalue()


def _list_rows(step: Step, currency: str) -> Iterator[dict[str, str]]:
    """Yield a row for each change, or one of none."""
    totals = step.plan.totals
    cover = {"covered": str(totals.cases - totals.none), "cases": str(totals.cases)}
    if not step.mend.remedies:
        yield {"change": "nothing", "price": "0.00", "currency": currency, **cover}
    for one in step.mend.remedies:
        taught = {"skill": one.skill, "level": str(one.level)} if one.skill else {}
        yield {
            "change": one.sort,
            "name": one.name,
            **taught,
            "count": str(one.count),
            "price": f"{one.price_cents // 100}.{one.price_cents % 100:02}",
            "currency": currency,
            "mass_g": str(one.mass_g),
            **cover,
        }
