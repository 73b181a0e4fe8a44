"""What the loader makes of a good trip: units, defaults, and what is added or worked out.

Expected lengths and masses are worked by hand from the definitions 1 ft = 304.8 mm and
1 lb = 453.59237 g (international yard and pound agreement, 1959).
"""

from datetime import date
from pathlib import Path

import pytest

from kitplan.trip import Rapid, Trip
from tests.inputs.texts import CATALOG, TRIP, load, spoil


@pytest.fixture(autouse=True)
def _stand_in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def load_trip_with(*edits: tuple[str, str], catalog: str = CATALOG) -> Trip:
    loaded = load(Path(), spoil(TRIP, *edits), catalog)
    assert loaded.lines == []
    assert loaded.trip is not None
    return loaded.trip


def load_riffle(width: str) -> Rapid:
    """Load the rapid whose width and distances are the given lines."""
    return load_trip_with(('width = "12 m"', width)).rapids["Riffle"]


def test_quantities_are_whole_small_units() -> None:
    trip = load_trip_with(('from_left = "7 m"', 'from_left = "23 ft"'))
    # 23 x 304.8 = 7010.4; 154 x 453.59237 = 69853.2
    assert trip.rapids["Sawtooth"].spots[0].from_left_mm == 7010
    assert trip.paddlers["Cy"].mass_g == 69_853
    assert trip.boats["Heron"].dry_load_g == 120_000
    assert trip.water_mdegc == 8_000
    assert trip.rapids["Sawtooth"].spots[0].current_mm_s == 1_400
    assert trip.catalog.items["locking carabiner"].strength_n == 20_000
    assert trip.catalog.scenarios["pinned boat"].in_time_s == 7_200


def test_days_run_to_the_last_rapid_unless_the_trip_says_more() -> None:
    assert load_trip_with().ends == date(2027, 6, 15)
    assert load_trip_with(("2027-06-14", "2027-06-28\ndays = 6")).ends == date(2027, 7, 3)


def test_class_keeps_its_text_and_loses_its_sign() -> None:
    rapid = load_trip_with().rapids["Sawtooth"]
    assert (rapid.river_class, rapid.class_text) == (4, "IV+")


def test_what_is_not_accepted_is_class_nought() -> None:
    accept = {"ashore": 6, "wading": 3, "afloat": 5, "tethered": 0, "swimming": 0}
    assert load_trip_with().accept == accept


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ('width = "12 m"', (6_000, 6_000, 12_000)),
        ('width = "12.001 m"', (6_000, 6_001, 12_001)),
        ('width = "12 m"\nfrom_left = "5 m"', (5_000, 7_000, 12_000)),
        ('width = "12 m"\nfrom_right = "5 m"', (7_000, 5_000, 12_000)),
        ('from_left = "3 m"\nfrom_right = "5 m"', (3_000, 5_000, 8_000)),
        # 5 % of 12 m is 0.6 m; a width of 8 m has the tolerance of 0.5 m.
        ('width = "12 m"\nfrom_left = "6 m"\nfrom_right = "6.6 m"', (6_000, 6_600, 12_000)),
        ('width = "8 m"\nfrom_left = "4 m"\nfrom_right = "4.5 m"', (4_000, 4_500, 8_000)),
        ('width = "8 m"\nfrom_left = "8.5 m"', (8_500, 0, 8_000)),
    ],
)
def test_missing_distance_is_the_rest(lines: str, expected: tuple[int, int, int]) -> None:
    rapid = load_riffle(lines)
    spot = rapid.spots[0]
    assert (spot.from_left_mm, spot.from_right_mm, rapid.width_mm) == expected


@pytest.mark.parametrize(
    "lines",
    [
        'width = "12 m"\nfrom_left = "6 m"\nfrom_right = "6.601 m"',
        'width = "8 m"\nfrom_left = "4 m"\nfrom_right = "4.501 m"',
        'width = "8 m"\nfrom_left = "8.501 m"',
    ],
)
def test_distance_a_millimetre_over_the_tolerance(lines: str) -> None:
    findings = load(Path(), spoil(TRIP, ('width = "12 m"', lines))).findings
    assert [finding.code for finding in findings] == ["distances-off"]


def test_rapid_carries_one_spot_itself() -> None:
    assert load_riffle('width = "12 m"').spots[0].name == "mid-channel"
    assert load_riffle('width = "12 m"\nfrom_left = "2 m"').spots[0].name == "the spot"


