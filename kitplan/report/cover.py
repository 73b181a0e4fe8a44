"""How much is covered, how far it is proven, and the gaps, worst first."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.check import Muster
from kitplan.demands import CaseKey
from kitplan.needs import stations_before
from kitplan.needs.extent import is_large
from kitplan.planfile import count_by_flow
from kitplan.report.carriage import AIM_OF, say_unnamed
from kitplan.report.lacks import say_lacks
from kitplan.report.words import (
    BANK_NAMES,
    count,
    join,
    join_flows,
    say_missing,
    say_passages,
    say_running,
    say_without,
)
from kitplan.rules import AIMS
from kitplan.trip import AT_FLOW
from kitplan.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.demands import Needs
    from kitplan.plan import Gap, Plan
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip

ALONE = "impossible alone"
COVER_AIMS = ("uncovered", "one_bank", "unmet")


def say_answer(needs: Needs, plan: Plan) -> str:
    """Return the first line of a plan: how much is covered, and what no packing can mend."""
    beyond, open_ = len(_find_beyond(plan.gaps)), plan.totals.none
    if beyond:
        others = f"{beyond} of the other {open_}" if beyond < open_ else f"the other {open_}"
        said = f"{say_covered(plan)}; no packing can mend {others}"
    else:
        said = f"{say_covered(plan)}, {plan.totals.backed} backed"
    return said + say_without(needs)


def say_covered(plan: Plan) -> str:
    """Return how many cases are covered, and whether more may be: "18 of 23 cases covered"."""
    totals = plan.totals
    said = f"{totals.cases - totals.none} of {count(totals.cases, 'case')} covered"
    if any(not aim.proven for aim in plan.aims if aim.name in COVER_AIMS):
        return f"not finished, {said} so far"
    return said


def write_cover(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write the answer: cases by cover, demands, then each aim with its proof."""
    totals = plan.totals
    write_beyond(sheet, trip, plan)
    sheet.gap()
    sheet.say(
        f"{totals.all_banks + totals.one_bank} of {count(totals.cases, 'case')} are covered from "
        f"at least one bank, {totals.from_water} more from the water only, {totals.none} from "
        "nowhere. A case is a spot, a scenario and the boat that is in trouble."
    )
    sheet.gap()
    write_covered(sheet, trip, needs, plan)
    _write_aims(sheet, plan, legs=len(trip.legs) > 1)
    if is_large(trip, needs):
        sheet.say("This trip asks so much that aims 5 to 8 were not tried.")
    unnamed = say_unnamed(trip)
    if unnamed:
        sheet.say(unnamed)
    if not plan.canonical:
        sheet.gap()
        sheet.say(
            "The limit or Ctrl-C cut in, or --fast was given: this plan is not canonical. It is "
            "verified, but another run may print another one."
        )


