# ruff: noqa: E501 - a finding is one line, however long
"""What a rapid says of sight and of guests who walk, and can't be.

Every finding of a run is asserted whole. The words are the program's own; what is checked against
them is the text a person would write.
"""

import pytest

from tests.inputs.texts import TRIP, Cases, Edits, reject, spoil

RAPID = "eddies = 2\n"  # line 54, the last of the rapid's own

CASES: Cases = {
    "sight that is a word": (
        [(RAPID, RAPID + 'sight = "no"\n')],
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': sight must be true or false, not \"no\" (wrong-type)",
            "  try: true or false, without quotes",
        ],
    ),
    "sight that is no word at a flow": (
        [(RAPID, RAPID + "[rapid.high]\nsight = 0\n")],
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth', high: sight must be true or false, not 0 (wrong-type)",
            "  try: look for a slip",
        ],
    ),
    "guests who walk where there is no path": (
        [(", path = true", ""), (RAPID, RAPID + "guests_walk = true\n")],
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': guests can't walk round Sawtooth: no path on either bank (no-path)",
            "  try: write path = true for the bank they walk along",
        ],
    ),
    "a path that is not there at high water": (
        [(RAPID, RAPID + "guests_walk = true\n[rapid.high]\nleft = { path = false }\n")],
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': guests can't walk round Sawtooth: no path on either bank, at high water (no-path)",
            "  try: write path = true for the bank they walk along",
        ],
    ),
    "guests who walk that is a number": (
        [(RAPID, RAPID + "guests_walk = 1\n")],
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': guests_walk must be true or false, not 1 (wrong-type)",
            "  try: look for a slip",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=list(CASES))
def test_says_what_is_wrong_with_sight_and_guests(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected
