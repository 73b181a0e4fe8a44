"""`kitplan standard` from end to end: trips in, lists out, wrong input named at its line."""

from __future__ import annotations

import csv
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.errors import CAUTION, Exit
from kitplan.load import load_trip
from tests.fleet.tinyfleet import BROAD, PRICED, RIFFLE
from tests.inputs.texts import CATALOG, spoil

if TYPE_CHECKING:
    from tests.cli.conftest import Command

ROOT = Path(__file__).parents[2]
DEMO = sorted((ROOT / "trips/fleet").glob("*.toml"))
QUICK = ("--workers", "1", "--time-limit", "600")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in a folder with two tiny trips and their catalogue."""
    monkeypatch.chdir(tmp_path)
    for name in ("trips", "catalogs"):
        Path(name).mkdir()
    Path("catalogs/all.toml").write_text(spoil(CATALOG, *PRICED), encoding="utf-8")
    Path("trips/riffle.toml").write_text(RIFFLE.text(), encoding="utf-8")
    Path("trips/broad.toml").write_text(BROAD.text(), encoding="utf-8")
    return tmp_path


TRIPS = ("trips/riffle.toml", "trips/broad.toml")


def test_the_lists_are_printed_with_what_they_are_needed_for(
    command: Command, folder: Path
) -> None:
    said = command("standard", *TRIPS, *QUICK)
    assert folder.is_dir()
    assert said.err == ""
    assert said.code == Exit.DONE
    assert said.out.startswith("The standard kit of 2 trips: 240 EUR, and every trip has its cover")
    assert "No cheaper lists leave every trip as well covered" in said.words
    assert (
        "1 x throw bag 20 m, each oar raft 4.3 m: riffle (cover lost at Riffle) and broad (cover "
        "lost at Broad)" in said.words
    )
    assert said.words.endswith(CAUTION)
    assert all(len(line) <= 100 for line in said.out.splitlines())


def test_as_csv_there_is_a_row_for_each_line(command: Command, folder: Path) -> None:
    assert folder.is_dir()
    said = command("standard", *TRIPS, *QUICK, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(said.out)))
    assert [(r["row"], r["for"], r["item"], r["copies"], r["each"]) for r in rows[:-1]] == [
        ("boat", "oar raft 4.3 m", "throw bag 20 m", "2", "80.00"),
        ("boat", "river kayak", "throw bag 20 m", "1", "80.00"),
    ]
    assert rows[0]["needed_by"] == "broad; riffle"
    assert rows[-1]["item"] == CAUTION


def test_as_json_cost_and_bound_are_told(command: Command, folder: Path) -> None:
    assert folder.is_dir()
    document = json.loads(command("standard", *TRIPS, *QUICK, "--format", "json").out)
    assert (document["cost"], document["bound"], document["proven"]) == (240.0, 240.0, True)
    assert document["caution"] == CAUTION
    assert [one["misses"] for one in document["trips"]] == [False, False]
    assert [one["alone"] for one in document["trips"]] == [110.0, 160.0]


def test_by_mass_the_lightest_bags_are_taken(command: Command, folder: Path) -> None:
    # One belt bag of 550 g each in two rafts does for the Riffle; the Broad takes two of 1 kg. A
    # kayak and a raft with 1 kg each: 3 kg as there are two rafts. Belt bags besides weigh more.
    assert folder.is_dir()
    document = json.loads(
        command("standard", *TRIPS, *QUICK, "--by", "mass", "--format", "json").out
    )
    assert document["unit"] == "g"
    assert document["cost"] == 3000.0


def test_more_boats_of_a_type_ask_for_more_lists(command: Command, folder: Path) -> None:
    # With ten rafts a list for each of them costs more than extras for both trips.
    assert folder.is_dir()
    words = ("--fleet", "oar raft 4.3 m=10", "--format", "json")
    document = json.loads(command("standard", *TRIPS, *QUICK, *words).out)
    assert document["boats"] == {"oar raft 4.3 m": 10, "river kayak": 1}
    assert not any(one["for"] == "oar raft 4.3 m" for one in document["lines"])
    assert document["cost"] == document["bound"] < 800


def test_a_share_that_no_kit_reaches_is_a_miss(command: Command, folder: Path) -> None:
    text = Path(TRIPS[0]).read_text(encoding="utf-8")
    # Nobody is on the bank while the first boat runs.
    Path(TRIPS[0]).write_text(
        text.replace("landing_above = 3", "landing_above = 0"), encoding="utf-8"
    )
    assert folder.is_dir()
    said = command("standard", *TRIPS, *QUICK, "--share", "0.98")
    assert said.code == Exit.GAPS
    assert "1 trip short" in said.out.splitlines()[0]
    assert "even unlimited kit covers 50.0 % of its weight alone" in said.words
    assert command("standard", *TRIPS, *QUICK, "--share", "0.5").code == Exit.DONE


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ((), "Missing argument 'TRIP...'"),
        ((*TRIPS, "--share", "1.2"), "a share from 0 to 1, not '1.2'"),
        ((*TRIPS, "--share", "-0.1"), "a share from 0 to 1, not '-0.1'"),
        ((*TRIPS, "--by", "looks"), "'looks' is not one of"),
        ((*TRIPS, "--extras-factor", "0"), "a number from 0.01 to 100, not '0'"),
        ((*TRIPS, "--fleet", "oar raft 4.3 m"), 'write it as "oar raft 4.3 m=6"'),
        ((*TRIPS, "--fleet", "oar raft 4.3 m=0"), 'write it as "oar raft 4.3 m=6"'),
        ((*TRIPS, "--fleet", "canoe=2"), "no trip uses a boat of the type 'canoe'"),
    ],
)
def test_wrong_usage(
    command: Command, folder: Path, words: tuple[str, ...], complaint: str
) -> None:
    assert folder.is_dir()
    said = command("standard", *words)
    assert said.code == Exit.USAGE
    assert complaint in said.err
    assert said.out == ""


def test_the_same_trip_twice(command: Command, folder: Path) -> None:
    assert folder.is_dir()
    said = command("standard", TRIPS[0], "trips/../trips/riffle.toml")
    assert said.code == Exit.INPUT
    assert said.err.splitlines()[:2] == [
        "trips/../trips/riffle.toml: error: this trip is given twice (trip-twice)",
        "  try: give each trip once",
    ]


def test_two_trips_of_one_name(command: Command, folder: Path) -> None:
    shutil.copy(folder / TRIPS[0], folder / "trips/other.toml")
    said = command("standard", TRIPS[0], "trips/other.toml")
    assert said.code == Exit.INPUT
    assert said.err == (
        "trips/other.toml:1:2: error: the trip 'riffle' is given twice: it is in "
        "trips/riffle.toml:1:2 as well (trip-twice)\n"
        "  try: give each trip once\n"
    )


def test_catalogues_that_disagree_name_both_lines(command: Command, folder: Path) -> None:
    other = spoil(CATALOG, *PRICED, ('mass = "1 kg"', 'mass = "1.2 kg"'))
    Path("catalogs/other.toml").write_text(other, encoding="utf-8")
    text = Path(TRIPS[1]).read_text(encoding="utf-8").replace("all.toml", "other.toml")
    Path(TRIPS[1]).write_text(text, encoding="utf-8")
    assert folder.is_dir()
    said = command("standard", *TRIPS)
    assert said.code == Exit.INPUT
    line = next(n for n, words in enumerate(other.splitlines(), 1) if words == "[[item]]")
    place = f"catalogs/other.toml:{line}:1"
    first = f"catalogs/all.toml:{line}:1"
    assert said.err == (
        f"{place}: error: item 'throw bag 20 m' is not what it is in {first}: other mass "
        "(catalogs-disagree)\n"
        "  try: let both trips name the same catalogue, or give one of the two another name\n"
    )


def test_trips_without_a_boat_type_in_common(command: Command, folder: Path) -> None:
    text = Path(TRIPS[1]).read_text(encoding="utf-8")
    text = text.replace('type = "oar raft 4.3 m"', 'type = "odd raft"')
    catalog = Path("catalogs/all.toml").read_text(encoding="utf-8")
    raft = catalog[catalog.index('[[boat_type]]\nname = "oar raft 4.3 m"') :]
    raft = raft[: raft.index("[[boat_type]]", 10)].replace("oar raft 4.3 m", "odd raft")
    Path("catalogs/all.toml").write_text(f"{catalog}\n{raft}", encoding="utf-8")
    Path(TRIPS[1]).write_text(text, encoding="utf-8")
    assert folder.is_dir()
    said = command("standard", *TRIPS)
    assert said.code == Exit.INPUT
    assert said.err == (
        "trips/riffle.toml:1:2: error: no two of these trips use boats of one type, so no list "
        "would be of use twice (no-common-boat)\n"
        "  try: `kitplan plan` for each by itself, or trips that have a type of boat in common\n"
    )


def test_findings_of_all_trips_are_told_at_once(command: Command, folder: Path) -> None:
    for name in TRIPS:
        text = Path(name).read_text(encoding="utf-8").replace('class = "II"', 'class = "VIII"')
        Path(name).write_text(text, encoding="utf-8")
    assert folder.is_dir()
    said = command("standard", *TRIPS)
    assert said.code == Exit.INPUT
    assert said.err.count("(unknown-class)") == 2


def test_no_seating_is_said_with_its_trip(command: Command, folder: Path) -> None:
    text = Path(TRIPS[1]).read_text(encoding="utf-8").replace("kayak = 3", "kayak = 1")
    Path(TRIPS[1]).write_text(text, encoding="utf-8")
    assert folder.is_dir()
    said = command("standard", *TRIPS, *QUICK)
    assert said.code == Exit.NO_PLAN
    assert "for 'broad' no seating that keeps the rules was found (no-plan)" in said.err


def test_the_demo_trips_are_clean_and_use_three_types_of_boat() -> None:
    trips = [load_trip(path) for path in DEMO]
    assert len(trips) == 4
    assert [findings for _, findings in trips] == [[], [], [], []]
    types = {b.type.name for trip, _ in trips if trip for b in trip.boats.values()}
    assert types == {"oar raft 4.3 m", "paddle raft 4.0 m", "river kayak 2.7 m"}


def test_a_price_of_one_trip_alone_is_said_to_make_no_difference(
    command: Command, folder: Path
) -> None:
    text = replace(RIFFLE, kit={"throw bag 20 m": 'count = 1\nmore = 1\nprice = "1 EUR"'}).text()
    (folder / TRIPS[0]).write_text(text, encoding="utf-8")
    said = command("standard", *TRIPS, *QUICK)
    line = next(n for n, words in enumerate(text.splitlines(), 1) if words.startswith("[[kit]]"))
    assert said.err.startswith(
        f"trips/riffle.toml:{line}:1: warning: the price of 'throw bag 20 m' on this trip makes "
        "no difference to the lists (own-price)\n"
    )
    assert said.out.startswith("The standard kit of 2 trips: 240 EUR")
