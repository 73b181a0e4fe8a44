"""The text of a plan says what the plan holds; read from the stored plans of the demo trips."""

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise, takewhile
from typing import NamedTuple

import pytest

from kitplan.check import check_party
from kitplan.demands import Needs
from kitplan.needs import derive_needs
from kitplan.plan import Gap, Plan
from kitplan.report import render_check, render_needs, render_plan
from kitplan.report.cover import write_gaps
from kitplan.report.rapids import say_doubled
from kitplan.report.sheet import Sheet
from kitplan.rules import AIMS
from kitplan.trip import Trip
from kitplan.units import show_mass
from tests.golden import stored


class Demo(NamedTuple):
    trip: Trip
    needs: Needs
    plan: Plan


Read = Callable[[str], Demo]


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> Read:
    """Return a function that reads a demo trip with its stored plan."""
    monkeypatch.chdir(stored.ROOT)

    def read_demo(name: str) -> Demo:
        trip, plan = stored.load_demo(name), stored.read_stored(name)
        assert plan is not None
        return Demo(trip, derive_needs(trip), plan)

    return read_demo


def flow(text: str) -> str:
    """Return text without line breaks, as it was before it was wrapped."""
    return " ".join(text.split())


@pytest.mark.parametrize("name", stored.NAMES)
def test_as_many_gaps_are_numbered_as_are_counted(read: Read, name: str) -> None:
    text = render_plan(*read(name), "text")
    (counted,) = re.findall(r"^GAPS, WORST FIRST \((\d+)\)$", text, re.MULTILINE)
    numbers = re.findall(r"^  (\d+)\. Day \d", text, re.MULTILINE)
    assert [int(number) for number in numbers] == list(range(1, int(counted) + 1))


AT_FLOW = r"(?:, at (?:low|medium|high) water)?"


def cut_rapid(banks: str, rapid: str) -> str:
    """Return what is said of one rapid, its heading left out."""
    after = re.split(rf", {re.escape(rapid)}{AT_FLOW}, class", banks, maxsplit=1)[1]
    return re.split(r"\nDay \d", after)[0]


def cut(text: str, start: str, end: str) -> str:
    return text.split(start, 1)[1].split(end, 1)[0]


# A class III rapid where nobody waits: each of the four may swim there all the same.
NOBODY_AT_SCHOOLYARD = "; 4 more cases have no accepted technique"


def test_four_kayaks_begin_with_what_no_packing_can_mend(read: Read) -> None:
    demo = read("four-kayaks")
    first = " ".join(render_plan(*demo, "text").splitlines()[:2])
    # Counted anew by matching: the plan's gaps were sorted by flow.
    beyond = check_party(demo.trip, demo.needs).beyond
    assert beyond > 0
    totals, cases = demo.plan.totals, len(demo.needs.cases)
    assert first == (
        f"Four kayaks on the Skerrin: {cases - totals.none} of {cases} cases covered; no packing "
        f"can mend {beyond} of the other {totals.none}{NOBODY_AT_SCHOOLYARD}"
    )


def test_what_the_party_lacks_is_told_for_the_technique_that_lacks_it(read: Read) -> None:
    """What is nearest as packed, and what lacks the least whatever is packed, may be two."""
    trip, needs, plan = read("four-kayaks")
    gap = next(one for one in plan.gaps if one.technique == "group-wading")
    lacks = (
        "1 paddler with throwing 2 as 'downstream safety' and 1 paddler with leading 2 as 'in "
        "charge'"
    )
    for technique, by in (("group-wading", ""), ("contact-swim", " for group-wading")):
        sheet = Sheet("text")
        write_gaps(sheet, trip, needs, replace(plan, gaps=(replace(gap, technique=technique),)))
        assert f"the party by itself lacks{by} {lacks}" in flow(sheet.text())


def test_a_plan_with_cover_open_is_not_finished_and_says_how_far(read: Read) -> None:
    trip, needs, plan = read("day-rafts")
    aims = tuple(replace(aim, proven=aim.name != "one_bank") for aim in plan.aims)
    first = render_plan(trip, needs, replace(plan, aims=aims), "text").splitlines()[0]
    assert first == "A day on the Dapplewater: not finished, 8 of 18 cases covered so far, 0 backed"


