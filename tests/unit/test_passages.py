"""Rapids with flows and groups as the loader makes them: one noun for each passage.

What a passage is to be follows from the text a person would write, read by the words of the README:
what is not said at a flow stays as written.
"""

from pathlib import Path

import pytest

from kitplan.load import load_trip
from kitplan.trip import ALL_FLOWS, AS_WRITTEN, FLOWS, Rapid, Trip
from tests.inputs.texts import TRIP, spoil, write

RAPID = "eddies = 2\n"
SPOT = "likely = 2\n"
FLOWING = (
    (
        RAPID,
        RAPID
        + """
[rapid.low]
class = "III"
safety = "afloat"
eddies = 1

[rapid.high]
class = "V"
width = "21 m"
left = { landing = 1, edge_depth = "0.9 m" }
run = "portage"
""",
    ),
    (
        SPOT,
        SPOT
        + """
[rapid.spot.low]
depth = "0.3 m"
scenarios = ["pinned boat"]
slack = true

[rapid.spot.high]
from_right = "14 m"
current = "3 m/s"
likely = 1
run_in = "20 m"
run_out = "10 m"
""",
    ),
)
GROUPS = (RAPID, f'{RAPID}groups = [["Wren"], ["Heron"]]\n')


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def read(flow: str, *edits: tuple[str, str]) -> Trip:
    """Return the trip of the texts with some edits, at a flow."""
    trip, findings = load_trip(write(Path(), spoil(TRIP, *edits)), flow)
    assert trip is not None, [one.text() for one in findings]
    return trip


def read_rapid(flow: str, *edits: tuple[str, str]) -> Rapid:
    """Return the one passage of Sawtooth at a flow."""
    return read(flow, *edits).rapids["Sawtooth"]


def test_what_is_not_said_stays_as_written() -> None:
    """At each flow: the keys it says, and for the rest those of the rapid as it stands above."""
    low, medium, high = (read_rapid(flow, *FLOWING) for flow in FLOWS)
    assert [one.class_text for one in (low, medium, high)] == ["III", "IV+", "V"]
    assert [one.river_class for one in (low, medium, high)] == [3, 4, 5]
    assert [one.safety for one in (low, medium, high)] == ["afloat", "set", "set"]
    assert [one.eddies for one in (low, medium, high)] == [1, 2, 2]
    assert [one.width_mm for one in (low, medium, high)] == [18_000, 18_000, 21_000]
    assert [one.run for one in (low, medium, high)] == ["run", "run", "portage"]
    # A bank is changed key by key.
    assert [one.left.landing for one in (low, medium, high)] == [2, 2, 1]
    assert [one.left.edge_depth_mm for one in (low, medium, high)] == [None, None, 900]
    assert all(one.left.path and one.left.walk_mm == 60_000 for one in (low, medium, high))
    assert low.right == medium.right == high.right


def test_spots_change_too() -> None:
    """Depth, scenarios and slack at low water; the rest as written."""
    [low], [medium] = (read_rapid(flow, *FLOWING).spots for flow in ("low", "medium"))
    assert (low.depth_mm, low.scenarios, low.slack) == (300, ("pinned boat",), True)
    assert (medium.depth_mm, medium.slack) == (600, False)
    assert medium.scenarios == ("swimmer", "pinned boat")
    assert (low.current_mm_s, low.likely, low.run_in_mm) == (1400, 2, 30_000)


def test_distances_are_worked_out_anew() -> None:
    """7 m from the left are 14 m from the right once the river is 21 m wide, and must be."""
    run = (FLOWING[0][0], FLOWING[0][1].replace('run = "portage"\n', ""))
    [spot] = read_rapid("high", run, FLOWING[1]).spots
    assert (spot.from_left_mm, spot.from_right_mm) == (7000, 14_000)
    assert (spot.current_mm_s, spot.likely) == (3000, 1)
    assert (spot.run_in_mm, spot.run_out_mm) == (20_000, 10_000)
    # The distance that is not written is the rest of the width at each flow.
    rest = ('from_right = "11 m"\n', "")
    wide = (RAPID, f'{RAPID}[rapid.high]\nwidth = "25 m"\n')
    found = [read_rapid(flow, rest, wide).spots[0].from_right_mm for flow in FLOWS]
    assert found == [11_000, 11_000, 18_000]


