# ruff: noqa: E501 - a finding is one line, however long
"""Boats, paddlers and kit as CSV: what is read, and exactly what is said of a bad file."""

import csv
import io
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.load.csvlists import CsvRows, scan
from tests.inputs.texts import CATALOG, TRIP, Loaded, load

HEADER = "name,mass,skills,wears,certificates,at_most,boat,guest"


def load_people(folder: Path, people: str | bytes) -> Loaded:
    """Load the trip with its paddlers in a CSV file of their own."""
    start, end = TRIP.index("[[paddler]]"), TRIP.index("[[kit]]")
    trip = TRIP[:start] + TRIP[end : TRIP.index("[[together]]")]
    trip = trip.replace("[trip]\n", '[trip]\npaddlers = "people.csv"\n')
    return load(folder, trip, CATALOG, people=people)


def test_rows_say_the_same_as_tables(tmp_path: Path) -> None:
    start, end = TRIP.index("[[boat]]"), TRIP.index("[[rapid]]")
    keys = '[trip]\nboats = "boats.csv"\npaddlers = "people.csv"\nkit = "kit.csv"\n'
    trip = (TRIP[:start] + TRIP[end:]).replace("[trip]\n", keys)
    people = f"""{HEADER}\r
Ana,68 kg,throwing 3; leading 3; oar raft 4,"life jacket, rescue; locking carabiner x2",swift-water rescue until 2028-05-01,,,\r
Bo,80 kg,kayak 3,,,wading,Wren,\r
"Cy","154 lb",,,,,,\r
"""
    from_rows = load(
        tmp_path,
        trip,
        CATALOG,
        people=people,
        boats="name,type,dry_load\nHeron,oar raft 4.3 m,120 kg\nWren,river kayak,\n",
        kit="item,count,take\nthrow bag 20 m,3,1\n\nfirst-aid kit,1,yes\n",
    )
    assert from_rows.lines == []
    from_tables = load(tmp_path)
    assert from_rows.trip == from_tables.trip
    assert from_rows.trip is not None
    places = [paddler.where.text() for paddler in from_rows.trip.paddlers.values()]
    assert places == [f"trips/people.csv:{line}:1" for line in (2, 3, 4)]
    files = [source.file for source in from_rows.trip.sources]
    assert files == [
        "x.toml",
        "boats.csv",
        "people.csv",
        "kit.csv",
        "../catalogs/all.toml",
    ]


def test_rows_and_tables_both_count(tmp_path: Path) -> None:
    trip = TRIP.replace("[trip]\n", '[trip]\npaddlers = "people.csv"\n')
    loaded = load(tmp_path, trip, CATALOG, people="name,mass,guest\nDee,50 kg,no\nBo,60 kg,\n")
    assert loaded.lines == [
        "trips/people.csv:3:1: error: paddler 'Bo': this name is used twice, first at trips/x.toml:27:1 (name-used-twice)",
        "  try: give each its own name",
    ]
    loaded = load(tmp_path, trip, CATALOG, people="name,mass,guest\nDee,50 kg,no\n")
    assert loaded.trip is not None
    assert list(loaded.trip.paddlers) == ["Ana", "Bo", "Cy", "Dee"]
    assert not loaded.trip.paddlers["Dee"].guest


def test_field_over_two_lines_keeps_the_places_below_right(tmp_path: Path) -> None:
    people = f'{HEADER}\nAna,68 kg,throwing 3,"helmet;\n locking carabiner",,,,\nBo,80,,,,,,\n'
    assert load_people(tmp_path, people).lines == [
        "trips/people.csv:4:4: error: paddler 'Bo': mass \"80\" has no unit (missing-unit)",
        '  try: write a mass as "12 kg" or "26 lb"',
    ]


