"""The commands: options in, one call, print, exit code. No work of its own.

What takes long to load (the solver, pydantic, pint) is imported inside the commands that need it.
"""

from __future__ import annotations

import contextlib
import errno
import io
import multiprocessing
import os
import re
import shlex
import signal
import sys
import textwrap
import threading
import time
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from kitplan import __version__
from kitplan.check import check_party
from kitplan.errors import CAUTION, NOWHERE, Exit, Finding, has_errors, mask
from kitplan.files import check_output
from kitplan.needs import derive_needs
from kitplan.outputs import (
    CLOSING,
    WIDTH,
    Outputs,
    Stop,
    print_text,
    refuse,
    refuse_stdout,
    report,
    say,
    write_files,
)
from kitplan.planfile import write_plan
from kitplan.report import render_check, render_needs, render_plan, render_review
from kitplan.report.csv import render_csv
from kitplan.report.documents import write_check, write_needs, write_review
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS
from kitplan.units import METRIC, US

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from kitplan.decide.review import Review
    from kitplan.plan import Plan
    from kitplan.trip import Trip

T = TypeVar("T")
LONGEST_NAME = 80
OUTPUT_TROUBLE = {errno.ENOSPC, errno.EPIPE, errno.EBADF, errno.EIO}
LONGEST_RUN_S = 7 * 24 * 3600.0
LOOK_UP_S = 0.1  # how often it is seen whether long work is done


# --- the way out ----------------------------------------------------------------------------------


def main() -> None:
    """Run the command line and leave with its exit code."""
    _write_utf8()
    code = run(sys.argv[1:])
    if threading.active_count() > 1:
        _leave_at_once(code)
    sys.exit(code)


def _write_utf8() -> None:
    """Write the same bytes whatever the environment says; what is no text is written in escapes."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")


def _leave_at_once(code: int) -> NoReturn:
    """Leave although the solver is still at work: its processes first, then this one."""
    for process in multiprocessing.active_children():
        process.terminate()
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, OSError):  # it may be closed, or full
            stream.flush()
    os._exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; nothing is raised."""
    try:
        code = kitplan.main(args=list(arguments), prog_name="kitplan", standalone_mode=False)
        return int(code or Exit.DONE)
    except Stop as stop:
        return int(stop.code)
    except click.ClickException as error:
        _say_misuse(error)
        return int(Exit.USAGE)
    except (click.Abort, KeyboardInterrupt):
        say("kitplan: stopped; no plan was verified yet, so none is given")
        return int(Exit.NO_PLAN)
    except Exception as error:  # noqa: BLE001 - the last resort: a line, never a traceback
        if isinstance(error, OSError) and error.errno in OUTPUT_TROUBLE:
            return int(refuse_stdout().code)
        say(_describe_fault(error))
        return int(Exit.REJECTED)


def _say_misuse(error: click.ClickException) -> None:
    """Say what is wrong with the command as it was typed, which may hold any sign."""
    context = getattr(error, "ctx", None)
    if isinstance(context, click.Context):
        say(f"{context.get_usage()}\nTry '{context.command_path} --help' for help.\n")
    say(f"Error: {mask(error.format_message())}")


def _describe_fault(error: Exception) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return (
        f"kitplan: error: a fault of the program itself ({type(error).__name__}{where}); "
        "please report it, with the files it was given (internal-fault)"
    )


# --- what commands share --------------------------------------------------------------------------


def _check_text(_context: click.Context, _parameter: click.Parameter, value: Any) -> Any:
    """Refuse file names that are empty or no text: no plan file could hold them."""
    for name in value if isinstance(value, tuple) else (value,):
        if not str(name).strip():
            raise click.BadParameter("the name is empty")
        try:
            str(name).encode()
        except UnicodeEncodeError:
            raise click.BadParameter("the name is not UTF-8 text") from None
    return value


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


trip_argument = click.argument("trip", metavar="TRIP", callback=_check_text)
force_option = click.option("--force", is_flag=True, help="Replace a file that exists.")


def _output_options(*formats: str) -> Callable[[Any], Any]:
    """Return the options of a command that prints in one of these formats or writes files."""

    def add(command: Any) -> Any:
        command = force_option(command)
        command = click.option(
            "--out",
            "outs",
            metavar="FILE",
            multiple=True,
            callback=_check_text,
            help="Write to this file instead; may be given again for another format.",
        )(command)
        return click.option(
            "--format",
            "style",
            type=click.Choice(formats),
            help="Form of the output; as a rule text, or what the ending of FILE says.",
        )(command)

    return add


def _list_files(path: str, trip: Trip) -> list[str]:
    """Return the names of the files that a trip was read from."""
    from kitplan.load.files import name_beside  # noqa: PLC0415 - with the loader only

    return [path, *(name_beside(path, source.file) for source in trip.sources[1:])]


