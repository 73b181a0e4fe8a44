"""Facts of what must be carried: each rule, and each spread over the boats."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.facts.noun import Fact, Sort, Turn
from kitplan.trip.carriage import THINGS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.facts.noun import Asked
    from kitplan.trip import Spread, Trip

LAW = "law"


def _tell_rules(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    for rule in (rule for one in trip.rules for rule in one.rules):
        said = f"kept as in the plan, asked by {rule.tier}: {rule.says}"
        yield Fact("rule", rule.id, said, (rule.where,))


def _relax_rule(trip: Trip, _asked: Asked, name: str) -> Trip:
    rules = tuple(
        replace(one, rules=tuple(rule for rule in one.rules if rule.id != name))
        for one in trip.rules
    )
    return _keep_limits(replace(trip, rules=rules))


def _turn_rule(trip: Trip, _asked: Asked, name: str) -> Iterator[Turn]:
    """Yield one piece more short of rules of the house; law is no choice."""
    tiers = {r.tier for one in trip.rules for r in one.rules if r.id == name}
    for tier in sorted(tiers - {LAW}):
        yield _allow_more(trip, tier, "rules of the house")


def _allow_more(trip: Trip, tier: str, named: str) -> Turn:
    limits = {**trip.short_at_most, tier: trip.short_at_most.get(tier, 0) + 1}
    return Turn(f"one piece more short of {named}", replace(trip, short_at_most=limits))


def _tell_spreads(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    for spread in trip.spreads:
        said = f"kept as in the plan, if a boat is lost: {spread.says}"
        yield Fact("spread", spread.name, said, (spread.where,))


def _relax_spread(trip: Trip, _asked: Asked, name: str) -> Trip:
    spreads = tuple(one for one in trip.spreads if one.name != name)
    return _keep_limits(replace(trip, spreads=spreads))


def _turn_spread(trip: Trip, _asked: Asked, name: str) -> Iterator[Turn]:
    for tier in sorted({one.tier for one in trip.spreads if one.name == name}):
        yield _allow_more(trip, tier, "what is to be left if a boat is lost")


def _keep_limits(trip: Trip) -> Trip:
    """Return the trip with limits for those tiers alone of which it still has something."""
    limits = {tier: most for tier, most in trip.short_at_most.items() if tier in trip.tiers}
    return replace(trip, short_at_most=limits)


def list_other_rules(trip: Trip, asked: Asked) -> list[Fact]:
    """Return the facts of rules and spreads about none of the things that are asked for."""
    kinds = {thing.kind for thing in asked.list_things(trip)}
    rules = {
        rule.id
        for one in trip.rules
        for rule in one.rules
        if rule.counts.what == THINGS and not kinds & set(rule.counts.kinds)
    }
    spreads = {one.name for one in trip.spreads if not _is_about(one, kinds)}
    facts = [fact for fact in _tell_rules(trip, asked) if fact.subject in rules]
    return facts + [fact for fact in _tell_spreads(trip, asked) if fact.subject in spreads]


def _is_about(spread: Spread, kinds: set[str]) -> bool:
    counts = [spread.counts] if spread.counts else [fit.counts for fit in spread.fits]
    return any(kinds & set(one.kinds) for one in counts)


SORTS = {
    "rule": Sort(_tell_rules, _relax_rule, _turn_rule),
    "spread": Sort(_tell_spreads, _relax_spread, _turn_spread),
}
