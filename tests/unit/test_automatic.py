"""Scenarios that may happen unnamed: where they are, where they are not, and that it is said.

A swimmer from class III up; a casualty ashore from class III up in water below 10 degC or far from
help: both common practice, no source. The texts are read by the words of the README.
"""

import json
from pathlib import Path

import pytest

from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.report.documents import write_needs
from kitplan.report.needs import render_needs
from kitplan.trip import ALL_FLOWS, FLOWS, Rapid, Trip
from tests.inputs.texts import CATALOG, TRIP, spoil, write
from tests.places import lay

SWIMMER, ASHORE = "swimmer", "casualty ashore"
HEAD_UP = "entrapment, head up"
Edit = tuple[str, str]

UNNAMED: Edit = ('in_time = "1 min"\n', 'in_time = "1 min"\nautomatic = { class_from = "III" }\n')
ONLY_PINNED: Edit = ('["swimmer", "pinned boat"]', '["pinned boat"]')
RAPID, SPOT = "eddies = 2\n", "likely = 2\n"
FURTHER_DOWN = """
[[rapid.spot]]
name = "the tongue"
from_left = "9 m"
scenarios = ["pinned boat"]
"""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def read(*edits: Edit, flow: str = "medium") -> Trip:
    """Return the trip of the texts, in whose catalogue a swimmer is automatic."""
    path = write(Path(), spoil(TRIP, *edits), spoil(CATALOG, UNNAMED))
    trip, findings = load_trip(path, flow)
    assert trip is not None, [one.text() for one in findings]
    return trip


def list_spots(rapid: Rapid) -> list[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """Return name, scenarios and those of them that no file names, spot by spot."""
    return [(spot.name, spot.scenarios, spot.automatic) for spot in rapid.spots]


# --- the shipped catalogue ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "more"),
    [
        ({"river_class": "II+"}, ()),
        ({"river_class": "III-"}, (SWIMMER,)),
        ({"river_class": "IV"}, (SWIMMER,)),
        # The class as written counts, not one harder; cold is below 10 degC.
        ({"river_class": "II", "water": "9.9 degC", "remote": "true"}, ()),
        ({"river_class": "III", "water": "10 degC"}, (SWIMMER,)),
        ({"river_class": "III", "water": "9.9 degC"}, (SWIMMER, ASHORE)),
        ({"river_class": "III", "remote": "true"}, (SWIMMER, ASHORE)),
    ],
)
def test_what_may_happen_unnamed(
    tmp_path: Path, facts: dict[str, object], more: tuple[str, ...]
) -> None:
    trip, needs = lay(tmp_path, HEAD_UP, **facts)
    [spot] = trip.rapids["Ledge"].spots
    assert spot.scenarios == (HEAD_UP, *more)
    assert spot.automatic == more
    asked = {case.scenario for case in needs.cases}
    assert asked | {row.scenario for row in needs.without_technique} == {HEAD_UP, *more}


def test_what_is_named_is_not_automatic(tmp_path: Path) -> None:
    trip, _ = lay(tmp_path, SWIMMER)
    assert list_spots(trip.rapids["Ledge"]) == [("the spot", (SWIMMER,), ())]


def test_needs_say_that_it_is_automatic(tmp_path: Path) -> None:
    trip, needs = lay(tmp_path, HEAD_UP, remote="true")
    text = render_needs(trip, needs, "text")
    assert "\n  swimmer, automatically: at every rapid from class III up\n" in text
    assert (
        "\n  casualty ashore, automatically: at every rapid from class III up in cold water or far "
        "from help\n"
    ) in text
    assert "\n  entrapment, head up\n" in text


def test_the_document_of_needs_lists_them(tmp_path: Path) -> None:
    trip, needs = lay(tmp_path, HEAD_UP)
    assert json.loads(write_needs(trip, needs))["automatic"] == [
        {"rapid": "Ledge", "spot": "the spot", "scenario": SWIMMER}
    ]


