"""The plan file: what is written is read back; whatever is wrong is said and never raises."""

import codecs
import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan import __version__
from kitplan.demands import DemandKey, Needs
from kitplan.errors import CAUTION
from kitplan.load.files import make_source
from kitplan.needs import person_mass_g
from kitplan.plan import (
    AimResult,
    DemandResult,
    Gap,
    ItemPart,
    LeftOut,
    PersonPart,
    Plan,
    Short,
    Totals,
    digest_sources,
)
from kitplan.planfile import check_document, make_document, read_plan, write_plan
from kitplan.trip import Trip
from tests.cli.said import Made

ANEW = "\n  try: make the plan anew with `kitplan plan`"

# Any text may stand in a note; names come from files, which hold no lone surrogates.
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
counts = st.integers(0, 10**9)
ones = st.integers(1, 99)
banks = st.sampled_from(["left", "right", ""])
shorts = st.builds(
    Short, words, banks, st.sampled_from(["person", "item", "hands", "boat"]), words, words, ones
)
missing = st.lists(shorts, max_size=3).map(tuple)
parts = st.one_of(
    st.builds(PersonPart, words, banks, words, words, words),
    st.builds(ItemPart, words, banks, words, words, ones, words, words, words, words),
)


def read(text: str | bytes) -> Plan:
    data = text if isinstance(text, bytes) else text.encode()
    kept, findings = read_plan(data, "plan.json")
    assert kept is not None, [one.text() for one in findings]
    return kept.plan


def complain(document: Any) -> list[str]:
    data = document if isinstance(document, bytes) else json.dumps(document).encode()
    kept, findings = read_plan(data, "plan.json")
    assert kept is None
    return [one.text() for one in findings]


@pytest.fixture
def document(made: Made) -> dict[str, Any]:
    """Return a fresh document to spoil."""
    fresh: dict[str, Any] = json.loads(write_plan(*made))
    return fresh


def test_reading_what_was_written_gives_the_same_plan(made: Made) -> None:
    again = read(write_plan(*made))
    assert again == made.plan
    # These are left out of the comparison of plans.
    assert again.sources == made.plan.sources


@given(data=st.data())
def test_any_plan_is_read_as_it_was_written(made: Made, data: st.DataObject) -> None:
    plan = data.draw(draw_plan(made.trip, made.plan))
    text = write_plan(made.trip, made.needs, plan)
    assert read(text) == plan
    assert read(text).sources == plan.sources
    assert write_plan(made.trip, made.needs, read(text)) == text


def draw_plan(trip: Trip, plan: Plan) -> st.SearchStrategy[Plan]:
    """Return plans of any claims over the arrangement of a plan, of any kept texts."""
    rapids = st.sampled_from(sorted(trip.rapids))
    keys = st.builds(DemandKey, rapids, words, words, words, banks, words)
    ways = st.lists(parts, max_size=3).map(tuple)
    demands = st.builds(DemandResult, keys, st.booleans(), words, ways, missing)
    running = st.lists(words, max_size=3).map(tuple)
    gaps = st.builds(
        Gap, words, counts, words, words, banks, words, running, missing, words, words, counts,
        st.booleans(),
    )  # fmt: skip
    sources = st.lists(st.builds(make_source, words, words), min_size=1, max_size=3,
                       unique_by=lambda source: source.file)  # fmt: skip
    claims = st.fixed_dictionaries(
        {
            "trip_name": words,
            "aims": st.lists(st.builds(AimResult, words, counts, counts, st.booleans())).map(tuple),
            "demands": st.lists(demands, max_size=4).map(tuple),
            "gaps": st.lists(gaps, max_size=4).map(tuple),
            "totals": st.builds(Totals, *[counts] * 8),
            "not_called_for": st.lists(st.builds(LeftOut, words, ones), max_size=3).map(tuple),
            "canonical": st.booleans(),
            "sources": sources.map(tuple),
        }
    )

    def claim(said: dict[str, Any]) -> Plan:
        return replace(plan, **said, digest=digest_sources(said["sources"]))

    return claims.map(claim)