def write_covered(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write how much is covered from where and at which flow, and what of it by support only."""
    write_totals(sheet, plan)
    _write_flows(sheet, count_by_flow(trip, needs, plan))
    sheet.say(
        "Backed: one way of doing it stays possible after any one person can't act or any one "
        "packed piece is lost. That is stricter than surviving any one loss in some way."
    )
    sheet.gap()
    _write_support_only(sheet, trip, needs, plan)


def write_totals(sheet: Sheet, plan: Plan) -> None:
    """Write how many cases are covered from where, how many are backed, and demands met."""
    totals = plan.totals
    rows = [
        ("from every bank that counts", str(totals.all_banks)),
        ("from one bank only", str(totals.one_bank)),
        ("from the water only", str(totals.from_water)),
        ("from nowhere", str(totals.none)),
        ("backed", f"{totals.backed} of {totals.cases - totals.none} covered"),
        ("demands met", f"{totals.met} of {totals.demands}"),
    ]
    sheet.table(rows, ("covered", "cases"))


def _write_flows(sheet: Sheet, counts: dict[str, tuple[int, int]]) -> None:
    """Write how much is covered at each flow, where several are planned for."""
    if not counts:
        return
    rows = [(AT_FLOW[flow], f"{done} of {total}") for flow, (done, total) in counts.items()]
    sheet.table(rows, ("", "cases covered"))
    sheet.say("Rapids that are the same at all flows count at each.")
    sheet.gap()


def write_beyond(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write what this party can't cover from anywhere, by rapid and scenario."""
    beyond = _find_beyond(plan.gaps)
    if not beyond:
        return
    places: dict[tuple[str, str], list[str]] = {}
    for case in beyond:
        places.setdefault((case.rapid, case.scenario), []).append(case.running)
    sheet.say(
        "Whatever is packed where and whoever stands where, this party can't cover from anywhere:"
    )
    rows = (
        (rapid, (what, tuple(b for b in trip.boats if b in boats)))
        for (rapid, what), boats in places.items()
    )
    for rapids, (scenario, running) in join_flows(trip, rows):
        while_what = say_running(running, rapids[0].boats)
        sheet.point(f"{say_passages(rapids)}: {scenario}, {while_what}")


def _find_beyond(gaps: Iterable[Gap]) -> list[CaseKey]:
    """Return the cases that are covered from nowhere and can't be, from any bank."""
    sorts: dict[CaseKey, set[str]] = {}
    for gap in gaps:
        for running in gap.running:
            if not gap.covered_elsewhere:
                key = CaseKey(gap.rapid, gap.spot, gap.scenario, running)
                sorts.setdefault(key, set()).add(gap.sort)
    return [key for key, found in sorts.items() if found == {ALONE}]


def _write_support_only(sheet: Sheet, trip: Trip, needs: Needs, plan: Plan) -> None:
    """Write which cases are covered by techniques that free nobody, and by no others."""
    kinds: dict[CaseKey, set[bool]] = {}
    for result in plan.demands:
        choice = needs.choices[result.key.choice]
        if result.met and choice.covers:
            kinds.setdefault(result.key.case, set()).add(choice.support_only)
    places: dict[tuple[str, str, str], list[str]] = {}
    for case, found in kinds.items():
        if found == {True}:
            places.setdefault(case[:3], []).append(case.running)
    if not places:
        return
    sheet.say("Covered, but support only: what is possible holds a head up and frees nobody.")
    rows = ((key[0], (key[1:], tuple(running))) for key, running in places.items())
    for rapids, ((spot, scenario), running) in join_flows(trip, rows):
        while_what = say_running(running, rapids[0].boats)
        sheet.point(f"{say_passages(rapids)}, {spot}: {scenario}, {while_what}")
    sheet.gap()


def _write_aims(sheet: Sheet, plan: Plan, *, legs: bool) -> None:
    """Write each aim with its proof; changes only where there are legs to change between."""
    sentences = {aim.name: aim for aim in AIMS}
    rows = []
    for result in plan.aims:
        if result.name == "changes" and not legs:
            continue
        aim = sentences[result.name]
        proof = "proven best" if result.proven else "not proven"
        rows.append(
            (
                str(aim.number),
                aim.sentence,
                _show(result.name, result.value),
                _show(result.name, result.bound),
                proof,
            )
        )
    sheet.table(rows, ("aim", "in this order", "value", "bound", ""))
    sheet.say(
        "Values of aims 2 to 5 are weights: class x class x consequence x likely for a case; for a "
        "demand class x 4, 2 or 1. Each aim is held before the next; no plan is below the bound."
    )
    if any(result.name in AIM_OF.values() for result in plan.aims):
        sheet.say("Values of aim 1 are pieces, people, seats and kilograms of food.")


def _show(aim: str, value: int) -> str:
    if aim == "mass":
        return show_mass(value)
    return f"{value / 10:.1f} %" if aim == "balance" else str(value)


def write_gaps(
    sheet: Sheet,
    trip: Trip,
    needs: Needs,
    plan: Plan,
    head: str = "Gaps, worst first",
) -> None:
    """Write the spots with no accepted technique, then the gaps under `head`, worst first.

    Gaps that differ only in the bank, or only in the flow, are one entry.
    """
    write_without(sheet, trip, needs)
    muster = Muster(trip)
    rows: dict[Gap, list[str]] = {}
    gaps, first = _split_first(trip, needs, plan)
    for gap in gaps:
        rows.setdefault(replace(gap, bank=""), []).append(gap.bank)
    alike = join_flows(
        trip, ((gap.rapid, (replace(gap, rapid=""), tuple(banks))) for gap, banks in rows.items())
    )
    numbered = f"{head} ({len(alike)})" if alike else head.partition(",")[0]
    sheet.heading(numbered if plan.gaps else "No gaps")
    _write_first(sheet, trip, first)
    for number, (rapids, (gap, sides)) in enumerate(alike, start=1):
        places = join((BANK_NAMES[bank] for bank in sides), "or")
        while_what = say_running(gap.running, rapids[0].boats)
        covered = "; covered from elsewhere" if gap.covered_elsewhere else ""
        sheet.point(
            f"{number}. Day {gap.day}, {say_passages(rapids)}, {gap.spot}: {gap.scenario}, "
            f"from {places}, {while_what}{covered}."
        )
        sheet.point(f"{gap.technique}: {say_missing(gap.missing)}.", 1)
        note = f" ({gap.note})" if gap.note else ""
        sheet.point(f"{gap.sort}{note}", 1)
        if gap.sort == ALONE:
            lacks = _say_lacks(muster, needs, replace(gap, rapid=rapids[0].name, bank=sides[0]))
            sheet.point(f"the party by itself {lacks}", 1)


def _split_first(trip: Trip, needs: Needs, plan: Plan) -> tuple[list[Gap], list[Gap]]:
    """Return the gaps but those of the first boat where nobody can be there before it, and these.

    What is not hurried is no matter of who has run before.
    """
    unhurried = {key[:3] for key, choice in needs.choices.items() if choice.unhurried}
    gaps, first = [], []
    for gap in plan.gaps:
        rapid = trip.rapids[gap.rapid]
        lead = plan.arrangement.list_run(rapid.boats)[0]
        where = (gap.rapid, gap.spot, gap.scenario)
        bare = stations_before(rapid) == ("above",) and gap.sort != ALONE
        if lead not in gap.running or not bare or where in unhurried:
            gaps.append(gap)
            continue
        first.append(replace(gap, running=(lead,)))
        rest = tuple(boat for boat in gap.running if boat != lead)
        if rest:
            gaps.append(replace(gap, running=rest))
    return gaps, first


def _write_first(sheet: Sheet, trip: Trip, first: list[Gap]) -> None:
    """Write once where the first boat runs with nobody below it or on a bank."""
    places: dict[str, set[str]] = {}
    for gap in first:
        if not gap.covered_elsewhere:
            places.setdefault(gap.rapid, set()).add(gap.scenario)
    if not first:
        return
    sheet.point(
        "The first boat runs with nobody there before it: no other one has run, and nobody is set "
        "on a bank from above. What is done at once can't be done for it."
    )
    by_day = sorted(places.items(), key=lambda pair: trip.rapids[pair[0]].day)
    rows = ((rapid, join(sorted(scenarios))) for rapid, scenarios in by_day)
    for rapids, scenarios in join_flows(trip, rows):
        sheet.point(f"day {rapids[0].day}, {say_passages(rapids)}: {scenarios}", 1)


def _say_lacks(muster: Muster, needs: Needs, gap: Gap) -> str:
    """Return what is short whatever is packed where, by the technique that needs the least more.

    That may be another one than the gap names, which is the nearest to be met as all is packed.
    """
    found = [
        (key.technique, muster.find_lacks(choice, gap.running[0]))
        for key, choice in needs.choices.items()
        if key[:3] == (gap.rapid, gap.spot, gap.scenario)
        and key.bank in {gap.bank, ""}
        and choice.covers
    ]
    technique, fewest = min(
        found, key=lambda way: sum(lack.short for lack in way[1]), default=("", ())
    )
    if not fewest:
        return "lacks what its parts ask for at the same time"
    by = f" for {technique}" if technique != gap.technique else ""
    return f"lacks{by} {join(say_lacks(fewest))}"


def write_without(sheet: Sheet, trip: Trip, needs: Needs) -> None:
    """Write the spots with no accepted technique, if there are any."""
    if needs.without_technique:
        sheet.heading("Spots without an accepted technique")
    rows = (
        (row.rapid, f"{row.spot}, {row.scenario}: {row.reason}.") for row in needs.without_technique
    )
    for rapids, said in join_flows(trip, rows):
        sheet.point(f"day {rapids[0].day}, {say_passages(rapids)}, {said}")


def write_left_out(sheet: Sheet, plan: Plan) -> None:
    """Write the kit that this plan does not call for."""
    sheet.heading("Kit not called for")
    if not plan.not_called_for:
        sheet.say("All of it is.")
        return
    sheet.say("; ".join(f"{row.count} x {row.item}" for row in plan.not_called_for) + ".")
    sheet.say("The leader decides whether it stays at home.")
