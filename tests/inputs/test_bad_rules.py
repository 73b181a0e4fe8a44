# ruff: noqa: E501 - a finding is one line, however long
"""Rules on what must be carried, spreads and dates of kit that can't be: every finding whole.

The words are the program's own.
"""

from pathlib import Path
from typing import TypeAlias

import pytest

from tests.inputs.rule_texts import FILES, RULED, RULES, load_ruled
from tests.inputs.texts import CATALOG, TRIP, Edits, load, spoil

RuleCases: TypeAlias = dict[str, tuple[str, Edits, list[str]]]
"""What is wrong -> which file is spoilt, how, and the lines said of it."""

CASES: RuleCases = {
    "no reading": (
        "a",
        [('reading = { scope = "trip", for_each = 10, of = "persons", part_counts = true }\n', "")],
        [
            "rules/a.toml:17:1: error: rule 'S 2': reading is missing (missing-key)",
            "  try: write reading = ..., a table",
        ],
    ),
    "a reading without a scope": (
        "a",
        [('{ scope = "boat", count = 1 }', "{ count = 1 }")],
        [
            "rules/a.toml:14:1: error: rule 'S 1', reading: scope is missing (missing-key)",
            '  try: write scope = ..., "boat" or "trip"',
        ],
    ),
    "a part left open": (
        "a",
        [(", part_counts = true", "")],
        [
            "rules/a.toml:25:29: error: rule 'S 2', reading: part_counts is missing: is a part of 10 a whole one? (missing-key)",
            "  try: part_counts = true rounds up, false rounds down; the text may leave it open",
        ],
    ),
    "each so many of nothing": (
        "a",
        [(', of = "persons"', "")],
        [
            "rules/a.toml:25:1: error: rule 'S 2', reading: of is missing: a number of what? (missing-key)",
            '  try: write of = "persons", "passengers", "guides" or "boats"',
        ],
    ),
    "of without a number": (
        "a",
        [('{ scope = "boat", count = 1 }', '{ scope = "boat", of = "persons" }')],
        [
            "rules/a.toml:14:29: error: rule 'S 1', reading: of is \"persons\", but for_each is missing (missing-key)",
            "  try: write for_each = ..., or steps",
        ],
    ),
    "steps that fall": (
        "a",
        [
            (
                'reading = { scope = "trip", for_each = 10, of = "persons", part_counts = true }',
                'reading = { scope = "trip", of = "boats", steps = [{ up_to = 8, count = 1 }, { up_to = 8, count = 2 }] }',
            )
        ],
        [
            "rules/a.toml:25:52: error: rule 'S 2', reading: step 1 must end below step 2 (out-of-range)",
            "  try: up_to rises from step to step; only the last one may leave it out",
        ],
    ),
    "steps after all": (
        "a",
        [
            (
                'reading = { scope = "trip", for_each = 10, of = "persons", part_counts = true }',
                'reading = { scope = "trip", of = "boats", steps = [{ count = 1 }, { up_to = 8, count = 2 }] }',
            )
        ],
        [
            "rules/a.toml:25:52: error: rule 'S 2', reading: step 1 must end below step 2 (out-of-range)",
            "  try: up_to rises from step to step; only the last one may leave it out",
        ],
    ),
    "steps and a count": (
        "a",
        [
            (
                'reading = { scope = "trip", for_each = 10, of = "persons", part_counts = true }',
                'reading = { scope = "trip", count = 2, of = "boats", steps = [{ count = 1 }] }',
            )
        ],
        [
            "rules/a.toml:25:29: error: rule 'S 2', reading: steps says how many there are, and so does count (said-twice)",
            "  try: leave one of the two out",
        ],
    ),
    "boats counted in a boat": (
        "a",
        [
            (
                '{ scope = "boat", count = 1 }',
                '{ scope = "boat", for_each = 2, of = "boats", part_counts = true }',
            )
        ],
        [
            "rules/a.toml:14:43: error: rule 'S 1', reading: boats are counted, and scope is \"boat\" (scope-too-narrow)",
            '  try: write scope = "trip"',
        ],
    ),
    "different boats in a boat": (
        "a",
        [('length = "15 m", flags', 'apart = true, length = "15 m", flags')],
        [
            "rules/a.toml:13:30: error: rule 'S 1', counts: different boats are asked, and scope is \"boat\" (scope-too-narrow)",
            '  try: write scope = "trip"',
        ],
    ),
    "unknown kind": (
        "a",
        [('"life jacket"', '"life jaket"')],
        [
            "rules/a.toml:24:21: error: rule 'S 2', counts: unknown kind \"life jaket\" (unknown-kind)",
            "  try: life jacket",
        ],
    ),
    "a kind without an item": (
        "a",
        [('"life jacket"', '"stove"')],
        [
            "rules/a.toml:24:21: error: rule 'S 2', counts: unknown kind \"stove\" (unknown-kind)",
            "  try: one of carabiner, first aid, harness, helmet, life jacket, line, ...",
        ],
    ),
    "unknown craft": (
        "a",
        [('crafts = ["raft"]', 'crafts = ["rafts"]')],
        [
            'rules/a.toml:15:21: error: rule \'S 1\', boats: crafts 1 must be "raft", "kayak" or "canoe", not "rafts" (unknown-word)',
            "  try: raft",
        ],
    ),
    "unknown boat type": (
        "a",
        [('crafts = ["raft"]', 'types = ["oar raft 4.2 m"]')],
        [
            "rules/a.toml:15:20: error: rule 'S 1', boats: unknown boat type \"oar raft 4.2 m\" (unknown-boat-type)",
            "  try: oar raft 4.3 m",
        ],
    ),
    "unknown skill": (
        "a",
        [('skills = ["oar raft"]', 'skills = ["oars"]')],
        [
            "rules/a.toml:15:40: error: rule 'S 1', boats: unknown skill \"oars\" (unknown-skill)",
            "  try: one of kayak, leading, oar raft, paddle raft, rope, throwing",
        ],
    ),
    "unknown certificate": (
        "x",
        [('guides"', 'persons", who = { certificate = "swift water" }')],
        [
            "trips/x.toml:87:67: error: rule 'own 1', reading, who: unknown certificate \"swift water\" (unknown-certificate)",
            "  try: swift-water rescue",
        ],
    ),
    "nothing counts": (
        "a",
        [('{ kinds = ["life jacket"], spare = true }', "{}")],
        [
            "rules/a.toml:24:1: error: rule 'S 2': nothing is said of what counts (missing-key)",
            '  try: write kinds = ["..."], worn = "...", guide = true, certificate, skills or boats',
        ],
    ),
    "two sorts count": (
        "a",
        [("spare = true", 'worn = "life jacket"')],
        [
            "rules/a.toml:24:37: error: rule 'S 2', counts: kinds says what counts, and so does worn (said-twice)",
            "  try: make two rules of them",
        ],
    ),
    "spare people": (
        "a",
        [('kinds = ["life jacket"], spare = true', "guide = true, spare = true")],
        [
            "rules/a.toml:24:26: error: rule 'S 2', counts: spare is said of things, and kinds is missing (missing-key)",
            '  try: write kinds = ["..."], or leave spare out',
        ],
    ),
    "no counts": (
        "a",
        [('counts = { kinds = ["life jacket"], spare = true }\n', "")],
        [
            "rules/a.toml:17:1: error: rule 'S 2': counts is missing (missing-key)",
            "  try: write counts = ..., a table",
        ],
    ),
    "a class that is none": (
        "a",
        [('class_from = "III"', 'class_from = "7"')],
        [
            "rules/a.toml:26:10: error: rule 'S 2', when: class_from must be I to VI (with + or -), not \"7\" (unknown-class)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "a temperature without a unit": (
        "a",
        [('"15 degC"', '"15"')],
        [
            "rules/a.toml:26:30: error: rule 'S 2', when: water_below \"15\" has no unit (missing-unit)",
            '  try: write a temperature as "8 degC" or "46 degF"',
        ],
    ),
    "status in other words": (
        "a",
        [('"second-hand copy"', '"second hand"')],
        [
            'rules/a.toml:22:1: error: rule \'S 2\': status must be "primary text read", "second-hand copy", "from memory" or "common practice, no source", not "second hand" (unknown-word)',
            "  try: second-hand copy",
        ],
    ),
    "an unknown key": (
        "a",
        [("spare = true", "spares = true")],
        [
            "rules/a.toml:24:37: error: rule 'S 2', counts: unknown key \"spares\" (unknown-key)",
            "  try: spare",
        ],
    ),
    "set named twice": (
        "x",
        [('["../rules/a.toml"]', '["../rules/a.toml", "../rules/a.toml"]')],
        [
            'trips/x.toml:5:29: error: trip: "../rules/a.toml" is named twice (file-named-twice)',
            "  try: name each file once",
        ],
    ),
    "a rule file that is missing": (
        "x",
        [('["../rules/a.toml"]', '["../rules/b.toml"]')],
        [
            'trips/x.toml:5:10: error: trip: "../rules/b.toml": there is no such file (file-missing)',
            "  try: look at its name and folder",
        ],
    ),
    "a shipped one misspelt": (
        "x",
        [('["../rules/a.toml"]', '["kitplan:rules/canda.toml"]')],
        [
            'trips/x.toml:5:10: error: trip: "kitplan:rules/canda.toml": no catalogue of this name comes with the program (file-missing)',
            '  try: "kitplan:rules/canada.toml"',
        ],
    ),
    "a shipped one by its name alone": (
        "x",
        [('["../rules/a.toml"]', '["canada.toml"]')],
        [
            'trips/x.toml:5:10: error: trip: "canada.toml": there is no such file (file-missing)',
            '  try: "kitplan:rules/canada.toml", which comes with the program',
        ],
    ),
    "a rule twice, in set and trip": (
        "x",
        [('"own 1"', '"S 1"')],
        [
            "trips/x.toml:84:1: error: rule 'S 1': this id is used twice, first at rules/a.toml:7:1 (name-used-twice)",
            "  try: give each its own id",
        ],
    ),
    "a rule as a reminder": (
        "a",
        [('"S 3"', '"S 2"')],
        [
            "rules/a.toml:29:1: error: reminder 'S 2': this id is used twice, first at rules/a.toml:18:1 (name-used-twice)",
            "  try: give each its own id",
        ],
    ),
    "a boat without a length": (
        "a",
        [('skills = ["oar raft"]', 'length_under = "16 ft"')],
        [
            "rules/a.toml:15:1: error: rule 'S 1': this goes by the length of a boat, and boat type \"oar raft 4.3 m\" at catalogs/all.toml:143:1 has none (length-missing)",
            '  try: add length = "4.3 m" or so to the boat type',
        ],
    ),
    "a spread that says nothing": (
        "spreads",
        [("food = 0.5\n", "")],
        [
            "rules/spreads.toml:7:1: error: spread 'food': nothing is said of what must be left (missing-key)",
            "  try: write counts = { ... }, fits = [...], seats = true or food = 0.5",
        ],
    ),
    "a spread that says two things": (
        "spreads",
        [("food = 0.5\n", "food = 0.5\nseats = true\n")],
        [
            "rules/spreads.toml:11:1: error: spread 'food': seats says what must be left, and so does food (said-twice)",
            "  try: make two rows of them",
        ],
    ),
    "a count of food": (
        "spreads",
        [("food = 0.5\n", "food = 0.5\ncount = 2\n")],
        [
            "rules/spreads.toml:12:1: error: spread 'food': count is a number of what counts, and there is no counts (missing-key)",
            "  try: write counts = { ... }, or leave count out",
        ],
    ),
    "more food than there is": (
        "spreads",
        [("food = 0.5\n", "food = 1.5\n")],
        [
            "rules/spreads.toml:11:1: error: spread 'food': food must be a number from 0 to 1, not 1.5 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "food too fine": (
        "spreads",
        [("food = 0.5\n", "food = 0.33333\n")],
        [
            "rules/spreads.toml:11:1: error: spread 'food': food must be in thousandths at the finest, not 0.33333 (out-of-range)",
            "  try: round it",
        ],
    ),
    "a spread twice": (
        "spreads",
        [('"food"\n', '"first aid"\n')],
        [
            "rules/spreads.toml:8:1: error: spread 'first aid': this name is used twice, first at rules/spreads.toml:2:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "retired before it was bought": (
        "x",
        [("take = 1", "take = 1\nbought = 2027-01-01\nretire_by = 2026-12-31")],
        [
            "trips/x.toml:43:1: error: kit 'throw bag 20 m': retire_by is 2026-12-31, and bought is 2027-01-01 (days-turned-round)",
            "  try: retire_by is the last day of its use",
        ],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_bad_rules(case: str) -> None:
    name, edits, lines = CASES[case]
    loaded = load_ruled({name: spoil(FILES[name], *edits)})
    assert loaded.trip is None
    assert loaded.lines == lines


def test_good_rules_and_spreads_have_no_finding() -> None:
    loaded = load_ruled({})
    assert loaded.lines == []
    assert loaded.trip is not None
    assert [one.name for one in loaded.trip.rules] == ["Somewhere", "the trip's own rules"]
    assert [one.name for one in loaded.trip.spreads] == ["first aid", "food"]
    sources = [source.file for source in loaded.trip.sources]
    assert sources == ["x.toml", "../catalogs/all.toml", "../rules/a.toml", "../rules/spreads.toml"]


def test_a_trip_without_them_has_none() -> None:
    trip = load(Path()).trip
    assert trip is not None
    assert (trip.rules, trip.spreads) == ((), ())


TWO_FILES = spoil(RULED, ('["../rules/a.toml"]', '["../rules/a.toml", "../rules/b.toml"]'))


def test_two_sets_of_one_name() -> None:
    other = RULES.replace('"S ', '"T ')
    assert load_ruled({"x": TWO_FILES, "b": other}).lines == [
        "rules/b.toml:2:1: error: set: this name is used twice, first at rules/a.toml:2:1 (name-used-twice)",
        "  try: give each its own name",
    ]


def test_a_kind_that_no_item_has() -> None:
    """Declared in a catalogue, but no item of any is one."""
    catalog = spoil(CATALOG, ('"helmet", "first aid"]', '"helmet", "first aid", "stove"]'))
    rules = spoil(
        RULES, ('kinds = ["line"], length = "15 m", flags = ["thrown"]', 'kinds = ["stove"]')
    )
    assert load_ruled({"all": catalog, "a": rules}).lines == [
        "rules/a.toml:13:21: error: rule 'S 1', counts: no item of the catalogues is a \"stove\" (unknown-kind)",
        "  try: add an item of this kind to a catalogue, or name the catalogue that has one",
    ]


def test_a_boat_type_without_a_length_is_named_once() -> None:
    """At the first of two rules that ask for it."""
    rules = spoil(RULES, ('skills = ["oar raft"]', 'length_under = "16 ft"'))
    rules = spoil(rules, ("\n[[reminder]]", 'boats = { length_from = "3 m" }\n\n[[reminder]]'))
    assert load_ruled({"a": rules}).lines == [
        "rules/a.toml:15:1: error: rule 'S 1': this goes by the length of a boat, and boat type \"oar raft 4.3 m\" at catalogs/all.toml:143:1 has none (length-missing)",
        '  try: add length = "4.3 m" or so to the boat type',
        "rules/a.toml:27:1: error: rule 'S 2': this goes by the length of a boat, and boat type \"river kayak\" at catalogs/all.toml:169:1 has none (length-missing)",
        '  try: add length = "4.3 m" or so to the boat type',
    ]


def cap(counts: str, reading: str) -> str:
    """Return the trip with one more rule of its own."""
    rule = f'id = "own 2"\nsays = "few"\ncounts = {{ {counts} }}\nreading = {{ {reading} }}\n'
    return f"{RULED}\n[[rule]]\n{rule}"


def test_at_most_below_at_least_across_two_sets() -> None:
    """S 1 asks for one in each raft; whatever counts for it counts for the cap."""
    texts = {"x": cap('kinds = ["line"]', 'scope = "trip", count = 0, bound = "at most"')}
    assert load_ruled(texts).lines == [
        "trips/x.toml:93:1: error: rule 'own 2': at most 0 by this, and at least 1 by rule \"S 1\" at rules/a.toml:6:1 (at-most-below-at-least)",
        "  try: change one of them, or leave it out",
    ]


def test_at_most_below_at_least_in_one_set() -> None:
    first = 'reading = { scope = "boat", count = 1 }\nboats'
    capped = 'reading = { scope = "boat", count = 2, bound = "at most" }\nboats'
    asked = first.replace("count = 1", "count = 3").removesuffix("boats")
    block = RULES[RULES.index("[[rule]]") : RULES.index('\n[[rule]]\nid = "S 2"')]
    more = spoil(block, ('"S 1"', '"S 4"'), (first.removesuffix("boats"), asked))
    rules = spoil(RULES, (first, capped)) + "\n" + more
    assert load_ruled({"a": rules}).lines == [
        "rules/a.toml:14:1: error: rule 'S 1': at most 2 by this, and at least 3 by rule \"S 4\" at rules/a.toml:35:1 (at-most-below-at-least)",
        "  try: change one of them, or leave it out",
    ]


@pytest.mark.parametrize(
    ("counts", "reading"),
    [
        # Another thing: a line of 15 m is asked, longer ones are capped.
        ('kinds = ["line"], length = "20 m"', 'scope = "trip", count = 0, bound = "at most"'),
        # As many as are asked.
        ('kinds = ["line"]', 'scope = "trip", count = 1, bound = "at most"'),
        # For each guide: of nobody nothing is asked, so that none may be too many.
        ('kinds = ["carabiner"]', 'scope = "boat", count = 0, bound = "at most"'),
        # A cap in each boat says nothing of the trip, which S 2 is about.
        ('kinds = ["life jacket"]', 'scope = "boat", count = 0, bound = "at most"'),
    ],
)
def test_a_cap_that_leaves_room(counts: str, reading: str) -> None:
    assert load_ruled({"x": cap(counts, reading)}).lines == []


def test_kit_in_csv_has_dates() -> None:
    csv = "item,count,bought,retire_by\nthrow bag 20 m,3,2026-03-01,2031-03-01\nfirst-aid kit,1,,\n"
    bare = TRIP[: TRIP.index("[[kit]]")] + TRIP[TRIP.index("[[rapid]]") :]
    trip = load(Path(), spoil(bare, ("[trip]\n", '[trip]\nkit = "kit.csv"\n')), kit=csv).trip
    assert trip is not None
    assert [str(one.retire_by) for one in trip.kit.values()] == ["2031-03-01", "None"]
    assert str(trip.kit["throw bag 20 m"].bought) == "2026-03-01"


def test_a_date_in_csv_that_is_none() -> None:
    csv = "item,count,retire_by\nthrow bag 20 m,3,2026-02-30\n"
    bare = TRIP[: TRIP.index("[[kit]]")] + TRIP[TRIP.index("[[rapid]]") :]
    text = spoil(bare, ("[trip]\n", '[trip]\nkit = "kit.csv"\n'))
    assert load(Path(), text, kit=csv).lines == [
        'trips/kit.csv:2:18: error: there is no date "2026-02-30" (no-such-date)',
        "  try: write a date as 2027-06-14",
    ]
