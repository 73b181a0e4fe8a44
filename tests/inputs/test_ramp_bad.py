# ruff: noqa: E501 - a finding is one line, however long
"""Loads with something wrong: exactly what is said, at which line and column."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.trip import Trip
from tests.inputs.ramptexts import HEADER, LATER, ORDER, SEATS, make_trip, read

ONCE = "  try: leave one of the two rows out"
OUT = "  try: leave this row out, or change from_day"
SEAT = "  try: a row seat for each of a boat's crew; the first one steers"
FILL = "  try: fill in this column"
WHOLE = "  try: write a whole number"
HOW = "  try: worn or quick"


@pytest.fixture
def trip() -> Trip:
    return make_trip()


# Rows below the header -> lines said; rows of seats and order go before them where named.
SEATED: dict[str, tuple[str, list[str]]] = {
    "paddler in two boats": (
        "Dipper,1,seat,Ana,,,,,,,\n",
        [
            'load.csv:4:15: error: Ana sits in "Heron" already on days 1-2, at load.csv:2:1 (seated-twice)',
            ONCE,
        ],
    ),
    "paddler who comes later": (
        "Dipper,1,seat,Cy,,,,,,,\n",
        ['load.csv:4:15: error: paddler "Cy" is not there on days 1-2 (paddler-away)', OUT],
    ),
    "two on one seat": (
        "Heron,3,seat,Ana,2,,,,,,\n",
        [
            "load.csv:4:18: error: count is 2, and a seat takes one person (more-than-one)",
            "  try: 1, or leave it out",
        ],
    ),
    "boats without their people": (
        "Dipper,3,item,throw bag 20 m,,,,,,,\n",
        [
            "load.csv:1:1: error: nobody has a seat on day 3 (no-seats)",
            SEAT,
        ],
    ),
    "unknown item": (
        "Heron,1,item,thow bag 20 m,,,,,,,\n",
        [
            'load.csv:4:14: error: unknown item "thow bag 20 m" (unknown-item)',
            "  try: throw bag 20 m",
        ],
    ),
    "unknown box": (
        "Heron,1,box,toilet bx,,,,,,,\n",
        ['load.csv:4:13: error: unknown box "toilet bx" (unknown-box)', "  try: toilet box"],
    ),
    "unknown lot": (
        "Heron,1,item,tent,,,,,,,tents\n",
        ['load.csv:4:25: error: unknown lot "tents" (unknown-lot)', "  try: tent"],
    ),
    "things of one's own and of nobody": (
        "Heron,1,item,helmet,,,,,,,\nHeron,1,item,filter,,,,,,,\n",
        [
            'load.csv:4:14: error: "helmet" is no kit of the party (not-owned)',
            "  try: leave out what people wear of their own",
            'load.csv:5:14: error: the party has no "filter" (not-owned)',
            "  try: add it to the kit of the trip",
        ],
    ),
    "what is aboard on other days": (
        f'{LATER}Heron,3,item,first-aid kit,,quick,,,,,\nHeron,3,box,"food, day 1, sack",,,,,,,\n',
        [
            'load.csv:7:14: error: "first-aid kit" is not there on day 3 (item-away)',
            "  try: look at from_day",
            'load.csv:8:13: error: "food, day 1, sack" is not there on day 3 (box-away)',
            "  try: look at from_day",
        ],
    ),
    "more kit than there is": (
        "Heron,1,item,throw bag 15 m,2,quick,,,,,\nDipper,1,item,throw bag 15 m,1,quick,,,,,\n",
        [
            'load.csv:5:30: error: 3 x "throw bag 15 m" in the boats on days 1-2, and there are 2 (more-than-owned)',
            "  try: count again, or look at the trip",
        ],
    ),
    "more tents than of the camp and one's own": (
        "Dipper,1,item,tent,3,,,,,,\nHeron,1,item,tent,2,,,,,,\n",
        [
            'load.csv:4:20: error: 5 x "tent" in the boats on days 1-2, and there are 3 (more-than-owned)',
            "  try: count again, or look at the trip",
        ],
    ),
    "more boxes than there are": (
        'Heron,1,box,sack,3,,,,,,\nDipper,1,box,"food, day 2, sack",1,,,,,,\n',
        [
            'load.csv:4:18: error: 4 x "sack" in the boats on days 1-2, and there are 3 (more-than-owned)',
            "  try: count again, or look at the trip",
        ],
    ),
    "one box twice": (
        'Heron,1,box,"toilet, toilet box 1 of 2",,,,,,,\nDipper,1,box,"toilet, toilet box 1 of 2",,,,,,,\nDipper,1,box,"toilet, toilet box 2 of 2",2,,,,,,\n',
        [
            "load.csv:5:14: error: this box lies in a boat already, at load.csv:4:1 (box-twice)",
            ONCE,
            "load.csv:6:42: error: count is 2, and this is a single box (more-than-one)",
            "  try: 1, or leave it out",
        ],
    ),
    "what may lie in two ways": (
        "Heron,1,item,throw bag 15 m,,,,,,,\n",
        ['load.csv:4:30: error: how "throw bag 15 m" is carried is not said (missing-key)', HOW],
    ),
    "stores that do not lie so": (
        "Heron,1,item,guitar,1,quick,,,,,\n",
        [
            'load.csv:4:23: error: "guitar" is of the stores, and these lie stowed (carried-otherwise)',
            "  try: stowed, or leave it out",
        ],
    ),
    "worn by nobody, somebody elsewhere, nobody known": (
        "Heron,1,item,throw bag 15 m,1,worn,,,,,\nHeron,1,item,throw bag 15 m,1,worn,Bo,,,,\nHeron,1,item,throw bag 15 m,1,worn,Anna,,,,\nHeron,1,item,throw bag 15 m,1,quick,Ana,,,,\n",
        [
            "load.csv:4:36: error: worn_by is missing (missing-key)",
            FILL,
            'load.csv:5:36: error: Bo sits in "Dipper", and wears nothing of another boat (worn-elsewhere)',
            "  try: somebody who sits in this boat",
            'load.csv:6:36: error: unknown paddler "Anna" (unknown-paddler)',
            "  try: Ana",
            'load.csv:7:37: error: worn_by is said, and "throw bag 15 m" is quick (carried-otherwise)',
            "  try: worn, or leave it out",
        ],
    ),
    "counts that are none": (
        "".join(f"Heron,1,item,tent,{count},,,,,,\n" for count in ("x", "0", "-1", "1.5", "10001")),
        [
            "load.csv:4:19: error: row 'tent': count must be a whole number, not \"x\" (wrong-type)",
            WHOLE,
            "load.csv:5:19: error: row 'tent': count must be a whole number from 1 to 10000, not 0 (out-of-range)",
            "  try: look for a slip",
            "load.csv:6:19: error: row 'tent': count must be a whole number from 1 to 10000, not -1 (out-of-range)",
            "  try: look for a slip",
            "load.csv:7:19: error: row 'tent': count must be a whole number, not \"1.5\" (wrong-type)",
            WHOLE,
            "load.csv:8:19: error: row 'tent': count must be a whole number from 1 to 10000, not 10001 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "words that are none": (
        "Heron,1,set,Ana,,,,,,,\nHeron,1,item,tent,,stowd,,,,,\nHeron,1,station,above,,,,Chute,hihg,,\nHeron,one,item,tent,,,,,,,\n",
        [
            'load.csv:4:9: error: row \'Ana\': row must be "seat", "item", "box", "station", "order", "rows twice", "supply" or "caution", not "set" (unknown-word)',
            "  try: seat",
            'load.csv:5:20: error: row \'tent\': carried must be "worn", "quick" or "stowed", not "stowd" (unknown-word)',
            "  try: stowed",
            'load.csv:6:32: error: row \'above\': flow must be "low", "medium" or "high", not "hihg" (unknown-word)',
            "  try: high",
            "load.csv:7:7: error: row 'tent': from_day must be a whole number, not \"one\" (wrong-type)",
            WHOLE,
        ],
    ),
    "empty cells that must not be": (
        ",1,item,tent,,,,,,,\nHeron,1,,tent,,,,,,,\nHeron,1,item,,,,,,,,\n",
        [
            "load.csv:4:1: error: boat is missing (missing-key)",
            FILL,
            "load.csv:5:9: error: row 'tent': row is missing (missing-key)",
            FILL,
            "load.csv:6:14: error: name is missing (missing-key)",
            FILL,
        ],
    ),
    "day after the end": (
        "Heron,4,item,tent,,,,,,,\n",
        [
            "load.csv:4:7: error: from_day is day 4, and the trip has 3 days (day-after-end)",
            "  try: change it",
        ],
    ),
    "row with too many fields": (
        "Heron,1,item,tent,,,,,,,,\n",
        [
            "load.csv:4:1: error: this row has 12 fields, and the header has 11 (csv-field-count)",
            "  try: put a field that holds commas in double quotes",
        ],
    ),
    "what a row that ends early lacks": (
        "Heron,1,item\nHeron,1,item,throw bag 15 m\n",
        [
            "load.csv:4:9: error: name is missing (missing-key)",
            FILL,
            'load.csv:5:14: error: how "throw bag 15 m" is carried is not said (missing-key)',
            HOW,
        ],
    ),
    "one place for two boats and two for one": (
        "Heron,1,order,1,,,,,,,\nDipper,1,order,1,,,,,,,\nHeron,1,order,2,,,,,,,\nDipper,1,order,3,,,,,,,\nDipper,1,order,last,,,,,,,\n",
        [
            'load.csv:5:16: error: place 1 is that of "Heron" already, at load.csv:4:1 (place-twice)',
            "  try: give each boat its own place",
            "load.csv:6:1: error: this boat has a place already, at load.csv:4:1 (place-twice)",
            "  try: give it one place",
            'load.csv:7:16: error: "3" is no place of 2 boats (no-such-place)',
            "  try: a whole number from 1 to 2",
            'load.csv:8:16: error: "last" is no place of 2 boats (no-such-place)',
            "  try: a whole number from 1 to 2",
        ],
    ),
    "boat without a place": (
        "Heron,1,order,2,,,,,,,\n",
        [
            'load.csv:3:1: error: "Dipper" has no place in the order on days 1-2 (place-missing)',
            "  try: a row order for each boat, or for none",
        ],
    ),
    "station that needs an order": (
        "Heron,1,station,below,,,,Chute,,after its run,\n",
        [
            "load.csv:4:33: error: which boats run after its run is not said (order-missing)",
            "  try: add a row order for each boat",
        ],
    ),
    "stations that can't be": (
        f"{ORDER}Heron,1,station,bellow,,,,Chute,,after its run,\nHeron,1,station,below,,,,Shute,,after its run,\nHeron,1,station,below,,,,Ledge,,after its run,\nHeron,1,station,below,,,,Chute,high,after its run,\nHeron,1,station,below,,,,Chute,,after it runs,\nHeron,1,station,below,,,,,,after its run,\nHeron,1,station,below,,,,Chute,,,\nHeron,1,station,below,,,,Chute,,Heron runs,\n",
        [
            'load.csv:6:17: error: unknown station "bellow" (unknown-station)',
            "  try: below",
            'load.csv:7:26: error: unknown rapid "Shute" (unknown-rapid)',
            "  try: Chute",
            'load.csv:8:26: error: "Heron" does not pass "Ledge" on days 1-2 (rapid-away)',
            "  try: look at the boat and at from_day",
            'load.csv:9:32: error: "Chute" is planned for at medium water (flow-not-planned)',
            "  try: the same --flow, or leave it out",
            'load.csv:10:33: error: "after it runs" is nothing to wait for here (unknown-while)',
            "  try: after its run",
            "load.csv:11:26: error: rapid is missing (missing-key)",
            FILL,
            "load.csv:12:33: error: while is missing (missing-key)",
            FILL,
            'load.csv:13:33: error: "Heron runs" is nothing to wait for here (unknown-while)',
            "  try: Dipper runs",
        ],
    ),
    "one station twice": (
        f"{ORDER}Heron,1,station,below,,,,Chute,,after its run,\nHeron,1,station,left,,,,Chute,,Dipper runs,\n",
        [
            "load.csv:7:1: error: this station is given already, at load.csv:6:1 (station-twice)",
            ONCE,
        ],
    ),
    "two who row one boat twice": (
        "Heron,1,rows twice,Bo,,,,Chute,,,\nHeron,1,rows twice,Ana,,,,Chute,,,\nHeron,1,rows twice,Cy,,,,Riffle,,,\n",
        [
            "load.csv:5:20: error: Bo rows this boat there already, at load.csv:4:1 (rower-twice)",
            "  try: leave one of the two out",
            'load.csv:6:20: error: paddler "Cy" is not there on days 1-2 (paddler-away)',
            OUT,
        ],
    ),
}


@pytest.mark.parametrize(("rows", "expected"), SEATED.values(), ids=SEATED.keys())
def test_says_what_is_wrong_with_rows(trip: Trip, rows: str, expected: list[str]) -> None:
    load, lines = read(trip, f"{HEADER}\n{SEATS}{rows}")
    assert lines == expected
    assert load is None


FILES: dict[str, tuple[str, str | bytes, list[str]]] = {
    "unknown boat": (
        "load.csv",
        "boat,row,name\nHerron,seat,Ana\nDipper,seat,Bo\n",
        ['load.csv:2:1: error: unknown boat "Herron" (unknown-boat)', "  try: Heron"],
    ),
    "unknown paddler": (
        "load.csv",
        "boat,row,name\nHeron,seat,Anna\nDipper,seat,Bo\n",
        ['load.csv:2:12: error: unknown paddler "Anna" (unknown-paddler)', "  try: Ana"],
    ),
    "boats that nobody is in": (
        "load.csv",
        "boat,row,name\nHeron,item,throw bag 20 m\n",
        ["load.csv:1:1: error: nobody has a seat on days 1-2 (no-seats)", SEAT],
    ),
    "nothing": (
        "load.csv",
        "\n",
        [
            "load.csv:1:1: error: this file is empty (csv-empty)",
            "  try: begin with a line of column names: boat,row,name",
        ],
    ),
    "header alone": (
        "load.csv",
        "boat,row,name\n",
        [
            "load.csv:1:1: error: this load has no rows (no-rows)",
            "  try: write a row below the header for each person and thing in a boat",
        ],
    ),
    "columns unknown and missing": (
        "load.csv",
        "boat,row,nam,coutn\nHeron,seat,Ana,1\n",
        [
            'load.csv:1:1: error: column "name" is missing (csv-missing-column)',
            "  try: the header is the first line",
            'load.csv:1:10: error: unknown column "nam" (csv-unknown-column)',
            "  try: name",
            'load.csv:1:14: error: unknown column "coutn" (csv-unknown-column)',
            "  try: count",
        ],
    ),
    "a plan file": (
        "load.csv",
        '\n{\n"caution": "x"}',
        [
            "load.csv:1:1: error: this is JSON, perhaps a plan file, and a load is CSV or TOML (broken-load)",
            "  try: `kitplan plan TRIP --out load.csv` writes one",
        ],
    ),
    "quote left open": (
        "load.csv",
        'boat,row,name\nHeron,seat,"Ana\n',
        [
            "load.csv:2:12: error: this field begins with a quote that is never closed (csv-open-quote)",
            "  try: close it, or leave it out",
        ],
    ),
    "no text": (
        "load.csv",
        b"boat,row,name\nHeron,seat,\xff\n",
        [
            "load.csv:2:12: error: byte 0xff here is not UTF-8 text (not-utf8)",
            '  try: save the file as "UTF-8" in your editor or spreadsheet',
        ],
    ),
    "control characters": (
        "load.csv",
        'boat,row,name\nHeron,seat,"An\na"\nDipper,seat,Bo\n',
        [
            "load.csv:2:12: error: row 1: name has a control character in it (control-character)",
            "  try: retype it on one line",
        ],
    ),
    "empty TOML": (
        "load.toml",
        "",
        [
            "load.toml:1:1: error: this load has no rows (no-rows)",
            "  try: begin each with [[row]], its boat, row, name below",
        ],
    ),
    "another TOML": (
        "load.toml",
        '# mine\n[trip]\nname = "x"\n',
        [
            "load.toml:2:2: error: this load has no rows (no-rows)",
            "  try: begin each with [[row]], its boat, row, name below",
        ],
    ),
    "one table": (
        "load.toml",
        '[row]\nboat = "Heron"\n',
        [
            "load.toml:1:2: error: [row] is one table, and row must be a list of them (wrong-type)",
            "  try: write [[row]], with two brackets",
        ],
    ),
    "broken TOML": (
        "load.toml",
        "[[row\n",
        [
            "load.toml:1:6: error: the table heading is not closed (broken-toml)",
            "  try: end it with ]]",
        ],
    ),
    "keys of TOML": (
        "load.toml",
        '[[row]]\nboat = "Heron"\nrow = "seat"\nnam = "Ana"\n\n[[row]]\nboat = "Dipper"\nrow = "seat"\n\n[[row]]\nboat = "Heron"\nrow = "item"\nname = "tent"\ncount = inf\n\n[[row]]\nboat = "Heron"\nrow = "item"\nname = "tent"\ncount = "2"\n',
        [
            'load.toml:4:1: error: row 1: unknown key "nam" (unknown-key)',
            "  try: name",
            "load.toml:6:1: error: name is missing (missing-key)",
            "  try: write name = ...",
            "load.toml:14:1: error: count: nan, inf and endless numbers are no quantities (number-out-of-range)",
            "  try: write a plain number",
            "load.toml:20:1: error: row 'tent': count must be a whole number, not \"2\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "place of a name in TOML": (
        "load.toml",
        '[[row]]\nboat = "Heron"\nrow = "seat"\nname = "Anna"\n\n[[row]]\nboat = "Dipper"\nrow = "seat"\nname = "Bo"\n',
        ['load.toml:4:1: error: unknown paddler "Anna" (unknown-paddler)', "  try: Ana"],
    ),
}


@pytest.mark.parametrize(("name", "text", "expected"), FILES.values(), ids=FILES.keys())
def test_says_what_is_wrong_with_a_file(
    trip: Trip, name: str, text: str | bytes, expected: list[str]
) -> None:
    load, lines = read(trip, text, name)
    assert lines == expected
    assert load is None


CELLS = {
    "boat": ["Heron", "Dipper", "Herron", ""],
    "from_day": ["1", "3", "", "4", "x"],
    "row": ["seat", "item", "box", "station", "order", "rows twice", "caution", "sit", ""],
    "name": ["Ana", "Bo", "tent", "throw bag 15 m", "sack", "toilet, toilet box 1 of 2", "1", "above", ""],
    "count": ["", "1", "2", "0", "one"],
    "carried": ["", "worn", "quick", "stowed", "lost"],
    "worn_by": ["", "Ana", "Cy", "nobody"],
    "rapid": ["Chute", "Ledge", "Riffle", "", "x"],
    "flow": ["", "medium", "high"],
    "while": ["before its run", "after its run", "Dipper runs", "", "'=1"],
    "lot": ["", "", "tent", "x"],
}  # fmt: skip
ROWS = st.lists(st.tuples(*(st.sampled_from(cells) for cells in CELLS.values())), max_size=12)


@given(ROWS)
def test_nothing_raises_and_there_is_a_load_unless_an_error_is_said(
    rows: list[tuple[str, ...]],
) -> None:
    stream = io.StringIO()
    csv.writer(stream).writerows([list(CELLS), *rows])
    load, lines = read(make_trip(), stream.getvalue())
    assert (load is None) == any(": error: " in line for line in lines)


@given(st.binary(max_size=60), st.sampled_from(["load.csv", "load.toml"]))
def test_no_bytes_make_it_raise(data: bytes, name: str) -> None:
    heads = {"load.csv": b"boat,row,name\n", "load.toml": b"[[row]]\n"}
    load, lines = read(make_trip(), heads[name] + data, name)
    assert load is None
    assert lines
