"""Plan files with a past: what there was before, and what happened, kept, held, gone on from."""

from __future__ import annotations

import json
import random
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

import pytest

from kitplan import __version__
from kitplan.audit import audit_plan, open_plan
from kitplan.decide import Happened, find_wrong
from kitplan.decide.keep import tell_kept
from kitplan.decide.replan import replan_trip
from kitplan.explain import Clock, SolveOptions, plan_trip
from kitplan.needs import derive_needs
from kitplan.plan import Before, Packed, Plan, Stowed
from kitplan.planfile import format_document, make_document, read_plan, write_plan
from tests.decide.fourdays import FIRST_AID, load_four_days
from tests.golden.stored import ROOT, load_demo, read_stored

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.trip import Trip
    from tests.cli.said import Made

LONG_S = 600.0  # far more than solving takes, however busy the machine is
Document: TypeAlias = dict[str, Any]
Planned: TypeAlias = tuple["Trip", Plan]
REPLAN = "\n  try: make the plan anew with `kitplan replan`"
FILE = Path("plan.json")

KAYAKS = Happened(
    2,
    lost=("Poppy",),
    damaged={"Cobalt": 110_500},
    lost_items={("Jade", "warming kit, small"): 1, ("Amber", "throw bag 18 m"): 1},
    skipped=("Candle Drip",),
)
FIRST = Happened(3, lost=("Dipper",), damaged={"Heron": 350_000})
SECOND = Happened(4, hurt=("Cy",), absent=("Dee",))


def replan(trip: Trip, plan: Plan, happened: Happened) -> Planned:
    """Plan anew, as the command does."""
    assert find_wrong(trip, plan.arrangement, happened) == []
    options = SolveOptions(LONG_S, workers=1)
    made = replan_trip(trip, plan.arrangement, happened, options, Clock(LONG_S))
    assert made.outcome.plan is not None
    return made.trip, replace(made.outcome.plan, happened=(*plan.happened, made.restart))


@pytest.fixture(scope="session")
def kayaks() -> Planned:
    """Return the second day of the demo, with three of four kayaks."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(ROOT)
        trip, plan = load_demo("four-kayaks"), read_stored("four-kayaks")
    assert plan is not None
    return replan(trip, plan, KAYAKS)


@pytest.fixture(scope="session")
def days(tmp_path_factory: pytest.TempPathFactory) -> list[Planned]:
    """Return four days with stores as planned, replanned, and replanned again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(tmp_path_factory.mktemp("days"))
        trip = load_four_days()
    plan = plan_trip(trip, SolveOptions(LONG_S, workers=1)).plan
    assert plan is not None
    first = replan(trip, plan, FIRST)
    return [(trip, plan), first, replan(*first, SECOND)]


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def make(trip: Trip, plan: Plan) -> Document:
    return make_document(trip, derive_needs(trip), plan)


def audit(document: Document) -> tuple[str, list[str]]:
    """Return the verdict on a document as a file, and all findings."""
    FILE.write_text(format_document(document), encoding="utf-8")
    found = audit_plan(FILE)
    return found.verdict, [one.text() for one in found.findings]


def complain(document: Document) -> list[str]:
    verdict, lines = audit(document)
    assert "rejected" in verdict
    return lines


# --- written and read -----------------------------------------------------------------------------


def test_what_there_was_is_read_as_it_was_written(made: Made) -> None:
    boats, people = list(made.trip.boats), list(made.trip.paddlers)
    item = next(iter(made.trip.kit))
    before = Before(
        tuple(sorted([(people[0], boats[1]), (people[1], boats[0]), (people[2], "")])),
        (
            Packed("", item, "", 2),
            *sorted([Packed(boats[0], item, "quick", 1), Packed(boats[1], item, "worn", 1, "Ed")]),
        ),
        (Stowed(boats[0], "food, day 1, sack", 2),),
    )
    plan = replace(made.plan, before=before)
    text = write_plan(made.trip, made.needs, plan)
    kept, findings = read_plan(text.encode(), "plan.json")
    assert (kept and kept.plan, findings) == (plan, [])
    assert kept is not None
    assert kept.plan != made.plan
    assert json.loads(text)["before"][-1] == {
        "name": None,
        "called": None,
        "crew": [people[2]],
        "items": [{"item": item, "count": 2, "carried": None, "worn_by": None}],
        "stores": [],
    }


