"""The command that shows a saved plan as one file for telephone, desk and paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitplan.cli.shared import (
    check_text,
    count_losses,
    force_option,
    limit_option,
    units_option,
)
from kitplan.errors import CAUTION, Exit, has_errors
from kitplan.outputs import Outputs, Stop, report

if TYPE_CHECKING:
    from kitplan.plan import Plan
    from kitplan.trip import Trip

FORMATS = ("html",)


@click.command(epilog=CAUTION, short_help="Show a saved plan as one page.")
@click.argument("plan", metavar="PLAN", callback=check_text)
@units_option
@click.option(
    "--out",
    "out",
    metavar="FILE",
    required=True,
    callback=check_text,
    help="Write the page to this file, FILE.html.",
)
@force_option
@click.option(
    "--counts", is_flag=True, help="Say who and what counts most: what each loss would cost."
)
@limit_option(240.0)
def page(*, plan: str, out: str, force: bool, **how: Any) -> Exit:
    """Write the plan file PLAN as a page that needs nothing else: no network, no other file.

    It shows what is covered day by day, each rapid drawn to scale, who does what with which item,
    and prints packing and duty cards. PLAN is checked by the second program first.
    Exit code 3: done, but something falls short or a case lacks cover.
    """
    from kitplan.report.page import render_page  # noqa: PLC0415 - it loads jinja2

    outputs = Outputs(None, (out,), FORMATS)
    outputs.check([plan], force=force)
    trip, made = _open(Path(plan))
    counted = count_losses(trip, made, how["limit_s"], first=True) if how["counts"] else None
    outputs.send(lambda _: render_page(trip, made, counted, how["units"]), force=force)
    return Exit.GAPS if made.gaps or made.shortfalls else Exit.DONE


def _open(path: Path) -> tuple[Trip, Plan]:
    """Return a trip and its plan, held against each other by the second program; or stop."""
    from kitplan.audit import open_plan  # noqa: PLC0415 - it loads pydantic and pint

    trip, made, findings = open_plan(path)
    report(findings)
    if trip is None or made is None or has_errors(findings):
        raise Stop(Exit.INPUT)
    return trip, made
