"""The standard kit as a sheet: the lists to print and to order by, and what each line is for."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, TypeVar

from kitplan.fleet.nouns import PER_CENT, Lists, count_boats, count_guides
from kitplan.report.restate import NOTE, make_restate_all
from kitplan.report.sheet import Sheet
from kitplan.report.words import count, join
from kitplan.units import METRIC, US, show_mass, show_price

if TYPE_CHECKING:
    from collections.abc import Mapping

    from kitplan.fleet.nouns import Fleet, Line, Needed, Outcome, Standard, Suffers

Key = TypeVar("Key")  # a boat type, or a level of leading

WIDE = 34  # signs of an item's name
NARROW = 14  # signs of a column's heading


def render_standard(found: Standard, style: str, units: str = METRIC) -> str:
    """Return the standard kit as text or Markdown."""
    fleet = found.fleet
    trips = [one.trip for one in fleet.outings.values()]
    sheet = Sheet(style, {}, make_restate_all(trips)) if units == US else Sheet(style)
    sheet.title(f"The standard kit of {count(len(trips), 'trip')}: {_say_answer(found)}")
    sheet.say(_say_proof(found))
    sheet.gap()
    sheet.say(_say_counts(found))
    if units == US:
        sheet.gap()
        sheet.say(NOTE)
    _write_lists(sheet, found)
    _write_worn(sheet, found)
    _write_extras(sheet, found)
    _write_order(sheet, found)
    _write_needed(sheet, found)
    _write_trips(sheet, found)
    return sheet.finish()


def say_cost(fleet: Fleet, hundredths: int) -> str:
    """Return a cost in words: a price, or a mass; hundredths of a cent or gram are rounded."""
    whole = round(hundredths / PER_CENT)
    return show_mass(whole) if fleet.by_mass else show_price(whole, fleet.currency)


def count_copies(fleet: Fleet, line: Line) -> int:
    """Return how many copies of a line's item there are: one list for each boat or guide."""
    if line.what == "boat":
        return line.count * fleet.boats[str(line.key[0])]
    return line.count * (fleet.guides[int(line.key[0])] if line.what == "guide" else 1)


def _say_answer(found: Standard) -> str:
    if found.missed:
        return f"{say_cost(found.fleet, found.cost)}, and {count(len(found.missed), 'trip')} short"
    return f"{say_cost(found.fleet, found.cost)}, and every trip has its cover"


def _say_proof(found: Standard) -> str:
    """Return whether anything is cheaper, and what that stands on."""
    goal = next(iter(found.outcomes.values())).goal
    fleet, least = found.fleet, "lighter" if found.fleet.by_mass else "cheaper"
    inexact = [name for name, one in found.outcomes.items() if not one.goal.exact]
    asks = "as well covered as with unlimited kit within its room and payload"
    if goal.one_bank is None:
        asks = "covered from at least one bank for the share of the weight asked for"
    elif inexact:
        asks = "as well covered as was found in time with unlimited kit"
    if found.bound >= found.cost:
        said = f"No {least} lists leave every trip {asks}: proven."
    else:
        apart = 100 * (found.cost - found.bound) / found.cost
        bound = say_cost(fleet, found.bound)
        said = f"With these lists every trip is {asks}. None cost less than {bound}; "
        said += f"whether any cost less than these, by up to {apart:.1f} %, the limit left open."
    if inexact and goal.one_bank is not None:
        said += f" Unlimited kit may do better, as far as is proven, for {join(inexact)}."
    return said


def _say_counts(found: Standard) -> str:
    """Return what is counted how often, and what is left out."""
    fleet = found.fleet
    boats = join(f"{n} x {kind}" for kind, n in fleet.boats.items())
    guides = join(f"{n} leading {level}" for level, n in fleet.guides.items())
    said = (
        f"One list for each of {boats}; one set for each guide, {guides}: as many as any one trip "
        f"uses. An extra of a trip counts {fleet.factor / PER_CENT:g} times. What is on a list "
        "may stay at home, and has room in the boat all the same, beside those who sit there."
    )
    rowing = {name: one.goal.rowing for name, one in found.outcomes.items() if one.goal.rowing}
    if rowing:
        trips = join(
            f"{name} ({minutes} min of walking back up)" for name, minutes in rowing.items()
        )
        said += (
            f" No seating has a good enough steerer in every boat on {trips}: there somebody rows "
            "twice, and wears nothing that is issued."
        )
    if fleet.unpriced:
        said += f" For want of a price left out, or counted as nothing: {join(fleet.unpriced)}."
    return said