@pytest.mark.parametrize("name", stored.NAMES)
def test_counts_of_the_answer_are_those_of_the_plan(read: Read, name: str) -> None:
    demo = read(name)
    text, totals = render_plan(*demo, "text"), demo.plan.totals
    rows = dict(re.findall(r"^  (from [a-z ]+?|demands met|backed)  +(\d.*)$", text, re.MULTILINE))
    assert rows == {
        "from every bank that counts": str(totals.all_banks),
        "from one bank only": str(totals.one_bank),
        "from the water only": str(totals.from_water),
        "from nowhere": str(totals.none),
        "backed": f"{totals.backed} of {totals.cases - totals.none} covered",
        "demands met": f"{totals.met} of {totals.demands}",
    }


@pytest.mark.parametrize("name", stored.NAMES)
def test_every_aim_has_its_words_and_its_proof(read: Read, name: str) -> None:
    demo = read(name)
    text = render_plan(*demo, "text")
    # Those tiers of rules count that a trip has. Nothing changes where there is one leg.
    counted = {aim.name for aim in demo.plan.aims}
    asked = [aim for aim in AIMS if aim.name in counted]
    told = [
        (aim, result)
        for aim, result in zip(asked, demo.plan.aims, strict=True)
        if aim.name != "changes" or len(demo.trip.legs) > 1
    ]
    assert len(told) == len(re.findall("^  [1-8]  ", text, re.MULTILINE))
    for aim, result in told:
        numbered = [one for one in text.splitlines() if one.startswith(f"  {aim.number} ")]
        (row,) = [one for one in numbered if aim.sentence in one]
        assert row.endswith("proven best" if result.proven else "not proven")


@pytest.mark.parametrize("name", stored.NAMES)
def test_boats_hold_their_people_and_things(read: Read, name: str) -> None:
    trip, needs, plan = read(name)
    text = render_plan(trip, needs, plan, "text")
    packing = flow(cut(text, "PACKING, BOAT BY BOAT", "WHO STANDS WHERE, AND DOES WHAT"))
    for boat, crew in plan.arrangement.crew.items():
        known = trip.boats[boat]
        leg = trip.legs[known.leg]
        days = "" if len(trip.legs) == 1 else f"DAYS {leg.first_day} TO {leg.last_day}"
        of_leg = packing[packing.upper().index(days) :]
        part = cut(of_leg, f"{known.called} ({known.type.name})", "payload (")
        assert f"{plan.arrangement.steerer[boat]} steers" in part
        assert all(paddler in part for paddler in crew)
        for row in plan.arrangement.packed:
            if row.boat == boat:
                assert f"{row.count} x {row.item}" in part
                assert row.worn_by in part


def test_mass_is_people_with_wet_kit_and_safety_kit_and_dry_load(read: Read) -> None:
    # By hand, from the trip file and the catalogue: Okko 73 kg and 8 kg of wet kit, dry load
    # 7 kg, and the payload of a river kayak 2.7 m of 115 kg.
    trip, needs, plan = read("four-kayaks")
    text = render_plan(trip, needs, plan, "text")
    poppy = flow(cut(text, "Poppy (river kayak 2.7 m)", "WHO STANDS WHERE, AND DOES WHAT"))
    kit_g = sum(
        row.count * trip.catalog.items[row.item].mass_g
        for row in plan.arrangement.packed
        if row.boat == "Poppy"
    )
    load_g = 73_000 + 8_000 + kit_g + 7_000
    worn = "8 kg of wet clothes and what is worn for each"
    assert f"1 person 81 kg ({worn}), safety kit {show_mass(kit_g)}, dry load 7 kg" in poppy
    assert f"of 115 kg payload ({100 * load_g / 115_000:.0f} %)" in poppy


@pytest.mark.parametrize("name", stored.NAMES)
def test_stations_and_duties_of_rapids_where_boats_wait(read: Read, name: str) -> None:
    trip, needs, plan = read(name)
    text = render_plan(trip, needs, plan, "text")
    banks = cut(text, "WHO STANDS WHERE, AND DOES WHAT", "KIT NOT CALLED FOR")
    headings = re.findall(rf"^Day \d+, (.+?){AT_FLOW}, class", banks, re.MULTILINE)
    assert headings == [rapid.name for rapid in trip.rapids.values() if rapid.safety != "none"]
    for rapid in headings:
        part = cut_rapid(banks, rapid)
        for boat in trip.rapids[rapid].boats:
            crew = ", ".join(plan.arrangement.crew[boat])
            assert f"{trip.boats[boat].called} ({crew})" in flow(part)
        met = {d.key for d in plan.demands if d.met and d.key.rapid == rapid}
        pattern = r"^    from (?:the water|river [a-z ]+): ([a-z-]+)"
        shown = set(re.findall(pattern, part, re.MULTILINE))
        assert shown <= {key.technique for key in met}
        assert bool(shown) == bool(met)


