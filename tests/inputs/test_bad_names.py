# ruff: noqa: E501 - a finding is one line, however long
"""Unknown and doubled names, seats and distances: a small edit, and exactly what is said of it.

Every finding of a run is asserted whole: place, sort, words, code, and what to try. The words are
the program's own; what is checked against them is the text a person would write.
"""

import pytest

from tests.inputs.texts import TRIP, Cases, Edits, reject, spoil

CASES: Cases = {
    "unknown boat type": (
        [('type = "river kayak"', 'type = "river kayk"')],
        [
            "trips/x.toml:16:1: error: boat 'Wren': unknown boat type \"river kayk\" (unknown-boat-type)",
            "  try: river kayak",
        ],
    ),
    "unknown item": (
        [('item = "throw bag 20 m"', 'item = "throw bag 20"')],
        [
            "trips/x.toml:37:1: error: kit 'throw bag 20': unknown item \"throw bag 20\" (unknown-item)",
            "  try: throw bag 20 m",
        ],
    ),
    "unknown item worn": (
        [('"locking carabiner" = 2', '"loking carabiner" = 2')],
        [
            "trips/x.toml:22:38: error: paddler 'Ana', wears: unknown item \"loking carabiner\" (unknown-item)",
            "  try: locking carabiner",
        ],
    ),
    "unknown item for everyone": (
        [('"life jacket, river", "helmet"', '"life jacket, river", "helmt"')],
        [
            'trips/x.toml:7:41: error: trip: unknown item "helmt" (unknown-item)',
            "  try: helmet",
        ],
    ),
    "unknown skill": (
        [("throwing = 3", "thrwing = 3")],
        [
            "trips/x.toml:21:12: error: paddler 'Ana', skills: unknown skill \"thrwing\" (unknown-skill)",
            "  try: throwing",
        ],
    ),
    "unknown certificate": (
        [('name = "swift-water rescue"', 'name = "swiftwater rescue"')],
        [
            "trips/x.toml:23:19: error: paddler 'Ana', certificate 'swiftwater rescue': unknown certificate \"swiftwater rescue\" (unknown-certificate)",
            "  try: swift-water rescue",
        ],
    ),
    "unknown scenario": (
        [('["swimmer", "pinned boat"]', '["swimer", "pinned boat"]')],
        [
            "trips/x.toml:64:14: error: rapid 'Sawtooth', spot 'the ledge': unknown scenario \"swimer\" (unknown-scenario)",
            "  try: swimmer",
        ],
    ),
    "unknown scenario in consequence": (
        [("water_temperature", 'consequence = { "pinned boot" = 3 }\nwater_temperature')],
        [
            'trips/x.toml:5:17: error: trip, consequence: unknown scenario "pinned boot" (unknown-scenario)',
            "  try: pinned boat",
        ],
    ),
    "unknown running boat": (
        [("water_temperature", 'running = ["Hern"]\nwater_temperature')],
        [
            'trips/x.toml:5:12: error: trip: unknown boat "Hern" (unknown-boat)',
            "  try: Heron",
        ],
    ),
    "unknown boat of a paddler": (
        [('boat = "Wren"', 'boat = "Ren"')],
        [
            "trips/x.toml:29:1: error: paddler 'Bo': unknown boat \"Ren\" (unknown-boat)",
            "  try: Wren",
        ],
    ),
    "unknown paddler": (
        [('["Ana", "Bo"]', '["Anna", "Bo"]')],
        [
            'trips/x.toml:79:13: error: apart 1: unknown paddler "Anna" (unknown-paddler)',
            "  try: Ana",
        ],
    ),
    "nothing near": (
        [('type = "river kayak"', 'type = "zeppelin"')],
        [
            "trips/x.toml:16:1: error: boat 'Wren': unknown boat type \"zeppelin\" (unknown-boat-type)",
            "  try: one of oar raft 4.3 m, paddle raft 4.0 m, river kayak",
        ],
    ),
    "boat name twice": (
        [('name = "Wren"', 'name = "Heron"'), ('boat = "Wren"\n', "")],
        [
            "trips/x.toml:15:1: error: boat 'Heron': this name is used twice, first at trips/x.toml:10:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "paddler name twice": (
        [('name = "Cy"', 'name = "Bo"'), ('["Ana", "Cy"]', '["Ana", "Bo"]')],
        [
            "trips/x.toml:33:1: error: paddler 'Bo': this name is used twice, first at trips/x.toml:26:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "rapid name twice": (
        [('name = "Riffle"', 'name = "Sawtooth"')],
        [
            "trips/x.toml:69:1: error: rapid 'Sawtooth': this name is used twice, first at trips/x.toml:48:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "spot name twice": (
        [
            (
                "likely = 2\n",
                'likely = 2\n\n[[rapid.spot]]\nname = "the ledge"\nscenarios = ["swimmer"]\n',
            )
        ],
        [
            "trips/x.toml:68:1: error: rapid 'Sawtooth', spot 'the ledge': this name is used twice, first at trips/x.toml:57:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "kit twice": (
        [('item = "first-aid kit"', 'item = "throw bag 20 m"')],
        [
            "trips/x.toml:42:1: error: kit 'throw bag 20 m': item 'throw bag 20 m' is used twice, first at trips/x.toml:37:1 (name-used-twice)",
            "  try: name it once",
        ],
    ),
    "scenario twice": (
        [('["swimmer", "pinned boat"]', '["swimmer", "swimmer"]')],
        [
            "trips/x.toml:64:25: error: rapid 'Sawtooth', spot 'the ledge': scenario 'swimmer' is there twice (name-used-twice)",
            "  try: name it once; likely weighs it",
        ],
    ),
    "paddler twice in a company": (
        [('["Ana", "Bo"]', '["Ana", "Ana"]')],
        [
            "trips/x.toml:79:20: error: apart 1: paddler 'Ana' is there twice (name-used-twice)",
            "  try: name everybody once",
        ],
    ),
    "running boat twice": (
        [("water_temperature", 'running = ["Wren", "Wren"]\nwater_temperature')],
        [
            'trips/x.toml:5:20: error: trip: boat "Wren" is there twice (name-used-twice)',
            "  try: name it once",
        ],
    ),
    "more people than seats": (
        [('type = "oar raft 4.3 m"', 'type = "river kayak"'), ('dry_load = "120 kg"', "")],
        [
            "trips/x.toml:32:1: error: 3 people, but the boats have 2 seats (too-few-seats)",
            "  try: bring one more boat, or fewer people",
        ],
    ),
    "two in a kayak": (
        [('mass = "154 lb"', 'mass = "154 lb"\nboat = "Wren"')],
        [
            "trips/x.toml:35:1: error: paddler 'Cy': boat 'Wren' has 1 seat, and 'Bo' is tied to it already (too-few-seats)",
            "  try: name another boat, or leave the key out",
        ],
    ),
    "distances over the width": (
        [('from_right = "11 m"', 'from_right = "14 m"')],
        [
            "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_left 7 m and from_right 14 m make 21 m, but the river is 18 m wide (distances-off)",
            "  try: change one of the three; a distance left out is the rest of the width",
        ],
    ),
    "distance over the width": (
        [('from_left = "7 m"\nfrom_right = "11 m"', 'from_right = "20 m"')],
        [
            "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_right is 20 m, but the river is 18 m wide (distances-off)",
            "  try: measure again, or change width",
        ],
    ),
    "neither width nor distances": (
        [('width = "12 m"\n', "")],
        [
            "trips/x.toml:67:1: error: rapid 'Riffle': neither the width nor both distances from the banks are given (width-missing)",
            "  try: write width for the rapid, or from_left and from_right",
        ],
    ),
    "one distance without width": (
        [('width = "12 m"\n', 'from_left = "4 m"\n')],
        [
            "trips/x.toml:67:1: error: rapid 'Riffle': neither the width nor both distances from the banks are given (width-missing)",
            "  try: write width for the rapid, or from_left and from_right",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "expected"), CASES.values(), ids=CASES.keys())
def test_says_what_does_not_fit_together(edits: Edits, expected: list[str]) -> None:
    assert reject(spoil(TRIP, *edits)) == expected
