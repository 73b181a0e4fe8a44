"""The goals of speed and cover, held against results: what was asked, what came of it, whether met.

Proof is of aims 2 to 4. How much sooner it is there than with a peer is known from below where the
peer ended without one. A goal of which no run tells anything has no row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.bench.compare import LEAST_S, find_mean
from tests.bench.hand import BY_HAND
from tests.bench.ladder import LADDER, PLENTY

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tests.bench.ladder import Rung
    from tests.bench.run import Result

OURS = "kitplan"
PROOF_S = {
    ("M", True): 10,
    ("L", True): 15,
    ("XL", True): 60,
    ("M", False): 30,
    ("L", False): 60,
    ("XL", False): 300,
}
"""Seconds to the proof, by size and whether there is plenty of kit."""
NEAR = 0.03  # of the bound: near enough where kit is scarce
SLACK_S = 5.0  # what a run may end after its limit
SOONER = {
    "HiGHS, one model": (10.0, "S"),
    "SCIP, one model": (10.0, "S"),
    "HiGHS in the loop": (1.0, "XS"),
    "plain": (5.0, "M"),
}
"""How many times sooner the proof is to be there than with a peer, from which size upwards."""
THIRD = 1 / 3  # of what is uncovered by hand, where kit is scarce


@dataclass(frozen=True, slots=True)
class Held:
    """A goal for the rungs of a size and kit: what is asked, what came of it, and if it is met."""

    size: str
    kit: str
    asked: str
    reached: str
    met: bool


def hold_goals(results: Sequence[Result]) -> list[Held]:
    """Return the goals that the results tell something of, by size and kit."""
    groups: dict[tuple[str, str], dict[str, dict[Rung, Result]]] = {}
    for one in results:
        group = groups.setdefault((one.rung.size, one.rung.kit), {})
        group.setdefault(one.method, {})[one.rung] = one
    return [
        held
        for (size, kit), methods in groups.items()
        if OURS in methods
        for held in _hold_group(size, kit, methods)
    ]


def _hold_group(size: str, kit: str, methods: dict[str, dict[Rung, Result]]) -> Iterator[Held]:
    ours = methods[OURS]
    within_s = PROOF_S.get((size, kit == PLENTY))
    if within_s is not None:
        yield _hold_proof(size, kit, list(ours.values()), within_s)
    for peer, (times, least) in SOONER.items():
        rungs = [rung for rung in methods.get(peer, {}) if rung in ours]
        if rungs and LADDER.index(size) >= LADDER.index(least):
            pairs = [(ours[rung], methods[peer][rung]) for rung in rungs]
            yield _hold_sooner(f"{times:g} times sooner than {peer}", times, pairs)
    by_hand = methods.get(BY_HAND.name, {})
    pairs = [(ours[r], one) for r, one in by_hand.items() if r in ours and one.values]
    if kit != PLENTY and pairs:
        yield _hold_cover(size, kit, pairs)


def _hold_proof(size: str, kit: str, ours: Sequence[Result], within_s: int) -> Held:
    """Say how many runs ended with a proof in time, or near enough to the bound."""
    done = [one for one in ours if one.proven and (one.seconds or 0.0) <= within_s]
    near = [
        one
        for one in ours
        if kit != PLENTY and one not in done and (one.seconds or 0.0) <= within_s + SLACK_S
        if is_near(one)
    ]
    asked = f"proven in {within_s} s" + ("" if kit == PLENTY else f", or within {NEAR:.0%}")
    reached = f"{len(done)} of {len(ours)} proven" + (f", {len(near)} near" if near else "")
    return Held(size, kit, asked, reached, len(done) + len(near) == len(ours))


def is_near(one: Result) -> bool:
    """Say whether the first aim that is not proven is within 3 % of its bound."""
    for value, bound in zip(one.values or (), one.bounds or (), strict=False):
        if value != bound:
            return bound is not None and value - bound <= NEAR * bound
    return bool(one.values)


def _hold_sooner(asked: str, times: float, pairs: Sequence[tuple[Result, Result]]) -> Held:
    """Compare the times to the proof, rung by rung; where neither has one nothing is known."""
    rung = pairs[0][0].rung
    known = [(ours, peer) for ours, peer in pairs if ours.proven or peer.proven]
    factors = [_find_factor(ours, peer) for ours, peer in known]
    open_ended = any(not peer.proven for _, peer in known)
    neither = len(pairs) - len(known)
    said = []
    if factors:
        mean = find_mean(max(factor, LEAST_S) for factor in factors)
        said.append(f"{'at least ' if open_ended else ''}{mean:.2g} times")
    if neither:
        said.append(f"neither proven on {neither} of {len(pairs)}")
    met = not neither and all(factor >= times for factor in factors)
    return Held(rung.size, rung.kit, asked, "; ".join(said), met)


def _find_factor(ours: Result, peer: Result) -> float:
    """Return how many times sooner ours is proven, at least; 0 where only the peer is."""
    if not ours.proven:
        return 0.0
    return max(peer.seconds or 0.0, LEAST_S) / max(ours.seconds or 0.0, LEAST_S)


def _hold_cover(size: str, kit: str, pairs: Sequence[tuple[Result, Result]]) -> Held:
    """Compare what is uncovered with doing it by hand; 1 is added to both."""
    ratios, least = [], 0
    for ours, other in pairs:
        if ours.values and other.values:
            ratios.append((1 + ours.values[0]) / (1 + other.values[0]))
            least += ours.values[:1] == (ours.bounds or ())[:1]
    mean = find_mean(ratios) if ratios else 1.0
    reached = f"{mean:.2f} of it; {least} of {len(pairs)} are the proven least"
    return Held(size, kit, "a third of by hand uncovered", reached, mean <= THIRD)
