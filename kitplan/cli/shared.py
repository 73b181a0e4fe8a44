"""What commands share: arguments, options, reading a trip, long work that can be stopped."""

from __future__ import annotations

import re
import signal
import sys
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from kitplan.errors import NOWHERE, Exit, Finding, mask
from kitplan.needs import derive_needs
from kitplan.outputs import Stop, report, say
from kitplan.planfile import write_plan
from kitplan.report import render_counted, render_plan
from kitplan.report.csv import render_csv
from kitplan.report.toml import render_toml
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS
from kitplan.units import METRIC, US

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.decide.counts import Counted
    from kitplan.explain import Clock, Outcome
    from kitplan.plan import Plan
    from kitplan.trip import Trip
    from kitplan.units import QuantityError

T = TypeVar("T")
BEST = "the best plan so far"
FOUND = "what was found so far"
LONGEST_NAME = 80
LONGEST_RUN_S = 7 * 24 * 3600.0
LOOK_UP_S = 0.1  # how often it is seen whether long work is done
PLAN_FORMATS = ("text", "markdown", "json", "csv", "toml")
LIST_FORMATS = ("text", "markdown", "json")


def check_text(_context: click.Context, _parameter: click.Parameter, value: Any) -> Any:
    """Refuse file names that are empty or no text: no plan file could hold them."""
    for name in value if isinstance(value, tuple) else (value,):
        if not str(name).strip():
            raise click.BadParameter("the name is empty")
        try:
            str(name).encode()
        except UnicodeEncodeError:
            raise click.BadParameter("the name is not UTF-8 text") from None
    return value


def complain_of_quantity(option: str, error: QuantityError) -> click.BadParameter:
    """Return the complaint of a quantity that an option can't take, with what to try."""
    return click.BadParameter(f"{option}: {error}; {error.hint}")


class Number(click.ParamType[float]):
    """A plain number within bounds; whole where the least is written without a point."""

    name = "number"

    def __init__(self, least: float, most: float, what: str) -> None:
        """Take bounds, and what the number is in words."""
        self.least, self.most, self.what = least, most, what
        self.pattern = r"[0-9]+" if isinstance(least, int) else r"[0-9]+(\.[0-9]+)?"

    def convert(
        self, value: Any, parameter: click.Parameter | None, context: click.Context | None
    ) -> Any:
        """Return the number, or complain in plain words."""
        if isinstance(value, int | float):
            return value
        number = type(self.least)(value) if self._is_plain(value) else None
        if number is None or not self.least <= number <= self.most:
            said = f"{self.what} from {self.least:g} to {self.most:g}, not {mask(value)!r}"
            self.fail(said, parameter, context)
        return number

    def _is_plain(self, text: str) -> bool:
        return len(text) < LONGEST_NAME and bool(re.fullmatch(self.pattern, text, re.ASCII))


trip_argument = click.argument("trip", metavar="TRIP", callback=check_text)
force_option = click.option("--force", is_flag=True, help="Replace a file that exists.")


def output_options(*formats: str) -> Callable[[Any], Any]:
    """Return the options of a command that prints in one of these formats or writes files."""

    def add(command: Any) -> Any:
        command = force_option(command)
        command = click.option(
            "--out",
            "outs",
            metavar="FILE",
            multiple=True,
            callback=check_text,
            help="Write to this file instead; may be given again for another format.",
        )(command)
        return click.option(
            "--format",
            "style",
            type=click.Choice(formats),
            help="Form of the output; as a rule text, or what the ending of FILE says.",
        )(command)

    return add


def list_files(path: str, trip: Trip) -> list[str]:
    """Return the names of the files that a trip was read from."""
    from kitplan.load.files import name_beside  # noqa: PLC0415 - with the loader only

    return [path, *(name_beside(path, source.file) for source in trip.sources[1:])]


def load_or_stop(path: str, flow: str) -> Trip:
    """Return the trip of a file; stop if it has errors, after all findings are said."""
    from kitplan.load import load_trip  # noqa: PLC0415 - it loads pydantic and pint
    from kitplan.needs import find_too_heavy, find_too_large  # noqa: PLC0415 - `--help` needs none of it

    trip, findings = load_trip(Path(path), flow)
    heavy = [*find_too_heavy(trip), *find_too_large(trip)] if trip else []
    report([*findings, *heavy])
    if trip is None or heavy:
        raise Stop(Exit.INPUT)
    return trip


workers_option = click.option(
    "--workers",
    type=Number(1, 64, "a whole number"),
    metavar="N",
    default=2,
    show_default=True,
    help="Processes for runs that do not depend on each other.",
)

