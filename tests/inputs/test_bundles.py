"""Bundles in catalogues and in the kit of a trip: what is read, and all that is said of slips."""

from datetime import date
from pathlib import Path

import pytest

from kitplan.trip import Kit, Trip
from tests.inputs.texts import CATALOG, TRIP, Cases, load, reject, spoil

BUNDLE = """
[[item]]
name = "kit bag"
kinds = []
contains = { "throw bag 20 m" = 1, "locking carabiner" = 3 }
carried = ["quick", "stowed"]
bulky = true
"""
START = CATALOG.count("\n") + 1  # line of the blank before the bundle
LISTED = """
[[kit]]
item = "kit bag"
count = 2
take = 1
"""
SPLIT = LISTED + "split = true\n"
ROW = TRIP.count("\n") + 2  # line of the row for the bundle


def read(kit: str, *edits: tuple[str, str]) -> Trip:
    """Return the trip with these rows of kit; the bundle is spoilt by edits."""
    loaded = load(Path(), TRIP + kit, CATALOG + spoil(BUNDLE, *edits))
    assert loaded.trip is not None, loaded.lines
    return loaded.trip


def count(trip: Trip) -> dict[str, tuple[int, int]]:
    """Return how many of each item there are, and how many of them always go."""
    return {name: (kit.count, kit.take) for name, kit in trip.kit.items()}


def test_a_bundle_weighs_what_its_contents_do() -> None:
    """1 kg and three times 85 g; it counts as one piece of kit, and as nothing itself."""
    trip = read(LISTED)
    item = trip.catalog.items["kit bag"]
    assert item.mass_g == 1255
    assert [(one.name, n) for one, n in item.contains] == [
        ("throw bag 20 m", 1), ("locking carabiner", 3),
    ]  # fmt: skip
    assert count(trip) == {"throw bag 20 m": (3, 1), "first-aid kit": (1, 1), "kit bag": (2, 1)}


def test_a_bundle_may_weigh_more_than_its_contents() -> None:
    trip = read(LISTED, ("kinds = []", 'kinds = []\nmass = "1255 g"'))
    assert trip.catalog.items["kit bag"].mass_g == 1255
    trip = read(LISTED, ("kinds = []", 'kinds = []\nmass = "1.6 kg"'))
    assert trip.catalog.items["kit bag"].mass_g == 1600


def test_a_bundle_that_is_split_adds_to_what_is_listed() -> None:
    """Two bundles: two lines besides three, one and one of them always go; six carabiners."""
    trip = read(SPLIT)
    assert count(trip) == {
        "throw bag 20 m": (5, 2),
        "first-aid kit": (1, 1),
        "locking carabiner": (6, 3),
    }
    assert trip.legs[0].kit == ("throw bag 20 m", "first-aid kit", "locking carabiner")


def test_what_is_listed_after_it_is_split_adds_too() -> None:
    again = '\n[[kit]]\nitem = "locking carabiner"\ncount = 4\ntake = true\n'
    assert count(read(SPLIT + again))["locking carabiner"] == (10, 7)


def test_the_earlier_dates_hold_for_what_is_joined() -> None:
    """The line of the bundle is older, and its last day comes first."""
    dates = "bought = 2020-01-01\nretire_by = 2029-01-01\n"
    old = "bought = 2019-01-01\nretire_by = 2028-01-01\n"
    trip = load(
        Path(), spoil(TRIP, ("count = 3\n", f"count = 3\n{dates}")) + SPLIT + old, CATALOG + BUNDLE
    ).trip
    assert trip is not None
    kit: Kit = trip.kit["throw bag 20 m"]
    assert (kit.bought, kit.retire_by) == (date(2019, 1, 1), date(2028, 1, 1))


def test_split_stands_in_a_column_too() -> None:
    listed = "item,count,take,split\nthrow bag 20 m,3,,\nkit bag,2,1,yes\n"
    without = TRIP[: TRIP.index("[[kit]]")] + TRIP[TRIP.index("[[rapid]]") :]
    text = spoil(without, ('name = "two days"', 'name = "two days"\nkit = "kit.csv"'))
    trip = load(Path(), text, CATALOG + BUNDLE, kit=listed.replace("2,1,", "2,yes,")).trip
    assert trip is not None
    assert count(trip) == {"throw bag 20 m": (5, 2), "locking carabiner": (6, 6)}