def test_rapid_where_nothing_can_happen() -> None:
    edit = ('width = "12 m"\nsafety = "none"\nscenarios = ["swimmer"]\n', 'safety = "none"\n')
    assert load_trip_with(edit).rapids["Riffle"].spots == ()


def test_where_boats_land_is_an_eddy_unless_told_otherwise() -> None:
    sawtooth = load_trip_with().rapids["Sawtooth"]
    assert (sawtooth.left.eddy, sawtooth.right.eddy) == (True, False)
    told = load_trip_with(("landing = 2", "eddy = false, landing = 2")).rapids["Sawtooth"]
    assert not told.left.eddy


def test_guest_has_nothing_above_one_or_is_called_so() -> None:
    trip = load_trip_with(('mass = "154 lb"', 'mass = "154 lb"\nskills = { throwing = 1 }'))
    assert [paddler.guest for paddler in trip.paddlers.values()] == [False, False, True]
    assert [paddler.at_most for paddler in trip.paddlers.values()] == [
        "swimming",
        "wading",
        "ashore",
    ]
    trip = load_trip_with(("skills = { kayak = 3 }", "skills = { kayak = 3 }\nguest = true"))
    assert trip.paddlers["Bo"].guest
    assert trip.paddlers["Bo"].at_most == "wading"


def test_everyone_wears_what_is_said_once() -> None:
    paddlers = load_trip_with().paddlers
    # A rescue life jacket is a life jacket, so no second one; the helmet comes to all.
    assert paddlers["Ana"].wears == {"life jacket, rescue": 1, "locking carabiner": 2, "helmet": 1}
    assert paddlers["Cy"].wears == {"life jacket, river": 1, "helmet": 1}


def test_kit_that_always_goes() -> None:
    kit = load_trip_with().kit
    assert [(one.item.name, one.count, one.take) for one in kit.values()] == [
        ("throw bag 20 m", 3, 1),
        ("first-aid kit", 1, 1),
    ]
    assert load_trip_with(("take = 1\n", "")).kit["throw bag 20 m"].take == 0


def test_trip_changes_the_table_of_consequences() -> None:
    assert load_trip_with().consequence == {"swimmer": 2, "pinned boat": 1}
    trip = load_trip_with(
        ("everyone_wears", "remote = true\neveryone_wears"),
        ("water_temp", "consequence = { swimmer = 9 }\nwater_temp"),
    )
    assert trip.consequence == {"swimmer": 9, "pinned boat": 1}
    assert trip.remote


def test_running_boats() -> None:
    assert load_trip_with().running == ("Heron", "Wren")
    assert load_trip_with(("water_temp", 'running = ["Wren"]\nwater_temp')).running == ("Wren",)


def test_companies() -> None:
    companies = load_trip_with().companies
    assert [(one.paddlers, one.together) for one in companies] == [
        (("Ana", "Cy"), True),
        (("Ana", "Bo"), False),
    ]


def test_technique_with_its_parts() -> None:
    catalog = load_trip_with().catalog
    throw, haul = catalog.techniques["throw-line"], catalog.techniques["bank-haul"]
    assert (throw.ready_least_s, throw.ready_most_s, throw.unhurried) == (10, 30, False)
    assert throw.place.reach_at_most_mm == 20_000
    rule = throw.items[0].length[0]
    assert (rule.width_tenths, rule.reach_tenths, rule.plus_mm) == (0, 15, 2_000)
    assert throw.roles[0].skills == (("throwing", 1),)
    assert haul.unhurried
    # Where nothing is said of hard water, it asks for the same.
    assert (haul.downstream, haul.downstream_hard) == (1, 1)
    assert haul.serves[0].depth_at_most_mm == 3_000
    assert haul.ways[0].boats[0].crews[0].steerer == 3


def test_every_noun_knows_its_place() -> None:
    trip = load_trip_with()
    assert trip.boats["Wren"].where.text() == "trips/x.toml:14:1"
    assert trip.rapids["Sawtooth"].left.where.text() == "trips/x.toml:52:1"
    assert trip.rapids["Sawtooth"].spots[0].where.text() == "trips/x.toml:56:1"
    assert trip.rapids["Riffle"].spots[0].where.text() == "trips/x.toml:67:1"
    assert trip.catalog.items["helmet"].where.text() == "catalogs/all.toml:129:1"