# --- the lists ------------------------------------------------------------------------------------


def _write_lists(sheet: Sheet, found: Standard) -> None:
    fleet, issued = found.fleet, found.lists.issued
    sheet.heading("One list for each boat of a type")
    kinds = [kind for kind in fleet.boats if any(key[0] == kind for key in issued)]
    _write_issued(sheet, fleet, issued, {kind: (kind, fleet.boats[kind]) for kind in kinds})
    bare = [kind for kind in fleet.boats if kind not in kinds]
    if bare:
        sheet.say(f"Nothing is issued to each {join(bare, 'or')}.")


def _write_worn(sheet: Sheet, found: Standard) -> None:
    fleet, worn = found.fleet, found.lists.worn
    sheet.heading("To be worn by each guide, at vest or waist")
    levels = [level for level in fleet.guides if any(key[0] == level for key in worn)]
    heads = {level: (f"leading {level}", fleet.guides[level]) for level in levels}
    _write_issued(sheet, fleet, worn, heads)
    if not worn:
        sheet.say("Nothing is issued to be worn; what people wear of their own stays.")


def _write_issued(
    sheet: Sheet,
    fleet: Fleet,
    issued: Mapping[tuple[Key, str], int],
    columns: Mapping[Key, tuple[str, int]],
) -> None:
    """Write item by item what each is issued; `columns`: what it is called, how many get it."""
    rows = []
    for item in sorted({item for _, item in issued}):
        counts = {key: issued.get((key, item), 0) for key in columns}
        copies = sum(n * columns[key][1] for key, n in counts.items())
        cells = (str(n or "") for n in counts.values())
        rows.append([item, *cells, str(copies), _cost(fleet, item, copies)])
    heads = [f"{name} (x {number})" for name, number in columns.values()]
    _write_table(sheet, rows, ["item", *heads, "copies", "cost"])


def _write_extras(sheet: Sheet, found: Standard) -> None:
    fleet, extras = found.fleet, found.lists.extras
    sheet.heading("Extras that one trip brings besides")
    rows = [
        [trip, item, str(n), _cost(fleet, item, n)] for (trip, item), n in sorted(extras.items())
    ]
    _write_table(sheet, rows, ["trip", "item", "copies", "cost"])
    none = [name for name in fleet.outings if not any(key[0] == name for key in extras)]
    if none:
        sheet.say(f"No extras for {join(none)}.")


def _write_order(sheet: Sheet, found: Standard) -> None:
    """Write how many of each item there must be for all lists, and for the extras of one trip."""
    fleet, orders = found.fleet, Counter[str]()
    most: dict[str, int] = {}
    for line in found.lists.list_lines():
        if line.what == "extra":
            most[line.item] = max(most.get(line.item, 0), line.count)
        else:
            orders[line.item] += count_copies(fleet, line)
    for item, extras in most.items():
        orders[item] += extras
    sheet.heading("To order")
    sheet.say("All lists and sets, and of extras as many as any one trip brings.")
    rows = [[item, str(n), _cost(fleet, item, n)] for item, n in sorted(orders.items())]
    total = sum(fleet.cost(item) * n for item, n in orders.items())
    rows.append(["in all", "", say_cost(fleet, PER_CENT * total)])
    _write_table(sheet, rows, ["item", "copies", "cost"])


def _write_table(sheet: Sheet, rows: list[list[str]], heads: list[str]) -> None:
    widths = [WIDE, *(NARROW for _ in heads[1:])]
    sheet.table(rows, heads, widths if heads[0] == "item" else None)


def _cost(fleet: Fleet, item: str, copies: int) -> str:
    return say_cost(fleet, PER_CENT * fleet.cost(item) * copies)


# --- what lines are needed for --------------------------------------------------------------------


