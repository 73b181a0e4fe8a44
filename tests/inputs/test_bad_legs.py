# ruff: noqa: E501 - a finding is one line, however long
"""Days on which boats, people and kit are there that can't be, and what is said of them.

Every finding of a run is asserted whole. The words are the program's own.
"""

from pathlib import Path

import pytest

from tests.inputs.texts import CATALOG, TRIP, Cases, load, reject, spoil

CASES: Cases = {
    "a boat from after the end": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 3\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': from is day 3, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "a boat to after the end": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 3\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': to is day 3, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "a paddler from after the end": (
        [('mass = "154 lb"\n', 'mass = "154 lb"\nfrom = 60\n')],
        [
            "trips/x.toml:35:1: error: paddler 'Cy': from is day 60, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "kit to after the end": (
        [('item = "first-aid kit"\ncount = 1\n', 'item = "first-aid kit"\ncount = 1\nto = 3\n')],
        [
            "trips/x.toml:44:1: error: kit 'first-aid kit': to is day 3, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "a trip of one day by its head": (
        [
            ("starts = 2027-06-14", "starts = 2027-06-14\ndays = 1"),
            ("day = 2\n", "day = 1\n"),
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            ),
        ],
        [
            "trips/x.toml:18:1: error: boat 'Wren': from is day 2, and the trip has 1 day (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "to before from": (
        [('mass = "154 lb"\n', 'mass = "154 lb"\nfrom = 2\nto = 1\n')],
        [
            "trips/x.toml:36:1: error: paddler 'Cy': to is day 1, and from is day 2 (days-turned-round)",
            "  try: from is the first day, to the last one",
        ],
    ),
    "kit turned round": (
        [
            (
                'item = "first-aid kit"\ncount = 1\n',
                'item = "first-aid kit"\ncount = 1\nfrom = 2\nto = 1\n',
            )
        ],
        [
            "trips/x.toml:45:1: error: kit 'first-aid kit': to is day 1, and from is day 2 (days-turned-round)",
            "  try: from is the first day, to the last one",
        ],
    ),
    "a boat turned round": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\nto = 1\n',
            )
        ],
        [
            "trips/x.toml:18:1: error: boat 'Wren': to is day 1, and from is day 2 (days-turned-round)",
            "  try: from is the first day, to the last one",
        ],
    ),
    "from as text": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = "2"\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': from must be a whole number, not \"2\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "from 0": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 0\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': from must be a whole number from 1 to 60, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "from 61": (
        [('mass = "154 lb"\n', 'mass = "154 lb"\nfrom = 61\n')],
        [
            "trips/x.toml:35:1: error: paddler 'Cy': from must be a whole number from 1 to 60, not 61 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "from true": (
        [
            (
                'item = "first-aid kit"\ncount = 1\n',
                'item = "first-aid kit"\ncount = 1\nfrom = true\n',
            )
        ],
        [
            "trips/x.toml:44:1: error: kit 'first-aid kit': from must be a whole number, not true (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "to 0": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 0\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': to must be a whole number from 1 to 60, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "to 1.5": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 1.5\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': to must be a whole number, not 1.5 (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "from a date": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2027-06-15\n',
            )
        ],
        [
            "trips/x.toml:17:1: error: boat 'Wren': from must be a whole number, not 2027-06-15 (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "a day with no boat": (
        [
            ('dry_load = "120 kg"\n', 'dry_load = "120 kg"\nto = 1\n'),
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 1\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nto = 1\n'),
        ],
        [
            "trips/x.toml:9:3: error: no boat is on the water on day 2 (no-boats)",
            "  try: look at from and to, and at days in [trip]",
        ],
    ),
    "the first day with no boat": (
        [
            ('dry_load = "120 kg"\n', 'dry_load = "120 kg"\nfrom = 2\n'),
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nfrom = 2\n'),
        ],
        [
            "trips/x.toml:9:3: error: no boat is on the water on day 1 (no-boats)",
            "  try: look at from and to, and at days in [trip]",
        ],
    ),
    "a day with nobody": (
        [
            ('mass = "68 kg"\n', 'mass = "68 kg"\nto = 1\n'),
            ('name = "Bo"\n', 'name = "Bo"\nto = 1\n'),
            ('mass = "154 lb"\n', 'mass = "154 lb"\nto = 1\n'),
        ],
        [
            "trips/x.toml:18:3: error: nobody is on the water on day 2 (no-paddlers)",
            "  try: look at from and to, and at days in [trip]",
        ],
    ),
    "tied to a boat that comes later": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            )
        ],
        [
            "trips/x.toml:30:1: error: paddler 'Bo': boat \"Wren\" is not on the water on day 1 (boat-away)",
            "  try: change the days of one of them, or leave boat out",
        ],
    ),
    "tied to a boat that leaves": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 1\n',
            )
        ],
        [
            "trips/x.toml:30:1: error: paddler 'Bo': boat \"Wren\" is not on the water on day 2 (boat-away)",
            "  try: change the days of one of them, or leave boat out",
        ],
    ),
    "tied for days that never meet": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 1\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nfrom = 2\n'),
        ],
        [
            "trips/x.toml:31:1: error: paddler 'Bo': boat \"Wren\" is not on the water on day 2 (boat-away)",
            "  try: change the days of one of them, or leave boat out",
        ],
    ),
    "a group with a boat that is away": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nfrom = 2\n'),
            ("eddies = 2\n", 'eddies = 2\ngroups = [["Heron", "Wren"]]\n'),
        ],
        [
            "trips/x.toml:57:21: error: rapid 'Sawtooth', groups: boat \"Wren\" is not on the water on day 1 (boat-away)",
            "  try: leave it out, or change its days",
        ],
    ),
    "too few seats in one leg": (
        [('dry_load = "120 kg"\n', 'dry_load = "120 kg"\nto = 1\n')],
        [
            "trips/x.toml:26:1: error: 3 people, but the boats have 1 seat on day 2 (too-few-seats)",
            "  try: bring one more boat, or fewer people",
        ],
    ),
    "too few seats on both days": (
        [
            ('type = "oar raft 4.3 m"', 'type = "river kayak"'),
            ('dry_load = "120 kg"\n', ""),
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nfrom = 2\n'),
        ],
        [
            "trips/x.toml:33:1: error: 2 people, but the boats have 1 seat on day 1 (too-few-seats)",
            "  try: bring one more boat, or fewer people",
        ],
    ),
    "apart, and boats too few on one day": (
        [
            ('["Ana", "Bo"]', '["Ana", "Cy"]'),
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nto = 1\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nto = 1\n'),
            ('[[together]]\npaddlers = ["Ana", "Cy"]\n', ""),
        ],
        [
            "trips/x.toml:78:1: error: 2 people sit apart by this, and the boats are 1 (people-conflict)",
            "  try: bring more boats, or name fewer people",
        ],
    ),
    "together and apart meet on one day": (
        [('["Ana", "Bo"]', '["Ana", "Cy"]'), ('mass = "154 lb"\n', 'mass = "154 lb"\nfrom = 2\n')],
        [
            "trips/x.toml:79:1: error: 'Ana' and 'Cy' sit apart by this, and in one boat by trips/x.toml:76:1 (people-conflict)",
            "  try: change one of them, or leave it out",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=list(CASES))
def test_says_what_is_wrong_with_days(edits: list[tuple[str, str]], expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected


def test_who_never_meets_may_be_said_to_sit_together_and_apart(tmp_path: Path) -> None:
    """Ana leaves after day 1, when Cy comes: no leg has both of them."""
    apart = ('["Ana", "Bo"]', '["Ana", "Cy"]')
    days = (
        ('mass = "68 kg"\n', 'mass = "68 kg"\nto = 1\n'),
        (
            'mass = "154 lb"\n',
            'mass = "154 lb"\nfrom = 2\n',
        ),
    )
    loaded = load(tmp_path, spoil(TRIP, apart, *days))
    assert loaded.lines == []
    assert loaded.trip is not None
    assert [leg.paddlers for leg in loaded.trip.legs] == [("Ana", "Bo"), ("Bo", "Cy")]


BOATS = "name,type,dry_load,from,to\n"


def load_boats(folder: Path, rows: str) -> tuple[list[str], list[tuple[str, ...]]]:
    """Return what is said of boats in a CSV file, and the boats of each leg."""
    start, end = TRIP.index("[[boat]]"), TRIP.index("[[paddler]]")
    trip = TRIP[:start] + TRIP[end : TRIP.index("[[apart]]")]
    trip = spoil(trip, ("[trip]\n", '[trip]\nboats = "boats.csv"\n'), ('boat = "Wren"\n', ""))
    loaded = load(folder, trip, CATALOG, boats=BOATS + rows)
    return loaded.lines, [leg.boats for leg in loaded.trip.legs] if loaded.trip else []


def test_days_of_a_csv_row_cut_the_trip_as_those_of_a_table(tmp_path: Path) -> None:
    rows = "Heron,oar raft 4.3 m,120 kg,,\nWren,river kayak,,2,2\n"
    assert load_boats(tmp_path, rows) == ([], [("Heron",), ("Heron, from day 2", "Wren")])


CSV_CASES: dict[str, tuple[str, list[str]]] = {
    "a text": (
        "two,",
        [
            "trips/boats.csv:3:19: error: boat 'Wren': from must be a whole number, not \"two\" (wrong-type)",
            "  try: write a whole number",
        ],
    ),
    "nought": (
        "0,",
        [
            "trips/boats.csv:3:19: error: boat 'Wren': from must be a whole number from 1 to 60, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "beyond any trip": (
        ",61",
        [
            "trips/boats.csv:3:20: error: boat 'Wren': to must be a whole number from 1 to 60, not 61 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "after the end": (
        "3,",
        [
            "trips/boats.csv:3:19: error: boat 'Wren': from is day 3, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "turned round": (
        "2,1",
        [
            "trips/boats.csv:3:21: error: boat 'Wren': to is day 1, and from is day 2 (days-turned-round)",
            "  try: from is the first day, to the last one",
        ],
    ),
    "a fraction": (
        "1.5,",
        [
            "trips/boats.csv:3:19: error: boat 'Wren': from must be a whole number, not \"1.5\" (wrong-type)",
            "  try: write a whole number",
        ],
    ),
}


@pytest.mark.parametrize(("days", "expected"), CSV_CASES.values(), ids=list(CSV_CASES))
def test_says_what_is_wrong_with_days_in_a_csv_row(
    tmp_path: Path, days: str, expected: list[str]
) -> None:
    rows = f"Heron,oar raft 4.3 m,120 kg,,\nWren,river kayak,,{days}\n"
    assert load_boats(tmp_path, rows) == (expected, [])
