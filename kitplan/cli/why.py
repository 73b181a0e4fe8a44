"""The command that says why something is not met."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitplan.cli.shared import (
    LIST_FORMATS,
    check_text,
    limit_option,
    list_files,
    load_or_stop,
    output_options,
    units_option,
    wait_for,
    watch,
)
from kitplan.errors import CAUTION, Exit, Finding, has_errors
from kitplan.needs import derive_needs
from kitplan.outputs import Outputs, Stop, report
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, BANKS, FLOWS

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.decide.answers import Why
    from kitplan.plan import Plan
    from kitplan.trip import Trip

PLAN_ENDING = ".json"


def _narrow(name: str, metavar: str, said: str) -> Callable[[Any], Any]:
    """Return an option that narrows the question; left out, all are asked."""
    return click.option(name, metavar=metavar, default="", callback=_check_named, help=said)


def _check_named(context: click.Context, parameter: click.Parameter, value: Any) -> Any:
    return value if value == "" else check_text(context, parameter, value)


@click.command(epilog=CAUTION, short_help="Say why something is not met, and what would turn it.")
@click.argument("asked", metavar="TRIP|PLAN", callback=check_text)
@click.option(
    "--rapid", metavar="RAPID", required=True, callback=check_text, help="The rapid it is about."
)
@_narrow("--spot", "SPOT", "The spot; all of them if left out.")
@_narrow("--scenario", "SCENARIO", "What has happened; all that may, if left out.")
@_narrow("--technique", "TECHNIQUE", "One technique; if left out, whether the case is covered.")
@click.option("--bank", type=click.Choice(BANKS), help="From this bank; if left out, from any.")
@_narrow("--running", "BOAT", "The boat in trouble; each of them if left out.")
@click.option(
    "--flow",
    type=click.Choice((*FLOWS, ALL_FLOWS)),
    help="How much water there is, if not as planned or as written.",
)
@units_option
@output_options(*LIST_FORMATS)
@limit_option(60.0)
def why(*, asked: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any) -> Exit:
    """Say of a rapid of TRIP, or of the plan file PLAN, what is met or why it is not.

    Of a TRIP all is open: could it be met at that rapid at all? Of a PLAN it is who does it with
    what, or what is in the way. What is not met is told with facts that make it so, none of which
    can be left out, and with single changes that turn it. Parts of names will do.
    """
    from kitplan.report.documents import write_why  # noqa: PLC0415 - with the solver's side
    from kitplan.report.why import render_why  # noqa: PLC0415 - it names the solver's side

    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([asked], force=force)
    trip, plan = _open(asked, how["flow"])
    if plan is None:
        outputs.check(list_files(asked, trip), force=force)
    told = _answer(trip, plan, how)

    def render(form: str) -> str:
        return write_why(told) if form == "json" else render_why(told, form, how["units"])

    outputs.send(render, force=force)
    return Exit.DONE


def _open(path: str, flow: str | None) -> tuple[Trip, Plan | None]:
    """Return the trip of a trip file, or of a plan file with its plan; stop where it has errors."""
    if Path(path).suffix.lower() != PLAN_ENDING:
        return load_or_stop(path, flow or AS_WRITTEN), None
    from kitplan.audit import open_plan  # noqa: PLC0415 - it loads pydantic and pint

    trip, plan, findings = open_plan(Path(path))
    report(findings)
    if trip is None or plan is None or has_errors(findings):
        raise Stop(Exit.INPUT)
    if flow not in {None, trip.flow}:
        raise click.BadParameter(f"--flow: the plan is for {trip.flow} water; leave it out")
    return trip, plan


def _answer(trip: Trip, plan: Plan | None, how: dict[str, Any]) -> Why:
    """Return the answers; stop where a name means nothing, or nobody can be seated."""
    from kitplan.decide.questions import Wanted, find_questions  # noqa: PLC0415 - with the loader

    needs = derive_needs(trip)
    words = (how["technique"], how["bank"] or "", how["running"])
    wanted = Wanted(how["rapid"], how["spot"], how["scenario"], *words)
    questions, findings = find_questions(trip, needs, wanted)
    _stop_at(findings)
    from kitplan.decide.why import Teller  # noqa: PLC0415 - the solver
    from kitplan.explain import Clock  # noqa: PLC0415 - the solver

    clock = Clock(how["limit_s"])
    teller = Teller(trip, needs, plan, clock)
    _stop_at(teller.find_unseated(questions))
    return wait_for(lambda: teller.tell_all(questions, watch()), clock.stop)


def _stop_at(findings: list[Finding]) -> None:
    report(findings)
    if findings:
        raise Stop(Exit.INPUT)