CATALOGS: Cases = {
    "unknown content": (
        [('"locking carabiner" = 3', '"locking carabinr" = 3')],
        [
            (
                f"catalogs/all.toml:{START + 4}:36: error: item 'kit bag', contains: unknown item "
                '"locking carabinr" (unknown-item)'
            ),
            "  try: locking carabiner",
        ],
    ),
    "none of it": (
        [("= 3 }", "= 0 }")],
        [
            (
                f"catalogs/all.toml:{START + 4}:36: error: "
                "item 'kit bag', contains: locking carabiner "
                "must be a whole number from 1 to 50, not 0 (out-of-range)"
            ),
            "  try: look for a slip",
        ],
    ),
    "a bundle in a bundle": (
        [('"locking carabiner" = 3', '"kit bag" = 3')],
        [
            (
                f"catalogs/all.toml:{START + 4}:36: error: "
                "item 'kit bag', contains: \"kit bag\" is a "
                "bundle itself (bundle-in-bundle)"
            ),
            "  try: name what is in it instead",
        ],
    ),
    "what is worn": (
        [('"locking carabiner" = 3', "helmet = 3")],
        [
            (
                f"catalogs/all.toml:{START + 4}:36: error: "
                "item 'kit bag', contains: \"helmet\" is worn, "
                "and can't lie in a bundle (bundle-of-worn)"
            ),
            "  try: leave it out; what people wear stands in their wears",
        ],
    ),
    "a bundle that is worn": (
        [('carried = ["quick", "stowed"]', 'carried = ["quick", "worn"]\nworn_on = "waist"')],
        [
            (
                f"catalogs/all.toml:{START + 5}:1: error: "
                "item 'kit bag': carried has \"worn\", and a "
                "bundle can't be worn (bundle-worn)"
            ),
            '  try: write carried = ["quick", "stowed"], or leave contains out',
        ],
    ),
    "a bundle of a kind": (
        [("kinds = []", 'kinds = ["line"]')],
        [
            (
                f"catalogs/all.toml:{START + 3}:1: error: "
                "item 'kit bag': kinds has \"line\", and only "
                "its contents count (bundle-of-a-kind)"
            ),
            "  try: write kinds = [], and add to contains what else is in it",
        ],
    ),
    "lighter than its contents": (
        [("kinds = []", 'kinds = []\nmass = "1.2 kg"')],
        [
            (
                f"catalogs/all.toml:{START + 4}:1: error: item 'kit bag': mass is 1.2 kg, and its "
                "contents are 1.26 kg (bundle-too-light)"
            ),
            "  try: weigh it with all that is in it, or leave mass out",
        ],
    ),
    "no mass and nothing in it": (
        [('contains = { "throw bag 20 m" = 1, "locking carabiner" = 3 }\n', "")],
        [
            (
                f"catalogs/all.toml:{START + 1}:1: error: "
                "item 'kit bag': mass is missing (missing-key)"
            ),
            "  try: write mass = ..., quoted text, a number with its unit",
        ],
    ),
}


@pytest.mark.parametrize("name", CATALOGS)
def test_a_slip_in_a_bundle_is_named(name: str) -> None:
    edits, lines = CATALOGS[name]
    assert reject(TRIP + LISTED, CATALOG + spoil(BUNDLE, *edits)) == lines


def test_a_bundle_may_stand_before_what_is_in_it() -> None:
    first, *rest = CATALOG.split("[[item]]")
    text = "[[item]]".join([first, BUNDLE.removeprefix("\n[[item]]"), *rest])
    trip = load(Path(), TRIP + LISTED, text).trip
    assert trip is not None
    assert trip.catalog.items["kit bag"].mass_g == 1255


ROWS: dict[str, tuple[str, list[str]]] = {
    "split of what is no bundle": (
        '\n[[kit]]\nitem = "locking carabiner"\ncount = 2\nsplit = true\n',
        [
            (
                f"trips/x.toml:{ROW + 3}:1: error: kit 'locking carabiner': split is true, and "
                '"locking carabiner" is no bundle (not-a-bundle)'
            ),
            "  try: leave split out; a bundle is an item with contains = { ... }",
        ],
    ),
    "split on other days": (
        SPLIT + "from = 2\n",
        [
            (
                f"trips/x.toml:{ROW + 4}:1: error: "
                "kit 'kit bag': \"throw bag 20 m\" is there on other "
                "days at trips/x.toml:36:1 (days-differ)"
            ),
            "  try: give both rows the same from and to, or list the item under another name",
        ],
    ),
    "split by a word": (
        LISTED + 'split = "yes"\n',
        [
            (
                f"trips/x.toml:{ROW + 4}:1: error: kit 'kit bag': split must be true or false, not "
                '"yes" (wrong-type)'
            ),
            "  try: true or false, without quotes",
        ],
    ),
}


@pytest.mark.parametrize("name", ROWS)
def test_a_slip_in_a_row_of_kit_is_named(name: str) -> None:
    rows, lines = ROWS[name]
    assert reject(TRIP + rows, CATALOG + BUNDLE) == lines
