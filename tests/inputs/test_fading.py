# ruff: noqa: E501 - a finding is one line, however long
"""Skills that fade: what counts how much, what is said of it, and what is wrong of it.

No standard says when skill fades: the rule is the house's own. Days are counted by hand on a calendar.
"""

from datetime import date
from pathlib import Path

import pytest

from kitplan.check import check_party
from kitplan.explain import SolveOptions, plan_trip
from kitplan.load.fading import add_months
from kitplan.needs import derive_needs
from kitplan.report.check import render_check
from kitplan.report.documents import write_needs
from kitplan.report.needs import render_needs
from kitplan.report.plan import render_plan
from kitplan.trip import Trip
from tests.inputs.test_bad_csv import load_people
from tests.inputs.texts import TRIP, Cases, Edits, load, reject, spoil

SKILLS = 'skills = { throwing = 3, leading = 3, "oar raft" = 4 }'
RULE = ("remote", "")


def fade(rule: str, practised: str) -> Trip:
    """Return the trip, which starts on 2027-06-14, with a rule and days of Ana's practice."""
    text = spoil(
        TRIP,
        ('water_temperature = "8 degC"\n', f'water_temperature = "8 degC"\n{rule}\n'),
        (SKILLS, f"{SKILLS}\n{practised}"),
    )
    loaded = load(Path(), text)
    assert loaded.lines == []
    assert loaded.trip is not None
    return loaded.trip


LONG_AGO = "practised = { throwing = 2020-01-01 }"
SIX = 'fades_after = "6 months"'


@pytest.mark.parametrize(
    ("rule", "last", "level"),
    [
        ("", "2020-01-01", 3),
        (SIX, "2026-12-13", 2),
        (SIX, "2026-12-14", 3),
        (SIX, "2027-06-14", 3),
        ('fades_after = "1 year"', "2026-06-14", 3),
        ('fades_after = "1 year"', "2026-06-13", 2),
        ('fades_after = "50 years"', "1900-01-01", 2),
    ],
)
def test_a_skill_fades_the_day_after_its_months(rule: str, last: str, level: int) -> None:
    """Practised on 14 December, the sixth month ends with the day on which the trip starts."""
    ana = fade(rule, f"practised = {{ throwing = {last} }}").paddlers["Ana"]
    assert ana.skills == {"throwing": level, "leading": 3, "oar raft": 4}
    assert ana.faded == ((("throwing", 3),) if level == 2 else ())
    assert ana.undated == (("leading", "oar raft") if rule else ())


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 1, 31), 3, date(2026, 4, 30)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
    ],
)
def test_months_end_on_the_last_day_there_is(day: date, months: int, expected: date) -> None:
    """28 days in February 2027, 29 in 2028 and 2024, 30 in April: the Gregorian calendar."""
    assert add_months(day, months) == expected


def test_a_level_of_one_fades_to_none_and_nobody_becomes_a_guest() -> None:
    text = spoil(
        TRIP,
        ('water_temperature = "8 degC"\n', f'water_temperature = "8 degC"\n{SIX}\n'),
        (
            "skills = { kayak = 3 }",
            "skills = { kayak = 2, rope = 1 }\npractised = { kayak = 2020-01-01, rope = 2020-01-01 }",
        ),
    )
    trip = load(Path(), text).trip
    assert trip is not None
    bo = trip.paddlers["Bo"]
    assert (bo.skills, bo.guest) == ({"kayak": 1, "rope": 0}, False)


def test_every_sheet_says_that_the_rule_is_on() -> None:
    trip = fade(SIX, "practised = { throwing = 2026-01-01, leading = 2027-05-01 }")
    needs = derive_needs(trip)
    plan = plan_trip(trip, SolveOptions(workers=1)).plan
    assert plan is not None
    said = {
        "plan": render_plan(trip, needs, plan, "text"),
        "check": render_check(trip, needs, check_party(trip, needs), "text"),
        "needs": render_needs(trip, needs, "text"),
    }
    rule = (
        "Skills fade: what was not practised in the 6 months before the trip starts counts one "
        "level lower. So count: Ana (throwing 2 for 3)."
    )
    for text in said.values():
        assert rule in " ".join(text.split())
    undated = (
        "No day of practice is given, and the level counts in full: Ana (oar raft) and Bo (kayak)."
    )
    assert undated in " ".join(said["needs"].split())
    assert '"fades_after_months": 6' in write_needs(trip, needs)


def test_without_the_rule_nothing_is_said() -> None:
    trip = fade("", "practised = { throwing = 2026-01-01 }")
    assert "fade" not in render_needs(trip, derive_needs(trip), "text")


