"""False statements about a sound arrangement, one at a time: each operator names its code.

The plans are the stored ones of the demo trips, so nothing is solved here. Expected codes are read
off the rules' own sentences (kitplan/rules.py), not off what the verifier happened to say.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import pytest

from kitplan.demands import Ask, DemandKey, ItemSlot, PersonSlot, Thing, Variant
from kitplan.needs import able, derive_needs
from kitplan.plan import (
    AT_BEST,
    FLOOR_UNKNOWN,
    TRADED,
    DemandResult,
    ItemPart,
    PersonPart,
    Plan,
    Short,
)
from kitplan.verify import verify_plan
from kitplan.verify.ground import Ground
from kitplan.verify.possible import Judge
from kitplan.verify.witness import check_witness
from tests.golden.stored import load_demo, read_stored

if TYPE_CHECKING:
    from collections.abc import Callable

    from kitplan.demands import Needs
    from kitplan.trip import Trip

    Change = Callable[[DemandResult], DemandResult | None]
    Mutation = Callable[[Plan], Plan]


@cache
def stored(name: str) -> tuple[Trip, Plan]:
    """Return a demo trip and its stored plan."""
    plan = read_stored(name)
    assert plan is not None
    return load_demo(name), plan


@cache
def needs_of(name: str) -> Needs:
    """Return what a demo trip asks."""
    return derive_needs(stored(name)[0])


def codes(trip: Trip, plan: Plan) -> set[str]:
    """Return the codes of all complaints."""
    return {finding.code for finding in verify_plan(trip, plan)}


def change_demand(plan: Plan, change: Change) -> Plan:
    """Return the plan with the first demand changed that `change` does not answer with None."""
    for number, result in enumerate(plan.demands):
        other = change(result)
        if other is not None:
            return replace(
                plan, demands=(*plan.demands[:number], other, *plan.demands[number + 1 :])
            )
    raise AssertionError("no demand can be changed so")


def people_in(result: DemandResult) -> list[PersonPart]:
    return [part for part in result.witness if isinstance(part, PersonPart)]


def items_in(result: DemandResult) -> list[ItemPart]:
    return [part for part in result.witness if isinstance(part, ItemPart)]


def exchange(
    result: DemandResult, old: PersonPart | ItemPart, *new: PersonPart | ItemPart
) -> DemandResult:
    """Return the demand with one part of its witness exchanged."""
    at = result.witness.index(old)
    return replace(result, witness=(*result.witness[:at], *new, *result.witness[at + 1 :]))


def is_unhurried(result: DemandResult) -> bool:
    return needs_of("six-days").choices[result.key.choice].unhurried


# --- people -------------------------------------------------------------------------------------


def ask_one_twice(result: DemandResult) -> DemandResult | None:
    banked = [part for part in people_in(result) if part.bank]
    if len(banked) < 2 or banked[0].bank != banked[1].bank:
        return None
    return exchange(result, banked[1], replace(banked[1], paddler=banked[0].paddler))


def put_in_the_running_boat(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.bank), None)
    if part is None:
        return None
    _, plan = stored("six-days")
    return exchange(
        result, part, replace(part, paddler=plan.arrangement.crew[result.key.running][0])
    )


def take_from_the_other_bank(result: DemandResult) -> DemandResult | None:
    """Name somebody who could do it, yet stands elsewhere and is not in the running boat."""
    trip, plan = stored("six-days")
    variant = next(
        (
            v
            for v in needs_of("six-days").choices[result.key.choice].variants
            if v.way == result.way
        ),
        None,
    )
    if variant is None or is_unhurried(result):
        return None
    used = {part.paddler for part in people_in(result)}
    asks = {slot.role: slot.ask for slot in variant.persons}
    for part in (part for part in people_in(result) if part.bank and part.role in asks):
        for boat, crew in plan.arrangement.crew.items():
            key = (result.key.rapid, boat, result.key.running)
            if plan.arrangement.stations.get(key, part.bank) == part.bank:
                continue
            for name in crew:
                if name not in used and able(
                    trip.paddlers[name], asks[part.role], trip.ends, trip.catalog
                ):
                    return exchange(result, part, replace(part, paddler=name))
    return None


def ask_somebody_not_able(result: DemandResult) -> DemandResult | None:
    """Name somebody who stands there and can't do it."""
    trip, plan = stored("six-days")
    choice = needs_of("six-days").choices[result.key.choice]
    variant = next((v for v in choice.variants if v.way == result.way), None)
    if variant is None or choice.unhurried:
        return None
    used = {part.paddler for part in people_in(result)}
    for part in (part for part in people_in(result) if part.bank):
        asks = [slot.ask for slot in variant.persons if slot.role == part.role]
        for boat, crew in plan.arrangement.crew.items():
            key = (result.key.rapid, boat, result.key.running)
            if plan.arrangement.stations.get(key) != part.bank:
                continue
            for name in crew:
                paddler = trip.paddlers[name]
                if name not in used and not any(
                    able(paddler, ask, trip.ends, trip.catalog) for ask in asks
                ):
                    return exchange(result, part, replace(part, paddler=name))
    return None


