# ruff: noqa: E501 - a finding is one line, however long
"""What a trip or a catalogue says of stores and can't be. Every finding of a run is asserted whole.

The words are the program's own; what is checked against them is the text a person would write.
"""

from pathlib import Path

import pytest

from tests.inputs.storetexts import STORES_CATALOG, STORES_TRIP
from tests.inputs.texts import CATALOG, TRIP, Cases, load, reject, spoil

CHANGE = '[[stores.rate]]\nname = "food"\n'  # at line 36, before [[store]]
RESTOCK = """\
[[restock]]
day = 2
at = "morning"
brings = ["food", "drinking water"]
"""
FOOD = 'hot = "900 g"\nmild = "1 kg"\ncold = "1.2 kg"\nextreme = "1.5 kg"\n'
BOTH = 'write a mass as "12 kg" or "26 lb", or a volume as "2.5 l" or "3 qt"'


IN_TRIP: Cases = {
    "climate unknown": (
        [('climate = "mild"', 'climate = "mlid"')],
        [
            'trips/x.toml:31:1: error: stores: climate must be "hot", "mild", "cold" or "extreme", not "mlid" (unknown-word)',
            "  try: mild",
        ],
    ),
    "water unknown": (
        [('water = "carried"', 'water = "tap"')],
        [
            'trips/x.toml:32:1: error: stores: water must be "carried" or "from the river", not "tap" (unknown-word)',
            '  try: one of "carried", "from the river"',
        ],
    ),
    "climate missing": (
        [('climate = "mild"\n', "")],
        [
            "trips/x.toml:30:2: error: stores: climate is missing (missing-key)",
            '  try: write climate = ..., "hot", "mild", "cold" or "extreme"',
        ],
    ),
    "a restock on a day that isn't": (
        [("day = 2\n", "day = 4\n")],
        [
            "trips/x.toml:42:1: error: restock 1: day is 4, and the trip has 3 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "a restock on the last evening": (
        [('day = 2\nat = "morning"', 'day = 3\nat = "evening"')],
        [
            "trips/x.toml:43:1: error: restock 1: nothing is used after the evening of day 3, the last one (day-after-end)",
            '  try: change day, or at to "morning"',
        ],
    ),
    "a restock of what is no store": (
        [('"food", "drinking water"', '"fod"')],
        [
            'trips/x.toml:44:11: error: restock 1: unknown store rate "fod" (unknown-store-rate)',
            "  try: food",
        ],
    ),
    "a changed rate of no store": (
        [("[[store]]", '[[stores.rate]]\nname = "watre"\n\n[[store]]')],
        [
            "trips/x.toml:37:1: error: stores, rate 'watre': unknown store rate \"watre\" (unknown-store-rate)",
            "  try: one of drinking water, food, fuel, toilet",
        ],
    ),
    "a rate changed twice": (
        [("[[store]]", f"{CHANGE}{CHANGE}\n[[store]]")],
        [
            "trips/x.toml:39:1: error: stores, rate 'food': store rate \"food\" is changed twice (name-used-twice)",
            "  try: keep one of them",
        ],
    ),
    "a rate without a unit": (
        [("[[store]]", f"{CHANGE}amount = 900\n\n[[store]]")],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': amount must be quoted text, a number with its unit, not 900 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "a quoted rate without a unit": (
        [("[[store]]", f'{CHANGE}amount = "900"\n\n[[store]]')],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': amount \"900\" has no unit (missing-unit)",
            f"  try: {BOTH}",
        ],
    ),
    "an empty rate": (
        [("[[store]]", f'{CHANGE}amount = ""\n\n[[store]]')],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': amount is empty (bad-quantity)",
            '  try: write a mass as "12 kg" or "26 lb"',
        ],
    ),
    "a rate in metres": (
        [("[[store]]", f'{CHANGE}amount = "9 m"\n\n[[store]]')],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': amount \"9 m\" is a length, not a volume (wrong-unit)",
            f"  try: {BOTH}",
        ],
    ),
    "a rate below nothing": (
        [("[[store]]", f'{CHANGE}amount = "-2 L"\n\n[[store]]')],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': amount must not be negative, and \"-2 L\" is (out-of-range)",
            "  try: leave the minus sign out",
        ],
    ),
    "food by volume, and nobody knows what a litre weighs": (
        [("[[store]]", f'{CHANGE}amount = "2 L"\n\n[[store]]')],
        [
            "trips/x.toml:36:1: error: stores, rate 'food': litre is missing, and \"food\" is counted in litres (missing-key)",
            '  try: write litre = "1 kg" or what a litre of it weighs',
        ],
    ),
    "a slip of a unit": (
        [("[[store]]", f'{CHANGE}amount = "1 t"\n\n[[store]]')],
        [
            'trips/x.toml:36:1: error: stores, rate \'food\': one person\'s day is 1000 kg of "food", and "sack" holds 3 kg (holds-too-little)',
            "  try: look for a slip in the units, or name another container",
        ],
    ),
    "an unknown container": (
        [("[[store]]", f'{CHANGE}container = "sak"\n\n[[store]]')],
        [
            "trips/x.toml:38:1: error: stores, rate 'food': unknown container \"sak\" (unknown-container)",
            "  try: sack",
        ],
    ),
    "an item that nobody knows": (
        [('item = "guitar"\nmass = "3 kg"\n', 'item = "stov"\n')],
        [
            "trips/x.toml:37:1: error: store 'stov': unknown item \"stov\", and no mass (unknown-item)",
            "  try: stove; or say what it weighs",
        ],
    ),
    "a thing with no mass": (
        [('mass = "3 kg"\n', "")],
        [
            "trips/x.toml:37:1: error: store 'guitar': unknown item \"guitar\", and no mass (unknown-item)",
            "  try: say what it weighs, mass = ...",
        ],
    ),
    "a thing whose mass is wrong is not called unknown as well": (
        [('mass = "3 kg"\n', "mass = 3\n")],
        [
            "trips/x.toml:38:1: error: store 'guitar': mass must be quoted text, a number with its unit, not 3 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "a camp row that is not there to leave out": (
        [('climate = "mild"', 'climate = "mild"\nleave_out = ["tnet"]')],
        [
            'trips/x.toml:32:14: error: stores: unknown camp row "tnet" (unknown-camp-row)',
            "  try: tent",
        ],
    ),
    "too long for every boat": (
        [('mass = "3 kg"\n', 'mass = "3 kg"\npacked_length = "3.2 m"\n')],
        [
            'trips/x.toml:37:1: error: store \'guitar\': "guitar" is 3.2 m long, and "Heron" stows no more than 3 m (fits-no-boat)',
            "  try: take a smaller one, or bring a boat that it goes into",
        ],
    ),
    "too big for every boat": (
        [('volume = "40 L"\n', 'volume = "0.6 L"\npacked_length = "3 m"\n'), ('"60 L"', '"501 L"')],
        [
            'trips/x.toml:34:1: error: stores: "personal bag" takes 501 l, and "Heron" has room for no more than 500 l (fits-no-boat)',
            "  try: take a smaller one, or bring a boat that it goes into",
        ],
    ),
    "own things without stores": (
        [
            (
                '[stores]\nclimate = "mild"\nwater = "carried"\npersonal_bag = "10 kg"\npersonal_bag_volume = "60 L"\n',
                "",
            ),
            (RESTOCK, ""),
        ],
        [
            "trips/x.toml:31:3: error: there are own things, and no [stores] table (missing-table)",
            '  try: write [stores] with climate = "mild" and water = "carried"',
        ],
    ),
}