def test_a_plan_of_a_trip_never_begun_afresh_says_nothing_of_a_past(made: Made) -> None:
    assert {"before", "happened"}.isdisjoint(make(made.trip, made.plan))


def test_nothing_before_is_another_thing_than_no_before(made: Made) -> None:
    plan = replace(made.plan, before=Before(()))
    text = write_plan(made.trip, made.needs, plan)
    assert json.loads(text)["before"] == []
    kept, _ = read_plan(text.encode(), "plan.json")
    assert kept is not None
    assert kept.plan.before == Before(())


def test_a_replanned_trip_is_read_as_it_was_written(kayaks: Planned, days: list[Planned]) -> None:
    for trip, plan in (kayaks, *days):
        kept, findings = read_plan(write_plan(trip, derive_needs(trip), plan).encode(), "plan.json")
        assert (kept and kept.plan, findings) == (plan, [])


def test_what_happened_by_hand(kayaks: Planned) -> None:
    """Okko of the lost kayak has no seat, and wears nothing dealt to him."""
    (row,) = make(*kayaks)["happened"]
    boats = {boat.pop("called"): boat for boat in row.pop("boats")}
    assert row == {
        "day": 2,
        "lost": ["Poppy"],
        "damaged": [{"boat": "Cobalt", "payload_kg": 110.5}],
        "absent": ["Okko"],
        "hurt": [],
        "lost_items": [
            {"boat": "Jade", "item": "warming kit, small", "count": 1},
            {"boat": "Amber", "item": "throw bag 18 m", "count": 1},
        ],
        "skipped": ["Candle Drip"],
        "left": [],
    }
    bag = {"item": "throw bag 18 m", "count": 1, "carried": "quick", "worn_by": None}
    assert boats["Poppy"] == {"crew": ["Okko"], "items": [bag], "boxes": []}
    assert set(boats) == {"Amber", "Cobalt", "Jade", "Poppy"}


def test_each_time_begins_from_the_evening_of_its_own(days: list[Planned]) -> None:
    first, second = make(*days[2])["happened"]
    assert [row["called"] for row in first["boats"]] == ["Dipper", "Heron", "Teal"]
    assert [row["called"] for row in second["boats"]] == ["Coot", "Heron"]
    assert first == make(*days[1])["happened"][0]
    aboard = [box for row in second["boats"] for box in row["boxes"]]
    assert len(aboard) == len(set(aboard))
    assert "food, day 4, sack 1 of 2" in aboard


# --- held against its trip ------------------------------------------------------------------------


def test_replanned_trips_hold_what_they_claim(kayaks: Planned, days: list[Planned]) -> None:
    for planned in (kayaks, *days):
        verdict, lines = audit(make(*planned))
        assert lines == []
        assert "holds what it claims" in verdict


def test_a_plan_near_another_holds_what_it_claims(kept_kayaks: Planned) -> None:
    verdict, _ = audit(make(*kept_kayaks))
    assert "holds what it claims" in verdict