def leave_a_place_empty(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.bank), None)
    return exchange(result, part) if part else None


def call_it_the_other_role(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.bank), None)
    return exchange(result, part, replace(part, role="a role that nobody asks")) if part else None


# --- things -------------------------------------------------------------------------------------


def use_a_thing_twice(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank and not is_unhurried(result)), None)
    return exchange(result, part, replace(part, count=part.count + 50)) if part else None


def take_from_the_running_boat(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank and not is_unhurried(result)), None)
    return exchange(result, part, replace(part, source=result.key.running)) if part else None


def take_what_is_stowed(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.carried == "quick" and part.bank), None)
    if part is None or is_unhurried(result):
        return None
    return exchange(result, part, replace(part, carried="stowed"))


def leave_a_thing_out(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank and not is_unhurried(result)), None)
    return exchange(result, part) if part else None


def add_what_nobody_asks(result: DemandResult) -> DemandResult | None:
    _, plan = stored("six-days")
    if not result.met or is_unhurried(result):
        return None
    used = Counter(part.item for part in items_in(result))
    for part in items_in(result):
        row = next(
            (
                row
                for row in plan.arrangement.packed
                if row.boat == part.source and row.carried == "quick" and not used[row.item]
            ),
            None,
        )
        if part.bank and row:
            spare = replace(part, item=row.item, count=1, carried="quick", worn_by="")
            return replace(result, witness=(*result.witness, spare))
    return None


# --- boats' work, unhurried work ----------------------------------------------------------------


def let_the_running_boat_do_it(result: DemandResult) -> DemandResult | None:
    if not any(part.boat for part in result.witness):
        return None
    moved = tuple(
        replace(part, boat=result.key.running) if part.boat else part for part in result.witness
    )
    return replace(result, witness=moved)


def leave_the_boat_unsteered(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.role.startswith("steers: ")), None)
    return exchange(result, part) if part else None


def leave_a_pool_place_empty(result: DemandResult) -> DemandResult | None:
    part = next(iter(people_in(result)), None)
    return exchange(result, part) if part and is_unhurried(result) else None


def haul_with_the_running_crew(result: DemandResult) -> DemandResult | None:
    part = next(iter(people_in(result)), None)
    if part is None or not is_unhurried(result):
        return None
    _, plan = stored("six-days")
    crew = plan.arrangement.crew[result.key.running]
    return exchange(result, part, replace(part, paddler=crew[0]))


# --- what is said of a demand -------------------------------------------------------------------


def call_it_unmet(result: DemandResult) -> DemandResult | None:
    return replace(result, met=False, witness=(), missing=()) if result.met else None


def miss_something_though_met(result: DemandResult) -> DemandResult | None:
    missing = (Short("working", "left", "person", "throws", "", 1),)
    return replace(result, missing=missing) if result.met else None


def miss_nothing_though_unmet(result: DemandResult) -> DemandResult | None:
    return None if result.met else replace(result, missing=())


