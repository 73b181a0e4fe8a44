"""Guests who walk round a rapid, or are minded on a bank: tiny trips with optima by hand.

Where guests walk, Cy and Dee are guests, and throwing is made a thing that guests may do, so that
the trips stay as tiny as the others. So many guests a guide: common practice, no source. Every
case and every demand weighs 8, a bag 1 kg.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan import needs as asks
from kitplan.demands import Ask, PersonSlot
from kitplan.plan import PersonPart
from kitplan.verify import verify_plan
from tests.rules.solved import solve
from tests.rules.tiny import BASE, PLACE, SOURCE, STEERS, THROWER, THROWS, Edit, Tiny, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.plan import ItemPart, PlacePart, Plan

    Part = PersonPart | ItemPart | PlacePart
    from kitplan.trip import Trip

GUESTS_THROW: Edit = (THROWER, THROWER.replace("throws = true", "throws = true, guest = true"))
WALK: Edit = ("eddies = 0", "eddies = 0\nguests_walk = true")
GUEST = "guest = true"
AIMS = ("uncovered", "one_bank", "unmet", "backed", "mass")


def read(folder: Path, tiny: Tiny, monkeypatch: pytest.MonkeyPatch) -> Trip:
    """Return the trip as the loader reads it."""
    monkeypatch.chdir(folder)
    return read_tiny(folder, tiny)


def values(plan: Plan) -> tuple[int, ...]:
    """Return the values of the aims but balance."""
    found = {result.name: result.value for result in plan.aims}
    return tuple(found[aim] for aim in AIMS)


THROWING_GUESTS = replace(
    BASE,
    people=BASE.people | dict.fromkeys(("Ana", "Bo"), f"{STEERS}, leading = 2"),
    own={"Cy": GUEST, "Dee": GUEST},
    catalog=(GUESTS_THROW,),
)


def test_guests_who_walk_throw_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # On the bank a guest in each raft throws for the other raft, minded by who steers it: as in
    # the tiny trip of all tests.
    there = read(tmp_path, THROWING_GUESTS, monkeypatch)
    plan = solve(there)
    assert values(plan) == (0, 0, 0, 16, 2000)
    # Round the rapid nobody is left who throws: both cases (8 each) and both demands (8 each).
    walking = read(tmp_path, replace(THROWING_GUESTS, river=(WALK,)), monkeypatch)
    assert values(solve(walking)) == (16, 0, 16, 0, 0)
    # The plan that has guests throw is not one for a trip where they walk.
    codes = {finding.code for finding in verify_plan(walking, plan)}
    assert "people" in codes


FERRY = '[[rapid]]\nday = 1\nname = "Ferry"\nclass = "III"\nwidth = "12 m"\nsafety = "none"\n'


@pytest.mark.parametrize(
    ("walk", "more", "level"),
    [
        # Class II asks for 2, class III for 3; one more with guests aboard.
        (False, "", 3),
        (True, "", 2),
        (True, FERRY, 4),
        (False, FERRY + "guests_walk = true\nleft = { path = true }\n", 3),
    ],
)
def test_guests_ask_for_a_better_steerer_only_where_they_are_aboard(
    *, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, walk: bool, more: str, level: int
) -> None:
    river = (WALK,) if walk else ()
    trip = read(tmp_path, replace(THROWING_GUESTS, river=river, more=more), monkeypatch)
    kind = replace(trip.boats["Heron"].type, guests_one_level_up=True)
    boats = {name: replace(boat, type=kind) for name, boat in trip.boats.items()}
    raised = replace(trip, boats=boats)
    assert asks.boat_level(raised, "Heron", guests_aboard=True) == level
    without = 3 if more else 2
    assert asks.boat_level(raised, "Heron", guests_aboard=False) == without


MINDED = replace(
    BASE,
    people={
        "Ana": f"{STEERS}, leading = 2",
        "Bo": STEERS,
        **dict.fromkeys(("Cy", "Dee", "Fay", "Gil"), THROWS),
        "Eve": "leading = 1",
    },
    own={"Eve": GUEST, "Gil": 'boat = "Teal"', "Fay": 'boat = "Teal"', "Bo": 'boat = "Teal"'},
    kit={"throw bag 20 m": "count = 4"},
)


def test_a_minder_is_backed_by_another_guide(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Two throwers and two bags back each other in each boat. Ana alone may mind Eve, so they sit
    # together, and that case is not backed (8); a second bag is of no use there then.
    alone = read(tmp_path, MINDED, monkeypatch)
    assert values(solve(alone)) == (0, 0, 0, 8, 3000)
    # Cy throws or minds: whichever of Ana, Cy and Dee is lost, two are left for the two places.
    people = MINDED.people | {"Cy": f"{THROWS}, leading = 2"}
    backed = read(tmp_path, replace(MINDED, people=people), monkeypatch)
    assert values(solve(backed)) == (0, 0, 0, 0, 4000)


def test_a_minder_who_is_no_guide_or_not_there_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trip = read(tmp_path, MINDED, monkeypatch)
    plan = solve(trip)
    minding = [d for d in plan.demands if any(_minds(part) for part in d.witness)]
    assert [_name_minders(d.witness) for d in minding] == [["Ana"]]
    bare = tuple(
        replace(d, witness=tuple(part for part in d.witness if not _minds(part)))
        for d in plan.demands
    )
    codes = {finding.code for finding in verify_plan(trip, replace(plan, demands=bare))}
    assert codes == {"minders"}
    people = dict(trip.paddlers)
    people["Ana"] = replace(people["Ana"], skills=people["Ana"].skills | {"leading": 1})
    followers = {f.code for f in verify_plan(replace(trip, paddlers=people), plan)}
    assert "minders" in followers


def _minds(part: Part) -> bool:
    return isinstance(part, PersonPart) and part.role == asks.MINDS


def _name_minders(witness: tuple[Part, ...]) -> list[str]:
    return [p.paddler for p in witness if isinstance(p, PersonPart) and p.role == asks.MINDS]


@pytest.mark.parametrize(("guests", "asked"), [(0, 0), (1, 1), (8, 1), (9, 2), (16, 2), (17, 3)])
def test_at_most_eight_guests_a_guide(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, guests: int, asked: int
) -> None:
    """Common practice, no source: at most 8 a guide."""
    figures = read(tmp_path, MINDED, monkeypatch).catalog.figures
    team = [PersonSlot("thrower", ("left",), Ask())]
    places = asks.list_minders(tuple(team), {"left": guests, "right": 5}, figures)
    assert sum(place.count for place in places) == asked
    assert all(place.sites == ("left",) for place in places)


# --- unhurried work -------------------------------------------------------------------------------

UNHURRIED: Edit = (PLACE, f'hurry = "unhurried"\n{PLACE}')


def hands(count: int, *, each: int = 8) -> tuple[Edit, ...]:
    """Return that so many hands haul, guests too, and that a guide minds so many guests."""
    role = f'roles = [{{ name = "hand", count = {count}, guest = true }}]'
    return UNHURRIED, (THROWER, role), (SOURCE, f"guests_per_guide = {each}\n{SOURCE}")


def led(more: str) -> tuple[Edit, ...]:
    """Return that somebody leads three hands, who may be guests."""
    leads = f'{{ name = "leads", skills = {{ leading = 2 }}{more} }}'
    hand = '{ name = "hand", count = 3, guest = true }'
    return UNHURRIED, (THROWER, f"roles = [{leads}, {hand}]")


def haulers(guides: int, guests: int, others: int = 0) -> Tiny:
    """Return two rafts of five seats with so many of each; each guide can steer."""
    counts = {"Guide": guides, "Guest": guests, "Other": others}
    names = [f"{sort}{n}" for sort, count in counts.items() for n in range(count)]
    skills = {"Guide": f"{STEERS}, leading = 2", "Guest": "throwing = 1", "Other": THROWS}
    return replace(
        BASE,
        people={name: skills[name[:5]] for name in names},
        kit={"throw bag 20 m": "count = 4"},
    )


HAULED: dict[str, tuple[Tiny, int, int]] = {
    # While one raft runs, three guests haul and the other raft's guide minds them. Without him they
    # can't: not backed.
    "a guide and three guests in each": (replace(haulers(2, 6), catalog=hands(3)), 0, 16),
    # Two guests and their guide would be three hands, with nobody left to mind. Three guests in one
    # raft leave one in the other: too few while the fuller one runs.
    "four guests are too few": (replace(haulers(2, 4), catalog=hands(3)), 8, 8),
    # Those who are no guests need nobody: three in each raft.
    "nobody is a guest": (replace(haulers(2, 0, 4), catalog=hands(3)), 0, 16),
    # Two guests a guide: the third guest at the line would ask for a second guide.
    "one guest too many": (replace(haulers(2, 6), catalog=hands(3, each=2)), 16, 0),
    "as many guests as a guide minds": (replace(haulers(2, 6), catalog=hands(2, each=2)), 0, 16),
    # Two guests and one more haul, the guide minds: the cap is on guests alone.
    "two guests and another": (replace(haulers(2, 4, 2), catalog=hands(3, each=2)), 0, 16),
    # One guide in each leads the hands, and nobody is left to mind the guests; unless leading them
    # leaves his hands free.
    "who leads has no time to mind": (replace(haulers(2, 6), catalog=led("")), 16, 0),
    "who leads minds": (replace(haulers(2, 6), catalog=led(", minds = true")), 0, 16),
    # Any one guest lost, a guide hauls; a guide lost, the other one minds.
    "two guides and three guests in each": (replace(haulers(4, 6), catalog=hands(3)), 0, 0),
}


@pytest.mark.parametrize("name", HAULED)
def test_guests_who_haul_are_minded(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two cases of weight 8; one bank; unhurried, so wherever the rafts wait."""
    tiny, uncovered, unbacked = HAULED[name]
    plan = solve(read(tmp_path, tiny, monkeypatch))
    assert (values(plan)[0], values(plan)[3]) == (uncovered, unbacked)