@pytest.mark.parametrize("name", stored.NAMES)
def test_every_scenario_says_how_or_that_nothing_covers_it(read: Read, name: str) -> None:
    trip, needs, plan = read(name)
    text = render_plan(trip, needs, plan, "text")
    banks = cut(text, "WHO STANDS WHERE, AND DOES WHAT", "KIT NOT CALLED FOR")
    covering = {d.key for d in plan.demands if d.met and needs.choices[d.key.choice].covers}
    covered = {key.case for key in covering}
    for rapid in (rapid for rapid in trip.rapids.values() if rapid.safety != "none"):
        part = cut_rapid(banks, rapid.name)
        for spot, scenario in ((one, word) for one in rapid.spots for word in one.scenarios):
            cases = [key for key in needs.cases if key[:3] == (rapid.name, spot.name, scenario)]
            if not cases:
                continue
            lines = part.split(f"\n  {spot.name}: {scenario}\n", 1)[1].split("\n")
            block = flow(" ".join(takewhile(lambda line: line.startswith("    "), lines)))
            assert ("from " in block) >= any(case in covered for case in cases)
            assert ("covered by nothing" in block) == any(case not in covered for case in cases)


def test_who_does_two_things_is_told_and_where_downstream_safety_stands_is_not_twice() -> None:
    way = (
        "downstream safety on river left; rope leader throws a messenger line across from river "
        "left; holder is in charge as well"
    )
    told = "rope leader throws a messenger line across from river left; holder is in charge as well"
    assert say_doubled(way) == told
    assert say_doubled("2 x downstream safety afloat; one in charge besides") == ""
    assert say_doubled("as it stands") == ""


def test_who_throws_across_is_told_for_each_line_that_is_thrown(read: Read) -> None:
    trip, needs, plan = read("six-days")
    text = flow(render_plan(trip, needs, plan, "text"))
    first = [
        result.way
        for result in plan.demands
        if result.met
        and " throws " in result.way
        and needs.choices[result.key.choice].place == 1
        and trip.rapids[result.key.rapid].safety == "set"
    ]
    assert first
    assert all(say_doubled(way) in text for way in first)


def test_minutes_are_those_of_the_days_with_people_on_the_banks(read: Read) -> None:
    demo = read("day-rafts")
    text = flow(render_plan(*demo, "text"))
    assert text.count("with people on the banks, about") == 1
    assert "day 1: 1 rapid with people on the banks, about" in text


def list_told(demo: Demo, gap: Gap) -> tuple[str, ...]:
    """Return the running boats of a gap without the first one, where nobody can be there for it.

    That is told once for the rapid: no path leads down to a bank with room for a crew, and what is
    done about the scenario is done at once. What nothing mends is told all the same.
    """
    rapid = demo.trip.rapids[gap.rapid]
    walked = rapid.safety == "set" and any(
        bank.path and bank.landing_above for bank in (rapid.left, rapid.right)
    )
    hurried = not any(
        choice.unhurried
        for key, choice in demo.needs.choices.items()
        if key[:3] == (gap.rapid, gap.spot, gap.scenario)
    )
    if walked or not hurried or gap.sort == "impossible alone":
        return gap.running
    first = next(boat for boat in demo.plan.arrangement.order if boat in rapid.boats)
    return tuple(boat for boat in gap.running if boat != first)


@pytest.mark.parametrize("name", stored.NAMES)
def test_each_gap_is_told_once(read: Read, name: str) -> None:
    demo = read(name)
    text = render_plan(*demo, "text")
    told = re.findall(r"^  (\d+)\. Day ", text, re.MULTILINE)
    assert told == [str(number) for number in range(1, len(told) + 1)]
    one_by_one = [replace(gap, running=list_told(demo, gap)) for gap in demo.plan.gaps]
    alike = {replace(gap, bank="") for gap in one_by_one if gap.running}
    assert len(told) == len(alike)
    part = flow(cut(text, "GAPS, WORST FIRST", "PACKING, BOAT BY BOAT"))
    assert part.count("The first boat runs with nobody there before it") == (
        one_by_one != list(demo.plan.gaps)
    )
    for gap, row in zip(demo.plan.gaps, one_by_one, strict=True):
        if gap.running != row.running and not gap.covered_elsewhere:
            assert f"day {gap.day}, {gap.rapid}: " in part
        if not row.running:
            continue
        assert f"Day {gap.day}, {gap.rapid}, {gap.spot}: {gap.scenario}, from " in part
        assert gap.sort in part
        assert gap.note in part