IN_CATALOG: Cases = {
    "a container that holds nothing": (
        [('holds = "3 kg"', 'holds = "0 kg"')],
        [
            "catalogs/all.toml:189:1: error: container 'sack': holds must be more than nothing, not \"0 kg\" (out-of-range)",
            "  try: look for a slip in the number or its unit",
        ],
    ),
    "a container that holds more than it is big": (
        [('volume = "24 L"', 'volume = "18 L"')],
        [
            "catalogs/all.toml:195:1: error: container 'canister': holds is 20 l, and its volume is 18 l (holds-over-volume)",
            "  try: volume is what it takes up outside",
        ],
    ),
    "a rate of no amount": (
        [(FOOD, "")],
        [
            "catalogs/all.toml:219:1: error: store rate 'food': amount is missing (missing-key)",
            "  try: write amount = ... for all climates, or hot, mild, cold and extreme",
        ],
    ),
    "a rate for some climates only": (
        [('cold = "1.2 kg"\nextreme = "1.5 kg"\n', "")],
        [
            "catalogs/all.toml:219:1: error: store rate 'food': amount is missing for cold and extreme (missing-key)",
            "  try: write amount = ... for all climates, or hot, mild, cold and extreme",
        ],
    ),
    "masses and volumes": (
        [('cold = "1.2 kg"', 'cold = "1.2 L"')],
        [
            "catalogs/all.toml:219:1: error: store rate 'food': some of its amounts are masses, and some are volumes (wrong-unit)",
            "  try: give all amounts of a store as the same",
        ],
    ),
    "a container for less than a gram": (
        [('holds = "1 L"', 'holds = "1 ml"'), ('amount = "100 ml"', 'amount = "1 ml"')],
        [
            'catalogs/all.toml:245:1: error: store rate \'fuel\': one person\'s day is 1 ml of "fuel", and "bottle" holds 1 ml (holds-too-little)',
            "  try: look for a slip in the units, or name another container",
        ],
    ),
    "a container for no boat": (
        [('volume = "10 L"', 'volume = "501 L"')],
        [
            'trips/x.toml:30:2: error: "sack" takes 501 l, and "Heron" has room for no more than 500 l (fits-no-boat)',
            "  try: take a smaller one, or bring a boat that it goes into",
        ],
    ),
    "an unknown kind": (
        [('name = "food"\nkind = "food"', 'name = "food"\nkind = "foood"')],
        [
            "catalogs/all.toml:221:1: error: store rate 'food': unknown kind \"foood\" (unknown-kind)",
            "  try: food",
        ],
    ),
    "an unknown container": (
        [('container = "bottle"', 'container = "botle"')],
        [
            "catalogs/all.toml:245:1: error: store rate 'fuel': unknown container \"botle\" (unknown-container)",
            "  try: bottle",
        ],
    ),
    "an unknown item": (
        [('[[camp_row]]\nitem = "tent"', '[[camp_row]]\nitem = "tnet"')],
        [
            "catalogs/all.toml:283:1: error: camp row 'tnet': unknown item \"tnet\" (unknown-item)",
            "  try: tent",
        ],
    ),
    "what a litre weighs, by volume": (
        [('litre = "0.7 kg"', 'litre = "0.7 L"')],
        [
            "catalogs/all.toml:244:1: error: store rate 'fuel': litre \"0.7 L\" is a volume, not a mass (wrong-unit)",
            "  try: the units of mass are g, kg, t, oz, lb, lbs",
        ],
    ),
    "what a litre weighs, left out": (
        [('litre = "0.7 kg"\n', "")],
        [
            "catalogs/all.toml:240:1: error: store rate 'fuel': litre is missing, and \"fuel\" is counted in litres (missing-key)",
            '  try: write litre = "1 kg" or what a litre of it weighs',
        ],
    ),
    "a way of use that is none": (
        [('use = "fills"', 'use = "fill"')],
        [
            'catalogs/all.toml:255:1: error: store rate \'toilet\': use must be "by day", "in common" or "fills", not "fill" (unknown-word)',
            "  try: fills",
        ],
    ),
    "hold of a boat type in kilograms": (
        [('hold = "500 L"', 'hold = "500 kg"')],
        [
            "catalogs/all.toml:154:1: error: boat type 'oar raft 4.3 m': hold \"500 kg\" is a mass, not a volume (wrong-unit)",
            "  try: the units of volume are ml, l, L, qt, gal",
        ],
    ),
}


