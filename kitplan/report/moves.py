"""Moves in words: who and what goes from where it is to where it does more good."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.report.carriage import count_shorts, say_sums
from kitplan.report.words import count

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.plan import Plan, Shift
    from kitplan.report.sheet import Sheet
    from kitplan.trip import Trip

AIM_WORDS = {
    "short_of_law": "short of law and permit",
    "short_of_house": "short of house rules",
    "short_of_spread": "short if a boat is lost",
    "uncovered": "cases covered from nowhere",
    "one_bank": "cases without cover from both banks",
    "unmet": "demands not met",
}
"""Aims 1 to 4 as a leader would say them."""


def write_shifts(sheet: Sheet, trip: Trip, shifts: Iterable[Shift], level: int = 0) -> None:
    """Write a point for each move."""
    for shift in shifts:
        sheet.point(say_shift(trip, shift), level)


def say_shift(trip: Trip, shift: Shift) -> str:
    """Return a move in words: "1 x prusik loop 6 mm from Heron (quick) to Dipper (quick)"."""
    source, target = (
        trip.boats[b].called if b in trip.boats else b for b in (shift.source, shift.target)
    )
    if shift.what == "person":
        return f"{shift.name} from {source} to {target}" if source else f"{shift.name} to {target}"
    thing = f"{shift.count} x {shift.name}"
    if shift.what == "stores":
        return f"{thing} from {source} to {target}"
    if not target:
        return f"leave {thing} behind" + (f", in {source} so far" if source else "")
    if not source:
        return f"{thing} into {target} ({shift.to_carry})"
    if source == target:
        return f"{thing} in {source}: {shift.to_carry}, not {shift.carried}"
    return f"{thing} from {source} ({shift.carried}) to {target} ({shift.to_carry})"


def say_gain(trip: Trip, before: Plan, after: Plan) -> str:
    """Return what is better in another plan, in counts that people know; "" if nothing is."""
    return ", ".join(_list_gains(trip, before, after))


def _list_gains(trip: Trip, before: Plan, after: Plan) -> Iterator[str]:
    was, left = (count_shorts(trip, plan.shortfalls) for plan in (before, after))
    for gained, change in ((was - left, "no longer"), (left - was, "more")):
        if gained:
            yield f"{say_sums(gained)} {change} short of rules and spreads"
    now, then = after.totals, before.totals
    covered = (now.cases - now.none) - (then.cases - then.none)
    if covered:
        yield f"{count(abs(covered), _word(covered) + ' case')} covered"
    banks = (now.all_banks + now.from_water) - (then.all_banks + then.from_water)
    if banks and banks != covered:
        yield f"{count(abs(banks), _word(banks) + ' case')} covered from every bank"
    met = now.met - then.met
    if met < 0 and "unmet" in _find_bettered(before, after):
        yield f"{count(-met, 'fewer demand')} met, but weightier ones"
    elif met:
        yield f"{count(abs(met), _word(met) + ' demand')} met"


def _word(change: int) -> str:
    return "more" if change > 0 else "fewer"


def list_bettered(before: Plan, after: Plan) -> list[str]:
    """Return the aims 1 to 4 that are better in another plan, in words."""
    better = _find_bettered(before, after)
    return [words for name, words in AIM_WORDS.items() if name in better]


def _find_bettered(before: Plan, after: Plan) -> set[str]:
    was = {aim.name: aim.value for aim in before.aims}
    return {aim.name for aim in after.aims if aim.value < was.get(aim.name, aim.value)}