CASES: dict[str, tuple[str | bytes, list[str]]] = {
    "missing column": (
        "name,skills\nAna,throwing 3\n",
        [
            'trips/people.csv:1:1: error: column "mass" is missing (csv-missing-column)',
            "  try: the header is the first line",
        ],
    ),
    "doubled header": (
        "name,mass,mass\nAna,68 kg,68 kg\n",
        [
            'trips/people.csv:1:11: error: column "mass" is there twice (csv-column-twice)',
            "  try: leave one of the two out",
        ],
    ),
    "unknown column": (
        "name,mass,skils\nAna,68 kg,\n",
        [
            'trips/people.csv:1:11: error: unknown column "skils" (csv-unknown-column)',
            "  try: skills",
        ],
    ),
    "semicolons": (
        "name;mass;skills\nAna;68 kg;throwing 3\n",
        [
            "trips/people.csv:1:1: error: the fields are separated by semicolons, and commas are read here (csv-separator)",
            "  try: export it with commas",
        ],
    ),
    "semicolons and quotes": (
        '"name";"mass"\n"Ana, the first";68 kg\n',
        [
            "trips/people.csv:1:1: error: the fields are separated by semicolons, and commas are read here (csv-separator)",
            "  try: export it with commas",
        ],
    ),
    "tabs": (
        "name\tmass\nAna\t68 kg\n",
        [
            "trips/people.csv:1:1: error: the fields are separated by tabs, and commas are read here (csv-separator)",
            "  try: export it with commas",
        ],
    ),
    "stray quote": (
        'name,mass\nAna,68" kg\n',
        [
            "trips/people.csv:2:7: error: there is a stray quote in this field (csv-stray-quote)",
            '  try: put the whole field in double quotes, and write a quote inside it twice, ""',
        ],
    ),
    "text after the quotes": (
        'name,mass\n"Ana" B,68 kg\n',
        [
            "trips/people.csv:2:1: error: there is more in this field after its quotes (csv-stray-quote)",
            '  try: put the whole field in double quotes, and write a quote inside it twice, ""',
        ],
    ),
    "unclosed quote": (
        'name,mass\nAna,"68 kg\nBo,80 kg\n',
        [
            "trips/people.csv:2:5: error: this field begins with a quote that is never closed (csv-open-quote)",
            "  try: close it, or leave it out",
        ],
    ),
    "too many and too few fields": (
        "name,mass\nAna,68 kg,throwing 3\nBo\nCy,x\n",
        [
            "trips/people.csv:2:1: error: this row has 3 fields, and the header has 2 (csv-field-count)",
            "  try: put a field that holds commas in double quotes",
            "trips/people.csv:3:1: error: this row has 1 field, and the header has 2 (csv-field-count)",
            "  try: end it with a comma for each empty field",
            "trips/people.csv:4:4: error: paddler 'Cy': mass \"x\" is not a plain number and a unit (bad-quantity)",
            '  try: write a mass as "12 kg" or "26 lb"',
        ],
    ),
    "not UTF-8": (
        "name,mass\nJürg,68 kg\n".encode("latin-1"),
        [
            "trips/people.csv:2:2: error: byte 0xfc here is not UTF-8 text (not-utf8)",
            '  try: save the file as "UTF-8" in your editor or spreadsheet',
        ],
    ),
    "empty": (
        "\n \n",
        [
            "trips/people.csv:1:1: error: this file is empty (csv-empty)",
            "  try: begin with a line of column names: name,mass",
        ],
    ),
    "header alone": (
        "name,mass\n",
        [
            "trips/x.toml:2:1: error: trip: the trip has no paddlers (no-paddlers)",
            "  try: add rows below the header of this file",
        ],
    ),
    "empty field that must not be": (
        "name,mass\nAna,\n",
        [
            "trips/people.csv:2:5: error: paddler 'Ana': mass is missing (missing-key)",
            "  try: fill in this column",
        ],
    ),
    "bad entries": (
        HEADER
        + "\nAna,68 kg,throwing,helmt x2,swift-water rescue 2028,wadng,Herron,maybe\nBo,80 kg,throwing 9; leading 1; leading 2,helmet; helmet,swift-water rescue until 2028-02-30,,,\n",
        [
            'trips/people.csv:2:11: error: "throwing" is not a skill and its level (csv-bad-entry)',
            '  try: write "throwing 3; rope 2"',
            "trips/people.csv:2:20: error: paddler 'Ana', wears: unknown item \"helmt\" (unknown-item)",
            "  try: helmet",
            'trips/people.csv:2:29: error: "swift-water rescue 2028" is not a certificate and its last day (csv-bad-entry)',
            '  try: write "swift-water rescue until 2028-05-01"',
            'trips/people.csv:2:53: error: paddler \'Ana\': at_most must be "ashore", "wading", "afloat", "tethered" or "swimming", not "wadng" (unknown-word)',
            "  try: wading",
            "trips/people.csv:2:59: error: paddler 'Ana': unknown boat \"Herron\" (unknown-boat)",
            "  try: Heron",
            "trips/people.csv:2:66: error: paddler 'Ana': guest must be true or false, not \"maybe\" (wrong-type)",
            "  try: write yes or no",
            'trips/people.csv:3:10: error: "leading" is there twice in this field (name-used-twice)',
            "  try: name it once",
            "trips/people.csv:3:10: error: paddler 'Bo', skills: levels go from 0 to 4, so throwing can't be 9 (out-of-range)",
            "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
            'trips/people.csv:3:43: error: "helmet" is there twice in this field (name-used-twice)',
            "  try: name it once",
            'trips/people.csv:3:58: error: there is no date "2028-02-30" (no-such-date)',
            "  try: write a date as 2027-06-14",
        ],
    ),
}