def miss_one_more(result: DemandResult) -> DemandResult | None:
    if result.met:
        return None
    first = result.missing[0]
    return replace(result, missing=(replace(first, short=first.short + 1), *result.missing[1:]))


def miss_another_thing(result: DemandResult) -> DemandResult | None:
    if result.met:
        return None
    other = replace(result.missing[0], name="something else")
    return replace(result, missing=(other, *result.missing[1:]))


def go_no_known_way(result: DemandResult) -> DemandResult | None:
    return None if result.met else replace(result, way="no way")


def witness_the_unmet(result: DemandResult) -> DemandResult | None:
    if result.met:
        return None
    trip, _ = stored("six-days")
    return replace(
        result, witness=(PersonPart("above", "", "spots upstream", next(iter(trip.paddlers))),)
    )


def call_the_working_bank_the_far_one(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.site == "working"), None)
    if part is None or any(other.site == "far" for other in result.witness):
        return None
    return exchange(result, part, replace(part, site="far"))


def count_things_below_nothing(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank), None)
    if part is None:
        return None
    return exchange(result, part, replace(part, count=part.count + 1), replace(part, count=-1))


def name_nobody(result: DemandResult) -> DemandResult | None:
    part = next((part for part in people_in(result) if part.bank), None)
    return exchange(result, part, replace(part, paddler="Nobody")) if part else None


def name_no_item(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank), None)
    return exchange(result, part, replace(part, item="nothing")) if part else None


def take_from_no_boat(result: DemandResult) -> DemandResult | None:
    part = next((part for part in items_in(result) if part.bank), None)
    return exchange(result, part, replace(part, source="no boat")) if part else None


DEMANDS: dict[str, tuple[Change, str]] = {
    "one person does two things": (ask_one_twice, "people"),
    "somebody in the running boat": (put_in_the_running_boat, "people"),
    "somebody on the wrong bank": (take_from_the_other_bank, "people"),
    "somebody who is not able": (ask_somebody_not_able, "people"),
    "a place left empty": (leave_a_place_empty, "people"),
    "a role nobody asks": (call_it_the_other_role, "people"),
    "more of a thing than there is": (use_a_thing_twice, "things"),
    "a thing in the running boat": (take_from_the_running_boat, "things"),
    "a stowed thing at once": (take_what_is_stowed, "things"),
    "a thing left out": (leave_a_thing_out, "things"),
    "a thing nobody asks": (add_what_nobody_asks, "things"),
    "the running boat helps itself": (let_the_running_boat_do_it, "boatwork"),
    "nobody steers": (leave_the_boat_unsteered, "boatwork"),
    "a place of unhurried work left empty": (leave_a_pool_place_empty, "pool"),
    "the running boat's crew hauls": (haul_with_the_running_crew, "pool"),
    "met called unmet": (call_it_unmet, "met"),
    "met, and something missing": (miss_something_though_met, "wrong-missing"),
    "unmet, and nothing missing": (miss_nothing_though_unmet, "wrong-missing"),
    "one piece more missing": (miss_one_more, "wrong-missing"),
    "another piece missing": (miss_another_thing, "wrong-missing"),
    "unmet by a way that is none": (go_no_known_way, "wrong-missing"),
    "a witness of what is unmet": (witness_the_unmet, "wrong-witness"),
    "the banks' names exchanged": (call_the_working_bank_the_far_one, "wrong-witness"),
    "a negative count": (count_things_below_nothing, "wrong-witness"),
    "an unknown person": (name_nobody, "unknown-name"),
    "an unknown item": (name_no_item, "unknown-name"),
    "an unknown boat": (take_from_no_boat, "unknown-name"),
}


@pytest.mark.parametrize("name", DEMANDS)
def test_a_false_demand_is_named(name: str) -> None:
    """One demand is changed, and the complaint is about that and nothing else."""
    trip, plan = stored("six-days")
    change, code = DEMANDS[name]
    assert codes(trip, change_demand(plan, change)) == {code}


def make_all_bulky(trip: Trip) -> Trip:
    """Return the trip with every item bulky."""
    items = {name: replace(item, bulky=True) for name, item in trip.catalog.items.items()}
    return replace(trip, catalog=replace(trip.catalog, items=items))


