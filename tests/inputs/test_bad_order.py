# ruff: noqa: E501 - a finding is one line, however long
"""Running orders, terms and stations that can't be: a small edit, and what is said of it.

Every finding of a run is asserted whole. The words are the program's own.
"""

from pathlib import Path

import pytest

from kitplan.explain import plan_trip
from tests.inputs.texts import TRIP, Cases, load, reject, spoil

CASES: Cases = {
    "an unknown boat": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nboats = ["Heron", "Wran", "Wren"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        ['trips/x.toml:10:19: error: order: unknown boat "Wran" (unknown-boat)', "  try: Wren"],
    ),
    "a boat twice": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nboats = ["Heron", "Wren", "Heron"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        [
            'trips/x.toml:10:27: error: order: boat "Heron" is there twice (name-used-twice)',
            "  try: name it once",
        ],
    ),
    "one forgotten": (
        [('[[boat]]\nname = "Heron"', '[order]\nboats = ["Heron"]\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: boats leaves out "Wren" (boat-forgotten)',
            "  try: name every boat once, or leave boats out and the order is looked for",
        ],
    ),
    "two forgotten": (
        [('[[boat]]\nname = "Heron"', '[order]\nboats = ["Coot"]\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: boats leaves out "Heron" and "Wren" (boat-forgotten)',
            "  try: name every boat once, or leave boats out and the order is looked for",
            'trips/x.toml:10:10: error: order: unknown boat "Coot" (unknown-boat)',
            "  try: one of Heron, Wren",
        ],
    ),
    "empty": (
        [('[[boat]]\nname = "Heron"', '[order]\nboats = []\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: boats leaves out "Heron" and "Wren" (boat-forgotten)',
            "  try: name every boat once, or leave boats out and the order is looked for",
        ],
    ),
    "a text for a list": (
        [('[[boat]]\nname = "Heron"', '[order]\nboats = "Heron"\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: boats must be a list of quoted texts, not "Heron" (wrong-type)',
            '  try: put it in brackets, as in ["Heron"]',
        ],
    ),
    "a number in the list": (
        [('[[boat]]\nname = "Heron"', '[order]\nboats = ["Heron", 1]\n\n[[boat]]\nname = "Heron"')],
        [
            "trips/x.toml:10:19: error: order: boats 2 must be quoted text, not 1 (wrong-type)",
            '  try: put it in quotes, as in "1"',
        ],
    ),
    "lead 5": (
        [('[[boat]]\nname = "Heron"', '[order]\nlead = 5\n\n[[boat]]\nname = "Heron"')],
        [
            "trips/x.toml:10:1: error: order: levels go from 0 to 4, so lead can't be 5 (out-of-range)",
            "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
        ],
    ),
    "lead -1": (
        [('[[boat]]\nname = "Heron"', '[order]\nlead = -1\n\n[[boat]]\nname = "Heron"')],
        [
            "trips/x.toml:10:1: error: order: levels go from 0 to 4, so lead can't be -1 (out-of-range)",
            "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
        ],
    ),
    "lead as text": (
        [('[[boat]]\nname = "Heron"', '[order]\nlead = "4"\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: lead must be a whole number, not "4" (wrong-type)',
            "  try: write a number, without quotes",
        ],
    ),
    "lead true": (
        [('[[boat]]\nname = "Heron"', '[order]\nlead = true\n\n[[boat]]\nname = "Heron"')],
        [
            "trips/x.toml:10:1: error: order: lead must be a whole number, not true (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "an unknown kind": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nsweep = ["first ade"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        [
            'trips/x.toml:10:10: error: order: unknown kind "first ade" (unknown-kind)',
            "  try: first aid",
        ],
    ),
    "an item for a kind": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nsweep = ["helmet", "first-aid kit"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        [
            'trips/x.toml:10:20: error: order: unknown kind "first-aid kit" (unknown-kind)',
            "  try: first aid",
        ],
    ),
    "sweep a text": (
        [('[[boat]]\nname = "Heron"', '[order]\nsweep = "first aid"\n\n[[boat]]\nname = "Heron"')],
        [
            'trips/x.toml:10:1: error: order: sweep must be a list of quoted texts, not "first aid" (wrong-type)',
            '  try: put it in brackets, as in ["first aid"]',
        ],
    ),
    "an unknown key": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nsweeps = ["first aid"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        ['trips/x.toml:10:1: error: order: unknown key "sweeps" (unknown-key)', "  try: sweep"],
    ),
    "order a text": (
        [("[trip]", 'order = "Heron"\n[trip]')],
        [
            'trips/x.toml:1:1: error: order must be a table, not "Heron" (wrong-type)',
            "  try: look for slipped brackets or quotes",
        ],
    ),
    "order an array": (
        [('[[boat]]\nname = "Heron"', '[[order]]\nlead = 2\n\n[[boat]]\nname = "Heron"')],
        [
            "trips/x.toml:9:3: error: order must be a table, not a list (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "stations free": (
        [("starts = 2027-06-14", 'starts = 2027-06-14\nstations = "free"')],
        [
            'trips/x.toml:4:1: error: trip: stations must be "held" or "reset", not "free" (unknown-word)',
            "  try: reset",
        ],
    ),
    "stations true": (
        [("starts = 2027-06-14", "starts = 2027-06-14\nstations = true")],
        [
            'trips/x.toml:4:1: error: trip: stations must be "held" or "reset", not true (wrong-type)',
            "  try: look for a slip",
        ],
    ),
    "landing_above negative": (
        [("left = { landing = 2,", "left = { landing = 2, landing_above = -1,")],
        [
            "trips/x.toml:52:23: error: rapid 'Sawtooth', left: landing_above must be a whole number from 0 to 100, not -1 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "landing_above text": (
        [("left = { landing = 2,", 'left = { landing = 2, landing_above = "1",')],
        [
            "trips/x.toml:52:23: error: rapid 'Sawtooth', left: landing_above must be a whole number, not \"1\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "landing_above 101": (
        [("left = { landing = 2,", "left = { landing = 2, landing_above = 101,")],
        [
            "trips/x.toml:52:23: error: rapid 'Sawtooth', left: landing_above must be a whole number from 0 to 100, not 101 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "order of a later boat": (
        [
            (
                'name = "Wren"\ntype = "river kayak"\n',
                'name = "Wren"\ntype = "river kayak"\nfrom = 2\n',
            ),
            ('name = "Bo"\n', 'name = "Bo"\nfrom = 2\n'),
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nboats = ["Heron", "Wren", "Wren, from day 2"]\n\n[[boat]]\nname = "Heron"',
            ),
        ],
        [
            'trips/x.toml:10:27: error: order: unknown boat "Wren, from day 2" (unknown-boat)',
            "  try: one of Heron, Wren",
        ],
    ),
    "two unknown, and what they stand for": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nboats = ["Heron", "Wran"]\n\n[[boat]]\nname = "Heron"',
            )
        ],
        [
            'trips/x.toml:10:1: error: order: boats leaves out "Wren" (boat-forgotten)',
            "  try: name every boat once, or leave boats out and the order is looked for",
            'trips/x.toml:10:19: error: order: unknown boat "Wran" (unknown-boat)',
            "  try: Wren",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=list(CASES))
def test_says_what_is_wrong_with_the_order(
    edits: list[tuple[str, str]], expected: list[str]
) -> None:
    assert reject(spoil(TRIP, *edits)) == expected


def test_a_kind_named_twice_counts_once(tmp_path: Path) -> None:
    order = '[order]\nsweep = ["first aid", "first aid"]\n\n[[rapid]]\nday = 1'
    loaded = load(tmp_path, spoil(TRIP, ("[[rapid]]\nday = 1", order)))
    assert loaded.trip is not None, loaded.lines
    assert loaded.trip.order.sweep == ("first aid",)


def plan(folder: Path, *edits: tuple[str, str]) -> list[str]:
    """Return what is said of the small trip with some edits when it can't be planned."""
    loaded = load(folder, spoil(TRIP, *edits))
    assert loaded.trip is not None, loaded.lines
    outcome = plan_trip(loaded.trip)
    assert outcome.plan is None
    return [finding.text() for finding in outcome.findings]


CONFLICTS: Cases = {
    "a steerer for the first boat is not there": (
        [
            ('"oar raft" = 4', '"oar raft" = 3'),
            ('[[boat]]\nname = "Heron"', '[order]\nlead = 4\n\n[[boat]]\nname = "Heron"'),
        ],
        [
            "trips/x.toml:9:2: error: the party can't be seated: these can't hold together: the first boat's steerer has level 4 (trips/x.toml:9:2) (people-conflict)\n  try: none of these can be left out of the conflict; change any one of them"
        ],
    ),
    "no boat for the sweep has the kind": (
        [
            ("take = true", "take = false"),
            ('item = "first-aid kit"', 'item = "helmet"'),
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nsweep = ["first aid"]\n\n[[boat]]\nname = "Heron"',
            ),
        ],
        [
            "trips/x.toml:9:2: error: the party can't be seated: these can't hold together: the last boat has something of kind 'first aid' (trips/x.toml:9:2) (people-conflict)\n  try: none of these can be left out of the conflict; change any one of them"
        ],
    ),
    "a leg without a steerer for its hardest class": (
        [
            ('"oar raft" = 4', '"oar raft" = 2'),
            ('mass = "154 lb"\n', 'mass = "154 lb"\nfrom = 2\n'),
            ('[[together]]\npaddlers = ["Ana", "Cy"]\n', ""),
        ],
        [
            "trips/x.toml:9:1: error: the party can't be seated: these can't hold together: 'Heron' needs a steerer with oar raft 3 for class IV+ on day 1, Sawtooth; nearest to it is Ana with 2 (trips/x.toml:9:1) (people-conflict)\n  try: none of these can be left out of the conflict; change any one of them"
        ],
    ),
    "an order given, and its first boat has no such steerer": (
        [
            (
                '[[boat]]\nname = "Heron"',
                '[order]\nboats = ["Wren", "Heron"]\nlead = 4\n\n[[boat]]\nname = "Heron"',
            )
        ],
        [
            "trips/x.toml:9:2: error: the party can't be seated: these can't hold together: the first boat's steerer has level 4 (trips/x.toml:9:2) (people-conflict)\n  try: none of these can be left out of the conflict; change any one of them"
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CONFLICTS.values(), ids=list(CONFLICTS))
def test_terms_that_nothing_can_meet_are_named(
    tmp_path: Path, edits: list[tuple[str, str]], expected: list[str]
) -> None:
    assert plan(tmp_path, *edits) == expected
