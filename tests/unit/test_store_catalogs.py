"""The shipped catalogues of stores and camp kit: what is in them, and that it can go together."""

from collections import Counter

import pytest

from kitplan.records import ItemRecord
from tests.unit.test_catalogs import BOATS, GEAR, amount, read_catalog

STORES = read_catalog("stores.toml")
CAMP = read_catalog("camp.toml")
ITEMS = {item.name: item for item in (*GEAR.item, *CAMP.item)}


def test_holds_at_least_twenty_five_rows_of_known_items() -> None:
    assert len(CAMP.camp_row) >= 25
    assert {row.item for row in CAMP.camp_row} <= set(ITEMS)


def test_no_item_of_the_camp_is_in_gear_too() -> None:
    assert len(ITEMS) == len(GEAR.item) + len(CAMP.item)


def test_every_item_of_the_camp_has_a_row() -> None:
    assert {item.name for item in CAMP.item} <= {row.item for row in CAMP.camp_row}


def test_no_item_has_two_rows() -> None:
    rows = Counter(row.item for row in CAMP.camp_row)
    assert [item for item, count in rows.items() if count > 1] == []


def test_kinds_are_new_and_all_served() -> None:
    served = {kind for item in CAMP.item for kind in item.kinds}
    assert set(CAMP.kind) == served - set(GEAR.kind)
    assert not set(STORES.kind) & {*GEAR.kind, *CAMP.kind}
    assert set(STORES.kind) == {rate.kind for rate in STORES.store_rate}


@pytest.mark.parametrize("kind", ["stove", "water treatment"])
def test_two_items_serve_what_rules_ask_for(kind: str) -> None:
    assert len([item for item in CAMP.item if kind in item.kinds]) >= 2


def test_only_what_treats_water_depends_on_the_river() -> None:
    rows = [row for row in CAMP.camp_row if row.water is not None]
    treating = {row.item for row in rows if "water treatment" in ITEMS[row.item].kinds}
    assert {row.water for row in rows} == {"from the river"}
    assert treating >= {"gravity filter", "purifying tablets"}


@pytest.mark.parametrize("item", CAMP.item, ids=lambda item: item.name)
def test_an_item_can_be_weighed_and_stowed_on_a_raft(item: ItemRecord) -> None:
    longest = max(amount(boat.longest, "mm") for boat in BOATS.boat_type if boat.craft == "raft")
    assert 0 < amount(item.mass, "g") <= 20_000
    assert 0 < amount(item.volume, "mL") <= 60_000
    assert item.packed_length is None or amount(item.packed_length, "mm") <= longest
    assert item.bulky == (amount(item.volume, "mL") > 2500)
    assert item.source == "typical; weigh your own"


def test_every_rate_names_a_container_and_a_source() -> None:
    containers = {container.name for container in STORES.container}
    assert {rate.container for rate in STORES.store_rate} <= containers
    assert all(rate.source for rate in STORES.store_rate)


def test_every_boat_type_says_its_room_for_stores() -> None:
    assert all(amount(boat.hold, "mL") >= 50_000 for boat in BOATS.boat_type)


def test_every_container_goes_into_a_raft() -> None:
    rooms = [amount(boat.hold, "mL") for boat in BOATS.boat_type if boat.craft == "raft"]
    assert all(amount(one.volume, "mL") <= min(rooms) for one in STORES.container)