def test_five_bulky_things_need_a_third_hand_and_more() -> None:
    """A made-up work of one person and five things, on a bank where one paddler stands alone.

    Worked by hand: small, they are carried on the body; bulky, two hands carry two of them, so
    three are beyond, and they ask for two more people (two hands each).
    """
    trip, plan = stored("four-kayaks")
    stations = plan.arrangement.stations
    running, boat = tuple(trip.boats)[:2]
    rapid = next(r for r in trip.rapids.values() if r.safety == "set")
    alone = {
        (rapid.name, other, running): "left" if other == boat else "above"
        for other in trip.boats
        if other != running
    }
    ground = Ground(trip, replace(plan.arrangement, stations=stations | alone))
    paddler = plan.arrangement.crew[boat][0]
    worn = Counter(p.item for p in ground.list_pieces(boat) if p.worn_by == paddler).most_common(5)
    kinds = {item: min(trip.catalog.items[item].kinds) for item, _ in worn}
    assert len(kinds) == 5
    variant = Variant(
        "as it is",
        (PersonSlot("carries", ("left",), Ask()),),
        tuple(ItemSlot("left", Thing(kind)) for kind in kinds.values()),
    )
    key = DemandKey(rapid.name, "", "", "carrying", "left", running)
    choice = replace(
        next(iter(needs_of("four-kayaks").choices.values())),
        key=key.choice,
        variants=(variant,),
        unhurried=False,
    )
    parts = [
        ItemPart("working", "left", kind, item, 1, boat, "worn", paddler)
        for item, kind in kinds.items()
    ]
    carrier = PersonPart("working", "left", "carries", paddler)
    result = DemandResult(key, met=True, way="as it is", witness=(carrier, *parts))
    light, heavy = Judge(ground), Judge(replace(ground, trip=make_all_bulky(trip)))
    assert check_witness(light, choice, result) == []
    assert {fault.family for fault in check_witness(heavy, choice, result)} == {"hands"}
    assert light.count_short(choice, variant, running).total() == 0
    assert heavy.count_short(choice, variant, running) == {("hands", "left", ""): 2}


# --- aims, totals, gaps -------------------------------------------------------------------------


def change_gap(plan: Plan, **changes: object) -> Plan:
    return replace(plan, gaps=(replace(plan.gaps[0], **changes), *plan.gaps[1:]))  # type: ignore[arg-type]


def sort_otherwise(plan: Plan) -> Plan:
    gap = plan.gaps[0]
    return change_gap(
        plan, sort="not proven" if gap.sort == "impossible alone" else "impossible alone"
    )


def sort_all(plan: Plan, sort: str, note: str) -> Plan:
    """Return the plan with all gaps of its first gap's rapid sorted so."""
    rapid = plan.gaps[0].rapid
    gaps = tuple(
        replace(gap, sort=sort, note=note) if gap.rapid == rapid else gap for gap in plan.gaps
    )
    return replace(plan, gaps=gaps)


def miss_elsewhere(plan: Plan) -> Plan:
    def turn(row: Short) -> Short:
        return replace(row, bank={"left": "right", "right": "left"}.get(row.bank, "left"))

    return change_gap(plan, missing=tuple(turn(row) for row in plan.gaps[0].missing))


def miss_another_sort(plan: Plan) -> Plan:
    return change_gap(plan, missing=tuple(replace(r, what="hands") for r in plan.gaps[0].missing))


def raise_a_bound(plan: Plan) -> Plan:
    aim = plan.aims[0]
    return replace(plan, aims=(replace(aim, bound=aim.value + 1), *plan.aims[1:]))


def claim_a_proof(plan: Plan) -> Plan:
    aim = plan.aims[-1]
    return replace(plan, aims=(*plan.aims[:-1], replace(aim, bound=aim.value - 1, proven=True)))


def better_one_aim(number: int) -> Mutation:
    def better(plan: Plan) -> Plan:
        aims = list(plan.aims)
        aims[number] = replace(aims[number], value=aims[number].value - 1, bound=0, proven=False)
        return replace(plan, aims=tuple(aims))

    return better


