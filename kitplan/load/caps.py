"""Says of rules on what must be carried what can't be kept, or not be decided, on any packing."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from kitplan.load.sheet import show_value
from kitplan.trip.carriage import AT_MOST, THINGS, BoatLimits, Condition, Who

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat, BoatType
    from kitplan.trip.carriage import CarriageRule, Counted, Reading


@dataclass(frozen=True, slots=True)
class RuleAt:
    """A rule and where it is written."""

    sheet: Sheet
    trail: Trail
    rule: CarriageRule


def check_caps(rules: Sequence[RuleAt]) -> None:
    """Complain of each rule that allows fewer than another one asks for in any case."""
    caps = [one for one in rules if one.rule.reading.bound == AT_MOST]
    asks = [one for one in rules if one.rule.reading.bound != AT_MOST]
    for cap, ask in product(caps, asks):
        most, least = _find_most(cap.rule.reading), _find_least(ask.rule.reading)
        if most is None or most >= least or not _same_matter(cap.rule, ask.rule):
            continue
        message = (
            f"at most {most} by this, and at least {least} by rule {show_value(ask.rule.id)} "
            f"at {ask.rule.where.text()}"
        )
        hint = "change one of them, or leave it out"
        cap.sheet.complain((*cap.trail, "reading"), "at-most-below-at-least", message, hint)


def _find_most(reading: Reading) -> int | None:
    """Return how many a cap allows at most, however many people and boats; None: no limit."""
    if reading.for_each is not None:
        return None
    counts = [step.count for step in reading.steps] or [reading.count]
    return max(*counts, reading.least)


def _find_least(reading: Reading) -> int:
    """Return how many a rule asks for at least, however few people and boats."""
    if not reading.of:
        return reading.count
    # Nobody need be a guide or a guest; a part that does not count may be all there is.
    if reading.who != Who() or (reading.for_each is not None and not reading.part_counts):
        return reading.least
    counts = [step.count for step in reading.steps] or [reading.count]
    return max(reading.least, min(counts))


def _same_matter(cap: CarriageRule, ask: CarriageRule) -> bool:
    """Say whether whatever counts for `ask` counts for `cap`, wherever `ask` applies."""
    scopes = (cap.reading.scope, ask.reading.scope)
    return (
        (scopes[0] == scopes[1] or scopes == ("trip", "boat"))
        and cap.when in {ask.when, Condition()}
        and cap.boats in {ask.boats, BoatLimits()}
        and _takes_in(cap.counts, ask.counts)
    )


def _takes_in(wide: Counted, narrow: Counted) -> bool:
    """Say whether whatever counts for `narrow` counts for `wide`."""
    if wide.what != THINGS or narrow.what != THINGS:
        return wide == narrow
    return (
        set(narrow.kinds) <= set(wide.kinds)
        and wide.least_mm <= narrow.least_mm
        and wide.diameter_mm <= narrow.diameter_mm
        and wide.flags <= narrow.flags
        and wide.spare <= narrow.spare
        and wide.in_reach <= narrow.in_reach
        and wide.apart == narrow.apart
    )


def check_lengths(rules: Iterable[RuleAt], boats: Iterable[Boat]) -> None:
    """Complain of each type of the party's boats that has no length where a rule asks for one.

    Each type is complained of once, at the first rule that asks.
    """
    open_types = {boat.type.name: boat.type for boat in boats if boat.type.length_mm is None}
    for one in rules:
        limits = one.rule.boats
        if limits.length_from_mm is None and limits.length_under_mm is None:
            continue
        for kind in [kind for kind in open_types.values() if _may_mean(limits, kind)]:
            del open_types[kind.name]
            message = (
                f"this goes by the length of a boat, and boat type {show_value(kind.name)} "
                f"at {kind.where.text()} has none"
            )
            hint = 'add length = "4.3 m" or so to the boat type'
            one.sheet.complain((*one.trail, "boats"), "length-missing", message, hint)


def _may_mean(limits: BoatLimits, kind: BoatType) -> bool:
    """Say whether boats of a type are meant, their length apart."""
    return (
        (not limits.crafts or kind.craft in limits.crafts)
        and (not limits.types or kind.name in limits.types)
        and (not limits.skills or kind.skill in limits.skills)
    )