@pytest.mark.parametrize(("people", "expected"), CASES.values(), ids=CASES.keys())
def test_says_what_is_wrong_with_the_rows(
    people: str | bytes, expected: list[str], tmp_path: Path
) -> None:
    loaded = load_people(tmp_path, people)
    assert loaded.lines == expected
    assert loaded.trip is None


def test_missing_file_is_told_where_it_is_named(tmp_path: Path) -> None:
    trip = TRIP.replace("[trip]\n", '[trip]\nkit = "kit.csv"\n')
    assert load(tmp_path, trip).lines == [
        'trips/x.toml:2:1: error: trip: "kit.csv": there is no such file (file-missing)',
        "  try: look at its name and folder",
    ]


def test_certificate_that_ends_before_the_trip_is_a_warning(tmp_path: Path) -> None:
    people = f"{HEADER}\nAna,68 kg,,,swift-water rescue until 2027-06-14,,,\n"
    loaded = load_people(tmp_path, people)
    assert loaded.lines == [
        "trips/people.csv:2:13: warning: paddler 'Ana', certificate 'swift-water rescue': holds until 2027-06-14, and the trip ends on 2027-06-15 (certificate-expires)",
        "  try: renew it; the plan does not count on it from the leg on in which it ends",
    ]
    assert loaded.trip is not None
    assert loaded.trip.paddlers["Ana"].certificates == (("swift-water rescue", date(2027, 6, 14)),)


def test_who_lacks_what_every_role_asks_to_wear_is_warned_of(tmp_path: Path) -> None:
    """The catalogue asks for life jacket and helmet; Bo has neither, Cy no helmet."""
    trip = TRIP.replace('everyone_wears = ["life jacket, river", "helmet"]\n', "").replace(
        'mass = "154 lb"', 'mass = "154 lb"\nwears = { "life jacket, river" = 1 }'
    )
    trip = trip.replace('"locking carabiner" = 2', '"helmet" = 1')
    loaded = load(tmp_path, trip)
    assert loaded.trip is not None
    hint = "  try: add what is worn to wears, or to everyone_wears in [trip]"
    assert loaded.lines == [
        "trips/x.toml:24:1: warning: paddler 'Bo': wears no life jacket and no helmet, and so can fill no role (worn-missing)",
        hint,
        "trips/x.toml:34:1: warning: paddler 'Cy': wears no helmet, and so can fill no role (worn-missing)",
        hint,
    ]


FIELDS = st.text(alphabet='ab ,;"\n\r\u00e9', max_size=6).map(str.strip)


@given(st.lists(st.lists(FIELDS, min_size=1, max_size=4), max_size=5))
def test_scanner_reads_what_the_standard_library_writes(rows: list[list[str]]) -> None:
    """The csv module of the standard library is the reference, writing and reading."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerows(rows)
    text = stream.getvalue()
    found = CsvRows()
    lines = [[one.text for one in line] for line in scan(text, "x.csv", found)]
    reference = csv.reader(io.StringIO(text, newline=""), strict=True)
    assert lines == [line for line in reference if any(line)]
    assert found.findings == []