CLAIMS: dict[str, tuple[Mutation, str]] = {
    **{f"aim {n} a little better": (better_one_aim(n), "wrong-aim") for n in range(6)},
    "an aim left out": (lambda p: replace(p, aims=p.aims[1:]), "wrong-aim"),
    "an aim twice": (lambda p: replace(p, aims=(*p.aims, p.aims[0])), "wrong-aim"),
    "a bound above the value": (raise_a_bound, "wrong-aim"),
    "a proof without a bound": (claim_a_proof, "wrong-aim"),
    "a gap left out": (lambda p: replace(p, gaps=p.gaps[1:]), "wrong-gap"),
    "a gap twice": (lambda p: replace(p, gaps=(*p.gaps, p.gaps[0])), "wrong-gap"),
    "a gap while nothing runs": (
        lambda p: replace(p, gaps=(*p.gaps, replace(p.gaps[0], running=()))),
        "wrong-gap",
    ),
    "another technique": (lambda p: change_gap(p, technique="pick-up by balloon"), "wrong-gap"),
    "another sort": (sort_otherwise, "wrong-gap"),
    "a sort of its own": (lambda p: change_gap(p, sort="bad luck"), "wrong-gap"),
    "traded with a rapid that is none": (
        lambda p: sort_all(
            p, "trade-off", "for example with 'Elsewhere': covering this costs cover there"
        ),
        "wrong-gap",
    ),
    "traded with itself": (
        lambda p: sort_all(p, "trade-off", TRADED.format(rapid=p.gaps[0].rapid)),
        "wrong-gap",
    ),
    "a better best": (
        lambda p: sort_all(p, "impossible together", AT_BEST.format(done=39, total=40)),
        "wrong-gap",
    ),
    "a note that soothes": (lambda p: sort_all(p, p.gaps[0].sort, "all fine"), "wrong-gap"),
    "two sorts at one rapid": (
        lambda p: change_gap(p, sort="not proven", note=FLOOR_UNKNOWN),
        "wrong-gap",
    ),
    "not proven, and all is well": (
        lambda p: sort_all(p, "not proven", "all is well, go"),
        "wrong-gap",
    ),
    "least bad first": (lambda p: replace(p, gaps=tuple(reversed(p.gaps))), "wrong-gap"),
    "another weight": (lambda p: change_gap(p, weight=p.gaps[0].weight + 1), "wrong-gap"),
    "another day": (lambda p: change_gap(p, day=p.gaps[0].day + 1), "wrong-gap"),
    "covered elsewhere": (
        lambda p: change_gap(p, covered_elsewhere=not p.gaps[0].covered_elsewhere),
        "wrong-gap",
    ),
    "nothing missing": (lambda p: change_gap(p, missing=()), "wrong-missing"),
    "missing on the other bank": (miss_elsewhere, "wrong-missing"),
    "missing of another sort": (miss_another_sort, "wrong-missing"),
    "a case more": (
        lambda p: replace(p, totals=replace(p.totals, cases=p.totals.cases + 1)),
        "wrong-total",
    ),
    "a demand more met": (
        lambda p: replace(p, totals=replace(p.totals, met=p.totals.met + 1)),
        "wrong-total",
    ),
    "more banks covered": (
        lambda p: replace(
            p,
            totals=replace(
                p.totals, all_banks=p.totals.all_banks + 1, one_bank=p.totals.one_bank - 1
            ),
        ),
        "covered",
    ),
    "one more backed": (
        lambda p: replace(p, totals=replace(p.totals, backed=p.totals.backed + 1)),
        "backed",
    ),
    "left out twice": (
        lambda p: replace(p, not_called_for=(*p.not_called_for, p.not_called_for[0])),
        "wrong-total",
    ),
    "made for another trip": (lambda p: replace(p, trip_name="another"), "stale-input"),
    "made from other files": (lambda p: replace(p, digest="0" * 64), "stale-input"),
    "a demand not listed": (lambda p: replace(p, demands=p.demands[1:]), "met"),
}


