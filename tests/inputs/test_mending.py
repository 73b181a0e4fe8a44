# ruff: noqa: E501 - a finding is one line, however long
"""What can be had for money: what is read of it, and all that is said of slips.

Every finding of a run is asserted whole. The words are the program's own.
"""

from pathlib import Path
from typing import TypeAlias

import pytest

from kitplan.trip import Lesson, Market
from tests.inputs.texts import CATALOG, TRIP, Edits, load, reject, spoil

More: TypeAlias = dict[str, tuple[Edits, str, list[str]]]
"""What is wrong -> how the trip is spoilt, what is put at its end, and the lines said of it."""

LESSON = """
[[lesson]]
skill = "throwing"
to = 4
price = "120 EUR"
paddlers = ["Ana"]
"""
IVA = """
[[standby]]
name = "Iva"
mass = "66 kg"
skills = { throwing = 3, rope = 2 }
price = "200 EUR"
"""
OFFER = """
[[offer]]
item = "throw bag 15 m"
price = "55 EUR"
"""
KIT = (
    'item = "throw bag 20 m"\ncount = 3\n',
    'item = "throw bag 20 m"\ncount = 3\nprice = "10.50 EUR"\nmore = 2\n',
)
TWO_LEGS = (
    'item = "first-aid kit"\ncount = 1\n',
    'item = "first-aid kit"\ncount = 1\nto = 1\n',
)
ALL = 'paddlers = ["Ana"]\n'