def _load(path: str, flow: str) -> Trip:
    """Return the trip of a file; stop if it has errors, after all findings are said."""
    from kitplan.load import load_trip  # noqa: PLC0415 - it loads pydantic and pint
    from kitplan.needs import find_too_heavy, find_too_large  # noqa: PLC0415 - `--help` needs none of it

    trip, findings = load_trip(Path(path), flow)
    heavy = [*find_too_heavy(trip), *find_too_large(trip)] if trip else []
    report([*findings, *heavy])
    if trip is None or heavy:
        raise Stop(Exit.INPUT)
    return trip


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


def _limit_option(default: float) -> Callable[[Any], Any]:
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


# --- the commands ---------------------------------------------------------------------------------


@click.group(
    epilog=CAUTION,
    context_settings={"max_content_width": WIDTH, "help_option_names": ["--help"]},
)
@click.version_option(__version__, message=f"kitplan %(version)s\n\n{CLOSING}")
def kitplan() -> None:
    """Pack rescue kit, seat rescuers and set stations for a river trip; name what stays uncovered.

    Exit codes: 0 done; 1 an input has errors; 2 wrong usage, or an output can't be written;
    3 done, but gaps remain; 4 a fault of the program; 5 no plan within the limit.
    """


PLAN_FORMATS = ("text", "markdown", "json", "csv")
LIST_FORMATS = ("text", "markdown", "json")


@kitplan.command(epilog=CAUTION, short_help="Plan TRIP: seats, packing, stations, gaps.")
@trip_argument
@flow_option
@units_option
@_output_options(*PLAN_FORMATS)
@_limit_option(240.0)
@click.option(
    "--workers",
    type=Number(1, 64, "a whole number"),
    metavar="N",
    default=2,
    show_default=True,
    help="Processes for runs that do not depend on each other.",
)
@click.option(
    "--fast", is_flag=True, help="Let the solver use free processors; bytes may differ by run."
)
def plan(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any) -> Exit:
    """Solve TRIP; print cover, gaps, packing lists, and who stands where with what.

    --out plan.json saves the plan for `kitplan verify`, --out load.csv its packing list.
    Exit code 3: done, but a case lacks cover from a bank that counts.
    """
    outputs = Outputs(style, outs, PLAN_FORMATS)
    outputs.check([trip], force=force)
    loaded = _load(trip, how["flow"])
    outputs.check(_list_files(trip, loaded), force=force)
    made, code = _make_plan(loaded, how)
    outputs.send(lambda form: _render_plan(loaded, made, form, how["units"]), force=force)
    return code


@kitplan.command(epilog=CAUTION, short_help="Say what each spot asks for, and why.")
@trip_argument
@flow_option
@units_option
@_output_options(*LIST_FORMATS)
def needs(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: str) -> Exit:
    """Print, without solving, what TRIP asks for: which technique fits at each spot, and why."""
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip], force=force)
    loaded = _load(trip, how["flow"])
    outputs.check(_list_files(trip, loaded), force=force)
    outputs.send(lambda form: _render_needs(loaded, form, how["units"]), force=force)
    return Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Say who can do what, and what is short.")
@trip_argument
@flow_option
@units_option
@_output_options(*LIST_FORMATS)
def check(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: str) -> Exit:
    """Print, without solving, who can do what and what is short on TRIP whatever is packed where.

    Exit code 3: something is short.
    """
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip], force=force)
    loaded = _load(trip, how["flow"])
    outputs.check(_list_files(trip, loaded), force=force)
    asked = derive_needs(loaded)
    party = check_party(loaded, asked)

    def render(form: str) -> str:
        if form == "json":
            return write_check(loaded, party)
        return render_check(loaded, asked, party, form, how["units"])

    outputs.send(render, force=force)
    return Exit.GAPS if party.short else Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Check a saved plan by the second program.")
@click.argument("plan", metavar="PLAN", callback=_check_text)
def verify(plan: str) -> Exit:
    """Check by the second program whether the plan file PLAN holds what it claims.

    Exit code 1: it does not; the findings say where.
    """
    from kitplan.audit import audit_plan  # noqa: PLC0415 - it loads pydantic and pint

    audit = audit_plan(Path(plan))
    report(audit.findings)
    verdict = textwrap.fill(
        mask(audit.verdict), WIDTH, break_long_words=False, break_on_hyphens=False
    )
    print_text(f"{verdict}\n\n{CLOSING}\n")
    return Exit.INPUT if has_errors(audit.findings) else Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Review a load packed by hand.")
@trip_argument
@click.argument("load", metavar="LOAD", callback=_check_text)
@flow_option
@units_option
@_output_options(*LIST_FORMATS)
@_limit_option(60.0)
def review(
    *, trip: str, load: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any
) -> Exit:
    """Say what LOAD, as it lies, is good for on TRIP, what is wrong with it, and what to move.

    LOAD is a table by hand, .csv or .toml: boat, row, name, count, carried; `kitplan plan --out
    load.csv` writes one. Stations and order left out are chosen as well as can be.
    Exit code 3: something is wrong with it, or a case lacks cover.
    """
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip, load], force=force)
    loaded = _load(trip, how["flow"])
    outputs.check([load, *_list_files(trip, loaded)], force=force)
    made = _review(loaded, load, how["limit_s"])
    outputs.send(lambda form: _render_review(made, form, how["units"]), force=force)
    plan = made.plan
    return Exit.GAPS if made.broken or plan.gaps or plan.shortfalls else Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Write a starter trip.")
@click.argument("name", metavar="NAME", callback=_check_text)
@force_option
def new(*, name: str, force: bool) -> Exit:
    """Write a commented starter trip, NAME.toml, to be edited."""
    from kitplan.starter import make_starter  # noqa: PLC0415 - for this command only

    path = Path(name if name.lower().endswith(".toml") else f"{name}.toml")
    stem = path.name[: -len(".toml")]
    if not stem.strip(" .") or len(stem) > LONGEST_NAME or not stem.isprintable():
        raise click.BadParameter(f"a name of 1 to {LONGEST_NAME} printable letters and signs")
    said = write_files({path: make_starter(stem)}, force=force)
    shown = f"./{path}" if str(path).startswith("-") else str(path)
    print_text(said.replace("\n\n", f"\nnext: kitplan check {shlex.quote(shown)}\n\n", 1))
    return Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Write JSON Schemas of the files.")
@click.option(
    "--out", "out", metavar="DIR", required=True, callback=_check_text, help="Where they go."
)
@force_option
def schema(*, out: str, force: bool) -> Exit:
    """Write JSON Schemas of trip and catalogue files, so that editors complete and check them."""
    from kitplan.schema import make_schemas  # noqa: PLC0415 - it loads pydantic

    texts = {Path(out) / name: text for name, text in make_schemas().items()}
    for path in texts:
        complaint = check_output(path, force=force)
        if complaint:
            raise refuse(Exit.USAGE, complaint)
    print_text(write_files(texts, force=force))
    return Exit.DONE


# --- what commands call ---------------------------------------------------------------------------


def _make_plan(trip: Trip, how: dict[str, Any]) -> tuple[Plan, Exit]:
    """Return a plan that the second program has accepted, and the exit code; or stop."""
    from kitplan.explain import Clock, SolveOptions, plan_trip  # noqa: PLC0415 - the solver
    from kitplan.verify import verify_plan  # noqa: PLC0415 - beside the solver

    options = SolveOptions(how["limit_s"], how["workers"], how["fast"], watch=_watch())
    clock = Clock(options.time_limit_s)
    outcome = _wait_for(lambda: plan_trip(trip, options, clock), clock.stop)
    report(outcome.findings)
    if outcome.plan is None:
        if clock.stopped:
            raise KeyboardInterrupt
        if not outcome.findings:
            say(_describe_failure(outcome.status, options.time_limit_s))
        raise Stop(outcome.exit)
    findings = verify_plan(trip, outcome.plan)
    if findings:
        report(findings)
        say(
            "kitplan: error: the program's own plan did not pass its check, so it is not given; "
            "please report it, with the files of the trip (plan-rejected)"
        )
        raise Stop(Exit.REJECTED)
    return outcome.plan, outcome.exit


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
    made = _wait_for(lambda: review_load(trip, load, clock, _watch()), clock.stop)
    if isinstance(made, list):
        report(made)
        raise Stop(Exit.INPUT)
    return made


def _render_review(made: Review, form: str, units: str) -> str:
    return write_review(made) if form == "json" else render_review(made, form, units)


def _wait_for(work: Callable[[], T], stop: Callable[[], None]) -> T:
    """Return the result of long work, done in a thread of its own so that Ctrl-C is heard at once.

    The first Ctrl-C has the work stopped, which then gives what it has; the second one is raised.
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
        say("kitplan: stopping with the best plan so far; Ctrl-C once more leaves at once")

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


def _describe_failure(status: str, limit_s: float) -> str:
    finding = Finding(
        NOWHERE,
        "error",
        "no-plan",
        f"no plan was found within {limit_s:g} s ({status})",
        "a longer --time-limit, or `kitplan check` for what is short anyway",
    )
    return finding.text()


def _watch() -> Callable[[str], None]:
    """Return what tells a person at a terminal how far the work is, and nobody else."""
    started = time.monotonic()

    def tell(said: str) -> None:
        if sys.stderr.isatty():
            say(f"{time.monotonic() - started:6.1f} s  {said}")

    return tell


def _render_plan(trip: Trip, made: Plan, form: str, units: str) -> str:

    if form == "csv":
        return render_csv(trip, made)
    asked = derive_needs(trip)
    if form == "json":
        return write_plan(trip, asked, made)
    return render_plan(trip, asked, made, form, units)


def _render_needs(trip: Trip, form: str, units: str) -> str:

    asked = derive_needs(trip)
    return write_needs(trip, asked) if form == "json" else render_needs(trip, asked, form, units)
