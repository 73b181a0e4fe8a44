"""Mutations of a valid plan: each names the rule it breaks, and the second program must say so."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from kitplan.explain import SolveOptions, plan_trip
from kitplan.load import load_trip
from kitplan.plan import Packed, PersonPart, Plan
from kitplan.trip import Trip
from kitplan.verify import verify_plan

TRIPS = Path(__file__).parents[2] / "trips"
Mutation = Callable[[Trip, Plan], Plan]


@cache
def solved(name: str) -> tuple[Trip, Plan]:
    """Return a demo trip and its plan."""
    trip, _ = load_trip(TRIPS / f"{name}.toml")
    assert trip is not None
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    return trip, plan


def arrange(plan: Plan, **changes: Any) -> Plan:
    """Return the plan with parts of its arrangement exchanged."""
    return replace(plan, arrangement=replace(plan.arrangement, **changes))


def crew_of(plan: Plan, **crews: tuple[str, ...]) -> Plan:
    """Return the plan with other crews in some boats."""
    return arrange(plan, crew=plan.arrangement.crew | crews)


def codes(trip: Trip, plan: Plan) -> set[str]:
    """Return the codes of all complaints."""
    return {finding.code for finding in verify_plan(trip, plan)}


def pack(plan: Plan, *rows: Packed) -> Plan:
    """Return the plan with more packed."""
    return arrange(plan, packed=(*plan.arrangement.packed, *rows))


def stand(plan: Plan, rapid: str, station: str) -> Plan:
    """Return the plan with all boats at one station of a rapid."""
    told = {
        key: station if key[0] == rapid else at for key, at in plan.arrangement.stations.items()
    }
    return arrange(plan, stations=told)


def leave_one_ashore(_trip: Trip, plan: Plan) -> Plan:
    crew = plan.arrangement.crew["Teasel"]
    gone = next(p for p in crew if p != plan.arrangement.steerer["Teasel"])
    return crew_of(plan, Teasel=tuple(p for p in crew if p != gone))


def crowd_one_boat(_trip: Trip, plan: Plan) -> Plan:
    crew = plan.arrangement.crew
    return crew_of(plan, Teasel=(), Marigold=tuple(sorted(crew["Teasel"] + crew["Marigold"])))


def let_a_guest_steer(trip: Trip, plan: Plan) -> Plan:
    crew = plan.arrangement.crew["Teasel"]
    guest = next(p for p in crew if trip.paddlers[p].guest)
    return arrange(plan, steerer=plan.arrangement.steerer | {"Teasel": guest})


def pack_too_much(trip: Trip, plan: Plan) -> Plan:
    name = next(iter(trip.kit))
    carried = next(c for c in trip.kit[name].item.carried if c != "worn")
    return pack(plan, Packed("Teasel", name, carried, 99))


def leave_what_must_go(trip: Trip, plan: Plan) -> Plan:
    must = {name for name, kit in trip.kit.items() if kit.take}
    return arrange(plan, packed=tuple(r for r in plan.arrangement.packed if r.item not in must))


def carry_where_it_may_not(trip: Trip, plan: Plan) -> Plan:
    row = next(
        r
        for r in plan.arrangement.packed
        if "worn" not in trip.kit[r.item].item.carried and r.carried != "worn"
    )
    wearer = plan.arrangement.crew[row.boat][0]
    worn = replace(row, carried="worn", worn_by=wearer)
    return arrange(plan, packed=tuple(worn if r == row else r for r in plan.arrangement.packed))


RULES: dict[str, tuple[str, Mutation, str]] = {
    "one paddler has no seat": ("day-rafts", leave_one_ashore, "seat"),
    "all in one boat": ("day-rafts", crowd_one_boat, "seats"),
    "an empty boat": ("day-rafts", crowd_one_boat, "least-crew"),
    "a guest steers": ("day-rafts", let_a_guest_steer, "steerer"),
    "more than owned": ("day-rafts", pack_too_much, "owned"),
    "heavier than the payload": ("day-rafts", crowd_one_boat, "payload"),
    "what must go stays": ("four-kayaks", leave_what_must_go, "take"),
    "worn where it may not be": ("four-kayaks", carry_where_it_may_not, "carried"),
}


@pytest.mark.parametrize("name", RULES)
def test_a_broken_rule_is_named(name: str) -> None:
    """Each mutation breaks the rule it names, among others perhaps."""
    trip_name, mutate, code = RULES[name]
    trip, plan = solved(trip_name)
    assert code in codes(trip, mutate(trip, plan))


@pytest.mark.parametrize("trip_name", ["day-rafts", "four-kayaks"])
def test_the_plan_itself_passes(trip_name: str) -> None:
    """What the solver made is accepted."""
    assert codes(*solved(trip_name)) == set()


def test_order_of_rows_is_neutral() -> None:
    """The same rows in another order say the same."""
    trip, plan = solved("four-kayaks")
    assert codes(trip, arrange(plan, packed=tuple(reversed(plan.arrangement.packed)))) == set()


def test_stations_that_are_not_there() -> None:
    """A boat can't stand on a bank where nobody is set."""
    trip, plan = solved("four-kayaks")
    rapid = next(r.name for r in trip.rapids.values() if r.safety != "set")
    assert "station" in codes(trip, stand(plan, rapid, "left"))


