"""What the leader may decide that has no price, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.remedies import ACCEPT, PORTAGE, RESET_EACH, SWAP, WALK
from kitplan.report.words import count, join, say_running

if TYPE_CHECKING:
    from kitplan.decide.choices import Decision, Decisions
    from kitplan.decide.missed import Lost
    from kitplan.demands import CaseKey
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip


def say_lost(trip: Trip, lost: Lost) -> str:
    """Return what a rapid loses, spot by spot: "day 2, Clockmaker: the ledge, swimmer, ..."."""
    rapid = trip.rapids[lost.rapid]
    said = _say_cases(trip, lost.uncovered)
    banks = _say_cases(trip, lost.one_bank)
    said += [f"from one bank only: {'; '.join(banks)}"] if banks else []
    return f"day {rapid.day}, {lost.rapid}: {'; '.join(said)}"


def _say_cases(trip: Trip, cases: tuple[CaseKey, ...]) -> list[str]:
    """Return cases, those that differ in the running boat alone as one."""
    places: dict[tuple[str, str, str], list[str]] = {}
    for case in cases:
        places.setdefault(case[:3], []).append(case.running)
    return [
        f"{spot}, {scenario}, {say_running(running, trip.rapids[rapid].boats)}"
        for (rapid, spot, scenario), running in places.items()
    ]


def write_decisions(sheet: Sheet, trip: Trip, made: Decisions, *, on_bare: bool) -> None:
    """Write each decision with what it alone closes; `on_bare`: of the trip with nothing bought."""
    sheet.heading("What the leader may decide, and no money buys")
    if not made.rows:
        what = "No decision was found" if not made.complete or made.untried else "No decision"
        sheet.say(f"{what} that closes a gap with seats and kit as they are.")
    else:
        of = "with nothing bought" if on_bare else "with what is to get"
        sheet.say(
            f"What each alone closes {of}: at least, with seats and kit as they are; stations are "
            "chosen anew for it, rapid by rapid."
        )
    for number, row in enumerate(made.rows, start=1):
        sheet.point(f"{number}. {_say_decision(trip, row)}: {_say_worth(row)}")
    if made.untried:
        sheet.say(
            "Other types of boat were tried with seats and kit as they are, no further, for "
            f"{_say_untried(made.untried)}: time did not allow to choose these anew."
        )
    if not made.complete:
        sheet.say("The limit cut in: a decision may close more, or another one something too.")


def _say_decision(trip: Trip, row: Decision) -> str:
    """Return a decision in words."""
    if row.sort == SWAP:
        now = next(boat.type.name for boat in trip.boats.values() if boat.called == row.name)
        how = " (seats and kit chosen anew)" if row.anew else ""
        return f"take {row.to} for {row.name}, now {now}{how}"
    return {
        PORTAGE: f"carry round {row.name}",
        WALK: f"let guests walk round {row.name}",
        RESET_EACH: 'set stations anew before each boat runs (stations = "reset")',
        ACCEPT: f"accept {row.name} up to class {row.to}",
    }[row.sort]


def _say_worth(row: Decision) -> str:
    """Return what a decision closes, in counts and names of rapids."""
    said = [f"{row.short} fewer short of rules and spreads"] if row.short > 0 else []
    uncovered = sum(len(one.uncovered) for one in row.closed)
    one_bank = sum(len(one.one_bank) for one in row.closed)
    at = (
        f" at {join(one.rapid for one in row.closed)}" if row.closed and row.sort != PORTAGE else ""
    )
    if row.sort == PORTAGE:
        said += [f"{count(uncovered, 'fewer case')} uncovered"] if uncovered else []
        said += [f"{count(one_bank, 'fewer case')} with one bank only"] if one_bank else []
    else:
        said += [f"{count(uncovered, 'more case')} covered"] if uncovered else []
        said += [f"{count(one_bank, 'more case')} covered from both banks"] if one_bank else []
    if row.found:
        what = "no longer asked" if row.sort == PORTAGE else "covered"
        said.append(f"{count(row.found, 'case')} without an accepted technique {what}")
    first = "nothing is asked there: " if row.sort == PORTAGE else ""
    return f"{first}{join(said)}{at}"


def _say_untried(untried: tuple[tuple[str, str], ...]) -> str:
    boats: dict[str, list[str]] = {}
    for boat, kind in untried:
        boats.setdefault(boat, []).append(kind)
    return join(f"{boat} ({count(len(kinds), 'type')})" for boat, kinds in boats.items())