def test_keys_of_the_document(document: dict[str, Any]) -> None:
    # The names are those the README documents.
    assert document["caution"] == CAUTION
    assert document["version"] == __version__
    assert set(document["totals"]) == {"cases", "demands", "without_technique", "flows"}
    assert set(document["totals"]["cases"]) == {
        "all_banks", "one_bank", "from_water", "none", "backed", "total",
    }  # fmt: skip
    assert set(document["totals"]["demands"]) == {"met", "total"}
    assert {frozenset(row) for row in document["aims"]} == {
        frozenset({"name", "value", "bound", "proven"})
    }
    assert {frozenset(row) for row in document["boats"]} == {
        frozenset({"name", "called", "days", "crew", "steerer", "items", "mass_kg", "payload_kg"})
    }
    assert {frozenset(row) for boat in document["boats"] for row in boat["items"]} == {
        frozenset({"item", "count", "carried", "worn_by"})
    }
    assert {frozenset(row) for row in document["stations"]} == {
        frozenset({"rapid", "boat", "running", "station"})
    }
    assert {frozenset(row) for row in document["not_called_for"]} == {frozenset({"item", "count"})}


def test_rows_of_demands_and_gaps(document: dict[str, Any]) -> None:
    demand = {"rapid", "day", "spot", "scenario", "technique", "bank", "running", "met"}
    assert all(demand | {"witness", "missing"} <= set(row) for row in document["demands"])
    assert {row["bank"] for row in document["demands"]} == {"left", "right", None}
    witness = [part for row in document["demands"] for part in row["witness"]]
    assert all(
        {"site", "bank", "role", "paddler"} <= set(part)
        or {"site", "bank", "kind", "item", "count", "from"} <= set(part)
        for part in witness
    )
    gap = {"day", "rapid", "spot", "scenario", "bank", "technique", "running", "missing"}
    assert all(gap | {"sort", "note"} <= set(row) for row in document["gaps"])
    short = [piece for row in document["gaps"] for piece in row["missing"]]
    assert short
    assert all({"bank", "short"} <= set(piece) for piece in short)
    assert any("role" in piece for piece in short)


def test_mass_and_payload_are_in_kilograms(made: Made, document: dict[str, Any]) -> None:
    kayak = next(boat for boat in document["boats"] if boat["name"] == "Kayak")
    # 72 kg and 8 kg of wet kit in the text of the starter trip and the catalogue; no dry load.
    packed = sum(made.trip.kit[row["item"]].item.mass_g * row["count"] for row in kayak["items"])
    assert person_mass_g(made.trip.paddlers["Kayaker"], made.trip) == 80_000
    assert kayak["mass_kg"] == (80_000 + packed) / 1000
    assert kayak["payload_kg"] == 115.0


def test_the_same_plan_gives_the_same_bytes(made: Made) -> None:
    assert write_plan(*made) == write_plan(*made)


def test_every_row_has_a_line_of_its_own(made: Made) -> None:
    lines = write_plan(*made).splitlines()
    assert sum(line.startswith(' {"rapid": "The ledge", "day": 1') for line in lines) == sum(
        key.rapid == "The ledge" for key in made.needs.demands
    )


# --- what is wrong with a plan file ---------------------------------------------------------------


@given(data=st.data())
def test_a_file_cut_at_any_byte_is_refused(made: Made, data: st.DataObject) -> None:
    whole = write_plan(*made).rstrip("\n").encode()
    end = data.draw(st.integers(0, len(whole) - 1))
    assert all("(broken-plan)" in line for line in complain(whole[:end]))


@given(st.binary(max_size=200))
def test_no_bytes_make_reading_raise(junk: bytes) -> None:
    assert complain(junk)


@given(data=st.data())
def test_no_change_of_one_byte_makes_reading_raise(made: Made, data: st.DataObject) -> None:
    whole = bytearray(write_plan(*made).encode())
    whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    kept, findings = read_plan(bytes(whole), "plan.json")
    assert (kept is None) == bool(findings)