def test_who_minds_does_not_haul(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    trip = read(tmp_path, HAULED["a guide and three guests in each"][0], monkeypatch)
    plan = solve(trip)
    result = next(result for result in plan.demands if result.met)
    (minder,) = (part for part in people_of(result.witness) if part.role == asks.MINDS)
    hand = next(part for part in people_of(result.witness) if part.role == "hand")
    assert trip.paddlers[hand.paddler].guest
    assert not trip.paddlers[minder.paddler].guest
    # The guide at the line, his own place as minder kept; a guest as minder; nobody as minder.
    for wrong in (
        exchange(result.witness, hand, replace(hand, paddler=minder.paddler)),
        exchange(result.witness, minder, replace(minder, paddler=hand.paddler)),
        tuple(part for part in result.witness if part != minder),
    ):
        told = tuple(replace(r, witness=wrong) if r is result else r for r in plan.demands)
        assert {f.code for f in verify_plan(trip, replace(plan, demands=told))} == {"pool"}


def people_of(parts: tuple[Part, ...]) -> list[PersonPart]:
    """Return the people of a witness."""
    return [part for part in parts if isinstance(part, PersonPart)]


def exchange(parts: tuple[Part, ...], old: Part, new: Part) -> tuple[Part, ...]:
    """Return the parts with one exchanged."""
    return tuple(new if part == old else part for part in parts)