@pytest.fixture(autouse=True)
def at_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("case", IN_TRIP)
def test_trip(case: str) -> None:
    edits, lines = IN_TRIP[case]
    assert reject(spoil(STORES_TRIP, *edits), STORES_CATALOG) == lines


@pytest.mark.parametrize("case", IN_CATALOG)
def test_catalogue(case: str) -> None:
    edits, lines = IN_CATALOG[case]
    assert reject(STORES_TRIP, spoil(STORES_CATALOG, *edits)) == lines


def test_as_they_are_they_are_sound() -> None:
    assert load(Path(), STORES_TRIP, STORES_CATALOG).lines == []


def test_what_just_goes_in_and_what_is_not_used_fit() -> None:
    bag = ('"60 L"', '"500 L"')
    no_food = ("[[store]]", f'{CHANGE}amount = "0 g"\n\n[[store]]')
    big_sack = ('volume = "10 L"', 'volume = "501 L"')
    loaded = load(Path(), spoil(STORES_TRIP, bag, no_food), spoil(STORES_CATALOG, big_sack))
    assert loaded.lines == []


def test_no_catalogue_has_rates() -> None:
    text = STORES_TRIP.replace(RESTOCK, "")
    assert reject(text, CATALOG) == [
        "trips/x.toml:5:1: error: trip: none of the catalogues has a [[store_rate]] table, and the trip has [stores] (missing-table)",
        '  try: name "kitplan:stores.toml" among them, or add the tables',
    ]


def test_a_dry_load_beside_stores_is_warned_of_once() -> None:
    boat = 'type = "oar raft 4.3 m"\n'
    second = '[[boat]]\nname = "Teal"\ntype = "oar raft 4.3 m"\ndry_load = "9 kg"\n'
    loaded = load(
        Path(),
        spoil(STORES_TRIP, (boat, f'{boat}dry_load = "50 kg"\n\n{second}')),
        STORES_CATALOG,
    )
    assert loaded.trip is not None
    assert loaded.lines == [
        "trips/x.toml:12:1: warning: boat 'Heron': dry_load is 50 kg, and [stores] counts by itself: food, drinking water, fuel, toilet, camp kit, personal bags (counted-twice)",
        "  try: leave in dry_load, in all boats, only what no list names",
    ]


def test_a_dry_load_without_stores_is_no_matter() -> None:
    assert load(Path(), TRIP, CATALOG).lines == []


def test_nothing_to_treat_water_with_is_warned_of() -> None:
    river = ('water = "carried"', 'water = "from the river"')
    no_row = ('[[camp_row]]\nitem = "filter"\nwater = "from the river"\n', "")
    edits = (river, (RESTOCK, ""))
    loaded = load(Path(), spoil(STORES_TRIP, *edits), spoil(STORES_CATALOG, no_row))
    assert loaded.trip is not None
    assert loaded.lines == [
        'trips/x.toml:32:1: warning: stores: water is "from the river", and nothing along is for water treatment (no-water-treatment)',
        '  try: name "kitplan:camp.toml" among the catalogues, or list an item for it',
    ]
    assert load(Path(), spoil(STORES_TRIP, *edits), STORES_CATALOG).lines == []
