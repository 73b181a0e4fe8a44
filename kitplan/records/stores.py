"""Shapes of what says how much a trip of several days carries, in catalogues and trip files."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.records.shared import Name, Quantity, Record

Water = Literal["carried", "from the river"]
People = Annotated[int, Field(ge=1, le=1000)]


class ContainerRecord(Record):
    """A box, bag or canister; what it holds is a mass or a volume."""

    name: Name
    mass: Quantity
    volume: Quantity
    holds: Quantity
    returns: bool = False
    comes_full: bool = False
    source: Annotated[str, Field(min_length=1)] = "typical; weigh your own"


class StoreRateRecord(Record):
    """What one person uses or fills in a day: one `amount`, or one for each climate."""

    name: Name
    kind: Name
    amount: Quantity | None = None
    hot: Quantity | None = None
    mild: Quantity | None = None
    cold: Quantity | None = None
    extreme: Quantity | None = None
    litre: Quantity | None = None
    container: Name
    use: Literal["by day", "in common", "fills"]
    water: Water | None = None
    source: Annotated[str, Field(min_length=1)]


class CampRowRecord(Record):
    """So many of an item for the camp: in all, or for each so many people."""

    item: Name
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    for_each: People | None = None
    water: Water | None = None
    source: Annotated[str, Field(min_length=1)] = "common practice, no source"


class ChangedRateRecord(Record):
    """What a trip changes of a store's rate; the amount is that of its own climate."""

    name: Name
    amount: Quantity | None = None
    container: Name | None = None


class StoresRecord(Record):
    """What the trip's stores are worked out from.

    A personal bag of 15 kg on a trip of six days is common practice; its volume is typical.
    """

    climate: Literal["hot", "mild", "cold", "extreme"]
    water: Water
    personal_bag: Quantity = "15 kg"
    personal_bag_volume: Quantity = "70 L"
    leave_out: list[Name] = []
    rate: list[ChangedRateRecord] = []


class StoreRecord(Record):
    """A thing of the trip's own that goes along on all days.

    An item of a catalogue, or, where it says its mass, a thing that only this trip knows.
    """

    item: Name
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    mass: Quantity | None = None
    volume: Quantity | None = None
    packed_length: Quantity | None = None


class RestockRecord(Record):
    """Stores that come aboard on the way: all of them, or the rates named."""

    day: Annotated[int, Field(ge=1, le=60)]
    at: Literal["morning", "evening"]
    brings: Annotated[list[Name], Field(min_length=1)] | None = None
    takes_back: bool = False