def test_more_boats_than_a_landing_or_the_eddies_take() -> None:
    """Room of other boats is counted for each running boat; the trip's rooms are made tight."""
    trip, plan = solved("day-rafts")
    rapid = next(r for r in trip.rapids.values() if r.safety == "set")
    kinds = {
        name: replace(boat, type=replace(boat.type, room=90)) for name, boat in trip.boats.items()
    }
    tight = replace(trip, boats=kinds)
    assert "landing" in codes(tight, stand(plan, rapid.name, "left"))
    assert "eddies" in codes(tight, stand(plan, rapid.name, "afloat"))


def test_people_tied_together_or_apart() -> None:
    """The same plan, with companies that it does not keep."""
    trip, plan = solved("day-rafts")
    crew = plan.arrangement.crew
    one, other = crew["Teasel"][0], crew["Marigold"][0]
    mate = crew["Teasel"][1]
    company = trip.companies[0]
    parted = replace(trip, companies=(replace(company, paddlers=(one, other), together=True),))
    crowded = replace(trip, companies=(replace(company, paddlers=(one, mate), together=False),))
    tied = {**trip.paddlers, one: replace(trip.paddlers[one], boat="Marigold")}
    assert "together" in codes(parted, plan)
    assert "apart" in codes(crowded, plan)
    assert "tied" in codes(replace(trip, paddlers=tied), plan)


def test_room_for_quick_and_worn_things() -> None:
    """The same plan on boats without quick room, and things dealt to people without vests."""
    trip, plan = solved("four-kayaks")
    boats = {
        name: replace(boat, type=replace(boat.type, quick_bulky=0, quick_small=0))
        for name, boat in trip.boats.items()
    }
    found = codes(replace(trip, boats=boats), plan)
    assert "quick-bulky" in found or "quick-small" in found
    for where, code in (("vest", "vest-room"), ("waist", "waist-room")):
        name = next((n for n, k in trip.kit.items() if k.item.worn_on == where), None)
        if name is None:
            continue
        boat, crew = next(iter(plan.arrangement.crew.items()))
        assert code in codes(trip, pack(plan, Packed(boat, name, "worn", 20, crew[0])))


def flip(plan: Plan, *, met: bool) -> Plan:
    """Return the plan with its first demand of that kind claimed to be of the other."""
    first = next(r for r in plan.demands if r.met == met)
    other = replace(first, met=not met, witness=(), missing=())
    return replace(plan, demands=tuple(other if r is first else r for r in plan.demands))


def put_in_the_running_boat(plan: Plan) -> Plan:
    """Return the plan with a witness who sits in the running boat."""
    first = next(r for r in plan.demands if r.met and isinstance(r.witness[0], PersonPart))
    part = first.witness[0]
    assert isinstance(part, PersonPart)
    wrong = replace(part, paddler=plan.arrangement.crew[first.key.running][0])
    other = replace(first, witness=(wrong, *first.witness[1:]))
    return replace(plan, demands=tuple(other if r is first else r for r in plan.demands))


def test_false_claims_are_named() -> None:
    """Each false statement about a sound arrangement gets its code."""
    trip, plan = solved("four-kayaks")
    aim = plan.aims[0]
    false: dict[str, Plan] = {
        "met": flip(plan, met=True),
        "wrong-gap": replace(plan, gaps=plan.gaps[1:]),
        "not-a-gap": replace(plan, gaps=(*plan.gaps, replace(plan.gaps[0], bank="nowhere"))),
        "wrong-missing": replace(plan, gaps=(replace(plan.gaps[0], missing=()), *plan.gaps[1:])),
        "wrong-aim": replace(plan, aims=(replace(aim, value=aim.value + 1), *plan.aims[1:])),
        "covered": replace(plan, totals=replace(plan.totals, none=0)),
        "backed": replace(plan, totals=replace(plan.totals, backed=plan.totals.backed + 1)),
        "wrong-total": replace(plan, not_called_for=()),
        "stale-input": replace(plan, digest="0"),
    }
    for code, wrong in false.items():
        assert code in codes(trip, wrong), code
    assert codes(trip, flip(plan, met=False)) != set()
    assert "people" in codes(trip, put_in_the_running_boat(plan))


def test_names_that_are_not_the_trips() -> None:
    """A paddler nobody knows ends the check at once."""
    trip, plan = solved("four-kayaks")
    boat = next(iter(trip.boats))
    assert codes(trip, crew_of(plan, **{boat: ("Nobody",)})) == {"unknown-name"}
