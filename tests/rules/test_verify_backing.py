"""Backing against taking away each person and each packed piece in turn, on stored plans.

The definition is the project's own: a case is backed if one way of covering it stays possible
after any one person can't act (what he wears stays usable) or any one packed piece is lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from kitplan.needs import derive_needs
from kitplan.verify.ground import CREW_PADDLE, Ground, Piece
from kitplan.verify.possible import Judge
from kitplan.verify.truth import Truth
from tests.golden.stored import load_demo, read_stored

if TYPE_CHECKING:
    from kitplan.demands import Ask, Choice, Variant

PADDLE_KINDS = {"paddle", "pole", "T-grip"}


class _GroundWithout(Ground):
    """The ground with one person who can't act; his seat stays taken, his things stay usable."""

    lost = ""

    def list_able(self, ask: Ask, leg: int) -> frozenset[str]:
        return super().list_able(ask, leg) - {self.lost}


class _JudgeWithout(Judge):
    """A judge for what is left after one loss; a person lost carries nothing either."""

    def __init__(self, ground: Ground, person: str = "", piece: Piece | None = None) -> None:
        left = _GroundWithout(ground.trip, ground.plan)
        # The noun is frozen; the one who is lost is no part of it.
        object.__setattr__(left, "lost", person)
        super().__init__(left)
        self.person = person
        if piece is not None:
            self.pieces[piece.boat].remove(piece)

    def count_at(self, site: str, rapid: str, running: str) -> int:
        crews = self.ground.plan.crew
        there = any(
            self.person in crews[b] and self.station(rapid, b, running) == site
            for b in self.list_others(rapid, running)
        )
        return super().count_at(site, rapid, running) - there


def list_losses(ground: Ground) -> list[_JudgeWithout]:
    """Return a judge for each person and each packed or worn piece lost, equal pieces once."""
    judge = Judge(ground)
    people = [_JudgeWithout(ground, person=name) for name in ground.trip.paddlers]
    equal = {
        piece[:4]: piece
        for boat in judge.boats
        for piece in judge.pieces[boat]
        if piece.carried != CREW_PADDLE
    }
    return people + [_JudgeWithout(ground, piece=piece) for piece in equal.values()]


def list_backed(truth: Truth) -> list[tuple[Choice, Variant, str]]:
    """Return the first backed way of every backed case."""
    backed = []
    for case in truth.backed:
        ways = (
            (truth.needs.choices[key.choice], variant, key.running)
            for key in truth.by_case[case]
            if truth.needs.choices[key.choice].covers
            for variant in truth.needs.choices[key.choice].variants
        )
        backed.append(next(way for way in ways if truth.judge.is_backed(*way)))
    return backed


@pytest.mark.parametrize("name", ["four-kayaks", "six-days"])
def test_a_backed_way_outlives_each_loss(name: str) -> None:
    trip, plan = load_demo(name), read_stored(name)
    assert plan is not None
    truth = Truth(Ground(trip, plan.arrangement), derive_needs(trip))
    ways = list_backed(truth)
    assert len(ways) == plan.totals.backed > 0
    for judge in list_losses(truth.ground):
        for choice, variant, running in ways:
            assert not judge.count_short(choice, variant, running).total()


@pytest.mark.parametrize("name", ["day-rafts", "four-kayaks"])
def test_a_way_that_is_not_backed_fails_after_a_loss_or_without_crew_paddles(name: str) -> None:
    """On these plans backing is stricter than outliving each loss only where paddles are asked."""
    trip, plan = load_demo(name), read_stored(name)
    assert plan is not None
    truth = Truth(Ground(trip, plan.arrangement), derive_needs(trip))
    losses = list_losses(truth.ground)
    fragile = 0
    for key in truth.met:
        choice = truth.needs.choices[key.choice]
        for variant in choice.variants:
            way = (choice, variant, key.running)
            if not truth.judge.holds(variant, choice.key.rapid, key.running):
                continue
            if truth.judge.count_short(*way).total() or truth.judge.is_backed(*way):
                continue
            if any(judge.count_short(*way).total() for judge in losses):
                fragile += 1
            else:
                assert any(slot.thing.kind in PADDLE_KINDS for slot in variant.items)
    assert fragile > 0
