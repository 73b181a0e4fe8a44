# ruff: noqa: E501 - a finding is one line, however long
"""Groups that can't be: a small edit, and exactly what is said of it.

Every finding of a run is asserted whole. The words are the program's own.
"""

import pytest

from tests.inputs.texts import TRIP, reject, spoil

KEY = "eddies = 2\n"  # line 54

CASES: dict[str, tuple[str, list[str]]] = {
    "a boat twice in a group": (
        'groups = [["Heron", "Wren", "Heron"]]',
        [
            "trips/x.toml:55:29: error: rapid 'Sawtooth', groups: boat \"Heron\" is there twice (name-used-twice)",
            "  try: name it once",
        ],
    ),
    "a boat in two groups": (
        'groups = [["Heron"], ["Wren", "Heron"]]',
        [
            "trips/x.toml:55:31: error: rapid 'Sawtooth', groups: boat \"Heron\" is in group 1 already (boat-in-two-groups)",
            "  try: a boat passes a rapid once: name it in one group",
        ],
    ),
    "an unknown boat": (
        'groups = [["Heron"], ["Wran"]]',
        [
            "trips/x.toml:55:23: error: rapid 'Sawtooth', groups: unknown boat \"Wran\" (unknown-boat)",
            "  try: Wren",
        ],
    ),
    "an empty group": (
        'groups = [["Heron", "Wren"], []]',
        [
            "trips/x.toml:55:30: error: rapid 'Sawtooth': group 2 names no boat (empty)",
            "  try: name its boats, or leave the group out",
        ],
    ),
    "no group": (
        "groups = []",
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': groups names no group, so that nobody would pass (empty)",
            "  try: leave groups out, and all boats pass together",
        ],
    ),
    "one list": (
        'groups = ["Heron", "Wren"]',
        [
            "trips/x.toml:55:11: error: rapid 'Sawtooth': groups 1 must be a list of quoted texts, not \"Heron\" (wrong-type)",
            '  try: put it in brackets, as in ["Heron"]',
            "trips/x.toml:55:20: error: rapid 'Sawtooth': groups 2 must be a list of quoted texts, not \"Wren\" (wrong-type)",
            '  try: put it in brackets, as in ["Wren"]',
        ],
    ),
    "all of it": (
        'groups = [["Heron", "Heron"], ["Heron"], [], ["Coot"]]',
        [
            "trips/x.toml:55:21: error: rapid 'Sawtooth', groups: boat \"Heron\" is there twice (name-used-twice)",
            "  try: name it once",
            "trips/x.toml:55:32: error: rapid 'Sawtooth', groups: boat \"Heron\" is in group 1 already (boat-in-two-groups)",
            "  try: a boat passes a rapid once: name it in one group",
            "trips/x.toml:55:42: error: rapid 'Sawtooth': group 3 names no boat (empty)",
            "  try: name its boats, or leave the group out",
            "trips/x.toml:55:47: error: rapid 'Sawtooth', groups: unknown boat \"Coot\" (unknown-boat)",
            "  try: one of Heron, Wren",
        ],
    ),
}


@pytest.mark.parametrize(("line", "expected"), CASES.values(), ids=list(CASES))
def test_says_what_is_wrong_with_groups(line: str, expected: list[str]) -> None:
    assert reject(spoil(TRIP, (KEY, f"{KEY}{line}\n"))) == expected


def test_a_passage_may_not_be_called_like_another_rapid() -> None:
    """Names of passages are put together, and may meet a name that somebody gave."""
    groups = (KEY, f'{KEY}groups = [["Heron"], ["Wren"]]\n')
    assert reject(spoil(TRIP, groups, ('"Riffle"', '"Sawtooth with Wren"'))) == [
        "trips/x.toml:70:1: error: rapid 'Sawtooth with Wren': this name is used twice, first at trips/x.toml:48:1 (name-used-twice)",
        "  try: give each its own name",
    ]
