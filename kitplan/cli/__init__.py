"""The commands: options in, one call, print, exit code. No work of its own.

What takes long to load (the solver, pydantic, pint) is imported inside the commands that need it.
"""

from __future__ import annotations

import contextlib
import errno
import io
import multiprocessing
import os
import shlex
import sys
import textwrap
import threading
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from kitplan import __version__
from kitplan.check import check_party
from kitplan.cli.mend import mend
from kitplan.cli.page import page
from kitplan.cli.ramp import replan, review
from kitplan.cli.shared import (
    LIST_FORMATS,
    LONGEST_NAME,
    PLAN_FORMATS,
    accept_plan,
    check_text,
    count_losses,
    flow_option,
    force_option,
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
from kitplan.cli.standard import standard
from kitplan.cli.why import why
from kitplan.errors import CAUTION, Exit, has_errors, mask
from kitplan.files import check_output, make_folder
from kitplan.needs import derive_needs
from kitplan.needs.extent import is_large
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
from kitplan.report import render_check, render_needs
from kitplan.report.documents import write_check, write_needs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from kitplan.decide.counts import Counted
    from kitplan.plan import Before, Plan
    from kitplan.trip import Trip

LEAST_TO_COUNT = 0.1  # of the limit: what who counts most may take where the plan took it all
OUTPUT_TROUBLE = {errno.ENOSPC, errno.EPIPE, errno.EBADF, errno.EIO}


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
        say("kitplan: stopped; nothing was verified yet, so nothing is given")
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


@kitplan.command(epilog=CAUTION, short_help="Plan TRIP: seats, packing, stations, gaps.")
@trip_argument
@flow_option
@units_option
@output_options(*PLAN_FORMATS)
@limit_option(240.0)
@workers_option
@click.option(
    "--fast", is_flag=True, help="Let the solver use free processors; bytes may differ by run."
)
@click.option(
    "--keep",
    metavar="PLAN",
    callback=check_text,
    help="Stay near this saved plan: few moves come before mass and balance.",
)
@click.option(
    "--counts", is_flag=True, help="Say of all, not the first five, what their loss costs."
)
def plan(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: Any) -> Exit:
    """Solve TRIP; print cover, gaps, packing lists, and who stands where with what.

    --out plan.json saves the plan for `kitplan verify`, --out load.csv or
    load.toml its packing list.
    Exit code 3: done, but a case lacks cover from a bank that counts.
    """
    outputs = Outputs(style, outs, PLAN_FORMATS)
    outputs.check([trip], force=force)
    loaded = load_or_stop(trip, how["flow"])
    outputs.check(list_files(trip, loaded), force=force)
    if how["keep"]:
        outputs.check([how["keep"]], force=force)
    made, code, left_s = _make_plan(loaded, how)
    counted = None
    if outputs.for_people():
        limit_s = how["limit_s"]
        counted = (
            count_losses(loaded, made, limit_s, first=False)
            if how["counts"]
            else _count_first(loaded, made, max(left_s, LEAST_TO_COUNT * limit_s))
        )
    outputs.send(lambda form: show_plan(loaded, made, form, how["units"], counted), force=force)
    return code


@kitplan.command(epilog=CAUTION, short_help="Say what each spot asks for, and why.")
@trip_argument
@flow_option
@units_option
@output_options(*LIST_FORMATS)
def needs(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: str) -> Exit:
    """Print, without solving, what TRIP asks for: which technique fits at each spot, and why."""
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip], force=force)
    loaded = load_or_stop(trip, how["flow"])
    outputs.check(list_files(trip, loaded), force=force)
    outputs.send(lambda form: _render_needs(loaded, form, how["units"]), force=force)
    return Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Say who can do what, and what is short.")
@trip_argument
@flow_option
@units_option
@output_options(*LIST_FORMATS)
def check(*, trip: str, style: str | None, outs: tuple[str, ...], force: bool, **how: str) -> Exit:
    """Print, without solving, who can do what and what is short on TRIP whatever is packed where.

    Exit code 3: something is short.
    """
    outputs = Outputs(style, outs, LIST_FORMATS)
    outputs.check([trip], force=force)
    loaded = load_or_stop(trip, how["flow"])
    outputs.check(list_files(trip, loaded), force=force)
    asked = derive_needs(loaded)
    party = check_party(loaded, asked)

    def render(form: str) -> str:
        if form == "json":
            return write_check(loaded, party)
        return render_check(loaded, asked, party, form, how["units"])

    outputs.send(render, force=force)
    return Exit.GAPS if party.short else Exit.DONE


@kitplan.command(epilog=CAUTION, short_help="Check a saved plan by the second program.")
@click.argument("plan", metavar="PLAN", callback=check_text)
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


@kitplan.command(epilog=CAUTION, short_help="Write a starter trip.")
@click.argument("name", metavar="NAME", callback=check_text)
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
    "--out", "out", metavar="DIR", required=True, callback=check_text, help="Where they go."
)
@force_option
def schema(*, out: str, force: bool) -> Exit:
    """Write JSON Schemas of the files, so that editors complete and check them.

    DIR is made where there is none.
    """
    from kitplan.schema import make_schemas  # noqa: PLC0415 - it loads pydantic

    texts = {Path(out) / name: text for name, text in make_schemas().items()}
    complaints = (make_folder(Path(out)), *(check_output(path, force=force) for path in texts))
    for complaint in filter(None, complaints):
        raise refuse(Exit.USAGE, complaint)
    print_text(write_files(texts, force=force))
    return Exit.DONE


for command in (mend, page, review, replan, standard, why):
    kitplan.add_command(command)


# --- what commands call ---------------------------------------------------------------------------


def _make_plan(trip: Trip, how: dict[str, Any]) -> tuple[Plan, Exit, float]:
    """Return a plan that the second program accepts, the exit code and seconds left; or stop."""
    from kitplan.explain import Clock, SolveOptions, plan_trip  # noqa: PLC0415 - the solver

    before = _read_kept(trip, how["keep"]) if how["keep"] else None
    limits = how["limit_s"], how["workers"], how["fast"]
    options = SolveOptions(*limits, before=before, watch=watch())
    clock = Clock(options.time_limit_s)
    outcome = wait_for(lambda: plan_trip(trip, options, clock), clock.stop)
    return accept_plan(trip, outcome, clock), outcome.exit, clock.left_s()


def _read_kept(trip: Trip, path: str) -> Before:
    """Return where all is in a plan to stay near; stop where it can't be used."""
    from kitplan.audit import open_plan  # noqa: PLC0415 - it loads pydantic and pint
    from kitplan.decide.keep import tell_kept  # noqa: PLC0415 - it loads the solver

    old, kept, findings = open_plan(Path(path), keep_for=trip)
    report(findings)
    if old is None or kept is None or has_errors(findings):
        raise Stop(Exit.INPUT)
    return tell_kept(trip, old, kept)


def _count_first(trip: Trip, made: Plan, limit_s: float) -> Counted:
    """Return who and what counts most in a plan, if it is worth the time."""
    from kitplan.decide.counts import FIRST, Counted  # noqa: PLC0415 - the solver

    why = "the plan is not canonical" if not made.canonical else ""
    why = why or ("the trip is large" if is_large(trip, derive_needs(trip)) else "")
    if why:
        return Counted((), complete=False, first=FIRST, left_out=why)
    return count_losses(trip, made, limit_s, first=True)


def _render_needs(trip: Trip, form: str, units: str) -> str:

    asked = derive_needs(trip)
    return write_needs(trip, asked) if form == "json" else render_needs(trip, asked, form, units)