def test_a_spot_without_technique_says_what_the_leader_may_decide(read: Read) -> None:
    demo = read("six-days")
    text = flow(render_plan(*demo, "text"))
    (row,) = demo.needs.without_technique
    assert f"{row.rapid}, {row.spot}, {row.scenario}: {row.reason}" in text
    assert "the leader may accept more here, or carry round the rapid" in text


def test_support_only_is_told_where_nothing_else_covers(read: Read) -> None:
    demo = read("six-days")
    covering: dict[tuple[str, ...], set[bool]] = {}
    for result in demo.plan.demands:
        choice = demo.needs.choices[result.key.choice]
        if result.met and choice.covers:
            covering.setdefault(result.key.case, set()).add(choice.support_only)
    bare = {case[:3] for case, found in covering.items() if found == {True}}
    text = flow(render_plan(*demo, "text"))
    assert ("Covered, but support only" in text) == bool(bare)
    for rapid, spot, scenario in bare:
        assert f"{rapid}, {spot}: {scenario}, while" in cut(
            text, "support only", "aim in this order"
        )


def test_what_a_trip_does_not_name_is_said(read: Read) -> None:
    text = flow(render_plan(*read("day-rafts"), "text"))
    assert "The trip file names no rules and no stores: none are in the plan." in text
    assert "names no" not in flow(render_plan(*read("six-days"), "text"))


def test_a_plan_that_is_not_canonical_says_so(read: Read) -> None:
    demo = read("day-rafts")
    said = "The limit or Ctrl-C cut in, or --fast was given: this plan is not canonical."
    assert said not in flow(render_plan(*demo, "text"))
    cut_off = demo._replace(plan=replace(demo.plan, canonical=False))
    assert said in flow(render_plan(*cut_off, "text"))


def test_a_plan_without_gaps_says_so(read: Read) -> None:
    demo = read("day-rafts")
    whole = demo._replace(plan=replace(demo.plan, gaps=()))
    text = render_plan(*whole, "text")
    assert "\nNO GAPS\n" in text
    covered = demo.plan.totals.cases - demo.plan.totals.none
    assert covered > 0
    said = f"A day on the Dapplewater: {covered} of 18 cases covered"
    assert text.splitlines()[0].startswith(said)


def test_gaps_of_two_banks_alike_are_one(read: Read) -> None:
    demo = read("day-rafts")
    first = next(gap for gap in demo.plan.gaps if gap.bank == "left")
    gaps: tuple[Gap, ...] = (first, replace(first, bank="right"))
    text = render_plan(*demo._replace(plan=replace(demo.plan, gaps=gaps)), "text")
    assert "from river left or river right, while" in flow(text)
    assert "GAPS, WORST FIRST (1)" in text


@pytest.mark.parametrize("name", stored.NAMES)
def test_kit_that_is_not_called_for(read: Read, name: str) -> None:
    demo = read(name)
    text = flow(cut(render_plan(*demo, "text"), "KIT NOT CALLED FOR", "A planning aid"))
    for row in demo.plan.not_called_for:
        assert f"{row.count} x {row.item}" in text


# --- needs and check ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", stored.NAMES)
def test_needs_names_every_technique_with_its_verdict(read: Read, name: str) -> None:
    trip, needs, _ = read(name)
    text = flow(render_needs(trip, needs, "text"))
    for choice in needs.choices.values():
        verdict = "fits, " if choice.accepted else f"{choice.verdict} "
        assert re.search(
            rf"{choice.key.technique} from (the water|river left|river right|river left or "
            rf"river right): {verdict}",
            text,
        )
        for reason in choice.reasons:
            # The bank is left out where the reason holds for both.
            assert reason.split(":")[-1].strip() in text
        if choice.accepted:
            assert all(amount in text for amount in choice.amounts)


def test_needs_says_what_a_throw_asks_for(read: Read) -> None:
    # By hand: 5 m from river left, so a line of 5 m + 2 m and throwing 2 (the least a thrower has).
    trip, needs, _ = read("four-kayaks")
    text = render_needs(trip, needs, "text")
    part = flow(cut(text, "DAY 1, CROCKERY SHELF", "DAY 1, BUTTONHOLE"))
    assert (
        "throw-line from river left: fits, first choice people: 1 x thrower (throwing 2) "
        "things: 1 x line (7 m or longer, to be thrown) line: at least reach 5 m + 2 m = 7 m"
    ) in part
    assert "reach-out from river left: does not fit out of reach from river left: 5 m > 3 m" in part