def _write_needed(sheet: Sheet, found: Standard) -> None:
    sheet.heading("What each line is needed for")
    sheet.say(
        "Solved anew with one copy less on each such list, and seats, packing, stations and order "
        "free: what would suffer."
    )
    for one in found.needed:
        sheet.point(f"{say_line(one.line)}: {_say_needed(one)}")


def say_line(line: Line) -> str:
    """Return a line in words: "2 x throw bag 20 m, each oar raft 4.3 m"."""
    for_whom = {"boat": "each {}", "guide": "each guide leading {}", "extra": "extra of {}"}
    return f"{line.count} x {line.item}, {for_whom[line.what].format(line.key[0])}"


def _say_needed(needed: Needed) -> str:
    open_ = "" if needed.proven else "; not all trips could be asked in time"
    if not needed.suffers:
        return f"no trip is known to suffer{open_ or ', one of equal ones'}"
    by_trip: dict[str, list[Suffers]] = {}
    for one in needed.suffers:
        by_trip.setdefault(one.trip, []).append(one)
    said = (f"{trip} ({join(map(_say_loss, rows))})" for trip, rows in by_trip.items())
    return join(said) + open_


def _say_loss(one: Suffers) -> str:
    if one.rule:
        return f"falls short of {one.rule!r}"
    if not one.rapid:
        return "what must go is not there"
    if one.loses[0]:
        return f"cover lost at {one.rapid}"
    return f"a bank lost at {one.rapid}"


# --- the trips ------------------------------------------------------------------------------------


def _write_trips(sheet: Sheet, found: Standard) -> None:
    """Write what each trip comes to, and what standardising costs as against its own cheapest."""
    fleet = found.fleet
    sheet.heading("What standardising costs each trip")
    sheet.say(
        "With the lists: those of its own boats and guides, and its extras. Alone: the cheapest "
        "lists and extras for it alone, counted the same way."
    )
    rows = []
    for name, outcome in found.outcomes.items():
        has, alone = weigh_own(found, name), found.apart.get(name)
        rows.append(
            [
                name,
                _say_cover(outcome),
                say_cost(fleet, has),
                "not known" if alone is None else _say_alone(fleet, *alone),
                "" if alone is None else say_cost(fleet, has - alone[0]),
            ]
        )
    sheet.table(rows, ["trip", "cover", "with the lists", "alone", "more"], [30, 24, 14, 22, 14])
    for name, outcome in found.outcomes.items():
        _write_gaps(sheet, name, outcome)


def weigh_own(found: Standard, name: str) -> int:
    """Return what the lists of a trip's own boats and guides and its extras cost, in hundredths."""
    fleet, trip = found.fleet, found.fleet.outings[name].trip
    boats, guides = count_boats(trip), count_guides(trip)
    lists = found.lists.of_trip(name)
    there = Lists(
        {key: n for key, n in lists.issued.items() if key[0] in boats},
        {key: n for key, n in lists.worn.items() if key[0] in guides},
        lists.extras,
    )
    return fleet.weigh_for(there, boats, guides)


def _say_alone(fleet: Fleet, cost: int, bound: int) -> str:
    return say_cost(fleet, cost) + (
        "" if bound >= cost else f" (at least {say_cost(fleet, bound)})"
    )


def _say_cover(outcome: Outcome) -> str:
    if outcome.plan is None:
        return "no plan"
    totals = outcome.plan.totals
    said = f"{totals.cases - totals.none} of {totals.cases} cases"
    return f"{said}, short of what was asked" if outcome.misses else said


def _write_gaps(sheet: Sheet, name: str, outcome: Outcome) -> None:
    """Say what no kit mends, and what is short of the goal."""
    if outcome.plan is None:
        return
    without = outcome.plan.totals.none
    if outcome.misses:
        sheet.point(f"{name}: {_say_missed(outcome)}")
    elif without and outcome.goal.one_bank is not None:
        sheet.point(
            f"{name}: {count(without, 'case')} without cover, which no kit mends: "
            "`kitplan plan` says which and why"
        )


def _say_missed(outcome: Outcome) -> str:
    goal = outcome.goal
    if not goal.reached:
        covered = 100 * (goal.weight - goal.best[0]) / (goal.weight or 1)
        return f"even unlimited kit covers {covered:.1f} % of its weight alone"
    return "it misses its cover"