flow_option = click.option(
    "--flow",
    type=click.Choice((*FLOWS, ALL_FLOWS)),
    default=AS_WRITTEN,
    show_default=True,
    help="How much water there is; all: one packing and seating for the three of them.",
)

units_option = click.option(
    "--units",
    type=click.Choice((METRIC, US)),
    default=METRIC,
    show_default=True,
    help="Units of text and Markdown, rounded for people; JSON stays metric.",
)


def limit_option(default: float) -> Callable[[Any], Any]:
    """Return the option that limits all solving of a command."""
    return click.option(
        "--time-limit",
        "limit_s",
        type=Number(1.0, LONGEST_RUN_S, "seconds"),
        default=default,
        show_default=True,
        metavar="SECONDS",
        help="Limit for all solving; what it cuts off is said.",
    )


# --- long work ---


def accept_plan(trip: Trip, outcome: Outcome, clock: Clock) -> Plan:
    """Return the plan of an outcome, if the second program accepts it; else stop."""
    from kitplan.verify import verify_plan  # noqa: PLC0415 - beside the solver

    report(outcome.findings)
    if outcome.plan is None:
        if clock.stopped:
            raise KeyboardInterrupt
        if not outcome.findings:
            say(describe_failure(outcome.status, clock.limit_s))
        raise Stop(outcome.exit)
    findings = verify_plan(trip, outcome.plan)
    if findings:
        report(findings)
        say(
            "kitplan: error: the program's own plan did not pass its check, so it is not given; "
            "please report it, with the files of the trip (plan-rejected)"
        )
        raise Stop(Exit.REJECTED)
    return outcome.plan


def wait_for(work: Callable[[], T], stop: Callable[[], None], told: str = BEST) -> T:
    """Return the result of long work, done in a thread of its own so that Ctrl-C is heard at once.

    The first Ctrl-C has the work stopped, which then gives what it has; the second one is raised.
    `told` is what that is, in words.
    """
    done: list[T] = []
    failed: list[BaseException] = []

    def run_work() -> None:
        try:
            done.append(work())
        except BaseException as error:  # noqa: BLE001 - raised again below, in the main thread
            failed.append(error)
        finished.set()

    def hear(_number: int, _frame: object) -> None:
        if asked.is_set():
            raise KeyboardInterrupt
        asked.set()
        say(f"kitplan: stopping with {told}; Ctrl-C once more leaves at once")

    finished, asked = threading.Event(), threading.Event()
    before = signal.signal(signal.SIGINT, hear)
    try:
        threading.Thread(target=run_work, daemon=True).start()
        while not finished.wait(LOOK_UP_S):
            if asked.is_set():
                stop()
    finally:
        signal.signal(signal.SIGINT, before)
    if failed:
        raise failed[0]
    return done[0]


def count_losses(trip: Trip, made: Plan, limit_s: float, *, first: bool) -> Counted:
    """Return who and what counts in a plan, the first of them or all, as the time allows."""
    from kitplan.decide.counts import count_first, count_most  # noqa: PLC0415 - the solver
    from kitplan.explain import Clock  # noqa: PLC0415 - the solver

    clock, asked, work = Clock(limit_s), derive_needs(trip), count_first if first else count_most
    return wait_for(lambda: work(trip, asked, made.arrangement, clock, watch()), clock.stop)


def describe_failure(status: str, limit_s: float) -> str:
    """Return what to say where no plan was found within the limit."""
    finding = Finding(
        NOWHERE,
        "error",
        "no-plan",
        f"no plan was found within {limit_s:g} s ({status})",
        "a longer --time-limit, or `kitplan check` for what is short anyway",
    )
    return finding.text()


def watch() -> Callable[[str], None]:
    """Return what tells a person at a terminal how far the work is, and nobody else."""
    started = time.monotonic()

    def tell(said: str) -> None:
        if sys.stderr.isatty():
            say(f"{time.monotonic() - started:6.1f} s  {said}")

    return tell


def show_plan(trip: Trip, made: Plan, form: str, units: str, counted: Counted | None = None) -> str:
    """Return a plan in one of the formats of plans; who counts most in those for people alone."""
    if form == "csv":
        return render_csv(trip, made)
    if form == "toml":
        return render_toml(trip, made)
    asked = derive_needs(trip)
    if form == "json":
        return write_plan(trip, asked, made)
    if counted is not None:
        return render_counted(trip, made, counted, form, units)
    return render_plan(trip, asked, made, form, units)
