"""Commands for the ramp and the gravel bar: reviewing a load by hand, planning anew on the way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitplan.cli.shared import (
    FOUND,
    LIST_FORMATS,
    PLAN_FORMATS,
    Number,
    accept_plan,
    check_text,
    complain_of_quantity,
    flow_option,
    limit_option,
    list_files,
    load_or_stop,
    output_options,
    show_plan,
    trip_argument,
    units_option,
    wait_for,
    watch,
    workers_option,
)
from kitplan.errors import CAUTION, Exit, has_errors
from kitplan.outputs import Outputs, Stop, report
from kitplan.report import render_replan, render_review
from kitplan.report.documents import write_review
from kitplan.trip import ALL_FLOWS, FLOWS
from kitplan.units import QuantityError, read_mass_g

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.decide import Happened
    from kitplan.decide.replan import Replanned
    from kitplan.decide.review import Review
    from kitplan.plan import Plan
    from kitplan.trip import Trip

WHOLE = re.compile(r"[0-9]{1,9}", re.ASCII)


@click.command(epilog=CAUTION, short_help="Review a load packed by hand.")
@trip_argument
@click.argument("load", metavar="LOAD", callback=check_text)
@flow_option
@units_option
@output_options(*LIST_FORMATS)
@limit_option(60.0)
def review(
    *, trip: str, load: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any
) -> Exit:
    """Say what LOAD, as it lies, is good for on TRIP, what is wrong with it, and what to move.

    LOAD is a table by hand, .csv or .toml: boat, row, name, count, carried; `kitplan plan --out
    load.csv` or `load.toml` writes one. Stations and order left out are chosen as well as can be.
    Exit code 3: something is wrong with it, or a case lacks cover.
    """
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip, load], force=force)
    loaded = load_or_stop(trip, how["flow"])
    outputs.check([load, *list_files(trip, loaded)], force=force)
    made = _review(loaded, load, how["limit_s"])

    def render(form: str) -> str:
        return write_review(made) if form == "json" else render_review(made, form, how["units"])

    outputs.send(render, force=force)
    plan = made.plan
    return Exit.GAPS if made.broken or plan.gaps or plan.shortfalls else Exit.DONE


def _review(trip: Trip, path: str, limit_s: float) -> Review:
    """Return the review of a load, or stop where it has errors or no stations go with it."""
    from kitplan.decide.review import review_load  # noqa: PLC0415 - the solver
    from kitplan.explain import Clock  # noqa: PLC0415 - the solver
    from kitplan.rampfile import load_ramp  # noqa: PLC0415 - it loads pydantic

    load, findings = load_ramp(Path(path), trip)
    report(findings)
    if load is None:
        raise Stop(Exit.INPUT)
    clock = Clock(limit_s)
    made = wait_for(lambda: review_load(trip, load, clock, watch()), clock.stop, FOUND)
    if isinstance(made, list):
        if clock.stopped:
            raise KeyboardInterrupt
        report(made)
        raise Stop(Exit.INPUT)
    return made


def _many(name: str, metavar: str, said: str) -> Callable[[Any], Any]:
    """Return an option that may be given again and again."""
    return click.option(
        name, metavar=metavar, multiple=True, callback=check_text, help=f"{said} May be repeated."
    )


@click.command(epilog=CAUTION, short_help="Plan anew on the way, near what there is.")
@click.argument("plan", metavar="PLAN", callback=check_text)
@click.option(
    "--day",
    type=Number(1, 60, "a whole number"),
    metavar="N",
    required=True,
    help="The next day to come: planned as of the evening before.",
)
@_many("--lost", "BOAT", "A boat that is gone; its crew is saved with what they wear.")
@_many("--damaged", "BOAT=MASS", 'What a boat may still carry: "Heron=400 kg".')
@_many("--absent", "PADDLER", "Who is not there any more.")
@_many("--hurt", "PADDLER", "Who takes a seat and does nothing.")
@_many(
    "--lost-item",
    "WHERE:ITEM=N",
    "Kit that is gone: WHERE is a boat it was dealt to, or a paddler whose own it was.",
)
@_many("--skip", "RAPID", "A rapid that is carried round.")
@click.option(
    "--flow",
    type=click.Choice((*FLOWS, ALL_FLOWS)),
    help="How much water there is, if not as planned.",
)
@units_option
@output_options(*PLAN_FORMATS)
@limit_option(22.0)
@workers_option
def replan(*, plan: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any) -> Exit:
    """Plan the rest of a trip anew from the plan file PLAN, with as few moves as will do.

    It begins on the evening before day N, before what PLAN moves on that morning. Moves are told
    first, in an order that can be stopped after each step. On the first day of a PLAN that was
    made anew itself, its moves of that morning are taken as made.
    Exit code 3: done, but something falls short or a case lacks cover.
    """
    outputs = Outputs(style, outs, PLAN_FORMATS)
    outputs.check([plan], force=force)
    from kitplan.audit import list_inputs  # noqa: PLC0415 - it loads pydantic and pint

    happened = _read_happened(how)
    trip, old = _open(Path(plan), happened, how["flow"])
    outputs.check([plan, *list_inputs(old, Path(plan))], force=force)
    replanned, made = _replan(trip, old, happened, how)

    def render(form: str) -> str:
        if form in {"json", "csv", "toml"}:
            return show_plan(replanned.trip, made, form, how["units"])
        return render_replan(replanned, made, form, how["units"])

    outputs.send(render, force=force)
    return replanned.outcome.exit


def _read_happened(how: dict[str, Any]) -> Happened:
    """Return what happened, out of the options."""
    from kitplan.decide import Happened  # noqa: PLC0415 - only here

    lost: dict[tuple[str, str], int] = {}
    for said in how["lost_item"]:
        place, number = _split(said, "=", "--lost-item", "Heron:throw bag 20 m=1")
        boat, item = _split(place, ":", "--lost-item", "Heron:throw bag 20 m=1")
        if not (WHOLE.fullmatch(number) and int(number)):
            raise click.BadParameter(f"--lost-item: {number!r} is no whole number above 0")
        lost[boat, item] = lost.get((boat, item), 0) + int(number)
    damaged: dict[str, int] = {}
    for said in how["damaged"]:
        boat, mass = _split(said, "=", "--damaged", "Heron=400 kg")
        if boat in damaged:
            raise click.BadParameter(f"--damaged: {boat!r} is there twice; say it once")
        try:
            damaged[boat] = read_mass_g(mass, name="payload")
        except QuantityError as error:
            raise complain_of_quantity("--damaged", error) from None
    lists = ("lost", "absent", "hurt", "skip")
    gone, absent, hurt, skipped = (tuple(dict.fromkeys(how[option])) for option in lists)
    return Happened(how["day"], gone, damaged, absent, hurt, lost, skipped)


def _split(said: str, sign: str, option: str, example: str) -> tuple[str, str]:
    """Return what stands on both sides of the sign, or complain."""
    left, found, right = said.partition(sign)
    if not (found and left.strip() and right.strip()):
        raise click.BadParameter(f'{option}: write it as "{example}", not {said!r}')
    return left.strip(), right.strip()


def _open(path: Path, happened: Happened, flow: str | None) -> tuple[Trip, Plan]:
    """Return the trip and the plan to go on from; stop where they or what happened can't be."""
    from kitplan.audit import open_plan  # noqa: PLC0415 - it loads pydantic and pint
    from kitplan.decide import find_wrong  # noqa: PLC0415 - with the loader

    trip, old, findings = open_plan(path, flow)
    if trip is not None and old is not None:
        findings += find_wrong(trip, old.arrangement, happened)
    report(findings)
    if trip is None or old is None or has_errors(findings):
        raise Stop(Exit.INPUT)
    return trip, old


def _replan(
    trip: Trip, old: Plan, happened: Happened, how: dict[str, Any]
) -> tuple[Replanned, Plan]:
    """Return the plan made anew, accepted by the second program; or stop."""
    from kitplan.decide.replan import replan_trip  # noqa: PLC0415 - the solver
    from kitplan.explain import Clock, SolveOptions  # noqa: PLC0415 - the solver

    options = SolveOptions(how["limit_s"], how["workers"], watch=watch())
    clock = Clock(options.time_limit_s)
    replanned = wait_for(
        lambda: replan_trip(trip, old.arrangement, happened, options, clock),
        clock.stop,
        "the best plan so far, and the moves found to it",
    )
    made = accept_plan(replanned.trip, replanned.outcome, clock)
    return replanned, replace(made, happened=(*old.happened, replanned.restart))
