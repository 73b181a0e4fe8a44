"""Hands by the force of the water, and hauls, from the trip's text to what is asked and said.

Drag of a body 83.1 N at 1 m/s: computed from the table of Bechdel & Ray, "River Rescue", 4th
edition (second-hand). Mean grip 209 N: Mauthner, cited by Moyer, International Technical Rescue
Symposium 2006 (second-hand). Drag of wrapped boats: estimates.
"""

from pathlib import Path
from typing import get_args

import pytest

from kitplan.demands import Choice
from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.records import Pulling
from kitplan.river import HANDS_ALONE, SYSTEMS
from tests.places import HEAD, USUAL, look

HEAD_UP = "entrapment, head up"
GEAR = (
    "static line 30 m",
    "prusik loop 6 mm",
    "locking carabiner, HMS",
    "pulley 25 mm",
    "anchor sling 5 m",
)


def flow(current: str) -> str:
    return f'current = "{current}"\ndepth = "0.8 m"'


def count_team(choice: Choice, bank: str) -> set[int]:
    """Return how many hold the line on a bank, in all variants."""
    team = ("rope leader", "line hand, working bank", "line hand, far bank")
    return {
        sum(slot.count for slot in v.persons if slot.sites == (bank,) and slot.role in team)
        for v in choice.variants
    }


@pytest.mark.parametrize("technique", ["support-line", "two-bank-cinch"])
@pytest.mark.parametrize(
    ("current", "hands"),
    [("2.5 m/s", 2), ("2.6 m/s", 2), ("3 m/s", 3), ("3.5 m/s", 4)],
)
def test_hands_a_bank_by_the_force(
    tmp_path: Path, technique: str, current: str, hands: int
) -> None:
    """520, 562, 748 and 1018 N, x 0.71 = 368, 398, 529 and 720 N, in grips of 209 N.

    Both teams pull from 45 degrees upstream, and two hold at least: common practice, no source.
    """
    choice = look(tmp_path, HEAD_UP, technique, "left", spot=flow(current))
    assert count_team(choice, "left") == {hands}
    assert count_team(choice, "right") == {hands}


def test_the_arithmetic_of_hands_is_said(tmp_path: Path) -> None:
    line = look(tmp_path, HEAD_UP, "support-line", "left", spot=flow("3 m/s"))
    sum_of = "83.1 x (3 m/s)^2 = 748 N, x 0.71 at 90 degrees = 529 N, / 209 N = 3"
    assert f"line hand, working bank: {sum_of}" in line.amounts
    assert f"line hand, far bank: {sum_of}" in line.amounts
    cinch = look(tmp_path, HEAD_UP, "two-bank-cinch", "left", spot=flow("3 m/s"))
    assert f"line hand, working bank: {sum_of}, 1 of them in another role" in cinch.amounts
    slow = look(tmp_path, HEAD_UP, "support-line", "left", spot=flow("1 m/s"))
    # 83.1 N rounded up is 84; 84 / sqrt 2 = 59.4, rounded up 60: one grip, and two people.
    assert (
        "line hand, far bank: 83.1 x (1 m/s)^2 = 84 N, x 0.71 at 90 degrees = 60 N, / 209 N = 1; "
        "at least 2"
    ) in slow.amounts


@pytest.mark.parametrize(("current", "holders"), [("1.9 m/s", 1), ("2 m/s", 2)])
def test_a_seated_holder_is_three_grips(tmp_path: Path, current: str, holders: int) -> None:
    """Two bodies: 600 N at 1.9 m/s and 665 N at 2 m/s; three grips are 627 N.

    That somebody seated with the line round the hips holds about three: common practice, no source.
    """
    choice = look(tmp_path, "spent swimmer", "tethered-swim", "left", spot=flow(current))
    for variant in choice.variants:
        assert sum(slot.count for slot in variant.persons if slot.role == "holder") == holders


def test_without_a_current_the_catalogue_counts(tmp_path: Path) -> None:
    choice = look(tmp_path, HEAD_UP, "support-line", "left", spot='depth = "0.8 m"')
    assert count_team(choice, "left") == {2}
    said = "line hand, far bank: 2 as in the catalogue, for the current is not given"
    assert said in choice.amounts
    haul = look(tmp_path, "pinned boat", "bank-haul", "left", spot='depth = "0.8 m"')
    assert "force on a pinned boat: not reckoned, for the current is not given" in haul.amounts
    assert not any("strength" in caution for caution in haul.cautions)


def pin(folder: Path, current: str, boat: str) -> Choice:
    """Return the haul from river left of a pinned boat, for a party with kit for it."""
    kit = "".join(f'\n[[kit]]\nitem = "{name}"\ncount = 1\n' for name in GEAR)
    text = HEAD.format(**(USUAL | {"scenario": "pinned boat", "spot": flow(current)}))
    path = folder / "trip.toml"
    path.write_text(text.replace("oar raft 4.9 m", boat) + kit)
    trip, findings = load_trip(path)
    assert trip is not None, [finding.text() for finding in findings]
    choices = derive_needs(trip).choices.items()
    return next(c for k, c in choices if (k.technique, k.bank) == ("bank-haul", "left"))