def test_a_cut_file_is_said_to_be_cut(made: Made) -> None:
    text = write_plan(*made)
    cut = text[: text.index('"totals"')].rstrip(",\n")
    line, column = cut.count("\n") + 1, len(cut.splitlines()[-1]) + 1
    words = "from here on this is no JSON; perhaps the file was cut short (broken-plan)"
    assert complain(cut.encode()) == [f"plan.json:{line}:{column}: error: {words}{ANEW}"]


@pytest.mark.parametrize("mark", [b"", codecs.BOM_UTF8])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_bytes_that_are_not_utf8(mark: bytes, end: str) -> None:
    """Columns are counted in signs, not bytes, and lines by whatever ends them."""
    before = f'{{{end}"trüp": "'.encode()
    assert complain(mark + before + b'\xff"}') == [
        f"plan.json:2:10: error: this is not UTF-8 text (broken-plan){ANEW}"
    ]


@pytest.mark.parametrize("text", ["[]", "{}", "7", "null", '"plan"'])
def test_json_that_is_no_plan(text: str) -> None:
    assert complain(text.encode()) == [
        f"plan.json: error: this is no plan file: it names no version (broken-plan){ANEW}"
    ]


@pytest.mark.parametrize(
    "text", ["[" * 100_000, '{"version": ' + "9" * 100_000 + "}", '{"a": ' * 100_000]
)
def test_json_that_python_can_not_hold(text: str) -> None:
    assert len(complain(text.encode())) == 1


@pytest.mark.parametrize("key", ["file", "text"])
def test_half_a_sign_is_no_text(document: dict[str, Any], key: str) -> None:
    """Half of one can be written in JSON alone, and no file can be called so."""
    document["sources"][0][key] = "a\ud83d"
    text = json.dumps(document)
    assert "\\ud83d" in text
    assert complain(text.encode()) == [
        "plan.json: error: half a sign stands in it, and that is no text (broken-plan)" + ANEW
    ]


def test_two_halves_are_a_sign(made: Made) -> None:
    """A sign beyond the first plane is two escapes in JSON; it breaks nothing."""
    text = write_plan(*made).replace('"caution": "', '"caution": "\\ud83d\\udef6', 1)
    assert read(text) == read(write_plan(*made))


def test_a_key_that_is_there_twice() -> None:
    assert complain(b'{"version": "1", "version": "2"}') == [
        f'plan.json: error: the key "version" is there twice in one table (broken-plan){ANEW}'
    ]


def test_numbers_that_are_none(made: Made) -> None:
    text = write_plan(*made).replace('"mass_kg": ', '"mass_kg": NaN, "was": ', 1)
    assert complain(text.encode()) == [
        f"plan.json: error: NaN is no number of a plan (broken-plan){ANEW}"
    ]


def test_a_plan_of_another_version(document: dict[str, Any]) -> None:
    document["version"] = "99.1"
    assert complain(document) == [
        (
            f'plan.json: error: the plan is of version "99.1", and this is "{__version__}" '
            f"(other-version){ANEW}"
        )
    ]


def _set(document: Any, trail: str, value: Any) -> None:
    *before, last = [int(step) if step.isdigit() else step for step in trail.split(".")]
    for step in before:
        document = document[step]
    document[last] = value