@pytest.mark.parametrize("name", CLAIMS)
def test_a_false_claim_is_named(name: str) -> None:
    """One statement of the plan is changed, and the complaint is about that and nothing else."""
    trip, plan = stored("four-kayaks")
    mutate, code = CLAIMS[name]
    assert codes(trip, mutate(plan)) == {code}


def test_a_gap_that_is_none() -> None:
    """A case covered from a bank is called a gap there."""
    trip, plan = stored("four-kayaks")
    gaps = {
        (g.rapid, g.spot, g.scenario, running, g.bank) for g in plan.gaps for running in g.running
    }
    case, bank = next(
        (case, bank)
        for case in needs_of("four-kayaks").cases.values()
        for bank in case.banks
        if (*case.key, bank) not in gaps
    )
    invented = replace(
        plan.gaps[0],
        rapid=case.key.rapid,
        spot=case.key.spot,
        scenario=case.key.scenario,
        running=(case.key.running,),
        bank=bank,
    )
    assert "not-a-gap" in codes(trip, replace(plan, gaps=(*plan.gaps, invented)))


# --- neutral changes ----------------------------------------------------------------------------


def test_order_of_witness_and_of_running_boats_is_neutral() -> None:
    trip, plan = stored("six-days")
    turned = tuple(replace(r, witness=tuple(reversed(r.witness))) for r in plan.demands)
    gaps = tuple(replace(gap, running=tuple(reversed(gap.running))) for gap in plan.gaps)
    assert codes(trip, replace(plan, demands=turned, gaps=gaps)) == set()


def test_two_people_of_equal_ability_at_one_site_may_change_places() -> None:
    """Each pair of parts with the same role at the same site of a witness is exchanged."""
    trip, plan = stored("six-days")
    changed = 0
    demands = []
    for result in plan.demands:
        groups: dict[tuple[str, str, str, str], list[PersonPart]] = {}
        for part in people_in(result):
            groups.setdefault((part.site, part.bank, part.role, part.boat), []).append(part)
        other = result
        for one, two in (group[:2] for group in groups.values() if len(group) > 1):
            swapped = {
                one: replace(one, paddler=two.paddler),
                two: replace(two, paddler=one.paddler),
            }
            changed += 1
            other = replace(
                other,
                witness=tuple(
                    swapped.get(part, part) if isinstance(part, PersonPart) else part
                    for part in other.witness
                ),
            )
        demands.append(other)
    assert changed > 0
    assert codes(trip, replace(plan, demands=tuple(demands))) == set()


def test_renaming_somebody_throughout_is_neutral() -> None:
    """One person's name is exchanged for another throughout trip and plan: nothing changes."""
    trip, plan = stored("six-days")
    old, new = next(iter(trip.paddlers)), "Somebody Else"

    def rename(name: str) -> str:
        return new if name == old else name

    paddlers = {
        rename(name): replace(one, name=rename(name)) for name, one in trip.paddlers.items()
    }
    companies = tuple(
        replace(company, paddlers=tuple(map(rename, company.paddlers)))
        for company in trip.companies
    )
    arrangement = replace(
        plan.arrangement,
        crew={b: tuple(map(rename, crew)) for b, crew in plan.arrangement.crew.items()},
        steerer={b: rename(p) for b, p in plan.arrangement.steerer.items()},
        packed=tuple(replace(r, worn_by=rename(r.worn_by)) for r in plan.arrangement.packed),
    )
    legs = tuple(replace(leg, paddlers=tuple(map(rename, leg.paddlers))) for leg in trip.legs)
    demands = tuple(
        replace(
            result,
            witness=tuple(
                replace(part, paddler=rename(part.paddler))
                if isinstance(part, PersonPart)
                else replace(part, worn_by=rename(part.worn_by))
                if isinstance(part, ItemPart)
                else part
                for part in result.witness
            ),
        )
        for result in plan.demands
    )
    renamed = replace(plan, arrangement=arrangement, demands=demands)
    other = replace(trip, paddlers=paddlers, companies=companies, legs=legs)
    assert codes(other, renamed) == set()
    assert codes(trip, renamed) == {"unknown-name"}
