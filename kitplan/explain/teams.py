"""Which of the possible witnesses are told: one team, the same whichever boat runs.

A team that needs few boats is spoilt by few; for the boats it needs, as little changes as can be.
What is met is not decided here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from kitplan.explain.likes import Likes, Team
from kitplan.plan import DemandResult

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence

    from kitplan.demands import Choice, ChoiceKey, DemandKey, Needs, Variant
    from kitplan.explain.filling import Filled
    from kitplan.explain.witness import Prover

    Told = tuple[str, Filled]  # the way, and how it is filled


class _Plan(NamedTuple):
    """One way of a choice, the running boats it is possible for, and the boats it needs."""

    variant: Variant
    running: list[str]
    boats: list[str]


def choose_witnesses(prover: Prover, needs: Needs) -> dict[DemandKey, DemandResult]:
    """Return every demand as `prover` finds it, those that are met with a settled witness."""
    results = {key: prover.prove(key) for key in needs.demands}
    met: dict[ChoiceKey, list[DemandKey]] = {}
    for key, result in results.items():
        if result.met:
            met.setdefault(key.choice, []).append(key)
    keeper = _Keeper(prover)
    for choice in sorted((needs.choices[key] for key in met), key=_by_place):
        keys = {key.running: key for key in met[choice.key]}
        ways = {boat: results[key].way for boat, key in sorted(keys.items())}
        for boat, (way, filled) in keeper.settle(choice, ways).items():
            key = keys[boat]
            results[key] = DemandResult(key, met=True, way=way, witness=filled.parts)
    return results


def _by_place(choice: Choice) -> tuple[object, ...]:
    """Order choices by rapid, and there those first that are told first."""
    return (choice.key.rapid, choice.place, choice.sort, choice.key)


class _Keeper:
    """Settles choice after choice, and keeps who has which job at each rapid."""

    def __init__(self, prover: Prover) -> None:
        """Start with no jobs."""
        self._prover = prover
        self._here: dict[Hashable, Team] = {}
        self._settled: dict[Hashable, dict[str, Told]] = {}

    def settle(self, choice: Choice, ways: dict[str, str]) -> dict[str, Told]:
        """Return for each running boat of `ways`, which are possible ones, what is told."""
        place: Hashable = choice.key.rapid
        bank = choice.key.bank
        if choice.unhurried:  # the same team at all rapids that the same boats pass
            place, bank = self._list_boats(choice), ""
        key = (place, bank, choice.variants, tuple(ways))
        if key not in self._settled:
            here = self._here.get(place, Team())
            told = self._tell(choice, ways, here)
            for _, filled in told.values():
                here = here.add(filled.parts)
            self._here[place] = here
            self._settled[key] = told
        return self._settled[key]

    def _tell(self, choice: Choice, ways: dict[str, str], here: Team) -> dict[str, Told]:
        plans = [
            self._plan(choice, v, self._list_held(v, ways), here)
            for v in choice.variants
            if v.way in ways.values()
        ]
        best = max(plans, key=lambda plan: (len(plan.running), -len(plan.boats)))
        rest = frozenset(self._list_boats(choice)) - set(best.boats) or frozenset(best.running[:1])
        usual = self._prover.fill(choice, best.variant, rest, Likes(here=here))
        first, since = Team().add(usual.parts), Team()
        order = [best.variant]
        told = {}
        for boat in ways:
            if boat in rest and boat in best.running:
                told[boat] = (best.variant.way, usual)
                continue
            variant = next(
                v
                for v in (*order, *choice.variants)
                if self._prover.can(choice, v, frozenset({boat}))
            )
            order.append(variant)
            filled = self._prover.fill(
                choice, variant, frozenset({boat}), Likes(first, since, here)
            )
            since = since.add(filled.parts)
            told[boat] = (variant.way, filled)
        return told

    def _list_held(self, variant: Variant, running: Iterable[str]) -> list[str]:
        """Return the running boats for whose type a variant holds."""
        boats = self._prover.party.trip.boats
        return [b for b in running if variant.holds_for(boats[b].type.name)]

    def _plan(self, choice: Choice, variant: Variant, ways: list[str], here: Team) -> _Plan:
        def possible(without: frozenset[str]) -> bool:
            return self._prover.can(choice, variant, without)

        running = [boat for boat in ways if possible(frozenset({boat}))]
        boats = self._list_boats(choice)
        without = _drop(possible, frozenset(), self._order_boats(boats, here))
        return _Plan(variant, running, sorted(set(boats) - without))

    def _list_boats(self, choice: Choice) -> tuple[str, ...]:
        return self._prover.party.trip.rapids[choice.key.rapid].boats

    def _order_boats(self, boats: tuple[str, ...], here: Team) -> list[str]:
        """Return the boats, those that a team does best without first."""
        crew = self._prover.party.arrangement.crew
        names = {name for _, name in here.people}
        used = {b for b in boats if names.intersection(crew[b])}
        return sorted(boats, key=lambda b: (b in used, len(crew[b]), b))


def _drop(
    possible: Callable[[frozenset[str]], bool], without: frozenset[str], boats: Sequence[str]
) -> frozenset[str]:
    """Return `without` and as many of `boats`, earlier ones first, as can be spared."""
    more = without.union(boats)
    if possible(more):
        return more
    if len(boats) == 1:
        return without
    half = len(boats) // 2
    return _drop(possible, _drop(possible, without, boats[:half]), boats[half:])
