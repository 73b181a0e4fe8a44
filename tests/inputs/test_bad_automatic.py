# ruff: noqa: E501 - a finding is one line, however long
"""What a trip or a catalogue says of automatic scenarios and can't be, with all that is said of it.

The words are the program's own; what is checked against them is the text a person would write.
"""

import pytest

from tests.inputs.texts import CATALOG, TRIP, Edits, reject, spoil

IN_TIME = 'in_time = "1 min"\n'
UNNAMED: Edits = [(IN_TIME, IN_TIME + 'automatic = { class_from = "III" }\n')]
ACCEPT = 'accept = { wading = "III", afloat = "V" }\n'


def of_trip(said: str) -> Edits:
    """Return the edit that has the trip say so in line 7."""
    return [(ACCEPT, f"{ACCEPT}automatic_scenarios = {said}\n")]


BARE = TRIP[TRIP.index("[[rapid.spot]]") : TRIP.index("[[rapid]]\nday = 2")]

CASES: dict[str, tuple[Edits, Edits, list[str]]] = {
    "unknown scenario": (
        of_trip('["swimer"]'),
        UNNAMED,
        [
            'trips/x.toml:7:24: error: trip: unknown scenario "swimer" (unknown-scenario)',
            "  try: swimmer",
        ],
    ),
    "named twice": (
        of_trip('["swimmer", "swimmer"]'),
        UNNAMED,
        [
            "trips/x.toml:7:35: error: trip: scenario 'swimmer' is there twice (name-used-twice)",
            "  try: name it once",
        ],
    ),
    "not automatic": (
        of_trip('["pinned boat"]'),
        UNNAMED,
        [
            "trips/x.toml:7:24: error: trip: scenario 'pinned boat' is not automatic: the catalogue does not say from where (not-automatic)",
            "  try: name it at the rapids where it may happen, or say automatic in a catalogue",
        ],
    ),
    "neither list nor yes or no": (
        of_trip('"swimmer"'),
        UNNAMED,
        [
            'trips/x.toml:7:1: error: trip: automatic_scenarios must be true or false or a list of quoted texts, not "swimmer" (wrong-type)',
            '  try: put it in brackets, as in ["swimmer"]',
        ],
    ),
    "width missing": (
        [('width = "18 m"\n', ""), (BARE, "")],
        UNNAMED,
        [
            "trips/x.toml:46:1: error: rapid 'Sawtooth': swimmer may happen at every rapid of class IV, and the width is not given (width-missing)",
            "  try: write width, or scenarios = [] where nothing can happen",
        ],
    ),
    "width missing at one flow": (
        [
            ('width = "18 m"\n', ""),
            (BARE, ""),
            ('class = "IV+"\n', 'class = "II"\nhigh = { class = "III" }\n'),
        ],
        UNNAMED,
        [
            "trips/x.toml:46:1: error: rapid 'Sawtooth': swimmer may happen at every rapid of class III, and the width is not given, at high water (width-missing)",
            "  try: write width, or scenarios = [] where nothing can happen",
        ],
    ),
    "class misspelt": (
        [],
        [(IN_TIME, IN_TIME + 'automatic = { class_from = "3" }\n')],
        [
            "catalogs/all.toml:40:15: error: scenario 'swimmer', automatic: class_from must be I to VI (with + or -), not \"3\" (unknown-class)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "class missing": (
        [],
        [(IN_TIME, IN_TIME + "automatic = { cold_or_remote = true }\n")],
        [
            "catalogs/all.toml:40:1: error: scenario 'swimmer', automatic: class_from is missing (missing-key)",
            "  try: write class_from = ..., I to VI (with + or -)",
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_says_exactly_this(name: str) -> None:
    trip, catalog, lines = CASES[name]
    assert reject(spoil(TRIP, *trip), spoil(CATALOG, *catalog)) == lines
