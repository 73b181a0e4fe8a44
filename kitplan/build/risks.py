"""What may happen at a rapid: a spot and a scenario, and the boats that may be in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitplan.demands import Case, CaseKey, Choice, ChoiceKey, Needs
    from kitplan.trip import Trip


@dataclass(frozen=True, slots=True)
class Risk:
    """A spot and scenario with boats that may be in it: cases that differ in the boat alone.

    The ways of each choice are the same for all its boats.
    """

    where: tuple[str, str, str]
    running: tuple[str, ...]
    weight: int
    banks: tuple[str, ...]
    choices: tuple[Choice, ...]
    weights: dict[ChoiceKey, int]  # of one demand not met


def list_risks(trip: Trip, needs: Needs, rapids: set[str]) -> dict[str, list[Risk]]:
    """Return the risks of each of some rapids, in the order of the cases."""
    asked: dict[CaseKey, dict[ChoiceKey, int]] = {key: {} for key in needs.cases}
    for demand, weight in needs.demands.items():
        if demand.rapid in rapids:
            asked[demand.case][demand.choice] = weight
    alike: dict[object, list[Case]] = {}
    for case in needs.cases.values():
        if case.key.rapid not in rapids:
            continue
        weights = asked[case.key]
        typed = any(v.types for key in weights for v in needs.choices[key].variants)
        kind = trip.boats[case.key.running].type.name if typed else ""
        same = (case.key[:3], case.weight, case.banks, tuple(weights.items()), kind)
        alike.setdefault(same, []).append(case)
    risks: dict[str, list[Risk]] = {}
    for cases in alike.values():
        first = cases[0]
        weights = asked[first.key]
        risk = Risk(
            first.key[:3],
            tuple(case.key.running for case in cases),
            first.weight,
            first.banks,
            tuple(needs.choices[key] for key in weights),
            weights,
        )
        risks.setdefault(first.key.rapid, []).append(risk)
    return risks
