# ruff: noqa: E501 - a finding is one line, however long
"""What a rapid says of low, medium and high water and can't be; and what does not add up there.

Every finding of a run is asserted whole. The words are the program's own; what is checked against
them is the text a person would write.
"""

from pathlib import Path

import pytest

from kitplan.load import load_trip
from kitplan.trip import ALL_FLOWS, FLOWS
from tests.inputs.texts import TRIP, Cases, Edits, reject, spoil, write

RAPID = "eddies = 2\n"  # line 54, the last of the rapid's own
SPOT = "likely = 2\n"  # line 65, the last of its spot
HINT = "  try: change one of the three; a distance left out is the rest of the width"


def of_rapid(lines: str) -> Edits:
    """Return the edit that adds lines to the rapid, from line 55 on."""
    return [(RAPID, RAPID + lines)]


def of_spot(lines: str) -> Edits:
    """Return the edit that adds lines to its spot, from line 66 on."""
    return [(SPOT, SPOT + lines)]


CASES: Cases = {
    "a flow of another name": (
        of_rapid('[rapid.flood]\nclass = "V"\n'),
        [
            "trips/x.toml:55:8: error: rapid 'Sawtooth': unknown flow \"flood\" (unknown-flow)",
            "  try: the flows are low, medium and high",
        ],
    ),
    "a flow mistyped": (
        of_rapid('hihg = { class = "V" }\n'),
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': unknown flow \"hihg\" (unknown-flow)",
            "  try: high; the flows are low, medium and high",
        ],
    ),
    "a spot's flow of another name": (
        of_spot('[rapid.spot.mid]\ndepth = "1 m"\n'),
        [
            "trips/x.toml:66:13: error: rapid 'Sawtooth', spot 'the ledge': unknown flow \"mid\" (unknown-flow)",
            "  try: the flows are low, medium and high",
        ],
    ),
    "a bank mistyped is no flow": (
        of_rapid("lefft = { landing = 1 }\n"),
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': unknown key \"lefft\" (unknown-key)",
            "  try: left",
        ],
    ),
    "unknown key of a flow": (
        of_rapid('[rapid.high]\nclas = "V"\n'),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth', high: unknown key \"clas\" (unknown-key)",
            "  try: class",
        ],
    ),
    "unknown key of a bank at a flow": (
        of_rapid("[rapid.high.left]\nlandings = 1\n"),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth', high, left: unknown key \"landings\" (unknown-key)",
            "  try: landing",
        ],
    ),
    "a flow renames nothing": (
        of_rapid('[rapid.high]\nname = "Maw"\n'),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth', high: unknown key \"name\" (unknown-key)",
            "  try: the keys here are from_left, from_right, current, depth, run_in, run_out, slack, scenarios, likely, sight, class, width, safety, run, left, right, eddies, guests_walk",
        ],
    ),
    "a spot has no class": (
        of_spot('high = { class = "V" }\n'),
        [
            "trips/x.toml:66:10: error: rapid 'Sawtooth', spot 'the ledge', high: unknown key \"class\" (unknown-key)",
            "  try: the keys here are from_left, from_right, current, depth, run_in, run_out, slack, scenarios, likely, sight",
        ],
    ),
    "a flow that is no table": (
        of_rapid('high = "V"\n'),
        [
            "trips/x.toml:55:1: error: rapid 'Sawtooth': high must be a table, not \"V\" (wrong-type)",
            "  try: look for slipped brackets or quotes",
        ],
    ),
    "no class at a flow": (
        of_rapid('[rapid.low]\nclass = "VII"\n'),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not \"VII\" (unknown-class)",
            '  try: write it as "III" or "IV+"',
        ],
    ),
    "no unit at a flow": (
        of_rapid("[rapid.low]\nwidth = 12\n"),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth', low: width must be quoted text, a number with its unit, not 12 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "a unit that is none, said for all flows, is said once": (
        [*of_rapid('[rapid.low]\nclass = "III"\n'), ('depth = "0.6 m"', 'depth = "0.6 m/s"')],
        [
            "trips/x.toml:63:1: error: rapid 'Sawtooth', spot 'the ledge': depth \"0.6 m/s\" is a speed, not a length (wrong-unit)",
            "  try: the units of length are mm, cm, m, km, in, ft, yd, mi",
        ],
    ),
    "too deep at a flow": (
        of_spot('[rapid.spot.high]\ndepth = "31 m"\n'),
        [
            "trips/x.toml:67:1: error: rapid 'Sawtooth', spot 'the ledge': depth must be at most 30 m, not 31 m (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "distances that are off at one flow, which says the width": (
        of_rapid('[rapid.high]\nwidth = "25 m"\n'),
        [
            "trips/x.toml:60:1: error: rapid 'Sawtooth', spot 'the ledge': from_left 7 m and from_right 11 m make 18 m, but the river is 25 m wide, at high water (distances-off)",
            HINT,
        ],
    ),
    "distances that are off at one flow, which says them": (
        of_spot('[rapid.spot.low]\nfrom_left = "3 m"\n'),
        [
            "trips/x.toml:67:1: error: rapid 'Sawtooth', spot 'the ledge': from_left 3 m and from_right 11 m make 14 m, but the river is 18 m wide, at low water (distances-off)",
            HINT,
        ],
    ),
    "distances that are off as written and at one flow": (
        [
            *of_rapid('[rapid.high]\nwidth = "20 m"\n'),
            ('from_left = "7 m"', 'from_left = "9 m"'),
        ],
        [
            "trips/x.toml:60:1: error: rapid 'Sawtooth', spot 'the ledge': from_left 9 m and from_right 11 m make 20 m, but the river is 18 m wide, at low and medium water (distances-off)",
            HINT,
        ],
    ),
    "distances that are off alike at all flows": (
        [
            *of_rapid('[rapid.high]\nclass = "V"\n'),
            ('from_left = "7 m"', 'from_left = "9 m"'),
        ],
        [
            "trips/x.toml:60:1: error: rapid 'Sawtooth', spot 'the ledge': from_left 9 m and from_right 11 m make 20 m, but the river is 18 m wide (distances-off)",
            HINT,
        ],
    ),
    "a key of the spot in the rapid's flow": (
        of_rapid('[rapid.high]\ndepth = "1 m"\n'),
        [
            "trips/x.toml:56:1: error: rapid 'Sawtooth': depth is a key of the rapid, and the rapid has [[rapid.spot]] tables, at high water (said-twice)",
            "  try: say it once: move the key into a [[rapid.spot]]",
        ],
    ),
    "a sign that steers a terminal, said once though it is read at three flows": (
        of_spot('[rapid.spot.high]\ncurrent = "2 \\u001b m/s"\n'),
        [
            "trips/x.toml:67:1: error: rapid 'Sawtooth', spot 'the ledge', high: current has a control character in it (control-character)",
            "  try: retype it on one line",
        ],
    ),
    "unknown scenario at a flow": (
        of_spot('[rapid.spot.high]\nscenarios = ["swimmer", "swimer"]\n'),
        [
            "trips/x.toml:67:25: error: rapid 'Sawtooth', spot 'the ledge': unknown scenario \"swimer\" (unknown-scenario)",
            "  try: swimmer",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=list(CASES))
def test_says_what_is_wrong_with_a_flow(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected


@pytest.mark.parametrize("flow", [*FLOWS, ALL_FLOWS])
def test_the_flow_planned_for_hides_nothing(tmp_path: Path, flow: str) -> None:
    """What is wrong at high water is said whichever flow is asked for."""
    path = write(tmp_path, spoil(TRIP, *of_rapid('[rapid.high]\nwidth = "25 m"\n')))
    trip, findings = load_trip(path, flow)
    assert trip is None
    assert [(one.code, one.where.line) for one in findings] == [("distances-off", 60)]
