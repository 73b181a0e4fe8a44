# ruff: noqa: E501 - a finding is one line, however long
"""Bad catalogues: a small edit, and exactly what is said of it.

Every finding of a run is asserted whole: place, sort, words, code, and what to try. The words are
the program's own; what is checked against them is the text a person would write.
"""

import pytest

from tests.inputs.texts import CATALOG, TRIP, Cases, Edits, reject, spoil

CATCH = (
    'catch = { thrower = { throws = true }, bag = { kind = "line" }, '
    'crews = [{ crafts = ["kayak"], steerer = 3 }] }\n'
)
THROWN_FOR = 'serves = [{ scenario = "swimmer", tier = 1 }]\n'


def catch_alone(catch: str) -> Edits:
    """Return the edits that leave a technique nothing but to take swimmers, in line 54."""
    start, end = (
        CATALOG.index('place = { reach_at_most = "20 m"'),
        CATALOG.index('\n\n[[technique]]\nname = "bank-haul"'),
    )
    besides = CATALOG[start : end + 1]
    return [(f'banks = "one"\n{THROWN_FOR}', f'banks = "none"\n{THROWN_FOR}'), (besides, catch)]


CASES: Cases = {
    "an anchor in words": (
        [('place = { reach_at_most = "20 m",', 'place = { far_anchor = "a tree",')],
        [
            "catalogs/all.toml:54:11: error: technique 'throw-line', place: far_anchor must be true or false, not \"a tree\" (wrong-type)",
            "  try: true or false, without quotes",
        ],
    ),
    "swimmers are taken by who does other things": (
        [(THROWN_FOR, THROWN_FOR + CATCH)],
        [
            "catalogs/all.toml:51:1: error: technique 'throw-line': banks can't be asked beside catch (catch-not-alone)",
            "  try: leave it out: whoever takes swimmers does nothing else",
            "catalogs/all.toml:56:1: error: technique 'throw-line': roles can't be asked beside catch (catch-not-alone)",
            "  try: leave it out: whoever takes swimmers does nothing else",
            "catalogs/all.toml:57:1: error: technique 'throw-line': items can't be asked beside catch (catch-not-alone)",
            "  try: leave it out: whoever takes swimmers does nothing else",
        ],
    ),
    "a catch without a bag": (
        catch_alone(CATCH.replace('bag = { kind = "line" }, ', "")),
        [
            "catalogs/all.toml:54:1: error: technique 'throw-line', catch: bag is missing (missing-key)",
            "  try: write bag = ..., a table",
        ],
    ),
    "a bag of an unknown kind": (
        catch_alone(CATCH.replace('"line"', '"lines"')),
        [
            "catalogs/all.toml:54:48: error: technique 'throw-line', catch, bag: unknown kind \"lines\" (unknown-kind)",
            "  try: line",
        ],
    ),
    "a catcher who does not count": (
        catch_alone(CATCH.replace("throws = true", "throws = true, count = 2")),
        [
            "catalogs/all.toml:54:38: error: technique 'throw-line', catch, thrower: unknown key \"count\" (unknown-key)",
            "  try: the keys here are name, skills, wears, throws",
        ],
    ),
    "nobody more in a crowded boat's case": (
        [('name = "thrower", skills', 'name = "thrower", count_crowded = 0, skills')],
        [
            "catalogs/all.toml:55:30: error: technique 'throw-line', role 'thrower': count_crowded must be a whole number from 1 to 20, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "a boat crowded by nobody": (
        [("in_charge_from = 4\n", "in_charge_from = 4\ncrowded_over = 0\n")],
        [
            "catalogs/all.toml:16:1: error: figures: crowded_over must be a whole number from 1 to 40, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "unknown scenario": (
        [('scenario = "swimmer"', 'scenario = "swimer"')],
        [
            "catalogs/all.toml:52:13: error: technique 'throw-line', serves 'swimer': unknown scenario \"swimer\" (unknown-scenario)",
            "  try: swimmer",
        ],
    ),
    "unknown kind of a thing": (
        [('kind = "carabiner"', 'kind = "carabner"')],
        [
            "catalogs/all.toml:67:12: error: technique 'bank-haul', thing 'carabner': unknown kind \"carabner\" (unknown-kind)",
            "  try: carabiner",
        ],
    ),
    "unknown kind of an item": (
        [('kinds = ["helmet"]', 'kinds = ["helmt"]')],
        [
            "catalogs/all.toml:131:10: error: item 'helmet': unknown kind \"helmt\" (unknown-kind)",
            "  try: helmet",
        ],
    ),
    "unknown kind worn": (
        [('wears = ["life jacket"]', 'wears = ["life jaket"]')],
        [
            "catalogs/all.toml:55:81: error: technique 'throw-line', role 'thrower': unknown kind \"life jaket\" (unknown-kind)",
            "  try: life jacket",
        ],
    ),
    "unknown kind in figures": (
        [('["life jacket", "helmet"]', '["life jacket", "helmt"]')],
        [
            'catalogs/all.toml:19:30: error: figures: unknown kind "helmt" (unknown-kind)',
            "  try: helmet",
        ],
    ),
    "unknown skill of a role": (
        [("skills = { rope = 2 }", "skills = { ropes = 2 }")],
        [
            "catalogs/all.toml:71:12: error: technique 'bank-haul', role 'leader', skills: unknown skill \"ropes\" (unknown-skill)",
            "  try: rope",
        ],
    ),
    "unknown certificate": (
        [('certificate = "swift-water rescue"', 'certificate = "swiftwater rescue"')],
        [
            "catalogs/all.toml:72:1: error: technique 'bank-haul', role 'leader': unknown certificate \"swiftwater rescue\" (unknown-certificate)",
            "  try: swift-water rescue",
        ],
    ),
    "unknown skill of a boat type": (
        [('skill = "kayak"', 'skill = "kajak"')],
        [
            "catalogs/all.toml:172:1: error: boat type 'river kayak': unknown skill \"kajak\" (unknown-skill)",
            "  try: kayak",
        ],
    ),
    "unknown crew paddle": (
        [('crew_paddle = "raft paddle"', 'crew_paddle = "raft paddel"')],
        [
            "catalogs/all.toml:167:1: error: boat type 'paddle raft 4.0 m': unknown item \"raft paddel\" (unknown-item)",
            "  try: raft paddle",
        ],
    ),
    "seats in words": (
        [("seats = 5", 'seats = "four"')],
        [
            "catalogs/all.toml:147:1: error: boat type 'oar raft 4.3 m': seats must be a whole number, not \"four\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "no seats": (
        [("seats = 5", "seats = 0")],
        [
            "catalogs/all.toml:147:1: error: boat type 'oar raft 4.3 m': seats must be a whole number from 1 to 40, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "unknown pulling system": (
        [
            (
                'skill = "kayak"\n',
                'skill = "kayak"\nhaul = { system = "7:1", hands = 3, by_hand = 4 }\n',
            )
        ],
        [
            'catalogs/all.toml:173:10: error: boat type \'river kayak\', haul: system must be "hands alone", "2:1", "3:1", "2 on 2 (4:1)", "5:1", "2 on 3 (6:1)" or "3 on 3 (9:1)", not "7:1" (unknown-word)',
            "  try: 5:1",
        ],
    ),
    "nobody hauls": (
        [
            (
                'skill = "kayak"\n',
                'skill = "kayak"\nhaul = { system = "3:1", hands = 0, by_hand = 4 }\n',
            )
        ],
        [
            "catalogs/all.toml:173:26: error: boat type 'river kayak', haul: hands must be a whole number from 1 to 20, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "rig and count": (
        [
            ('hurry = "unhurried"\n', 'hurry = "unhurried"\npulling = "3:1"\n'),
            ('name = "leader"\n', 'name = "leader"\nhauls = true\n'),
            ('kind = "carabiner", count = 2', 'kind = "carabiner", count = 2, rig = "pulleys"'),
        ],
        [
            "catalogs/all.toml:68:43: error: technique 'bank-haul', thing 'carabiner': rig says how many there are, \"pulleys\", and so does count (said-twice)",
            "  try: leave one of the two out; besides says how many more",
        ],
    ),
    "nobody pulls": (
        [('hurry = "unhurried"\n', 'hurry = "unhurried"\npulling = "hands alone"\n')],
        [
            "catalogs/all.toml:65:1: error: technique 'bank-haul': pulling asks for hands at the end of the line, but no role hauls (missing-key)",
            "  try: write hauls = true for the role that pulls",
        ],
    ),
    "rig without a pulling system": (
        [('kind = "carabiner", count = 2', 'kind = "carabiner", rig = "pulleys"')],
        [
            "catalogs/all.toml:67:32: error: technique 'bank-haul', thing 'carabiner': rig counts by the pulling system, but the technique has no pulling (missing-key)",
            '  try: write pulling = "3:1" for the technique, or count for the thing',
        ],
    ),
    "joint of an unknown kind": (
        [
            (
                "ferry_steerer = 3\n",
                'ferry_steerer = 3\njoint = "1 m"\njoint_kind = "shackle"\n',
            )
        ],
        [
            'catalogs/all.toml:20:1: error: figures: unknown kind "shackle" (unknown-kind)',
            "  try: one of carabiner, first aid, harness, helmet, life jacket, line, ...",
        ],
    ),
    "a joint that gives line": (
        [
            (
                "ferry_steerer = 3\n",
                'ferry_steerer = 3\njoint = "-1 m"\njoint_unless = 0\n',
            )
        ],
        [
            'catalogs/all.toml:19:1: error: figures: joint must not be negative, and "-1 m" is (out-of-range)',
            "  try: leave the minus sign out",
            "catalogs/all.toml:20:1: error: figures: joint_unless must be a whole number from 1 to 1000, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "item twice": (
        [('name = "throw bag 15 m"', 'name = "throw bag 20 m"')],
        [
            "catalogs/all.toml:90:1: error: item 'throw bag 20 m': this name is used twice, first at catalogs/all.toml:81:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "technique twice": (
        [('name = "bank-haul"', 'name = "throw-line"')],
        [
            "catalogs/all.toml:59:1: error: technique 'throw-line': this name is used twice, first at catalogs/all.toml:48:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "skill twice": (
        [('["throwing", "rope",', '["throwing", "rope", "rope",')],
        [
            "catalogs/all.toml:1:30: error: skill 'rope' is used twice, first at catalogs/all.toml:1:22 (name-used-twice)",
            "  try: name it once",
        ],
    ),
    "way twice": (
        [
            (
                '[[item]]\nname = "throw bag 20 m"',
                '[[technique.ways]]\nname = "clipped afloat"\n\n[[item]]\nname = "throw bag 20 m"',
            )
        ],
        [
            "catalogs/all.toml:81:1: error: technique 'bank-haul', way 'clipped afloat': way name 'clipped afloat' is used twice, first at catalogs/all.toml:75:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "no spotter": (
        [('[spotter]\nname = "spotter"\nsite = "anywhere"\nguest = true\n', "")],
        [
            "trips/x.toml:4:1: error: trip: none of the catalogues has a [spotter] table (missing-table)",
            '  try: name "kitplan:techniques.toml" among them, or add the table',
        ],
    ),
    "times turned round": (
        [('["10 s", "30 s"]', '["30 s", "10 s"]')],
        [
            "catalogs/all.toml:53:1: error: technique 'throw-line': ready_in goes from 30 s down to 10 s (times-turned-round)",
            "  try: write the shorter time first",
        ],
    ),
    "three times": (
        [('["10 s", "30 s"]', '["10 s", "20 s", "30 s"]')],
        [
            "catalogs/all.toml:53:1: error: technique 'throw-line': ready_in must be a list of 2, each quoted text, a number with its unit, and has 3 (wrong-length)",
            "  try: add or take out members",
        ],
    ),
    "factor too fine": (
        [("reach = 1.5", "reach = 1.55")],
        [
            "catalogs/all.toml:56:39: error: technique 'throw-line', thing 'line', least length 1: reach must be in tenths at the finest, not 1.55 (out-of-range)",
            "  try: round it up to a tenth",
        ],
    ),
    "factor too large": (
        [("reach = 1.5", "reach = 11")],
        [
            "catalogs/all.toml:56:39: error: technique 'throw-line', thing 'line', least length 1: reach must be a number from 0 to 10, in tenths at the finest, not 11 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "reach in seconds": (
        [('reach_at_most = "20 m"', 'reach_at_most = "20 s"')],
        [
            "catalogs/all.toml:54:11: error: technique 'throw-line', place: reach_at_most \"20 s\" is a time, not a length (wrong-unit)",
            "  try: the units of length are mm, cm, m, km, in, ft, yd, mi",
        ],
    ),
    "wrong craft": (
        [('craft = "kayak"', 'craft = "kajak"')],
        [
            'catalogs/all.toml:171:1: error: boat type \'river kayak\': craft must be "raft", "kayak" or "canoe", not "kajak" (unknown-word)',
            "  try: kayak",
        ],
    ),
    "wrong flag": (
        [('flags = ["thrown", "floats"]', 'flags = ["thrown", "flats"]')],
        [
            'catalogs/all.toml:85:20: error: item \'throw bag 20 m\': flags 2 must be "thrown", "across", "haul" or "floats", not "flats" (unknown-word)',
            "  try: floats",
        ],
    ),
    "crew over seats": (
        [("least_crew = [5, 6]", "least_crew = [5, 8]")],
        [
            "catalogs/all.toml:162:18: error: boat type 'paddle raft 4.0 m': least_crew asks for 8 people, and seats is 7 (crew-over-seats)",
            "  try: look for a slip in either",
        ],
    ),
    "worn nowhere": (
        [('worn_on = "waist"\n', "")],
        [
            "catalogs/all.toml:95:1: error: item 'throw bag 15 m': carried has \"worn\", but worn_on is missing (missing-key)",
            '  try: write worn_on = "vest", "waist" or "body"',
        ],
    ),
    "walking at nothing": (
        [('"25 m"', '"0 m"')],
        [
            'catalogs/all.toml:7:1: error: figures: walk_per_minute must be more than nothing, not "0 m" (out-of-range)',
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "price without currency": (
        [('"14 EUR"', '"14"')],
        [
            "catalogs/all.toml:103:1: error: item 'locking carabiner': price \"14\" has no unit (missing-unit)",
            '  try: write a price as "55 EUR" or "55 USD"',
        ],
    ),
    "hard class": (
        [('hard_class = "IV"', 'hard_class = "VII"')],
        [
            'catalogs/all.toml:14:1: error: figures: hard_class must be I to VI (with + or -), not "VII" (unknown-class)',
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "broken TOML": (
        [("[spotter]", "[spotter")],
        [
            "catalogs/all.toml:31:9: error: the table heading is not closed (broken-toml)",
            "  try: end it with ]",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=CASES.keys())
def test_says_what_is_wrong_with_the_catalogue(edits: Edits, expected: list[str]) -> None:
    assert reject(TRIP, spoil(CATALOG, *edits)) == expected
