"""What a plan is short of by law, house rules and spreads; what a lost boat leaves; reminders."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.needs.shortfalls import list_losses
from kitplan.needs.words import say_reading
from kitplan.report.sheet import COLUMNS
from kitplan.report.words import count, join
from kitplan.trip.carriage import AT_MOST, HOUSE, LAW, PEOPLE, SPREAD

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.plan import Plan, Shortfall
    from kitplan.report.sheet import Sheet
    from kitplan.trip import CarriageRule, Spread, Trip

PREVAIL = "Law and the terms of a permit in force prevail."
TIERS = {LAW: "law", HOUSE: "house rules", SPREAD: "if a boat is lost"}
AIM_OF = {LAW: "short_of_law", HOUSE: "short_of_house", SPREAD: "short_of_spread"}
LOST = {
    "boat": "a boat is lost and its crew saved",
    "boat and crew": "a boat is lost with its crew",
}
GROUP = "group"
PIECE, PERSON, SEAT, FOOD = "piece", "person", "seat", "food"
"""What numbers of shortfalls count: each sort is summed by itself."""
IF_LOST, HOLDS = "What is left if a boat is lost", "ok"
_BETWEEN, _HEAD = 2, 2  # columns between those of a table, and those that a head takes besides


def write_prevail(sheet: Sheet, trip: Trip) -> None:
    """Write that the law prevails, where a trip has rules."""
    if trip.rules:
        sheet.say(PREVAIL)


# --- the answer -----------------------------------------------------------------------------------


def write_shortfalls(sheet: Sheet, trip: Trip, plan: Plan, *, settled: bool = False) -> None:
    """Write in a line whether anything is short, tier by tier, then each shortfall and its rule.

    `settled`: whether less could be short is no question here, or is answered elsewhere.
    """
    said = "; ".join(
        f"{TIERS[tier]}: {_say_tier(trip, plan, tier, settled=settled)}"
        for tier in _list_tiers(trip)
    )
    if said:
        sheet.say(f"{said[0].upper()}{said[1:]}.")
    shared = _find_source(trip, plan)
    for row in plan.shortfalls:
        sheet.point(_say_short(trip, row))
        for line in _list_grounds(trip, row, shared):
            sheet.point(line, 1)
    if shared:
        sheet.point(f"source of what must be left if a boat is lost: {shared}")
    retired = _list_retired(trip)
    if retired:
        sheet.point(f"past its last day of use within the trip: {join(retired)}; no rule counts it")
    if plan.shortfalls or retired:
        sheet.gap()
    write_prevail(sheet, trip)
    sheet.gap()


def _list_retired(trip: Trip) -> list[str]:
    """Return the kit past its last day of use, which counts for no rule in the leg of that day."""
    last = trip.legs[-1].ends
    return [
        f"{name} (until {kit.retire_by})"
        for name, kit in trip.kit.items()
        if trip.tiers and kit.retire_by is not None and kit.retire_by < last
    ]


def _list_tiers(trip: Trip) -> list[str]:
    """Return the tiers of which a trip has any rule or spread."""
    asked = {rule.tier for one in trip.rules for rule in one.rules}
    asked |= {spread.tier for spread in trip.spreads}
    return [tier for tier in TIERS if tier in asked]


def _find_source(trip: Trip, plan: Plan) -> str:
    """Return the source of several spreads that are short, if it is the same; it is said once."""
    short = [_find_spread(trip, row.name) for row in plan.shortfalls if row.tier == SPREAD]
    sources = {spread.source for spread in short if spread}
    return sources.pop() if len(short) > 1 and len(sources) == 1 else ""


def _say_tier(trip: Trip, plan: Plan, tier: str, *, settled: bool) -> str:
    """Return what is short in a tier; a plan without its aim never counted it."""
    aim = next((aim for aim in plan.aims if aim.name == AIM_OF[tier]), None)
    if aim is None:
        return "not counted in this plan"
    if not aim.value:
        return "nothing short"
    rows = [row for row in plan.shortfalls if row.tier == tier]
    return f"short of {say_sums(count_shorts(trip, rows))}" + (
        "" if aim.proven or settled else ", not proven to be the least"
    )


def count_shorts(trip: Trip, rows: Iterable[Shortfall]) -> Counter[str]:
    """Return how much is short in all, each sort by itself."""
    sums: Counter[str] = Counter()
    for row in rows:
        sums[_find_sort(trip, row)] += row.short
    return sums


def say_sums(sums: Counter[str]) -> str:
    """Return what is short in words: "3 pieces, 2 seats and 9 kg of food"; "0" for nothing."""
    said = [count(sums[PIECE], PIECE)] if sums[PIECE] else []
    said += [count(sums[PERSON], PERSON, "people")] if sums[PERSON] else []
    said += [count(sums[SEAT], SEAT)] if sums[SEAT] else []
    said += [f"{sums[FOOD]} kg of food"] if sums[FOOD] else []
    return join(said) if said else "0"


def _find_sort(trip: Trip, row: Shortfall) -> str:
    """Return what the number of a shortfall counts."""
    if row.tier != SPREAD:
        rule = _find_rule(trip, row.name)
        return PERSON if rule is not None and rule.counts.what == PEOPLE else PIECE
    spread = _find_spread(trip, row.name)
    if spread is None:
        return PIECE
    people = spread.counts is not None and spread.counts.what == PEOPLE
    return FOOD if spread.food_permille else SEAT if spread.seats else PERSON if people else PIECE


def _say_short(trip: Trip, row: Shortfall) -> str:
    """Return one shortfall: "X 1 (law), from day 1, Heron: 1 short, 0 of 1 there"."""
    boat = trip.boats[row.boat].called if row.boat else ""
    short, there, asked = (_say_number(trip, row, n) for n in (row.short, row.there, row.asked))
    if row.tier == SPREAD:
        where = [row.name, f"day {row.day}", f"if {boat} is lost"]
        return f"{', '.join(where)}: {short} short, {there} of {asked} left"
    where = [f"{row.name} ({row.tier})", f"from day {row.day}", boat or "the trip as a whole"]
    rule = _find_rule(trip, row.name)
    if rule is not None and rule.reading.bound == AT_MOST:
        return f"{', '.join(where)}: {short} too many, {there} there, at most {asked}"
    return f"{', '.join(where)}: {short} short, {there} of {asked} there"


def _say_number(trip: Trip, row: Shortfall, number: int) -> str:
    """Return a number of a shortfall; food is in kilograms, all else is counted."""
    return f"{number} kg" if _find_sort(trip, row) == FOOD else str(number)


def _list_grounds(trip: Trip, row: Shortfall, shared: str = "") -> list[str]:
    """Return what a shortfall goes by: sentence, reading, source, and how the source was read.

    A source that spreads share is left out.
    """
    if row.tier == SPREAD:
        spread = _find_spread(trip, row.name)
        return [_say_spread(spread, shared)] if spread else []
    rule = _find_rule(trip, row.name)
    if rule is None:
        return []
    return [
        f"{rule.says}; read as: {say_reading(rule.reading)}",
        _say_source(rule.source, rule.dated, rule.status),
        *filter(None, [rule.remark]),
    ]


def _find_rule(trip: Trip, name: str) -> CarriageRule | None:
    rules = (rule for one in trip.rules for rule in one.rules)
    return next((rule for rule in rules if rule.id == name), None)


def _find_spread(trip: Trip, name: str) -> Spread | None:
    return next((spread for spread in trip.spreads if spread.name == name), None)


def _say_source(source: str, dated: str, status: str) -> str:
    read = f"text: {dated}" if status in source else f"text: {dated}; {status}"
    return f"source: {source} ({read})"


def _say_spread(spread: Spread, shared: str) -> str:
    """Return what a spread asks, when, and by whom it is kept where not by all others together."""
    within = ", by those who pass rapids together" if spread.within == GROUP else ""
    source = f"; source: {spread.source}" if spread.source and not shared else ""
    return f"{spread.says}, when {LOST[spread.lost]}{within}{source}"


# --- what a lost boat leaves ----------------------------------------------------------------------


def write_losses(sheet: Sheet, trip: Trip, plan: Plan) -> None:
    """Write of each spread whether it holds, or what is short, boat by boat that may be lost."""
    columns = [[boat, *said] for boat, said in list_lost(trip, plan)]
    if not columns:
        return
    sheet.heading(IF_LOST)
    first = ["lost:", *(spread.name for spread in trip.spreads)]
    for beside in _fit(columns, COLUMNS - _BETWEEN - max(map(len, first))):
        heads, *rows = zip(first, *beside, strict=True)
        sheet.table(rows, heads)
    if any(one != HOLDS for _, *said in columns for one in said):
        sheet.say("The worst day is told.")


def list_lost(trip: Trip, plan: Plan) -> list[tuple[str, list[str]]]:
    """Return of each boat that may be lost whether each spread holds, or what is short.

    Boats go by what they are called; there are none where nothing has to be left.
    """
    counted = any(aim.name == AIM_OF[SPREAD] for aim in plan.aims)
    if not (trip.spreads and counted):
        return []
    losses = list_losses(trip, plan.arrangement)
    return [
        (boat, [_say_loss(trip, losses.get((one.name, boat))) for one in trip.spreads])
        for boat in _list_losable(trip)
    ]


def _fit(columns: list[list[str]], room: int) -> list[list[list[str]]]:
    """Return the columns in turn, as many together as find room beside each other."""
    tables: list[list[list[str]]] = []
    left = 0
    for column in columns:
        wide = _BETWEEN + max(len(column[0]) + _HEAD, *map(len, column[1:]))
        if not tables or wide > left:
            tables.append([])
            left = room
        tables[-1].append(column)
        left -= wide
    return tables


def _list_losable(trip: Trip) -> list[str]:
    """Return the boats, as they are called, that are not alone in some leg."""
    shared = (leg for leg in trip.legs if len(leg.boats) > 1)
    return list(dict.fromkeys(trip.boats[boat].called for leg in shared for boat in leg.boats))


def _say_loss(trip: Trip, worst: Shortfall | None) -> str:
    if worst is None:
        return HOLDS
    return f"short {_say_number(trip, worst, worst.short)} (day {worst.day})"


# --- before anything is packed --------------------------------------------------------------------


def write_unowned(sheet: Sheet, trip: Trip, unowned: Iterable[Shortfall]) -> None:
    """Write the rules that are short whatever is packed where."""
    rows = list(unowned)
    if not rows:
        return
    sheet.heading(f"Short by rule whatever is packed where ({len(rows)})")
    for row in rows:
        had = f"{row.short} short: {row.asked} asked, the party has {row.there}"
        sheet.point(f"{row.name} ({row.tier}), from day {row.day}: {had}")
        for line in _list_grounds(trip, row):
            sheet.point(line, 1)
    sheet.gap()


# --- reminders ------------------------------------------------------------------------------------


def write_reminders(sheet: Sheet, trip: Trip) -> None:
    """Write the rules that no count can say, set by set."""
    sets = [one for one in trip.rules if one.reminders]
    if not sets:
        return
    sheet.heading("To be kept in mind: rules that no count can say")
    for one in sets:
        sheet.point(f"{one.title}{f' ({one.country})' if one.country else ''}:")
        for reminder in one.reminders:
            source = _say_source(reminder.source, reminder.dated, reminder.status)
            sheet.point(f"{reminder.id}: {reminder.says}; {source}", 1)


def say_unnamed(trip: Trip) -> str:
    """Return what a plan leaves out of account, of what it could go by."""
    lacks = [word for word, there in (("rules", trip.rules), ("stores", trip.stores)) if not there]
    return f"The trip file names no {join(lacks, 'and no')}: none are in the plan." if lacks else ""
