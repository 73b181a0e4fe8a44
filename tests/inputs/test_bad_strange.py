# ruff: noqa: E501 - a finding is one line, however long
"""Names nobody can tell apart, signs that steer a terminal, pipes, numbers beyond all bounds."""

import os
from pathlib import Path

import pytest

from tests.inputs.texts import CATALOG, TRIP, Cases, load, spoil

CASES: Cases = {
    "a name of blanks": (
        [('name = "Bo"', 'name = "  "')],
        [
            "trips/x.toml:26:1: error: paddler '  ': \"  \" is nothing but blanks (blank-name)",
            "  try: write at least a letter, and no blanks round the name",
        ],
    ),
    "a name with a blank behind it": (
        [('name = "Bo"', 'name = "Bo "')],
        [
            "trips/x.toml:26:1: error: paddler 'Bo ': \"Bo \" has blanks at an end (blank-name)",
            "  try: write at least a letter, and no blanks round the name",
        ],
    ),
    "two names that differ in capitals": (
        [('name = "Bo"', 'name = "ANA"')],
        [
            'trips/x.toml:26:1: error: paddler \'ANA\': "ANA" can\'t be told from "Ana", at trips/x.toml:19:1 (name-used-twice)',
            "  try: give each its own name",
        ],
    ),
    "two names that differ in how an accent is written": (
        [
            ('name = "Ana"', 'name = "An\u00e1"'),
            ('name = "Bo"', 'name = "Ana\u0301"'),
            ('"Ana", "Bo"', '"An\u00e1", "Ana\u0301"'),
            ('"Ana", "Cy"', '"An\u00e1", "Cy"'),
        ],
        [
            'trips/x.toml:26:1: error: paddler \'Ana\u0301\': "Ana\u0301" can\'t be told from "An\u00e1", at trips/x.toml:19:1 (name-used-twice)',
            "  try: give each its own name",
        ],
    ),
    "a sign that can't be seen": (
        [('name = "Bo"', 'name = "B\\u200bo"')],
        [
            "trips/x.toml:26:1: error: paddler 2: name has a sign that can't be seen in it (control-character)",
            "  try: retype it on one line",
        ],
    ),
    "a number beyond all bounds beside another fault": (
        [("count = 3", "count = inf"), ('type = "river kayak"', 'type = "river kayk"')],
        [
            "trips/x.toml:16:1: error: boat 'Wren': unknown boat type \"river kayk\" (unknown-boat-type)",
            "  try: river kayak",
            "trips/x.toml:38:1: error: count: nan, inf and endless numbers are no quantities (number-out-of-range)",
            "  try: write a plain number",
        ],
    ),
    "a number of thousands of digits beside another fault": (
        [("count = 3", "count = " + "9" * 5000), ('type = "river kayak"', 'type = "river kayk"')],
        [
            "trips/x.toml:16:1: error: boat 'Wren': unknown boat type \"river kayk\" (unknown-boat-type)",
            "  try: river kayak",
            "trips/x.toml:38:1: error: count: this number has too many digits (number-out-of-range)",
            "  try: write a number a person would write",
        ],
    ),
    "a thing that everyone wears twice": (
        [('"helmet"]', '"helmet", "helmet"]')],
        [
            'trips/x.toml:7:51: error: trip: item "helmet" is there twice (name-used-twice)',
            "  try: name it once",
        ],
    ),
    "a unit that steers a terminal": (
        [('width = "18 m"', 'width = "18 \\u001b[31mm"')],
        [
            "trips/x.toml:50:1: error: rapid 'Sawtooth': width has a control character in it (control-character)",
            "  try: retype it on one line",
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_says_what_is_strange(tmp_path: Path, name: str) -> None:
    edits, lines = CASES[name]
    loaded = load(tmp_path, spoil(TRIP, *edits))
    assert loaded.trip is None
    assert [line for line in loaded.lines if line in lines] == lines
    assert all(line.isprintable() for line in loaded.lines)


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "people.csv")
    loaded = load(tmp_path, spoil(TRIP, ("[trip]", '[trip]\npaddlers = "../people.csv"')))
    assert (
        'trips/x.toml:2:1: error: trip: "../people.csv": this is a pipe, not an ordinary file (file-unreadable)'
        in loaded.lines
    )


# The text of the trip has 79 lines; a table takes four, its item and count the third and fourth.
FLOODS: dict[str, tuple[str, str, str]] = {
    "unknown things": (
        "",
        '\n[[kit]]\nitem = "no {}"\ncount = 1\n',
        "trips/x.toml:878:1",
    ),
    "numbers beyond all bounds": (
        "",
        '\n[[kit]]\nitem = "helmet {}"\ncount = 1e30\n',
        "trips/x.toml:479:1",
    ),
    "rows without a unit": ('kit = "kit.csv"\n', "", "trips/kit.csv:201:1"),
}


@pytest.mark.parametrize("name", FLOODS)
def test_a_flood_is_cut_off(tmp_path: Path, name: str) -> None:
    head, table, where = FLOODS[name]
    trip = TRIP.replace("[trip]\n", f"[trip]\n{head}") + "".join(
        table.format(n) for n in range(2_000)
    )
    rows = "item,count\n" + "".join(f"no {n},1\n" for n in range(2_000))
    lines = load(tmp_path, trip, kit=rows).lines
    assert len(lines) == 2 * 200
    assert lines[-2:] == [
        f"{where}: error: from here on there are more findings, not shown (too-many-findings)",
        "  try: put the first ones right",
    ]


CAN_NOT_BE: Cases = {
    "together and apart": (
        [('paddlers = ["Ana", "Bo"]', 'paddlers = ["Ana", "Cy"]')],
        [
            "trips/x.toml:78:1: error: 'Ana' and 'Cy' sit apart by this, and in one boat by trips/x.toml:75:1 (people-conflict)",
            "  try: change one of them, or leave it out",
        ],
    ),
    "together by way of a third": (
        [
            (
                'paddlers = ["Ana", "Cy"]',
                'paddlers = ["Ana", "Cy"]\n[[together]]\npaddlers = ["Cy", "Bo"]',
            ),
            ('\nboat = "Wren"', ""),
        ],
        [
            "trips/x.toml:79:1: error: 'Ana' and 'Bo' sit apart by this, and in one boat by trips/x.toml:74:1 and trips/x.toml:76:1 (people-conflict)",
            "  try: change one of them, or leave it out",
        ],
    ),
    "together and tied to two boats": (
        [
            ('paddlers = ["Ana", "Cy"]', 'paddlers = ["Bo", "Cy"]'),
            ('mass = "154 lb"', 'mass = "154 lb"\nboat = "Heron"'),
        ],
        [
            "trips/x.toml:76:1: error: 'Bo' and 'Cy' sit in one boat by trips/x.toml:76:1, and are tied to 'Wren' (trips/x.toml:25:1) and 'Heron' (trips/x.toml:32:1) (people-conflict)",
            "  try: change one of them, or leave it out",
        ],
    ),
    "apart and tied to one boat": (
        [
            ('paddlers = ["Ana", "Bo"]', 'paddlers = ["Ana", "Dee"]'),
            (
                'mass = "154 lb"',
                'mass = "154 lb"\n[[paddler]]\nname = "Dee"\nmass = "60 kg"\nboat = "Heron"',
            ),
            ('mass = "68 kg"', 'mass = "68 kg"\nboat = "Heron"'),
        ],
        [
            "trips/x.toml:83:1: error: 'Ana' and 'Dee' sit apart by this, and must both sit in 'Heron' (people-conflict)",
            "  try: change one of them, or leave it out",
        ],
    ),
    "more together than any boat seats": (
        [
            ('type = "oar raft 4.3 m"', 'type = "river kayak"'),
            ('dry_load = "120 kg"', ""),
            ('mass = "154 lb"', 'mass = "154 lb"\n[[boat]]\nname = "Teal"\ntype = "river kayak"'),
        ],
        [
            "trips/x.toml:78:1: error: 2 people sit in one boat by this, and none has more than 1 seat (people-conflict)",
            "  try: make two companies of them",
        ],
    ),
    "more apart than boats": (
        [
            ('paddlers = ["Ana", "Bo"]', 'paddlers = ["Ana", "Bo", "Dee"]'),
            ('mass = "154 lb"', 'mass = "154 lb"\n[[paddler]]\nname = "Dee"\nmass = "60 kg"'),
        ],
        [
            "trips/x.toml:81:1: error: 3 people sit apart by this, and the boats are 2 (people-conflict)",
            "  try: bring more boats, or name fewer people",
        ],
    ),
    "a dry load that no such boat carries": (
        [('dry_load = "120 kg"', 'dry_load = "651 kg"')],
        [
            "trips/x.toml:12:1: error: boat 'Heron': dry_load is 651 kg, and the payload of \"oar raft 4.3 m\" is 650 kg (dry-load-over-payload)",
            "  try: leave room for people and kit too",
        ],
    ),
}


@pytest.mark.parametrize("name", CAN_NOT_BE)
def test_what_needs_no_solver_is_said_when_the_trip_is_read(tmp_path: Path, name: str) -> None:
    edits, lines = CAN_NOT_BE[name]
    assert load(tmp_path, spoil(TRIP, *edits)).lines == lines


MEANT: Cases = {
    "a list of tables in single brackets": (
        [("[[together]]", "[together]")],
        [
            "trips/x.toml:75:2: error: [together] is one table, and together must be a list of them (wrong-type)",
            "  try: write [[together]], with two brackets",
        ],
    ),
    "true where a text belongs": (
        [('boat = "Wren"', "boat = true")],
        [
            "trips/x.toml:29:1: error: paddler 'Bo': boat must be quoted text, not true (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "a power of ten": (
        [('mass = "80 kg"', "mass = 1e5")],
        [
            "trips/x.toml:27:1: error: paddler 'Bo': mass must be quoted text, a number with its unit, not 100000 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "stones are no tonnes": (
        [('mass = "80 kg"', 'mass = "12 st"')],
        [
            'trips/x.toml:27:1: error: paddler \'Bo\': mass "12 st" has an unknown unit, "st" (unknown-unit)',
            "  try: the units of mass are g, kg, t, oz, lb, lbs",
        ],
    ),
    "pounds": (
        [('mass = "80 kg"', 'mass = "172 pounds"')],
        [
            'trips/x.toml:27:1: error: paddler \'Bo\': mass "172 pounds" has an unknown unit, "pounds" (unknown-unit)',
            "  try: lb; the units of mass are g, kg, t, oz, lb, lbs",
        ],
    ),
    "one boat running, without brackets": (
        [("[trip]", '[trip]\nrunning = "Wren"')],
        [
            'trips/x.toml:2:1: error: trip: running must be "any boat" or a list of quoted texts, not "Wren" (unknown-word)',
            '  try: "any boat", or a list in brackets, as in ["Wren"]',
        ],
    ),
    "an empty name of a file": (
        [("[trip]", '[trip]\npaddlers = ""')],
        [
            "trips/x.toml:2:1: error: trip: the name of the file is empty (empty)",
            "  try: name a file, or take it out",
        ],
    ),
    "an address": (
        [('all.toml"]', 'all.toml", "https://a.example/b.toml"]')],
        [
            "trips/x.toml:4:37: error: trip: addresses are not read (file-missing)",
            "  try: save it as a file, and name that",
        ],
    ),
}


@pytest.mark.parametrize("name", MEANT)
def test_says_what_was_meant(tmp_path: Path, name: str) -> None:
    edits, lines = MEANT[name]
    assert load(tmp_path, spoil(TRIP, *edits)).lines == lines


ROWS: dict[str, tuple[str, list[str]]] = {
    "counts out of range": (
        "name,mass,wears\nDee,70 kg,helmet x0\nEm,70 kg,helmet x-1\nFay,70 kg,helmet x9999999999999\n",
        [
            "trips/people.csv:2:11: error: paddler 'Dee', wears: helmet must be a whole number from 1 to 50, not 0 (out-of-range)",
            "  try: look for a slip",
            "trips/people.csv:3:10: error: paddler 'Em', wears: helmet must be a whole number from 1 to 50, not -1 (out-of-range)",
            "  try: look for a slip",
            "trips/people.csv:4:11: error: paddler 'Fay', wears: helmet must be a whole number from 1 to 50, not 999999999 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "a name that is missing": (
        "name,mass\n,70 kg\n",
        [
            "trips/people.csv:2:1: error: paddler 4: name is missing (missing-key)",
            "  try: fill in this column",
        ],
    ),
    "a line for spreadsheets": (
        "sep=,\nname,mass\nDee,70 kg\n",
        [
            "trips/people.csv:1:1: error: a line for spreadsheets stands before the header (csv-separator)",
            "  try: delete this line",
        ],
    ),
}


@pytest.mark.parametrize("name", ROWS)
def test_says_what_is_meant_in_rows(tmp_path: Path, name: str) -> None:
    people, lines = ROWS[name]
    trip = spoil(
        TRIP,
        ("[trip]", '[trip]\npaddlers = "people.csv"'),
        (
            '[[boat]]\nname = "Wren"',
            '[[boat]]\nname = "Teal"\ntype = "oar raft 4.3 m"\n\n[[boat]]\nname = "Wren"',
        ),
    )
    assert load(tmp_path, trip, people=people).lines == lines


def test_a_shipped_catalogue_left_out_is_said_once(tmp_path: Path) -> None:
    trip = spoil(TRIP, ('"../catalogs/all.toml"', '"kitplan:techniques.toml"'))
    wanted = [("boat_type", "boats"), ("item", "gear")]
    assert load(tmp_path, trip).lines == [
        line
        for key, name in wanted
        for line in (
            f"trips/x.toml:4:1: error: trip: none of the catalogues has a [[{key}]] table (missing-table)",
            f'  try: name "kitplan:{name}.toml" among them, or add the tables',
        )
    ]


def test_a_copy_of_a_catalogue_is_said_once(tmp_path: Path) -> None:
    """The catalogue of the tests, its [figures] and the like left out, beside itself."""
    (tmp_path / "trips").mkdir()
    copy = CATALOG[CATALOG.index("[[item]]") :]
    (tmp_path / "trips/copy.toml").write_text(copy, encoding="utf-8")
    trip = spoil(TRIP, ('all.toml"]', 'all.toml", "copy.toml"]'))
    number = copy.count("[[item]]") + copy.count("[[boat_type]]")
    assert load(tmp_path, trip).lines == [
        f"trips/copy.toml:2:1: error: {number} names of this catalogue are used twice, the first of them here (name-used-twice)",
        "  try: name only one of two catalogues that are alike",
    ]