@pytest.mark.parametrize(
    ("trail", "value", "said"),
    [
        ("aims.0.proven", 1, "aims[0].proven has a value that can't be, 1"),
        ("aims.0.value", True, "aims[0].value has a value that can't be, true"),
        ("aims.0.value", -1, "aims[0].value has a value that can't be, -1"),
        ("aims.0.value", 2.5, "aims[0].value has a value that can't be, 2.5"),
        ("aims.0.best", 2, "aims[0].best is no key of a plan"),
        ("trip", None, "trip has a value that can't be, null"),
        ("stations.0.station", "mid", 'stations[0].station has a value that can\'t be, "mid"'),
        ("demands.1.bank", "", 'demands[1].bank has a value that can\'t be, ""'),
        ("demands.1", [], "demands[1] has a value that can't be, []"),
        ("sources", [], "sources has a value that can't be, []"),
        ("boats.0.crew", "Leader", 'boats[0].crew has a value that can\'t be, "Leader"'),
    ],
)  # fmt: skip
def test_values_that_can_not_be(
    document: dict[str, Any], trail: str, value: Any, said: str
) -> None:
    _set(document, trail, value)
    assert complain(document) == [f"plan.json: error: {said} (broken-plan){ANEW}"]


@pytest.mark.parametrize("key", ["aims", "totals", "boats", "demands", "digest", "sources"])
def test_a_key_that_is_missing(document: dict[str, Any], key: str) -> None:
    del document[key]
    assert complain(document) == [
        f'plan.json: error: the plan lacks the key "{key}" (broken-plan){ANEW}'
    ]


def test_a_piece_of_two_sorts(document: dict[str, Any]) -> None:
    piece = document["gaps"][0]["missing"][0]
    piece.update(role="thrower", kind="line")
    assert len(complain(document)) == 1
    assert "gaps[0].missing[0] has a value that can't be" in complain(document)[0]


def test_rows_that_name_the_same_twice(document: dict[str, Any]) -> None:
    document["boats"].append(document["boats"][0])
    document["stations"].append(document["stations"][0])
    assert complain(document) == [
        f'plan.json: error: the boat "Blue raft" is there twice (broken-plan){ANEW}',
        (
            f'plan.json: error: the station of ["First bend", "Blue raft", "Kayak"] is there twice '
            f"(broken-plan){ANEW}"
        ),
    ]


def test_a_text_that_is_not_the_one_of_its_digest(document: dict[str, Any]) -> None:
    document["sources"][0]["text"] += "\n"
    words = 'the text of "starter.toml" kept in the plan is not the one its digest stands for'
    assert complain(document) == [f"plan.json: error: {words} (stale-input){ANEW}"]


def test_a_digest_that_is_not_the_one_of_the_texts(document: dict[str, Any]) -> None:
    document["digest"] = "0" * 64
    words = 'the text of "plan.json" kept in the plan is not the one its digest stands for'
    assert complain(document) == [f"plan.json: error: {words} (stale-input){ANEW}"]


# --- figures that the plan itself does not hold ---------------------------------------------------


@pytest.mark.parametrize(
    ("trail", "value", "name"),
    [
        ("caution", "all is well", "caution"),
        ("totals.without_technique", 7, "totals.without_technique"),
        ("boats.0.mass_kg", 1.0, "mass_kg of boat 'Blue raft'"),
        ("boats.0.payload_kg", 9000.0, "payload_kg of boat 'Blue raft'"),
        ("demands.0.day", 3, "demands[0].day"),
    ],
)
def test_figures_that_do_not_follow(
    made: Made, document: dict[str, Any], trail: str, value: Any, name: str
) -> None:
    _set(document, trail, value)
    kept, findings = read_plan(json.dumps(document).encode(), "plan.json")
    assert kept is not None, findings
    [finding] = check_document(kept, made.trip, made.needs)
    assert finding.code == "wrong-total"
    assert finding.message.startswith(f"{name} is {value!r} in the file and should be ")


def test_figures_that_follow(made: Made) -> None:
    kept, _ = read_plan(write_plan(*made).encode(), "plan.json")
    assert kept is not None
    assert check_document(kept, made.trip, made.needs) == []
    assert make_document(made.trip, made.needs, kept.plan) == make_document(*made)


def test_needs_come_from_the_texts_kept(made: Made) -> None:
    assert isinstance(made.needs, Needs)
    assert [source.file for source in read(write_plan(*made)).sources] == [
        "starter.toml", "kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml",
    ]  # fmt: skip