def test_a_pinned_raft_at_three_metres_a_second(tmp_path: Path) -> None:
    """Worked by hand, from the type of the boat: 3 hands at a 2 on 2 (an estimate of ours).

    Pull, pulleys of 0.83: 3 x 209 N x (1 + 0.83)^2 = 627 x 3.3489 = 2,099.8 N.
    Force: swamped 415.5 x 9 = 3,739.5 N, 5.965 times the 627 N (a 6:1 gives 4.610, a 9:1 6.345);
    wrapped 2,700 x 9 = 24,300 N, 38.76 times.
    Line: 7 m of reach, 8 m to the anchor, 2 m to hold, (4 - 1) x 5 m of stroke: 32 m.
    A 2 on 2 has 2 pulleys and 3 loops; 1 loop is spare, 1 carabiner at the boat, 1 at the anchor.
    Strength left: line 22 kN x 0.8 = 17.6 kN; loop 2 x 7.2 x 0.8 = 11.52 kN; carabiner 20, pulley
    18, sling 15 kN. Swamped, the loop keeps 11.52 / 3.74 = 3.08 times, all others more than 4;
    wrapped, 17.6, 20, 18 and 15 over 24.3 are 0.724, 0.823, 0.740 and 0.617, cut to hundredths.
    3 people x 4 = 12, within 12.
    """
    haul = pin(tmp_path, "3 m/s", "oar raft 4.9 m")
    assert haul.accepted
    assert "pull: 3 hands x 209 N x 3.35 (2 on 2 (4:1)) = 2099 N" in haul.amounts
    assert (
        "a swamped boat, as published: 415.5 x (3 m/s)^2 = 3740 N, 5.97 times the 627 N of 3 "
        "hands; the least with which so many hands pull so hard: 3 on 3 (9:1)"
    ) in haul.amounts
    assert (
        "oar raft 4.9 m wrapped flat, an estimate: 2700 x (3 m/s)^2 = 24300 N, 38.76 times the "
        "627 N of 3 hands; more than any system listed pulls: shift it sideways, unload it or let "
        "it soft"
    ) in haul.amounts
    for variant in haul.variants:
        hands = [slot.count for slot in variant.persons if slot.role == "hauling hand"]
        things = {slot.thing.kind: slot.count for slot in variant.items}
        lengths = [s.thing.least_mm for s in variant.items if "haul" in s.thing.flags]
        assert (hands, lengths) == ([3], [32_000])
        assert (things["pulley"], things["prusik loop"], things["locking carabiner"]) == (2, 4, 4)
    wrapped = "oar raft 4.9 m wrapped flat, an estimate"
    asked = "of strength against 24.3 kN is {} times, where 4 times is asked: below"
    loop = "prusik loop 6 mm, a swamped boat, as published: 11.5 kN of strength against 3.74 kN is"
    for part in (
        f"static line 30 m, {wrapped}: 17.6 kN {asked.format('0.72')}",
        f"locking carabiner, HMS, {wrapped}: 20 kN {asked.format('0.82')}",
        f"pulley 25 mm, {wrapped}: 18 kN {asked.format('0.74')}",
        f"anchor sling 5 m, {wrapped}: 15 kN {asked.format('0.61')}",
        f"{loop} 3.08 times, where 4 times is asked: below",
    ):
        assert part in haul.cautions
    assert any("start slipping" in caution for caution in haul.cautions)
    assert not any("folk rule" in caution for caution in haul.cautions)
    assert not any("can't" in said for said in (*haul.amounts, *haul.cautions))


def test_a_pinned_canoe_at_three_metres_a_second(tmp_path: Path) -> None:
    """415 x 9 = 3,735 N: three hands, 627 N, need 5.96 times; 6:1 gives 4.61, 9:1 gives 6.345.

    As published, 415.5 x 9 = 3,739.5 N: the line keeps 17.6 / 3.74 = 4.70 times, and 22 x 0.55 /
    3.74 = 3.2 where its knot takes as much more as sources differ by; the loop 11.52 / 3.74 =
    3.08; carabiner 5.3, pulley 4.8; the sling 15 / 3.74 = 4.01.
    """
    haul = pin(tmp_path, "3 m/s", "tandem canoe 5.0 m")
    assert (
        "tandem canoe 5.0 m wrapped flat, an estimate: 415 x (3 m/s)^2 = 3735 N, 5.96 times the "
        "627 N of 3 hands; the least with which so many hands pull so hard: 3 on 3 (9:1)"
    ) in haul.amounts
    strength = [caution for caution in haul.cautions if "of strength" in caution]
    assert [caution.split(":")[0] for caution in strength] == [
        "static line 30 m, a swamped boat, as published",
        "prusik loop 6 mm, a swamped boat, as published",
    ]
    assert strength[0].endswith("sources differ about its knot")
    assert "is 3.08 times" in strength[1]


def test_the_systems_of_the_catalogue_are_those_that_are_reckoned() -> None:
    assert get_args(Pulling) == tuple(system.name for system in (HANDS_ALONE, *SYSTEMS))
