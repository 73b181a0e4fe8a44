"""What `needs` and `check` found, as JSON documents for other programs."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from kitplan import __version__
from kitplan.errors import CAUTION
from kitplan.needs import list_linings
from kitplan.plan import digest_sources
from kitplan.planfile import format_document
from kitplan.report.counts import make_counts

if TYPE_CHECKING:
    from kitplan.check import PartyCheck
    from kitplan.decide.answers import Told, Why
    from kitplan.decide.mend import Mended, Step
    from kitplan.decide.review import Review
    from kitplan.demands import Choice, Needs
    from kitplan.plan import Plan
    from kitplan.solve.reasons import Reasons
    from kitplan.trip import Trip


def write_needs(trip: Trip, needs: Needs) -> str:
    """Return what each spot asks for, technique by technique, and the cases that follow."""
    document = {
        **_make_head(trip),
        "choices": [_make_choice(choice) for choice in needs.choices.values()],
        "cases": [
            {**_make_key(case.key), "weight": case.weight, "banks": list(case.banks)}
            for case in needs.cases.values()
        ],
        "automatic": [
            {"rapid": rapid.name, "spot": spot.name, "scenario": scenario}
            for rapid in trip.rapids.values()
            for spot in rapid.spots
            for scenario in spot.automatic
        ],
        "carried_round": [one.name for one in trip.rapids.values() if one.run == "portage"],
        "lined": [_make_plain(lining) for lining in list_linings(trip)],
        "without_technique": [_make_plain(row) for row in needs.without_technique],
    }
    return format_document(document)


def write_check(trip: Trip, check: PartyCheck) -> str:
    """Return what the party can do and what it is short of whatever is packed where."""
    return format_document({**_make_head(trip), "short": bool(check.short), **_make_plain(check)})


def write_review(review: Review) -> str:
    """Return what a load comes to as it lies, and the moves that help most."""
    plan = review.plan
    return format_document(
        {
            **_make_head(review.trip),
            "broken": [{"rule": one.code, "said": one.message} for one in review.broken],
            "steerless": _make_plain(review.steerless),
            **_make_values(plan),
            "shortfalls": _make_plain(plan.shortfalls),
            "gaps": _make_plain(plan.gaps),
            "advice": [
                {
                    "moves": _make_plain(advice.shifts),
                    "proven": advice.proven,
                    **_make_values(advice.plan),
                }
                for advice in review.advice
            ],
            "counts": make_counts(review.trip, review.counted),
            "stations": _make_plain(plan.arrangement.stations),
            "order": list(plan.arrangement.order),
            "stopped": review.stopped,
        }
    )


def write_why(why: Why) -> str:
    """Return why something is met or not: answers, facts with their lines, what would turn it."""
    return format_document(
        {**_make_head(why.trip), "stopped": why.stopped,
         "answers": [_make_answer(told) for told in why.answers]}
    )  # fmt: skip


def _make_answer(told: Told) -> dict[str, Any]:
    asked = told.question
    return {
        "rapid": asked.rapid,
        "spot": asked.spot,
        "scenario": asked.scenario,
        "technique": asked.technique or None,
        "bank": asked.bank or None,
        "running": list(told.running),
        "verdict": told.verdict,
        "refused": [
            {**_make_key(one.key), "verdict": one.verdict, "reasons": list(one.reasons)}
            for one in asked.refused
        ],
        "witness": _make_plain(told.result),
        "crews": {boat: list(crew) for boat, crew in told.crew},
        "rows_twice": dict(told.twice),
        "reasons": _make_reasons(told.reasons),
        "turned_by": list(told.turns),
        "turned_with_all_kept": list(told.all_kept),
        "changes_tried": told.tried,
        "in_the_way_as_planned": _make_reasons(told.decided),
        "single_moves": [
            {
                "lets_go": moved.fact.said,
                "moves": _make_plain(moved.shifts),
                "waits": moved.waits,
                **_make_values(moved.plan),
            }
            for moved in told.moves
        ],
        "together_not_proven": told.open_end,
        "nothing_else_in_the_way": told.nothing_else,
    }


def _make_reasons(reasons: Reasons | None) -> dict[str, Any] | None:
    if reasons is None:
        return None
    facts = [
        {
            "sort": fact.sort,
            "subject": fact.subject,
            "said": fact.said,
            "where": [{"file": one.file, "line": one.line} for one in fact.where],
        }
        for fact in reasons.facts
    ]
    return {"facts": facts, "irreducible": reasons.irreducible}


def write_mend(mended: Mended) -> str:
    """Return what it takes to mend a trip: the curve, what each remedy closes, what stays open."""
    market = mended.trip.market
    return format_document(
        {
            **_make_head(mended.trip),
            "currency": market.currency,
            "budget_cents": mended.limit.cents,
            "extra_mass_g": mended.limit.mass_g,
            "demands_asked": mended.demands,
            "made": _make_step(mended.made),
            "curve": [_make_step(step) for step in mended.curve],
            "curve_complete": mended.complete,
            "closes": [
                {
                    "remedy": _make_plain(row.remedy),
                    "rapids": _make_plain(row.lost),
                    "shortfalls": _make_plain(row.short),
                    "only_steerer_in": list(row.steers),
                    "asked": row.asked,
                    "proven": row.proven,
                }
                for row in mended.closed
            ],
            "left": {
                "gaps": _make_plain(mended.left.gaps),
                "shortfalls": _make_plain(mended.left.shortfalls),
                "without_technique": _make_plain(mended.goal.needs.without_technique),
            },
            "without_price": list(mended.unpriced),
            "decisions": {
                "of": "nothing bought" if mended.bare else "made",
                "rows": _make_plain(mended.decisions.rows),
                "seats_not_tried": _make_plain(mended.decisions.untried),
                "complete": mended.decisions.complete,
            },
        }
    )


def _make_step(step: Step) -> dict[str, Any]:
    """Return a set of remedies with what it costs, and what comes of it."""
    mend = step.mend
    return {
        "price_cents": mend.price_cents,
        "mass_g": mend.mass_g,
        "remedies": _make_plain(mend.remedies),
        "values": mend.values,
        "bounds": mend.bounds,
        "least_cents": mend.least_cents,
        "proven": mend.proven,
        "totals": _make_plain(step.plan.totals),
    }


def _make_values(plan: Plan) -> dict[str, Any]:
    """Return the aims and totals of a plan."""
    return {
        "aims": {aim.name: aim.value for aim in plan.aims},
        "totals": _make_plain(plan.totals),
    }


def _make_head(trip: Trip) -> dict[str, Any]:
    return {
        "caution": CAUTION,
        "version": __version__,
        "digest": digest_sources(trip.sources),
        "trip": trip.name,
        "flow": trip.flow,
        "fades_after_months": trip.fades_months,
    }


def _make_choice(choice: Choice) -> dict[str, Any]:
    return {
        **_make_key(choice.key),
        "verdict": choice.verdict,
        "place": choice.place,
        "covers": choice.covers,
        "support_only": choice.support_only,
        "unhurried": choice.unhurried,
        "reasons": list(choice.reasons),
        "amounts": list(choice.amounts),
        "cautions": list(choice.cautions),
        "variants": [_make_plain(variant) for variant in choice.variants],
    }


def _make_key(key: Any) -> dict[str, Any]:
    """Return the parts of a key; a bank that is none is null."""
    parts = dict(key._asdict())
    if "bank" in parts:
        parts["bank"] = parts["bank"] or None
    return parts


def _make_plain(value: Any) -> Any:
    """Return nouns as tables and lists; where a noun stands in its file is left out."""
    if is_dataclass(value) and not isinstance(value, type):
        shown = (one.name for one in fields(value) if one.compare)
        return {name: _make_plain(getattr(value, name)) for name in shown}
    if hasattr(value, "_asdict"):
        return {name: _make_plain(member) for name, member in _make_key(value).items()}
    if isinstance(value, dict):
        return _make_table(value)
    if isinstance(value, set | frozenset):
        return sorted(_make_plain(member) for member in value)
    if isinstance(value, list | tuple):
        return [_make_plain(member) for member in value]
    return value.isoformat() if isinstance(value, date) else value


def _make_table(value: dict[Any, Any]) -> Any:
    if all(isinstance(key, str) for key in value):
        return {key: _make_plain(member) for key, member in value.items()}
    return [
        {"key": _make_plain(key), "value": _make_plain(member)} for key, member in value.items()
    ]