# --- which spot -----------------------------------------------------------------------------------


def test_it_goes_to_the_spot_furthest_down() -> None:
    """The last one written, of those where no spot names it."""
    trip = read(ONLY_PINNED, (SPOT, SPOT + FURTHER_DOWN))
    assert list_spots(trip.rapids["Sawtooth"]) == [
        ("the ledge", ("pinned boat",), ()),
        ("the tongue", ("pinned boat", SWIMMER), (SWIMMER,)),
    ]


def test_no_second_spot_where_one_names_it() -> None:
    trip = read((SPOT, SPOT + FURTHER_DOWN))
    assert [spot.automatic for spot in trip.rapids["Sawtooth"].spots] == [(), ()]


def test_a_rapid_without_spots_has_it_in_mid_channel() -> None:
    """18 m wide: 9 m from either bank, nothing else known."""
    text = TRIP[TRIP.index("[[rapid.spot]]") : TRIP.index("[[rapid]]\nday = 2")]
    [spot] = read((text, "")).rapids["Sawtooth"].spots
    assert (spot.name, spot.scenarios, spot.automatic) == ("mid-channel", (SWIMMER,), (SWIMMER,))
    assert (spot.from_left_mm, spot.from_right_mm) == (9_000, 9_000)
    assert (spot.likely, spot.depth_mm, spot.current_mm_s) == (1, None, None)


# --- where it is not ------------------------------------------------------------------------------


@pytest.mark.parametrize("said", ["false", "[]"])
def test_a_trip_does_without(said: str) -> None:
    trip = read(ONLY_PINNED, ("starts = 2027", f"automatic_scenarios = {said}\nstarts = 2027"))
    assert list_spots(trip.rapids["Sawtooth"]) == [("the ledge", ("pinned boat",), ())]


@pytest.mark.parametrize("said", ["true", '["swimmer"]'])
def test_a_trip_names_those_it_wants(said: str) -> None:
    trip = read(ONLY_PINNED, ("starts = 2027", f"automatic_scenarios = {said}\nstarts = 2027"))
    assert trip.rapids["Sawtooth"].spots[0].automatic == (SWIMMER,)


def test_a_portaged_rapid_has_nothing() -> None:
    trip = read(ONLY_PINNED, (RAPID, f'{RAPID}run = "portage"\n'))
    assert trip.rapids["Sawtooth"].spots == ()


def test_a_rapid_that_says_nothing_can_happen() -> None:
    text = TRIP[TRIP.index("[[rapid.spot]]") : TRIP.index("[[rapid]]\nday = 2")]
    assert read((text, "scenarios = []\n")).rapids["Sawtooth"].spots == ()


# --- flows ----------------------------------------------------------------------------------------


def test_the_class_at_each_flow_decides() -> None:
    """II at low water, IV+ as written, carried round at high water."""
    flows = 'low = { class = "II" }\nhigh = { run = "portage" }\n'
    trip = read(ONLY_PINNED, (RAPID, RAPID + flows), flow=ALL_FLOWS)
    low, medium, high = (trip.rapids[f"Sawtooth at {flow} water"] for flow in FLOWS)
    assert list_spots(low) == [("the ledge", ("pinned boat",), ())]
    assert list_spots(medium) == [("the ledge", ("pinned boat", SWIMMER), (SWIMMER,))]
    assert high.spots == ()
    text = render_needs(trip, derive_needs(trip), "text")
    assert text.count("swimmer, automatically") == 1


def test_where_a_flow_leaves_no_spot_it_is_in_mid_channel() -> None:
    """The rock is dry or deep under water; whoever swims is in the channel all the same."""
    edits = (ONLY_PINNED, (SPOT, f"{SPOT}high = {{ scenarios = [] }}\n"))
    assert list_spots(read(*edits, flow="high").rapids["Sawtooth"]) == [
        ("mid-channel", (SWIMMER,), (SWIMMER,))
    ]