@pytest.fixture(scope="session")
def kept_kayaks() -> Planned:
    """Return the demo planned near its own plan."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(ROOT)
        trip, old = load_demo("four-kayaks"), read_stored("four-kayaks")
    assert old is not None
    before = tell_kept(trip, trip, old)
    plan = plan_trip(trip, SolveOptions(LONG_S, workers=1, before=before)).plan
    assert plan is not None
    return trip, plan


def test_a_seat_that_was_another_makes_the_moves_wrong(kept_kayaks: Planned) -> None:
    document = make(*kept_kayaks)
    rows = document["before"]
    rows[0]["crew"], rows[1]["crew"] = rows[1]["crew"], rows[0]["crew"]
    (line,) = complain(document)
    assert line.endswith("error: aim moves is 2, not 0 (wrong-aim)")


def test_moves_that_are_not_so_many(kayaks: Planned) -> None:
    document = make(*kayaks)
    (aim,) = (row for row in document["aims"] if row["name"] == "moves")
    was = aim["value"]
    aim["value"], aim["bound"] = was + 1, was + 1
    (line,) = complain(document)
    assert line.endswith(f"error: aim moves is {was}, not {was + 1} (wrong-aim)")


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("name", "Heron", "before, 'Ilka' sat in 'Heron'"),
        ("crew", ["Anna"], "before, 'Anna' sat in 'Amber'"),
        ("items", "tuba", "before, 'tuba' lay in 'Amber'"),
        ("stores", "beans", "before, 'beans' lay in 'Amber'"),
    ],
)
def test_names_before_that_are_unknown(
    kept_kayaks: Planned, key: str, value: Any, said: str
) -> None:
    document = make(*kept_kayaks)
    row = document["before"][0]
    if key == "items":
        row["items"][0]["item"] = value
    else:
        row[key] = [{"lot": value, "count": 1}] if key == "stores" else value
    assert any(line.endswith(f"error: {said} (unknown-name)") for line in complain(document))


def test_a_boat_that_is_called_otherwise(kept_kayaks: Planned) -> None:
    document = make(*kept_kayaks)
    document["before"][0]["called"] = "Heron"
    (line,) = complain(document)
    said = "before[0].called is 'Heron' in the file and should be 'Amber'"
    assert line == f"plan.json: error: {said} (wrong-total)"


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        ({"carried": None}, "before[0] has a value that can't be"),
        ({"carried": "afloat"}, "before[0].items[0].carried has a value that can't be"),
        ({"count": 0}, "before[0].items[0].count has a value that can't be"),
        ({"why": 1}, "before[0].items[0].why is no key of a plan"),
    ],
)
def test_rows_before_that_can_not_be(kept_kayaks: Planned, edit: dict[str, Any], said: str) -> None:
    document = make(*kept_kayaks)
    document["before"][0]["items"][0] |= edit
    assert f"plan.json: error: {said}" in complain(document)[0]


def test_rows_of_the_past_that_are_there_twice(kayaks: Planned) -> None:
    document = make(*kayaks)
    document["before"].append(document["before"][0])
    document["before"][1]["crew"] *= 2
    row = document["happened"][0]
    for key in ("damaged", "lost_items", "boats"):
        row[key].append(row[key][0])
    assert [line.split("error: ")[1].split(" is there")[0] for line in complain(document)] == [
        'the boat of before "Amber"',
        'the seat before ["Amber", "Ilka"]',
        'the seat before ["Cobalt", "Matteus"]',
        'the damaged boat of time [1, "Cobalt"]',
        'the item lost at time [1, "Jade", "warming kit, small"]',
        'the boat of the evening of time 1, "Amber"',
    ]


@pytest.mark.parametrize(
    ("key", "what"),
    [
        ("lost", "lost boat"),
        ("absent", "absent paddler"),
        ("hurt", "hurt paddler"),
        ("skipped", "skipped rapid"),
        ("left", "boat left behind"),
    ],
)
def test_what_has_happened_to_one_twice(kayaks: Planned, key: str, what: str) -> None:
    document = make(*kayaks)
    document["happened"][0][key] = ["Zoe", "Zoe"]
    (said,) = complain(document)
    assert f'error: the {what} of time [1, "Zoe"] is there twice (broken-plan)' in said


def test_nothing_that_happened_is_no_list_of_it(kayaks: Planned) -> None:
    document = make(*kayaks) | {"happened": []}
    assert "happened has a value that can't be" in complain(document)[0]


def test_a_past_that_was_torn_out(kayaks: Planned) -> None:
    document = make(*kayaks)
    del document["happened"]
    assert "(unknown-name)" in complain(document)[0]


def drop_before(document: Document) -> None:
    del document["before"]


def empty_a_boat(document: Document) -> None:
    document["before"][0]["crew"] = []


def pack_less_that_evening(document: Document) -> None:
    (jade,) = (row for row in document["happened"][0]["boats"] if row["called"] == "Jade")
    del jade["items"][0]


@pytest.mark.parametrize("change", [drop_before, empty_a_boat, pack_less_that_evening])
def test_what_there_was_must_be_what_was_left(
    kayaks: Planned, change: Callable[[Document], None]
) -> None:
    document = make(*kayaks)
    change(document)
    said = "what there was before is not what was left after all that happened (wrong-before)"
    assert complain(document) == [f"plan.json: error: {said}{REPLAN}"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("day", 3), "day 3, and the trip has days 1 to 2 (out-of-range)"),
        (("lost", ["Teal"]), "unknown boat 'Teal' (unknown-boat)"),
        (("hurt", ["Anna"]), "unknown paddler 'Anna' (unknown-paddler)"),
        (("skipped", ["Wheel"]), "unknown rapid 'Wheel' (unknown-rapid)"),
        (("crew", []), "the evening before day 2: 'Ilka' has 0 seats and should have 1"),
        (("crew", ["Okko"]), "the evening before day 2: 'Okko' has 2 seats and should have 1"),
        (("called", "Teal"), "the evening before day 2: boat 'Teal' is not on the water"),
        (("boxes", ["tent"]), "the evening before day 2: 'tent' lies in 1 boats and should in 0"),
        (("count", 9), "the evening before day 2: 10 x throw bag 18 m dealt out, and the party"),
        (("item", "tuba"), "the evening before day 2: 1 x tuba dealt out, and the party has 0"),
        (("carried", "worn"), "the evening before day 2: 'throw bag 18 m' in 'Amber' is worn by"),
    ],
)
def test_what_can_not_have_happened(kayaks: Planned, change: tuple[str, Any], said: str) -> None:
    document = make(*kayaks)
    (row,) = document["happened"]
    key, value = change
    places = (row, row["boats"][0], row["boats"][0]["items"][0])
    next(place for place in places if key in place)[key] = value
    assert any(line.startswith(f"plan.json: error: {said}") for line in complain(document))


@pytest.mark.parametrize("key", ["crew", "items", "boxes"])
def test_a_boat_that_was_not_on_the_water_that_evening(days: list[Planned], key: str) -> None:
    """Nobody, then nothing, then no box can have been in Coot, which only comes on day 3."""
    document = make(*days[1])
    rows = document["happened"][0]["boats"]
    row = next(one for one in rows if one[key])
    coot = {"called": "Coot", "crew": [], "items": [], "boxes": []} | {key: [row[key].pop()]}
    rows.insert(0, coot)
    said = "the evening before day 3: boat 'Coot' is not on the water (wrong-evening)"
    assert complain(document) == [f"plan.json: error: {said}{REPLAN}"]


@pytest.mark.parametrize(
    ("carried", "worn_by"), [("quick", "Ilka"), ("worn", None), ("worn", "Signe")]
)
def test_what_is_worn_is_worn_by_somebody_in_its_boat(
    kayaks: Planned, carried: str, worn_by: str | None
) -> None:
    document = make(*kayaks)
    (thing,) = document["happened"][0]["boats"][0]["items"]
    thing |= {"carried": carried, "worn_by": worn_by}
    said = "'throw bag 18 m' in 'Amber' is worn by nobody in it (wrong-evening)"
    assert complain(document) == [f"plan.json: error: the evening before day 2: {said}{REPLAN}"]


# --- any edit -------------------------------------------------------------------------------------


def list_edits(rows: list[Any], rng: random.Random) -> Iterator[list[Any]]:
    """Yield the rows again and again, each time with another value changed or left out."""
    for path in list(_list_paths(rows)):
        spoilt = deepcopy(rows)
        *way, last = path
        place: Any = spoilt
        for step in way:
            place = place[step]
        value = place[last]
        if isinstance(value, int | float):
            place[last] = value + rng.choice((-1, 1))
        elif isinstance(value, str):
            place[last] = rng.choice([name for name in sorted(_list_words(rows)) if name != value])
        elif isinstance(place, list):
            del place[last]
        else:
            continue
        yield spoilt


def _list_paths(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    for step, one in _list_members(value):
        yield from _list_paths(one, (*path, step))


def _list_members(value: Any) -> list[tuple[Any, Any]]:
    if isinstance(value, dict):
        return list(value.items())
    return list(enumerate(value)) if isinstance(value, list) else []


def _list_words(value: Any) -> set[str]:
    if isinstance(value, str):
        return {value}
    return {word for _, one in _list_members(value) for word in _list_words(one)}


def list_unseen(planned: Planned, key: str) -> tuple[int, list[Any]]:
    """Return how many edits there are, and those that change something and are not found.

    What lay in a boat that is lost may be anything: the trip that is left is the same.
    """
    trip, plan = planned
    document = make(trip, plan)
    edits, unseen = list(list_edits(document[key], random.Random(6))), []
    for rows in edits:
        if "holds" in audit(document | {key: rows})[0]:
            again, kept, _ = open_plan(FILE)
            if again != trip or kept is None or kept.before != plan.before:
                unseen.append(rows)
    return len(edits), unseen


def test_no_edit_of_the_past_of_three_kayaks_goes_unseen(kayaks: Planned) -> None:
    count, unseen = list_unseen(kayaks, "happened")
    assert (count > 60, unseen) == (True, [])


@pytest.mark.parametrize("key", ["before", "happened"])
def test_no_edit_of_a_past_with_stores_goes_unseen(days: list[Planned], key: str) -> None:
    count, unseen = list_unseen(days[2], key)
    assert (count > 15, unseen) == (True, [])


# --- opened to go on from -------------------------------------------------------------------------


def test_a_replanned_trip_is_opened_as_it_was(kayaks: Planned, days: list[Planned]) -> None:
    for trip, plan in (kayaks, *days):
        FILE.write_text(write_plan(trip, derive_needs(trip), plan), encoding="utf-8")
        assert open_plan(FILE) == (trip, plan, [])


def test_a_trip_is_opened_with_other_water(kayaks: Planned) -> None:
    trip, plan = kayaks
    FILE.write_text(write_plan(trip, derive_needs(trip), plan), encoding="utf-8")
    again, kept, findings = open_plan(FILE, "high")
    assert (kept, findings) == (plan, [])
    assert again is not None
    assert (trip.flow, again.flow) == ("medium", "high")
    assert again.days == trip.days
    assert again.paddlers == trip.paddlers


def test_files_that_can_not_be_opened(made: Made) -> None:
    text = write_plan(made.trip, made.needs, made.plan)
    other = text.replace(f'"version": "{__version__}"', '"version": "0"')
    false = text.replace('"met": true', '"met": false', 1)
    for content, said in {
        text[:2000]: "perhaps the file was cut short",
        "[trip]": "this is another sort of file, perhaps the trip, and no plan file",
        other: 'the plan is of version "0"',
        false: "claimed not met, and it can be done (met)",
        "": "this is another sort of file",
    }.items():
        FILE.write_text(content, encoding="utf-8")
        trip, plan, findings = open_plan(FILE)
        assert (trip, plan) == (None, None), said
        assert said in findings[0].text()
    missing = open_plan(Path("none.json"))[2]
    assert [one.code for one in missing] == ["file-missing"]


def test_a_plan_of_another_trip_is_not_kept(made: Made, kayaks: Planned) -> None:
    FILE.write_text(write_plan(made.trip, made.needs, made.plan), encoding="utf-8")
    assert open_plan(FILE, keep_for=made.trip)[1] == made.plan
    trip, plan, (finding,) = open_plan(FILE, keep_for=kayaks[0])
    assert (trip, plan) == (None, None)
    assert finding.text() == (
        f"plan.json: error: this is a plan of another trip, '{made.trip.name}', and the trip is "
        f"'{kayaks[0].name}' (other-trip)\n"
        "  try: a plan that was made of an earlier state of the same trip"
    )


def test_files_that_have_changed_since_are_told_where_they_are_not_used(made: Made) -> None:
    FILE.write_text(write_plan(made.trip, made.needs, made.plan), encoding="utf-8")
    source = made.plan.sources[0]
    Path(source.file).write_text(source.text + "\n", encoding="utf-8")
    trip, plan, (finding,) = open_plan(FILE)
    assert (trip, plan) == (made.trip, made.plan)
    assert finding.text() == (
        f"{source.file}: warning: this file has changed since the plan was made (stale-input)\n"
        "  try: the texts kept in the plan are used"
    )
    assert open_plan(FILE, keep_for=made.trip)[2] == []


def test_the_first_aid_kit_went_with_dipper(days: list[Planned]) -> None:
    """What was dealt out and lost is in the evening, and in nothing that comes after."""
    trip, plan = days[1]
    lay = {row.boat for row in plan.happened[0].evening.packed if row.item == FIRST_AID}
    assert (FIRST_AID in trip.kit) == (lay != {"Dipper"})