def test_roles_that_ask_for_the_same_skills_say_by_what_they_differ(read: Read) -> None:
    """Thirteen may haul where it is unhurried, guests as well; three where it is not."""
    trip, needs, _ = read("day-rafts")
    roles = render_check(trip, needs, check_party(trip, needs), "text").split("FEWEST FIRST")[1]
    rows = [line.split("  ") for line in roles.splitlines() if "no skill asked" in line]
    assert [(row[1], row[-1]) for row in rows] == [
        ("no skill asked, no guests", "3: Rosalind, Ferran, Ebba"),
        ("no skill asked", "13: everybody"),
    ]


def test_check_of_six_days_names_who_can_do_what(read: Read) -> None:
    trip, needs, _ = read("six-days")
    text = render_check(trip, needs, check_party(trip, needs), "text")
    assert flow(text).startswith(
        "Six days on the Quennet: no packing can mend 1 of 252 cases; 5 more cases have no "
        "accepted technique"
    )
    # A party of two boats: who is cold must sit in the other one, and a kayak has no seat for him.
    assert "Slow Parade with Heron, Swift, mid-channel: casualty ashore, from " in flow(text)
    short = (
        "while Heron runs. warm-and-treat: the rest of the party is short of 1 seat in another boat"
    )
    assert short in flow(text)
    steerers = flow(cut(text, "WHO CAN STEER WHICH BOAT", "CERTIFICATES"))
    for boats, leg in zip(("Swift and Martin", "Swift and Wren"), trip.legs, strict=True):
        party = trip.list_party(leg).values()
        kayakers = [p.name for p in party if p.level("kayak") >= 3 and not p.guest]
        days = f"days {leg.first_day} to {leg.last_day}"
        assert f"({boats}, {days}), kayak 3: {' and '.join(kayakers)}" in steerers
    # Whoever may row Heron is there all the time.
    assert "oar raft 4.9 m (Heron), oar raft 3: Maren, Tobin and Pavlo" in steerers
    assert "from day 4" not in text
    for paddler in trip.paddlers.values():
        for certificate, until in paddler.certificates:
            row = rf"^  {certificate} +{paddler.name} +{until.isoformat()}$"
            assert re.search(row, text, re.MULTILINE)


def test_check_of_day_rafts_begins_with_what_one_bank_lacks(read: Read) -> None:
    # By hand: at the shallows the far bank is 31 ft off, more than a hand or a paddle reaches, and
    # a loop takes three who hold ropes and throw: two are left when either guide runs. Two boats.
    trip, needs, _ = read("day-rafts")
    first = render_check(trip, needs, check_party(trip, needs), "text").splitlines()[0]
    assert first == (
        "A day on the Dapplewater: no packing covers 2 of 18 cases from every bank that counts"
    )


def test_check_of_four_kayaks_begins_with_what_nobody_can_do(read: Read) -> None:
    trip, needs, _ = read("four-kayaks")
    check = check_party(trip, needs)
    lines = render_check(trip, needs, check, "text").splitlines()
    said = f"no packing can mend {check.beyond} of {check.total} cases"
    assert " ".join(lines[:2]).endswith(said + NOBODY_AT_SCHOOLYARD)
    never = {row.technique for row in check.techniques if not row.possible}
    assert lines[3].startswith(f"{len(never)} techniques are asked for and can be done nowhere")
    told = {line.split(":")[0].strip() for line in lines[4:] if re.match(r"  [a-z-]+: short", line)}
    assert told == never


@pytest.mark.parametrize("name", stored.NAMES)
def test_markdown_has_headings_and_closed_tables(read: Read, name: str) -> None:
    trip, needs, plan = read(name)
    texts = (
        render_plan(trip, needs, plan, "markdown"),
        render_needs(trip, needs, "markdown"),
        render_check(trip, needs, check_party(trip, needs), "markdown"),
    )
    for text in texts:
        assert text.startswith("# ")
        lines = text.splitlines()
        for above, below in pairwise(lines):
            if above.startswith("|") and below.startswith("|"):
                assert re.sub(r"\\\|", "", above).count("|") == below.count("|")