@pytest.mark.parametrize(("rule", "able"), [("", True), (SIX, False)])
def test_what_faded_is_not_counted_on(*, rule: str, able: bool) -> None:
    """The ledge is 11 m from river right: throwing 2 reaches 12 m, throwing 1 only 8 m."""
    text = spoil(
        TRIP,
        ('water_temperature = "8 degC"\n', f'water_temperature = "8 degC"\n{rule}\n'),
        ("right = { landing = 0,", "right = { landing = 2, eddy = true,"),
        (SKILLS, f"{SKILLS.replace('throwing = 3', 'throwing = 2')}\n{LONG_AGO}"),
    )
    trip = load(Path(), text).trip
    assert trip is not None
    rows = check_party(trip, derive_needs(trip)).roles
    throwers = {dict(row.ask.skills)["throwing"]: row.able for row in rows if row.role == "thrower"}
    assert throwers == {1: ("Ana",), 2: ("Ana",) if able else ()}


CASES: Cases = {
    "no month": (
        [("water_temperature", 'fades_after = "0 months"\nwater_temperature')],
        [
            "trips/x.toml:5:1: error: trip: fades_after must be from 1 month to 50 years, not 0 months (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "minus three months": (
        [("water_temperature", 'fades_after = "-3 months"\nwater_temperature')],
        [
            'trips/x.toml:5:1: error: trip: fades_after must not be negative, and "-3 months" is (out-of-range)',
            "  try: leave the minus sign out",
        ],
    ),
    "weeks": (
        [("water_temperature", 'fades_after = "6 weeks"\nwater_temperature')],
        [
            'trips/x.toml:5:1: error: trip: fades_after "6 weeks" has an unknown unit, "weeks" (unknown-unit)',
            "  try: the units of span of months are month, months, year, years",
        ],
    ),
    "a time": (
        [("water_temperature", 'fades_after = "6 h"\nwater_temperature')],
        [
            'trips/x.toml:5:1: error: trip: fades_after "6 h" is a time, not a span of months (wrong-unit)',
            "  try: the units of span of months are month, months, year, years",
        ],
    ),
    "a number": (
        [("water_temperature", "fades_after = 6\nwater_temperature")],
        [
            "trips/x.toml:5:1: error: trip: fades_after must be quoted text, a number with its unit, not 6 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "unknown skill": (
        [(SKILLS, f"{SKILLS}\npractised = {{ throwin = 2027-01-01 }}")],
        [
            "trips/x.toml:22:15: error: paddler 'Ana', practised: unknown skill \"throwin\" (unknown-skill)",
            "  try: throwing",
        ],
    ),
    "a skill not held": (
        [(SKILLS, f"{SKILLS}\npractised = {{ rope = 2027-01-01 }}")],
        [
            "trips/x.toml:22:15: error: paddler 'Ana', practised: \"rope\" is not among the skills (skill-not-held)",
            "  try: add its level to skills",
        ],
    ),
    "after the trip starts": (
        [(SKILLS, f"{SKILLS}\npractised = {{ throwing = 2027-06-15 }}")],
        [
            "trips/x.toml:22:15: error: paddler 'Ana', practised: throwing was last practised on 2027-06-15, and the trip starts on 2027-06-14 (practised-after-start)",
            "  try: give the last day before it",
        ],
    ),
    "a day in quotes": (
        [(SKILLS, f'{SKILLS}\npractised = {{ throwing = "2027-06-01" }}')],
        [
            "trips/x.toml:22:15: error: paddler 'Ana', practised: throwing must be a date without quotes, not \"2027-06-01\" (wrong-type)",
            "  try: write it as 2027-06-14, without quotes",
        ],
    ),
    "a start that is none": (
        [
            ("starts = 2027-06-14", "starts = 1027-06-14"),
            (SKILLS, f"{SKILLS}\npractised = {{ throwing = 2027-06-01 }}"),
        ],
        [
            "trips/x.toml:3:1: error: trip: starts must be a day from 1990-01-01 to 2200-01-01, not 1027-06-14 (out-of-range)",
            "  try: look at the year",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=CASES.keys())
def test_says_what_is_wrong(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected


def test_a_column_of_practice() -> None:
    people = "name,mass,skills,practised\nAna,68 kg,throwing 3; oar raft 4,oar raft 2027-05-01; throwing 2026-01-01\nBo,80 kg,kayak 3,\n"
    trip = load_people(Path(), people).trip
    assert trip is not None
    assert trip.paddlers["Ana"].skills == {"throwing": 3, "oar raft": 4}


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (
            "throwing",
            [
                'trips/people.csv:2:34: error: "throwing" is not a skill and the day it was last practised (csv-bad-entry)',
                '  try: write "throwing 2027-05-01"',
            ],
        ),
        (
            "throwing 2027-13-01",
            [
                'trips/people.csv:2:34: error: there is no date "2027-13-01" (no-such-date)',
                "  try: write a date as 2027-06-14",
            ],
        ),
        (
            "throwing 2027-01-01; throwing 2027-02-01",
            [
                'trips/people.csv:2:34: error: "throwing" is there twice in this field (name-used-twice)',
                "  try: name it once",
            ],
        ),
    ],
)
def test_a_bad_cell_of_practice(cell: str, expected: list[str]) -> None:
    people = (
        f"name,mass,skills,practised\nAna,68 kg,throwing 3; oar raft 4,{cell}\nBo,80 kg,kayak 3,\n"
    )
    assert load_people(Path(), people).lines == expected
