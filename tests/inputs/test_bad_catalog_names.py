# ruff: noqa: E501 - a finding is one line, however long
"""Catalogues that are not there: a small edit, and exactly what is said of it.

Every finding of a run is asserted whole: place, sort, words, code, and what to try. The words are
the program's own; what is checked against them is the text a person would write.
"""

import pytest

from tests.inputs.texts import TRIP, Cases, Edits, reject, spoil

CASES: Cases = {
    "no catalogues": (
        [('["../catalogs/all.toml"]', "[]")],
        [
            "trips/x.toml:4:1: error: trip: catalogs must be a list of at least 1, each quoted text, and has 0 (wrong-length)",
            "  try: add or take out members",
        ],
    ),
    "catalogue missing": (
        [("../catalogs/all.toml", "../catalogs/al.toml")],
        [
            'trips/x.toml:4:13: error: trip: "../catalogs/al.toml": there is no such file (file-missing)',
            "  try: look at its name and folder",
        ],
    ),
    "catalogue missing, shipped by that name": (
        [("../catalogs/all.toml", "gear.toml")],
        [
            'trips/x.toml:4:13: error: trip: "gear.toml": there is no such file (file-missing)',
            '  try: "kitplan:gear.toml", which comes with the program',
        ],
    ),
    "catalogue unknown among the shipped": (
        [("../catalogs/all.toml", "kitplan:geer.toml")],
        [
            'trips/x.toml:4:13: error: trip: "kitplan:geer.toml": no catalogue of this name comes with the program (file-missing)',
            '  try: "kitplan:gear.toml"',
        ],
    ),
    "catalogue a folder": (
        [("../catalogs/all.toml", "../catalogs")],
        [
            'trips/x.toml:4:13: error: trip: "../catalogs": this is a folder, not a file (file-is-folder)',
            "  try: name a file in it",
        ],
    ),
    "catalogue twice": (
        [('["../catalogs/all.toml"]', '["../catalogs/all.toml", "../trips/../catalogs/all.toml"]')],
        [
            'trips/x.toml:4:37: error: trip: "../trips/../catalogs/all.toml" is named twice (file-named-twice)',
            "  try: name each file once",
        ],
    ),
    "catalogue with a name too long": (
        [
            (
                "../catalogs/all.toml",
                "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx",
            )
        ],
        [
            'trips/x.toml:4:13: error: trip: "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...": this file can\'t be read (file-unreadable)',
            "  try: a copy of it",
        ],
    ),
    "trip as its own catalogue": (
        [("../catalogs/all.toml", "x.toml")],
        [
            'trips/x.toml:4:13: error: trip: "x.toml" is the trip itself (file-named-twice)',
            "  try: name another file",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=CASES.keys())
def test_says_which_catalogue_is_not_there(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected
