# ruff: noqa: E501 - a finding is one line, however long
"""Names nobody can tell apart, signs that steer a terminal, pipes, numbers beyond all bounds."""

import os
from pathlib import Path
from typing import TypeAlias

import pytest

from tests.inputs.texts import TRIP, load, spoil

Edits: TypeAlias = list[tuple[str, str]]

CASES: dict[str, tuple[Edits, list[str]]] = {
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
def test_says_what_is_strange(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    edits, lines = CASES[name]
    monkeypatch.chdir(tmp_path)
    loaded = load(tmp_path, spoil(TRIP, *edits))
    assert loaded.trip is None
    assert [line for line in loaded.lines if line in lines] == lines
    assert all(line.isprintable() for line in loaded.lines)


def test_a_pipe_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.mkfifo(tmp_path / "people.csv")
    monkeypatch.chdir(tmp_path)
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
def test_a_flood_is_cut_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    head, table, where = FLOODS[name]
    monkeypatch.chdir(tmp_path)
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