CASES: More = {
    "an offer of an unknown item": (
        [],
        OFFER.replace("bag 15", "beg 15"),
        [
            "trips/x.toml:82:1: error: offer 'throw beg 15 m': unknown item \"throw beg 15 m\" (unknown-item)",
            "  try: throw bag 15 m",
        ],
    ),
    "an offer without any price": (
        [],
        OFFER.replace('price = "55 EUR"\n', "more = 1\n"),
        [
            "trips/x.toml:81:1: error: offer 'throw bag 15 m': there is no price for \"throw bag 15 m\", here or in a catalogue (missing-key)",
            '  try: write price = "55 EUR"; a thing lent costs "0 EUR"',
        ],
    ),
    "a negative price": (
        [],
        OFFER.replace("55", "-55"),
        [
            "trips/x.toml:83:1: error: offer 'throw bag 15 m': price must not be negative, and \"-55 EUR\" is (out-of-range)",
            "  try: leave the minus sign out",
        ],
    ),
    "a price without its currency": (
        [],
        OFFER.replace('"55 EUR"', "55"),
        [
            "trips/x.toml:83:1: error: offer 'throw bag 15 m': price must be quoted text, a number with its unit, not 55 (missing-unit)",
            '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        ],
    ),
    "a price in another money": (
        [],
        OFFER.replace("EUR", "DM"),
        [
            'trips/x.toml:83:1: error: offer \'throw bag 15 m\': price "55 DM" has an unknown unit, "DM" (unknown-unit)',
            "  try: the units of price are EUR, USD",
        ],
    ),
    "more below nothing": (
        [],
        OFFER + "more = -1\n",
        [
            "trips/x.toml:84:1: error: offer 'throw bag 15 m': more must be a whole number from 0 to 1000, not -1 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "an unknown key of an offer": (
        [],
        OFFER + "count = 1\n",
        [
            "trips/x.toml:84:1: error: offer 'throw bag 15 m': unknown key \"count\" (unknown-key)",
            "  try: the keys here are item, price, more",
        ],
    ),
    "kit that is on offer as well": (
        [],
        OFFER.replace("15 m", "20 m"),
        [
            "trips/x.toml:82:1: error: offer 'throw bag 20 m': \"throw bag 20 m\" is listed already, at trips/x.toml:36:1 (said-twice)",
            "  try: write price and more there",
        ],
    ),
    "two offers of one item": (
        [],
        OFFER + OFFER,
        [
            "trips/x.toml:86:1: error: offer 'throw bag 15 m': \"throw bag 15 m\" is listed already, at trips/x.toml:81:1 (said-twice)",
            "  try: write price and more there",
        ],
    ),
    "kit that can be had at no price": (
        [("count = 3\n", "count = 3\nmore = 2\n")],
        "",
        [
            "trips/x.toml:39:1: error: kit 'throw bag 20 m': there is no price for \"throw bag 20 m\", here or in a catalogue (missing-key)",
            '  try: write price = "55 EUR"; a thing lent costs "0 EUR"',
        ],
    ),
    "two currencies": (
        [KIT],
        OFFER.replace("EUR", "USD") + LESSON.replace("EUR", "USD"),
        [
            "trips/x.toml:85:1: error: offer 'throw bag 15 m': price is in USD, and in EUR at trips/x.toml:39:1 (two-currencies)",
            "  try: give all prices of a trip in one currency",
        ],
    ),
    "a lesson in an unknown skill": (
        [],
        LESSON.replace('"throwing"', '"trowing"'),
        [
            'trips/x.toml:82:1: error: lesson 1: unknown skill "trowing" (unknown-skill)',
            "  try: throwing",
        ],
    ),
    "a lesson for nobody there is": (
        [],
        LESSON.replace('"Ana"', '"Anna"'),
        [
            'trips/x.toml:85:13: error: lesson 1: unknown paddler "Anna" (unknown-paddler)',
            "  try: Ana",
        ],
    ),
    "a lesson of two levels": (
        [],
        LESSON.replace("throwing", "leading").replace('"Ana"', '"Bo"'),
        [
            'trips/x.toml:85:13: error: lesson 1: "Bo" is at leading 0, and a lesson is one level up (lesson-not-next)',
            "  try: write to = 1",
        ],
    ),
    "a lesson that is known already": (
        [],
        LESSON.replace("to = 4", "to = 3"),
        [
            'trips/x.toml:85:13: error: lesson 1: "Ana" is at throwing 3, and a lesson is one level up (lesson-not-next)',
            "  try: write to = 4",
        ],
    ),
    "a lesson at the top": (
        [],
        LESSON.replace("throwing", "oar raft"),
        [
            'trips/x.toml:85:13: error: lesson 1: "Ana" is at oar raft 4, and a lesson is one level up (lesson-not-next)',
            "  try: leave the name out",
        ],
    ),
    "a lesson for a guest": (
        [],
        LESSON.replace("to = 4", "to = 1").replace('"Ana"', '"Cy"'),
        [
            'trips/x.toml:85:13: error: lesson 1: "Cy" is a guest, and guests are taught no work (lesson-for-guest)',
            "  try: leave the name out",
        ],
    ),
    "a lesson that nobody can take": (
        [],
        LESSON.replace("to = 4", "to = 3")
        .replace('paddlers = ["Ana"]\n', "")
        .replace("throwing", "kayak"),
        [
            "trips/x.toml:83:1: error: lesson 1: nobody who is no guest is at kayak 2 (lesson-for-nobody)",
            "  try: a lesson is one level up; change to, or leave it out",
        ],
    ),
    "a lesson for nobody named": (
        [],
        LESSON.replace('["Ana"]', "[]"),
        [
            "trips/x.toml:85:1: error: lesson 1: paddlers must be a list of at least 1, each quoted text, and has 0 (wrong-length)",
            "  try: add or take out members",
        ],
    ),
    "a lesson to level 0": (
        [],
        LESSON.replace("to = 4", "to = 0"),
        [
            "trips/x.toml:83:1: error: lesson 1: to must be a whole number from 1 to 4, not 0 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "a lesson above level 4": (
        [],
        LESSON.replace("to = 4", "to = 5"),
        [
            "trips/x.toml:83:1: error: lesson 1: to must be a whole number from 1 to 4, not 5 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "a lesson without its level": (
        [],
        LESSON.replace("to = 4\n", ""),
        [
            "trips/x.toml:81:1: error: lesson 1: to is missing (missing-key)",
            "  try: write to = ..., a whole number from 1 to 4",
        ],
    ),
    "a lesson of many days": (
        [],
        LESSON + "days = 61\n",
        [
            "trips/x.toml:86:1: error: lesson 1: days must be a whole number from 0 to 60, not 61 (out-of-range)",
            "  try: look for a slip",
        ],
    ),
    "somebody twice in a lesson": (
        [],
        LESSON.replace('["Ana"]', '["Ana", "Ana"]'),
        [
            'trips/x.toml:85:20: error: lesson 1: paddler "Ana" is there twice (name-used-twice)',
            "  try: name everybody once",
        ],
    ),
    "the same lesson twice": (
        [],
        LESSON + LESSON.replace('paddlers = ["Ana"]\n', ""),
        [
            'trips/x.toml:88:1: error: lesson 2: "Ana" has this lesson already, at trips/x.toml:81:1 (said-twice)',
            "  try: leave one of the two out",
        ],
    ),
    "a lesson for somebody on standby": (
        [],
        IVA + LESSON.replace('"Ana"', '"Iva"'),
        [
            'trips/x.toml:91:13: error: lesson 1: "Iva" is on standby, and lessons are for those of the trip (lesson-on-standby)',
            "  try: put the level that is learnt into the skills of [[standby]]",
        ],
    ),
    "a paddler on standby": (
        [],
        IVA.replace("Iva", "Bo"),
        [
            "trips/x.toml:82:1: error: standby 'Bo': \"Bo\" is a paddler of the trip already (name-used-twice)",
            "  try: leave one of the two out",
        ],
    ),
    "somebody twice on standby": (
        [],
        IVA + IVA,
        [
            "trips/x.toml:88:1: error: standby 'Iva': this name is used twice, first at trips/x.toml:82:1 (name-used-twice)",
            "  try: give each its own name",
        ],
    ),
    "somebody on standby at no price": (
        [],
        IVA.replace('price = "200 EUR"\n', ""),
        [
            "trips/x.toml:81:1: error: standby 'Iva': price is missing (missing-key)",
            "  try: write price = ..., quoted text, a number with its unit",
        ],
    ),
    "somebody on standby with slips": (
        [],
        IVA.replace("throwing", "trowing").replace("66 kg", "66 g")
        + 'wears = { "helmet" = 1, "throw bag 20 m" = 1 }\nboat = "Wrem"\ncertificates = [{ name = "swift-water rescue", until = 2027-06-01 }]\n',
        [
            "trips/x.toml:83:1: error: standby 'Iva': mass of a person must be from 10 kg to 300 kg, not \"66 g\" (out-of-range)",
            "  try: look for a slip in the number or its unit",
            "trips/x.toml:84:12: error: standby 'Iva', skills: unknown skill \"trowing\" (unknown-skill)",
            "  try: throwing",
            "trips/x.toml:86:25: error: standby 'Iva', wears: \"throw bag 20 m\" is not worn; the catalogue has it quick (not-worn)",
            "  try: list it as [[kit]] instead",
            "trips/x.toml:87:1: error: standby 'Iva': unknown boat \"Wrem\" (unknown-boat)",
            "  try: Wren",
            "trips/x.toml:88:48: warning: standby 'Iva', certificate 'swift-water rescue': holds until 2027-06-01, and the trip ends on 2027-06-15 (certificate-expires)",
            "  try: renew it; the plan does not count on it from the leg on in which it ends",
        ],
    ),
    "somebody on standby after the end": (
        [],
        IVA + "from = 3\n",
        [
            "trips/x.toml:86:1: error: standby 'Iva': from is day 3, and the trip has 2 days (day-after-end)",
            "  try: change it, or days in [trip]",
        ],
    ),
    "somebody on standby who comes within a leg": (
        [],
        IVA + "from = 2\n",
        [
            "trips/x.toml:86:1: error: standby 'Iva': from is day 2, and no leg of the trip begins on it (standby-within-leg)",
            "  try: leave from out",
        ],
    ),
    "somebody on standby who comes within one of two legs": (
        [TWO_LEGS, ("starts = 2027-06-14\n", "starts = 2027-06-14\ndays = 3\n")],
        IVA + "from = 3\n",
        [
            "trips/x.toml:88:1: error: standby 'Iva': from is day 3, and no leg of the trip begins on it (standby-within-leg)",
            "  try: one of 1 and 2",
        ],
    ),
    "somebody on standby named as a companion": (
        [],
        IVA + '\n[[apart]]\npaddlers = ["Ana", "Iva"]\n',
        [
            'trips/x.toml:88:20: error: apart 2: unknown paddler "Iva" (unknown-paddler)',
            "  try: one of Ana, Bo, Cy",
        ],
    ),
    "a market that is no list": (
        [],
        '\n[lesson]\nskill = "rope"\n',
        [
            "trips/x.toml:81:2: error: [lesson] is one table, and lesson must be a list of them (wrong-type)",
            "  try: write [[lesson]], with two brackets",
        ],
    ),
}


@pytest.mark.parametrize(("edits", "more", "lines"), CASES.values(), ids=CASES.keys())
def test_slip_is_said(edits: Edits, more: str, lines: list[str]) -> None:
    assert reject(spoil(TRIP, *edits) + more) == lines


def read(more: str, *edits: tuple[str, str]) -> Market:
    """Return the market of the trip with this at its end."""
    loaded = load(Path(), spoil(TRIP, *edits) + more)
    assert loaded.trip is not None, loaded.lines
    assert loaded.lines == []
    return loaded.trip.market


def price(market: Market) -> dict[str, tuple[int, int | None]]:
    """Return the price of each item on offer, and how many more there are; None: enough."""
    return {name: (one.price_cents, one.most) for name, one in market.offers.items()}


def test_what_has_a_price_in_a_catalogue_is_on_offer() -> None:
    market = read("")
    assert price(market) == {"locking carabiner": (1400, None)}
    assert (market.currency, market.lessons, market.standbys) == ("EUR", (), {})


def test_the_trip_has_prices_of_its_own() -> None:
    market = read(OFFER, KIT)
    assert price(market) == {
        "throw bag 20 m": (1050, 2),
        "throw bag 15 m": (5500, None),
        "locking carabiner": (1400, None),
    }


def test_the_trip_may_borrow_what_a_catalogue_sells() -> None:
    lent = '\n[[offer]]\nitem = "locking carabiner"\nprice = "0 EUR"\nmore = 4\n'
    assert price(read(lent)) == {"locking carabiner": (0, 4)}


def test_the_price_of_a_catalogue_holds_where_the_trip_says_but_how_many() -> None:
    assert price(read('\n[[offer]]\nitem = "locking carabiner"\nmore = 1\n')) == {
        "locking carabiner": (1400, 1)
    }


def test_of_what_none_can_be_had_nothing_is_on_offer() -> None:
    assert price(read('\n[[offer]]\nitem = "locking carabiner"\nmore = 0\n')) == {}


def test_kit_without_a_price_is_bought_at_that_of_the_catalogue() -> None:
    own = '\n[[kit]]\nitem = "locking carabiner"\ncount = 2\n'
    assert price(read(own)) == {"locking carabiner": (1400, None)}
    assert price(read(own + "more = 3\n")) == {"locking carabiner": (1400, 3)}


def test_a_kit_list_has_columns_for_both() -> None:
    text = spoil(
        TRIP,
        ('[[kit]]\nitem = "throw bag 20 m"\ncount = 3\ntake = 1\n', ""),
        ('[[kit]]\nitem = "first-aid kit"\ncount = 1\ntake = true\n', ""),
        ('name = "two days"\n', 'name = "two days"\nkit = "kit.csv"\n'),
    )
    rows = "item,count,price,more\nthrow bag 20 m,3,10.50 EUR,2\nfirst-aid kit,1,,\n"
    loaded = load(Path(), text, kit=rows)
    assert loaded.trip is not None, loaded.lines
    assert price(loaded.trip.market)["throw bag 20 m"] == (1050, 2)
    assert load(Path(), text, kit=rows.replace("EUR,2", "EUR,two")).lines == [
        "trips/kit.csv:2:28: error: kit 'throw bag 20 m': more must be a whole number, not \"two\" (wrong-type)",
        "  try: write a whole number",
    ]


def test_a_lesson_is_for_those_it_names() -> None:
    assert read(LESSON + "days = 2\n").lessons == (Lesson("Ana", "throwing", 4, 12000, 2),)


def test_a_lesson_for_nobody_named_is_for_all_one_level_below_but_guests() -> None:
    """Ana and Bo know no rope, and neither does Cy, who is a guest."""
    lesson = LESSON.replace(ALL, "").replace("throwing", "rope").replace("to = 4", "to = 1")
    assert read(lesson).lessons == (
        Lesson("Ana", "rope", 1, 12000), Lesson("Bo", "rope", 1, 12000),
    )  # fmt: skip


def test_a_lesson_brings_back_what_has_faded() -> None:
    """Ana threw at level 3 and counts at 2, so that a lesson is up to 3 again."""
    faded = (
        ('water_temperature = "8 degC"\n', 'water_temperature = "8 degC"\nfades_after = "6 months"\n'),
        ('mass = "68 kg"\n', 'mass = "68 kg"\npractised = { throwing = 2020-01-01 }\n'),
    )  # fmt: skip
    assert read(LESSON.replace("to = 4", "to = 3"), *faded).lessons[0].level == 3
    assert reject(spoil(TRIP, *faded) + LESSON) == [
        'trips/x.toml:87:13: error: lesson 1: "Ana" is at throwing 2, as it has faded, and a lesson is one level up (lesson-not-next)',
        "  try: write to = 3",
    ]


def test_somebody_on_standby_is_read_as_a_paddler_is() -> None:
    """She wears what everyone wears, leads nobody, and would come along on both days."""
    [iva] = read(IVA).standbys.values()
    assert (iva.price_cents, iva.legs, iva.paddler.name) == (20000, (), "Iva")
    assert iva.paddler.wears == {"life jacket, river": 1, "helmet": 1}
    assert iva.paddler.skills == {"throwing": 3, "rope": 2}
    assert (iva.paddler.guest, iva.paddler.at_most) == (False, "swimming")


def test_somebody_on_standby_may_come_for_a_leg() -> None:
    [iva] = read(IVA + "from = 2\n", TWO_LEGS).standbys.values()
    assert iva.legs == (1,)
    [iva] = read(IVA, TWO_LEGS).standbys.values()
    assert iva.legs == ()


def test_a_catalogue_in_another_currency_is_not_on_offer() -> None:
    priced = CATALOG.replace('mass = "550 g"', 'mass = "550 g"\nprice = "70 USD"')
    loaded = load(Path(), TRIP, priced)
    assert loaded.trip is not None
    assert price(loaded.trip.market) == {"throw bag 15 m": (7000, None)}
    assert loaded.trip.market.currency == "USD"
    assert loaded.lines == [
        "catalogs/all.toml:99:1: warning: a price is in EUR, and in USD at catalogs/all.toml:89:1: what is priced in EUR is not on offer (two-currencies)",
        "  try: give it a price of the trip's own as [[offer]], in one currency",
    ]
    own = load(Path(), TRIP + OFFER, priced)
    assert own.trip is not None
    assert price(own.trip.market) == {
        "throw bag 15 m": (5500, None),
        "locking carabiner": (1400, None),
    }
    assert own.lines == []
