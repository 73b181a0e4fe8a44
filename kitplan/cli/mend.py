"""The command for what it takes to mend a trip."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from kitplan.cli.shared import (
    complain_of_quantity,
    describe_failure,
    flow_option,
    limit_option,
    list_files,
    load_or_stop,
    output_options,
    trip_argument,
    units_option,
    wait_for,
    watch,
    workers_option,
)
from kitplan.errors import CAUTION, Exit
from kitplan.outputs import Outputs, Stop, report, say
from kitplan.report import render_mend
from kitplan.report.documents import write_mend
from kitplan.report.mendcsv import render_mend_csv
from kitplan.units import QuantityError, read_mass_g, read_price_cents

if TYPE_CHECKING:
    from kitplan.decide.mend import Mended
    from kitplan.trip import Trip

PLAIN = re.compile(r"-?[0-9]+(\.[0-9]+)?", re.ASCII)
MEND_FORMATS = ("text", "markdown", "json", "csv")


@click.command(epilog=CAUTION, short_help="Say what to get, and what it closes.")
@trip_argument
@click.option("--budget", metavar="PRICE", help='The most it may cost: "300 EUR".')
@click.option(
    "--extra-mass",
    "extra_mass",
    metavar="MASS",
    help='The most that things got may weigh: "4 kg".',
)
@click.option(
    "--demands", is_flag=True, help="Have as many demands met as can be, once cover is the best."
)
@flow_option
@units_option
@output_options(*MEND_FORMATS)
@limit_option(240.0)
@workers_option
def mend(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any) -> Exit:
    """Say what to buy, borrow, teach, and whom to bring on TRIP, and what that closes.

    Of all that has a price: what reaches most at the least cost, then what less money reaches.
    Apart from it what nothing with a price closes, and what the leader may decide.
    Exit code 3: something stays open all the same.
    """
    outputs = Outputs(style, outs, MEND_FORMATS)
    outputs.check([trip], force=force)
    loaded = load_or_stop(trip, how["flow"])
    outputs.check(list_files(trip, loaded), force=force)
    made = _mend(loaded, how)

    def render(form: str) -> str:
        if form == "json":
            return write_mend(made)
        return render_mend_csv(made) if form == "csv" else render_mend(made, form, how["units"])

    outputs.send(render, force=force)
    plan = made.made.plan
    return Exit.GAPS if plan.gaps or plan.shortfalls else Exit.DONE


def _mend(trip: Trip, how: dict[str, Any]) -> Mended:
    """Return what it takes to mend a trip, its plan accepted by the second program; or stop."""
    from kitplan.decide.mend import MendOptions, mend_trip  # noqa: PLC0415 - the solver
    from kitplan.explain import Clock  # noqa: PLC0415 - the solver
    from kitplan.solve.parts import Limit  # noqa: PLC0415 - the solver

    limit = Limit(_read_budget(how["budget"], trip.market.currency), _read_mass(how["extra_mass"]))
    options = MendOptions(limit, how["workers"], how["demands"])
    clock = Clock(how["limit_s"])
    made = wait_for(lambda: mend_trip(trip, options, clock, watch()), clock.stop)
    if made is None:
        if clock.stopped:
            raise KeyboardInterrupt
        say(describe_failure("unknown", clock.limit_s))
        raise Stop(Exit.NO_PLAN)
    if made.faults:
        report(made.faults)
        say(
            "kitplan: error: the program's own plan did not pass its check, so it is not given; "
            "please report it, with the files of the trip (plan-rejected)"
        )
        raise Stop(Exit.REJECTED)
    return made


def _read_budget(said: str | None, currency: str) -> int | None:
    """Return a budget in cents; a plain number is in the currency of the trip."""
    if said is None:
        return None
    text = f"{said} {currency}" if PLAIN.fullmatch(said.strip()) else said
    try:
        cents, given = read_price_cents(text, name="budget")
    except QuantityError as error:
        raise complain_of_quantity("--budget", error) from None
    if given != currency:
        raise click.BadParameter(f"--budget is in {given}, and prices of this trip in {currency}")
    return cents


def _read_mass(said: str | None) -> int | None:
    """Return a mass in grams."""
    if said is None:
        return None
    try:
        return read_mass_g(said, name="extra mass")
    except QuantityError as error:
        raise complain_of_quantity("--extra-mass", error) from None
