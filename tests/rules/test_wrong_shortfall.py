# ruff: noqa: E501 - a finding is one line, however long
"""False statements about what a plan falls short of, one at a time, each with the finding whole.

The trip and its plan are those of `laden`: the one first-aid kit is in Teal, the stove in Heron.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.errors import Place
from kitplan.plan import AimResult, Shortfall
from kitplan.trip import CarriageRule, Counted, Reading, RuleSet, Spread
from kitplan.trip.carriage import HOUSE, LAW, SPREAD
from kitplan.verify import verify_plan
from tests.rules.laden import LADEN, make_sound, read_laden

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.plan import Plan
    from kitplan.trip import Trip

    Mutation = Callable[[Plan], Plan]

pytestmark = pytest.mark.usefixtures("in_folder")

KITS = CarriageRule(
    "kits", "says", "source", "2020", "from memory", LAW,
    Counted(kinds=("first aid",)), Reading("boat"), where=Place("rules.toml", 1, 1),
)  # fmt: skip
STOVES = replace(
    KITS, id="stoves", tier=HOUSE, counts=Counted(kinds=("stove",)),
    reading=Reading("trip", count=3), where=Place("rules.toml", 2, 1),
)  # fmt: skip
TENT = Spread("tent", "says", "source", "boat", "party", Counted(kinds=("tent",)),
              where=Place("spreads.toml", 1, 1))  # fmt: skip
KIT = replace(TENT, name="kits", counts=KITS.counts, where=Place("spreads.toml", 2, 1))

# Heron has no kit; two stoves are missing; without Heron there is no tent, without Teal no kit.
TRUE = (
    Shortfall(LAW, "kits", 1, "Heron", 1, 0, 1),
    Shortfall(HOUSE, "stoves", 1, "", 3, 1, 2),
    Shortfall(SPREAD, "tent", 1, "Heron", 1, 0, 1),
    Shortfall(SPREAD, "kits", 1, "Teal", 1, 0, 1),
)
VALUES = {"short_of_law": 1, "short_of_house": 2, "short_of_spread": 2}


def make_ruled() -> tuple[Trip, Plan]:
    """Return the laden trip with rules and spreads, and a plan that says all it falls short of."""
    trip = read_laden(LADEN)
    rules = (RuleSet("set", "set", "", (STOVES, KITS), ()),)
    sound = make_sound(trip)
    aims = tuple(AimResult(name, value, value, proven=True) for name, value in VALUES.items())
    plan = replace(sound, aims=(*aims, *sound.aims), shortfalls=TRUE)
    return replace(trip, rules=rules, spreads=(TENT, KIT)), plan


def tell(plan: Plan, *rows: Shortfall) -> Plan:
    return replace(plan, shortfalls=rows)


def say_nothing(plan: Plan) -> Plan:
    return tell(plan, *TRUE[1:])


def say_it_twice(plan: Plan) -> Plan:
    return tell(plan, TRUE[0], *TRUE)


def say_too_little(plan: Plan) -> Plan:
    return tell(plan, TRUE[0], replace(TRUE[1], there=2, short=1), *TRUE[2:])


def say_it_of_the_other_boat(plan: Plan) -> Plan:
    return tell(plan, *TRUE[:3], replace(TRUE[3], boat="Heron"))


def say_another_day(plan: Plan) -> Plan:
    return tell(plan, *TRUE[:3], replace(TRUE[3], day=2))


def call_a_rule_a_spread(plan: Plan) -> Plan:
    return tell(plan, replace(TRUE[0], tier=SPREAD), *TRUE[1:])


def say_it_of_no_rule(plan: Plan) -> Plan:
    return tell(plan, *TRUE, Shortfall(SPREAD, "ropes", 1, "", 1, 0, 1))


def turn_round(plan: Plan) -> Plan:
    return tell(plan, *reversed(TRUE))


def value_less(plan: Plan) -> Plan:
    return replace(plan, aims=(replace(plan.aims[0], value=0, bound=0), *plan.aims[1:]))


def leave_an_aim_out(plan: Plan) -> Plan:
    return replace(plan, aims=(plan.aims[0], *plan.aims[2:]))


ORDER = (
    "short_of_law, short_of_house, short_of_spread, uncovered, one_bank, unmet, backed, mass, "
    "balance, changes"
)
FALSE: tuple[tuple[Mutation, list[str]], ...] = (
    (
        say_nothing,
        ["rules.toml:1:1: kits (law), day 1, Heron: 1 asked, 0 there, 1 short, and it is not said"],
    ),
    (
        say_it_twice,
        ["rules.toml:1:1: kits (law), day 1, Heron: 1 asked, 0 there, 1 short: it is not so"],
    ),
    (
        say_too_little,
        [
            "rules.toml:2:1: stoves (house), day 1: 3 asked, 2 there, 1 short: it is not so",
            "rules.toml:2:1: stoves (house), day 1: 3 asked, 1 there, 2 short, and it is not said",
        ],
    ),
    (
        say_it_of_the_other_boat,
        [
            "spreads.toml:2:1: kits (spread), day 1, Heron: 1 asked, 0 there, 1 short: it is not so",
            "spreads.toml:2:1: kits (spread), day 1, Teal: 1 asked, 0 there, 1 short, and it is not said",
        ],
    ),
    (
        say_another_day,
        [
            "spreads.toml:2:1: kits (spread), day 2, Teal: 1 asked, 0 there, 1 short: it is not so",
            "spreads.toml:2:1: kits (spread), day 1, Teal: 1 asked, 0 there, 1 short, and it is not said",
        ],
    ),
    (
        call_a_rule_a_spread,
        [
            "spreads.toml:2:1: kits (spread), day 1, Heron: 1 asked, 0 there, 1 short: it is not so",
            "rules.toml:1:1: kits (law), day 1, Heron: 1 asked, 0 there, 1 short, and it is not said",
        ],
    ),
    (
        say_it_of_no_rule,
        ["trips/x.toml:1:2: ropes (spread), day 1: 1 asked, 0 there, 1 short: it is not so"],
    ),
    (
        turn_round,
        [
            "trips/x.toml:1:2: the shortfalls are not listed by tier, in the order of rules and spreads"
        ],
    ),
    (value_less, ["trips/x.toml:1:2: aim short_of_law is 1, not 0"]),
    (leave_an_aim_out, [f"trips/x.toml:1:2: the aims are {ORDER}, in this order"]),
)


@pytest.mark.parametrize(("mutate", "said"), FALSE, ids=[one.__name__ for one, _ in FALSE])
def test_a_false_statement(mutate: Mutation, said: list[str]) -> None:
    trip, plan = make_ruled()
    findings = verify_plan(trip, mutate(plan))
    assert [f"{one.where.text()}: {one.message}" for one in findings] == said
    code = "wrong-aim" if mutate in {value_less, leave_an_aim_out} else "wrong-shortfall"
    assert {one.code for one in findings} == {code}


def test_all_that_is_true_passes() -> None:
    trip, plan = make_ruled()
    assert [finding.text() for finding in verify_plan(trip, plan)] == []


def test_only_tiers_of_which_the_trip_has_something_have_an_aim() -> None:
    """A tier with a rule has its aim, even where the rule asks nothing of this trip."""
    trip, plan = make_ruled()
    never = replace(KITS, when=replace(KITS.when, boats_over=5))
    trip = replace(trip, rules=(RuleSet("set", "set", "", (never,), ()),), spreads=())
    aims = (replace(plan.aims[0], value=0, bound=0), *plan.aims[3:])
    plan = replace(plan, aims=aims, shortfalls=())
    assert [finding.text() for finding in verify_plan(trip, plan)] == []