def test_a_rapid_that_is_its_own_spot_changes_it() -> None:
    """Keys of a spot in the rapid's flow, where the rapid carries them itself."""
    edit = ('scenarios = ["swimmer"]\n', 'scenarios = ["swimmer"]\nhigh = { depth = "2 m" }\n')
    depths = [read(flow, edit).rapids["Riffle"].spots[0].depth_mm for flow in FLOWS]
    assert depths == [None, None, 2000]


def test_medium_water_may_differ_from_what_is_written() -> None:
    """The flow planned for by default is medium, as its table says."""
    edit = (RAPID, f'{RAPID}medium = {{ class = "III" }}\n')
    assert load_trip(write(Path(), spoil(TRIP, edit)))[0] == read(AS_WRITTEN, edit)
    assert read_rapid(AS_WRITTEN, edit).class_text == "III"
    assert read_rapid("high", edit).class_text == "IV+"


def test_nothing_may_happen_at_a_flow() -> None:
    """A rock deep under water: no scenario, and so no spot."""
    edit = (SPOT, f"{SPOT}high = {{ scenarios = [] }}\n")
    assert [len(read_rapid(flow, edit).spots) for flow in FLOWS] == [1, 1, 0]


def test_a_portaged_rapid_has_no_spots() -> None:
    assert read_rapid("high", *FLOWING).spots == ()


@pytest.mark.parametrize("flow", FLOWS)
def test_one_flow_keeps_the_names(flow: str) -> None:
    """A passage knows its flow; a rapid that says nothing of flows is the same at all."""
    trip = read(flow, *FLOWING)
    assert trip.flow == flow
    assert [(one.name, one.place, one.flow) for one in trip.rapids.values()] == [
        ("Sawtooth", "Sawtooth", flow),
        ("Riffle", "Riffle", ""),
    ]


def test_all_flows_are_passages_side_by_side() -> None:
    """Three passages, each as at its flow alone but for the name."""
    trip = read(ALL_FLOWS, *FLOWING)
    assert list(trip.rapids) == [
        "Sawtooth at low water",
        "Sawtooth at medium water",
        "Sawtooth at high water",
        "Riffle",
    ]
    for flow, rapid in zip(FLOWS, trip.rapids.values(), strict=False):
        alone = read_rapid(flow, *FLOWING)
        assert (rapid.flow, rapid.place) == (flow, "Sawtooth")
        assert (rapid.spots, rapid.left, rapid.width_mm) == (
            alone.spots,
            alone.left,
            alone.width_mm,
        )
    assert trip.rapids["Riffle"] == read("high", *FLOWING).rapids["Riffle"]


def test_a_table_that_says_nothing_is_no_flow() -> None:
    trip = read(ALL_FLOWS, (RAPID, f"{RAPID}high = {{}}\n"))
    assert trip.rapids["Sawtooth"].flow == ""


def test_each_group_is_a_passage() -> None:
    """Who is in no group does not pass; boats stand in the order of the trip."""
    trip = read(AS_WRITTEN, GROUPS)
    assert {one.name: one.boats for one in trip.rapids.values()} == {
        "Sawtooth with Wren": ("Wren",),
        "Sawtooth with Heron": ("Heron",),
        "Riffle": ("Heron", "Wren"),
    }
    some = read(AS_WRITTEN, (RAPID, f'{RAPID}groups = [["Wren"]]\n'))
    assert list(some.rapids) == ["Sawtooth with Wren", "Riffle"]
    both = read(AS_WRITTEN, (RAPID, f'{RAPID}groups = [["Wren", "Heron"]]\n'))
    assert both.rapids["Sawtooth with Wren, Heron"].boats == ("Heron", "Wren")


def test_groups_and_flows_together() -> None:
    high = (GROUPS[0], GROUPS[1] + 'high = { class = "V" }\n')
    assert list(read(ALL_FLOWS, high).rapids) == [
        f"Sawtooth with {boat} at {flow} water" for boat in ("Wren", "Heron") for flow in FLOWS
    ] + ["Riffle"]


def test_places_are_those_of_the_flow_where_it_says_the_value() -> None:
    """The left bank at high water stands in [rapid.high]; the spot where it is written."""
    low, high = read_rapid("low", *FLOWING), read_rapid("high", *FLOWING)
    assert high.left.where.line > low.left.where.line
    assert high.right.where == low.right.where
    assert high.where == low.where
