"""The command for an outfitter's standard kit: several trips in, lists out."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitplan.cli.shared import (
    PLAN_FORMATS,
    Number,
    check_text,
    describe_failure,
    flow_option,
    limit_option,
    list_files,
    output_options,
    units_option,
    wait_for,
    watch,
    workers_option,
)
from kitplan.errors import CAUTION, Exit, Finding, Place, has_errors, sort_findings
from kitplan.files import settle
from kitplan.outputs import Outputs, Stop, report, say

if TYPE_CHECKING:
    from kitplan.fleet.nouns import Fleet, Standard
    from kitplan.trip import Trip

PRICE, MASS = "price", "mass"
PER_CENT = 100


@click.command(epilog=CAUTION, short_help="Find one kit list for each boat type.")
@click.argument("trips", metavar="TRIP...", nargs=-1, required=True, callback=check_text)
@click.option(
    "--share",
    type=Number(0.0, 1.0, "a share"),
    metavar="SHARE",
    help="Cover this share of the weight from at least one bank, not all that kit can.",
)
@click.option(
    "--by",
    type=click.Choice((PRICE, MASS)),
    default=PRICE,
    show_default=True,
    help="What lists are to be least in.",
)
@click.option(
    "--extras-factor",
    "factor",
    type=Number(0.01, 100.0, "a number"),
    default=1.5,
    show_default=True,
    metavar="FACTOR",
    help="How much dearer than on a list a thing is that one trip alone brings.",
)
@click.option(
    "--fleet",
    metavar="TYPE=N",
    multiple=True,
    callback=check_text,
    help="How many boats of a type get a list; else the most that one trip uses. May be repeated.",
)
@flow_option
@units_option
@output_options(*PLAN_FORMATS)
@limit_option(300.0)
@workers_option
def standard(
    *, trips: tuple[str, ...], style: str | None, outs: tuple[str, ...], force: bool, **how: Any
) -> Exit:
    """Find the cheapest standard kit: a list for each boat type, a set for each level of guide.

    With it every TRIP is as well covered as unlimited kit would have it, within its room and
    payload; what one trip alone needs is listed as its extras. Kit rows of trips count for what
    must go alone. Exit code 3: a trip misses its cover.
    """
    outputs = Outputs(style, outs, PLAN_FORMATS)
    outputs.check(trips, force=force)
    loaded = _load_all(trips, how["flow"])
    read = (
        name for path, trip in zip(trips, loaded, strict=True) for name in list_files(path, trip)
    )
    outputs.check(read, force=force)
    fleet = _make_fleet(loaded, how)
    found = _find(fleet, how)

    def render(form: str) -> str:
        from kitplan.report.lists import render_lists, write_standard  # noqa: PLC0415
        from kitplan.report.standard import render_standard  # noqa: PLC0415 - for this alone

        if form == "csv":
            return render_lists(found)
        return (
            write_standard(found) if form == "json" else render_standard(found, form, how["units"])
        )

    outputs.send(render, force=force)
    return Exit.GAPS if found.missed else Exit.DONE


def _load_all(paths: tuple[str, ...], flow: str) -> list[Trip]:
    """Return the trips of all files; stop if any has errors, after all findings are said."""
    from kitplan.fleet.agree import find_disagreeing, find_own_prices  # noqa: PLC0415 - for this command only
    from kitplan.load import load_trip  # noqa: PLC0415 - it loads pydantic and pint
    from kitplan.needs import find_too_heavy, find_too_large  # noqa: PLC0415 - with the loader

    findings = _find_twice(paths)
    trips = []
    for path in dict.fromkeys(paths):
        trip, said = load_trip(Path(path), flow)
        findings += said
        if trip is not None:
            trips.append(trip)
            findings += [*find_too_heavy(trip), *find_too_large(trip)]
    if not has_errors(findings):
        findings += [*find_disagreeing(trips), *find_own_prices(trips)]
    report(sort_findings(findings))
    if has_errors(findings):
        raise Stop(Exit.INPUT)
    return trips


def _find_twice(paths: tuple[str, ...]) -> list[Finding]:
    """Return the files that are given twice, whatever they are called."""
    known: set[Path] = set()
    findings = []
    for path in paths:
        if settle(Path(path)) in known:
            message, hint = "this trip is given twice", "give each trip once"
            findings.append(Finding(Place(path, 0, 0), "error", "trip-twice", message, hint))
        known.add(settle(Path(path)))
    return findings


def _make_fleet(trips: list[Trip], how: dict[str, Any]) -> Fleet:
    from kitplan.fleet.standard import make_fleet  # noqa: PLC0415 - it loads the solver

    kinds = {boat.type.name for trip in trips for boat in trip.boats.values()}
    boats = dict(_read_count(said, kinds) for said in how["fleet"])
    factor = round(PER_CENT * how["factor"])
    return make_fleet(trips, by_mass=how["by"] == MASS, factor=factor, boats=boats)


def _read_count(said: str, kinds: set[str]) -> tuple[str, int]:
    """Return a boat type and how many of it get a list."""
    kind, found, number = (part.strip() for part in said.rpartition("="))
    if not found or not kind or not (number.isascii() and number.isdigit() and int(number)):
        raise click.BadParameter(f'--fleet: write it as "oar raft 4.3 m=6", not {said!r}')
    if kind not in kinds:
        known = ", ".join(sorted(kinds))
        raise click.BadParameter(f"--fleet: no trip uses a boat of the type {kind!r}: {known}")
    return kind, int(number)


def _find(fleet: Fleet, how: dict[str, Any]) -> Standard:
    """Return the standard kit, or stop where none was found."""
    from kitplan.fleet.pool import StoppedError  # noqa: PLC0415 - the solver
    from kitplan.fleet.standard import (  # noqa: PLC0415 - the solver
        NoSeatingError,
        Options,
        RejectedError,
        standardise,
    )
    from kitplan.solve import Clock  # noqa: PLC0415 - the solver

    share = None if how["share"] is None else Fraction(str(how["share"]))
    options = Options(share, how["workers"], watch())
    clock = Clock(how["limit_s"])
    try:
        found = wait_for(lambda: standardise(fleet, clock, options), clock.stop)
    except StoppedError:
        raise KeyboardInterrupt from None
    except NoSeatingError as error:
        for name in error.names:
            say(_say_no_seating(fleet, name))
        raise Stop(Exit.NO_PLAN) from None
    except RejectedError as error:
        report(list(error.rejected.findings))
        for beyond in error.rejected.beyond:
            say(f"beyond its lists: {beyond}")
        say(f"kitplan: error: {error}; please report it, with the files (plan-rejected)")
        raise Stop(Exit.REJECTED) from None
    if any(one.plan is None for one in found.outcomes.values()):
        say(describe_failure("unknown", clock.limit_s))
        raise Stop(Exit.NO_PLAN)
    return found


def _say_no_seating(fleet: Fleet, name: str) -> str:
    message = f"for {name!r} no seating that keeps the rules was found"
    hint = "`kitplan plan` for this trip says why"
    return Finding(fleet.outings[name].trip.where, "error", "no-plan", message, hint).text()
