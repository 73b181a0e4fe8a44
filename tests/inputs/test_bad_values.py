# ruff: noqa: E501 - a finding is one line, however long
"""Bad quantities, words and shapes: a small edit, and exactly what is said of it.

Every finding of a run is asserted whole: place, sort, words, code, and what to try. The words are
the program's own; what is checked against them is the text a person would write.
"""

import pytest

from tests.inputs.texts import TRIP, Cases, Edits, reject, spoil

CASES: Cases = {
    "negative": (
        [('from_left = "7 m"', 'from_left = "-7 m"')],
        [
            "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_left must not be negative, and \"-7 m\" is (out-of-range)",
            "  try: leave the minus sign out",
        ],
    ),
    "nan": (
        [('from_left = "7 m"', 'from_left = "nan m"')],
        [
            "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_left \"nan m\" is not a plain number and a unit (bad-quantity)",
            '  try: write a length as "18 m" or "60 ft"',
        ],
    ),
    "nan without quotes": (
        [('from_left = "7 m"', "from_left = nan")],
        [
            "trips/x.toml:58:1: error: from_left: nan, inf and endless numbers are no quantities (number-out-of-range)",
            "  try: write a plain number",
        ],
    ),
    "infinite": (
        [('from_left = "7 m"', "from_left = inf")],
        [
            "trips/x.toml:58:1: error: from_left: nan, inf and endless numbers are no quantities (number-out-of-range)",
            "  try: write a plain number",
        ],
    ),
    "huge": (
        [('from_left = "7 m"', 'from_left = "7000000 km"')],
        [
            "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_left must be at most 100 km, not 7000000 km (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "huge number": (
        [('mass = "68 kg"', 'mass = "999999999999999999999999999999999999999 kg"')],
        [
            "trips/x.toml:20:1: error: paddler 'Ana': mass is longer than 40 characters (bad-quantity)",
            '  try: write a mass as "12 kg" or "26 lb"',
        ],
    ),
    "without unit": (
        [('width = "18 m"', 'width = "18"')],
        [
            "trips/x.toml:50:1: error: rapid 'Sawtooth': width \"18\" has no unit (missing-unit)",
            '  try: write a length as "18 m" or "60 ft"',
        ],
    ),
    "without unit and quotes": (
        [('width = "18 m"', "width = 18")],
        [
            "trips/x.toml:50:1: error: rapid 'Sawtooth': width must be quoted text, a number with its unit, not 18 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "wrong unit": (
        [('width = "18 m"', 'width = "18 kg"')],
        [
            "trips/x.toml:50:1: error: rapid 'Sawtooth': width \"18 kg\" is a mass, not a length (wrong-unit)",
            "  try: the units of length are mm, cm, m, km, in, ft, yd, mi",
        ],
    ),
    "unknown unit": (
        [('width = "18 m"', 'width = "18 metres"')],
        [
            'trips/x.toml:50:1: error: rapid \'Sawtooth\': width "18 metres" has an unknown unit, "metres" (unknown-unit)',
            "  try: m; the units of length are mm, cm, m, km, in, ft, yd, mi",
        ],
    ),
    "comma": (
        [('depth = "0.6 m"', 'depth = "0,6 m"')],
        [
            "trips/x.toml:61:1: error: rapid 'Sawtooth', spot 'the ledge': depth \"0,6 m\" has a comma in its number (bad-quantity)",
            '  try: write "0.6 m"',
        ],
    ),
    "too deep": (
        [('depth = "0.6 m"', 'depth = "31 m"')],
        [
            "trips/x.toml:61:1: error: rapid 'Sawtooth', spot 'the ledge': depth must be at most 30 m, not 31 m (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "too fast": (
        [('current = "1.4 m/s"', 'current = "12.1 m/s"')],
        [
            "trips/x.toml:60:1: error: rapid 'Sawtooth', spot 'the ledge': current must be at most 12 m/s, not 12.1 m/s (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "too wide": (
        [('width = "18 m"', 'width = "1.1 km"')],
        [
            "trips/x.toml:50:1: error: rapid 'Sawtooth': width must be at most 1000 m, not 1.1 km (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "no width at all": (
        [('width = "12 m"', 'width = "0 m"')],
        [
            "trips/x.toml:71:1: error: rapid 'Riffle': width must be more than nothing, not \"0 m\" (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "no mass at all": (
        [('mass = "154 lb"', 'mass = "0 lb"')],
        [
            "trips/x.toml:34:1: error: paddler 'Cy': mass of a person must be from 10 kg to 300 kg, not \"0 lb\" (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "water too hot": (
        [('"8 degC"', '"80 degC"')],
        [
            "trips/x.toml:5:1: error: trip: water_temperature must be between -5 degC and 60 degC, not 80 degC (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "class IX": (
        [('"IV+"', '"IX"')],
        [
            "trips/x.toml:49:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not \"IX\" (unknown-class)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "class in small letters": (
        [('"IV+"', '"iv"')],
        [
            "trips/x.toml:49:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not \"iv\" (unknown-class)",
            '  try: "IV"',
        ],
    ),
    "class as a number": (
        [('"IV+"', "4")],
        [
            "trips/x.toml:49:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not 4 (wrong-type)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "class too long": (
        [('"IV+"', '"class IV"')],
        [
            "trips/x.toml:49:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not \"class IV\" (unknown-class)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "accepted class": (
        [('wading = "III"', 'wading = "0"')],
        [
            'trips/x.toml:6:12: error: trip, accept: wading must be I to VI (with + or -), not "0" (unknown-class)',
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "skill 7": (
        [("throwing = 3", "throwing = 7")],
        [
            "trips/x.toml:21:12: error: paddler 'Ana', skills: levels go from 0 to 4, so throwing can't be 7 (out-of-range)",
            "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
        ],
    ),
    "skill minus one": (
        [("throwing = 3", "throwing = -1")],
        [
            "trips/x.toml:21:12: error: paddler 'Ana', skills: levels go from 0 to 4, so throwing can't be -1 (out-of-range)",
            "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
        ],
    ),
    "skill in words": (
        [("throwing = 3", 'throwing = "good"')],
        [
            "trips/x.toml:21:12: error: paddler 'Ana', skills: throwing must be a whole number, not \"good\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "no such date": (
        [("2027-06-14", "2027-06-31")],
        [
            "trips/x.toml:3:10: error: there is no such date or time (broken-toml)",
            "  try: write a date as 2027-06-14",
        ],
    ),
    "no such date in a certificate": (
        [("2028-05-01", "2028-13-01")],
        [
            "trips/x.toml:23:56: error: there is no such date or time (broken-toml)",
            "  try: write a date as 2027-06-14",
        ],
    ),
    "date in quotes": (
        [("2027-06-14", '"14 June"')],
        [
            'trips/x.toml:3:1: error: trip: starts must be a date without quotes, not "14 June" (wrong-type)',
            "  try: write it as 2027-06-14, without quotes",
        ],
    ),
    "date with time": (
        [("2027-06-14", "2027-06-14T10:00:00")],
        [
            "trips/x.toml:3:1: error: trip: starts must be a date without quotes, not 2027-06-14 10:00:00 (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "date far off": (
        [("2027-06-14", "0027-06-14")],
        [
            "trips/x.toml:3:1: error: trip: starts must be a day from 1990-01-01 to 2200-01-01, not 0027-06-14 (out-of-range)",
            "  try: look at the year",
        ],
    ),
    "date at the end of the calendar": (
        [("starts = 2027-06-14", "starts = 9999-12-31")],
        [
            "trips/x.toml:3:1: error: trip: starts must be a day from 1990-01-01 to 2200-01-01, not 9999-12-31 (out-of-range)",
            "  try: look at the year",
        ],
    ),
    "broken TOML": (
        [('name = "Heron"', 'name = "Heron')],
        [
            "trips/x.toml:10:14: error: the text is not closed on its line (broken-toml)",
            "  try: end it with the quotes it began with",
        ],
    ),
    "key twice": (
        [('type = "river kayak"', 'type = "river kayak"\ntype = "river kayak"')],
        [
            "trips/x.toml:17:21: error: this key is there twice (broken-toml)",
            "  try: keep one of the two",
        ],
    ),
    "missing key": (
        [('type = "river kayak"\n', "")],
        [
            "trips/x.toml:14:1: error: boat 'Wren': type is missing (missing-key)",
            "  try: write type = ..., quoted text",
        ],
    ),
    "missing name": (
        [
            ('name = "Cy"\n', ""),
            ('["Ana", "Cy"]', '["Ana", "Bo"]'),
            ('[[apart]]\npaddlers = ["Ana", "Bo"]\n', ""),
        ],
        [
            "trips/x.toml:32:1: error: paddler 3: name is missing (missing-key)",
            "  try: write name = ..., quoted text",
        ],
    ),
    "missing key of trip": (
        [('water_temperature = "8 degC"\n', "")],
        [
            "trips/x.toml:1:2: error: trip: water_temperature is missing (missing-key)",
            "  try: write water_temperature = ..., quoted text, a number with its unit",
        ],
    ),
    "unknown key": (
        [("eddies = 2", "edies = 2")],
        [
            "trips/x.toml:54:1: error: rapid 'Sawtooth': unknown key \"edies\" (unknown-key)",
            "  try: eddies",
        ],
    ),
    "unknown key, nothing near": (
        [("eddies = 2", "zzz = 2")],
        [
            "trips/x.toml:54:1: error: rapid 'Sawtooth': unknown key \"zzz\" (unknown-key)",
            "  try: the keys here are day, name, class, width, safety, run, left, right, eddies, spot, from_left, from_right, current, depth, run_in, run_out, slack, scenarios, likely, sight, guests_walk, groups, low, medium, high",
        ],
    ),
    "unknown table": (
        [("[[together]]", "[[togther]]")],
        [
            'trips/x.toml:75:3: error: unknown key "togther" (unknown-key)',
            "  try: together",
        ],
    ),
    "wrong word": (
        [('safety = "set"', 'safety = "sett"')],
        [
            'trips/x.toml:51:1: error: rapid \'Sawtooth\': safety must be "set", "afloat" or "none", not "sett" (unknown-word)',
            "  try: set",
        ],
    ),
    "wrong word, nothing near": (
        [('safety = "set"', 'safety = "everybody out"')],
        [
            'trips/x.toml:51:1: error: rapid \'Sawtooth\': safety must be "set", "afloat" or "none", not "everybody out" (unknown-word)',
            '  try: one of "set", "afloat", "none"',
        ],
    ),
    "name of no letters": (
        [('name = "Riffle"', 'name = ""')],
        [
            "trips/x.toml:69:1: error: rapid 2: name is empty; it must be quoted text of 1 to 80 signs (empty)",
            "  try: write at least a letter",
        ],
    ),
    "name too long": (
        [
            (
                'name = "Riffle"',
                'name = "RRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRRR"',
            )
        ],
        [
            "trips/x.toml:69:1: error: rapid 2: name is too long; it must be quoted text of 1 to 80 signs (too-long)",
            "  try: shorten it",
        ],
    ),
    "key too long": (
        [
            (
                "throwing = 3",
                "ttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttttt = 3",
            )
        ],
        [
            "trips/x.toml:21:12: error: paddler 'Ana', skills: the key \"ttttttttttttttttttttttttttttttttttttttttttttttttttttttttt...\" is empty or longer than 80 signs (bad-key)",
            "  try: write a name",
        ],
    ),
    "name as a number": (
        [('name = "Riffle"', "name = 7")],
        [
            "trips/x.toml:69:1: error: rapid 2: name must be quoted text, not 7 (wrong-type)",
            '  try: put it in quotes, as in "7"',
        ],
    ),
    "control character": (
        [('name = "Riffle"', 'name = "Rif\\u0007fle"')],
        [
            "trips/x.toml:69:1: error: rapid 2: name has a control character in it (control-character)",
            "  try: retype it on one line",
        ],
    ),
    "table for text": (
        [('name = "Riffle"', "name = { a = 1 }")],
        [
            "trips/x.toml:69:1: error: rapid 2: name must be quoted text, not a table (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "text for a table": (
        [('left = { landing = 2, path = true, walk = "60 m", anchor = true }', 'left = "no"')],
        [
            "trips/x.toml:52:1: error: rapid 'Sawtooth': left must be a table, not \"no\" (wrong-type)",
            "  try: look for slipped brackets or quotes",
        ],
    ),
    "text for a list": (
        [('["swimmer", "pinned boat"]', '"swimmer"')],
        [
            "trips/x.toml:64:1: error: rapid 'Sawtooth', spot 'the ledge': scenarios must be a list of at least 1, each quoted text, not \"swimmer\" (wrong-type)",
            '  try: put it in brackets, as in ["swimmer"]',
        ],
    ),
    "empty list": (
        [('["swimmer", "pinned boat"]', "[]")],
        [
            "trips/x.toml:64:1: error: rapid 'Sawtooth', spot 'the ledge': scenarios must be a list of at least 1, each quoted text, and has 0 (wrong-length)",
            "  try: add or take out members",
        ],
    ),
    "member of a list": (
        [('["swimmer", "pinned boat"]', '["swimmer", 4]')],
        [
            "trips/x.toml:64:25: error: rapid 'Sawtooth', spot 'the ledge': scenarios 2 must be quoted text, not 4 (wrong-type)",
            '  try: put it in quotes, as in "4"',
        ],
    ),
    "text for yes or no": (
        [("path = true", 'path = "yes"')],
        [
            "trips/x.toml:52:23: error: rapid 'Sawtooth', left: path must be true or false, not \"yes\" (wrong-type)",
            "  try: true or false, without quotes",
        ],
    ),
    "count over the limit": (
        [("count = 3", "count = 1001")],
        [
            "trips/x.toml:38:1: error: kit 'throw bag 20 m': count must be a whole number from 1 to 1000, not 1001 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "day over the limit": (
        [("day = 2", "day = 61")],
        [
            "trips/x.toml:68:1: error: rapid 'Riffle': day must be a whole number from 1 to 60, not 61 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "likely": (
        [("likely = 2", "likely = 4")],
        [
            "trips/x.toml:65:1: error: rapid 'Sawtooth', spot 'the ledge': likely must be a whole number from 1 to 3, not 4 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "take over count": (
        [("take = 1", "take = 4")],
        [
            "trips/x.toml:39:1: error: kit 'throw bag 20 m': take is 4, and count is 3 (take-over-count)",
            "  try: take = true takes all of them",
        ],
    ),
    "take as text": (
        [("take = 1", 'take = "all"')],
        [
            "trips/x.toml:39:1: error: kit 'throw bag 20 m': take must be true or false or a whole number from 0 to 1000, not \"all\" (wrong-type)",
            "  try: write a number, without quotes",
        ],
    ),
    "running as a number": (
        [("water_temperature", "running = 1\nwater_temperature")],
        [
            'trips/x.toml:5:1: error: trip: running must be "any boat" or a list of quoted texts, not 1 (wrong-type)',
            "  try: look for a slip",
        ],
    ),
    "running nothing": (
        [("water_temperature", "running = []\nwater_temperature")],
        [
            "trips/x.toml:5:1: error: trip: running names no boat, so that nobody could be in trouble (empty)",
            '  try: write "any boat", or the boats by name',
        ],
    ),
    "day after the end": (
        [("water_temperature", "days = 1\nwater_temperature")],
        [
            "trips/x.toml:69:1: error: rapid 'Riffle': day is 2, and the trip has 1 day (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "not worn": (
        [('"locking carabiner" = 2', '"throw bag 20 m" = 1')],
        [
            "trips/x.toml:22:38: error: paddler 'Ana', wears: \"throw bag 20 m\" is not worn; the catalogue has it quick (not-worn)",
            "  try: list it as [[kit]] instead",
        ],
    ),
    "spot said twice": (
        [("eddies = 2", 'eddies = 2\ndepth = "1 m"')],
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': depth is a key of the rapid, and the rapid has [[rapid.spot]] tables (said-twice)",
            "  try: say it once: move the key into a [[rapid.spot]]",
        ],
    ),
    "spot keys without scenarios": (
        [('scenarios = ["swimmer"]\n', 'depth = "1 m"\n')],
        [
            "trips/x.toml:73:1: error: rapid 'Riffle': depth is given, but scenarios is missing (missing-key)",
            '  try: write scenarios = ["..."], what may happen there',
        ],
    ),
    "run in a way that is none": (
        [('name = "Riffle"\n', 'name = "Riffle"\nrun = "line"\n')],
        [
            'trips/x.toml:70:1: error: rapid \'Riffle\': run must be "run", "portage" or "lined", not "line" (unknown-word)',
            "  try: lined",
        ],
    ),
    "one in company": (
        [('["Ana", "Bo"]', '["Ana"]')],
        [
            "trips/x.toml:79:1: error: apart 1: paddlers must be a list of at least 2, each quoted text, and has 1 (wrong-length)",
            "  try: add or take out members",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=CASES.keys())
def test_says_what_is_wrong_with_the_value(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected
