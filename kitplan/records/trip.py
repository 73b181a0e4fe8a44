"""Shapes of trip files, and of the rows of their lists."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from kitplan.records.carriage import HouseRuleRecord, SpreadRecord
from kitplan.records.shared import (
    Exposure,
    Level,
    Name,
    Quantity,
    RapidClass,
    Record,
)
from kitplan.records.stores import RestockRecord, StoreRecord, StoresRecord


class AcceptRecord(Record):
    """Up to which class the leader accepts each exposure; ashore is always accepted."""

    wading: RapidClass | None = None
    afloat: RapidClass | None = None
    tethered: RapidClass | None = None
    swimming: RapidClass | None = None


class TripRecord(Record):
    """The trip as a whole."""

    name: Name
    starts: date
    days: Annotated[int, Field(ge=1, le=60)] | None = None
    catalogs: Annotated[list[str], Field(min_length=1)]
    rules: list[str] = []
    spreads: list[str] = []
    running: Literal["any boat"] | list[Name] = "any boat"
    water_temperature: Quantity
    remote: bool = False
    fades_after: Quantity | None = None
    accept: AcceptRecord = AcceptRecord()
    everyone_wears: list[Name] = []
    consequence: dict[Name, Annotated[int, Field(ge=1, le=100)]] = {}
    stations: Literal["held", "reset"] = "held"
    automatic_scenarios: bool | list[Name] = True
    boats: str | None = None
    paddlers: str | None = None
    kit: str | None = None


class BoatRecord(Record):
    """One boat of the party."""

    name: Name
    type: Name
    dry_load: Quantity = "0 kg"
    from_: Annotated[int, Field(ge=1, le=60)] | None = Field(default=None, alias="from")
    to: Annotated[int, Field(ge=1, le=60)] | None = None


class CertificateRecord(Record):
    """A certificate and the last day on which it holds."""

    name: Name
    until: date


class PaddlerRecord(Record):
    """One person afloat."""

    name: Name
    mass: Quantity
    skills: dict[Name, Level] = {}
    practised: dict[Name, date] = {}
    wears: dict[Name, Annotated[int, Field(ge=1, le=50)]] = {}
    certificates: list[CertificateRecord] = []
    at_most: Exposure | None = None
    boat: Name | None = None
    guest: bool | None = None
    from_: Annotated[int, Field(ge=1, le=60)] | None = Field(default=None, alias="from")
    to: Annotated[int, Field(ge=1, le=60)] | None = None


class StandbyRecord(PaddlerRecord):
    """One more person who can be brought, at a price for the trip."""

    price: Quantity


class KitRecord(Record):
    """Copies of an item the party owns; `take` says all or how many always go.

    `split`: what is in them is dealt out piece by piece. `more` can be had, at `price` each.
    """

    item: Name
    count: Annotated[int, Field(ge=1, le=1000)]
    take: bool | Annotated[int, Field(ge=0, le=1000)] = False
    split: bool = False
    bought: date | None = None
    retire_by: date | None = None
    price: Quantity | None = None
    more: Annotated[int, Field(ge=0, le=1000)] | None = None
    from_: Annotated[int, Field(ge=1, le=60)] | None = Field(default=None, alias="from")
    to: Annotated[int, Field(ge=1, le=60)] | None = None


class OfferRecord(Record):
    """An item of the catalogues that can be bought or borrowed; `more` of them at the most."""

    item: Name
    price: Quantity | None = None
    more: Annotated[int, Field(ge=0, le=1000)] | None = None


class LessonRecord(Record):
    """One level of a skill that paddlers can be taught before the trip: they are at `to` then."""

    skill: Name
    to: Annotated[int, Field(ge=1, le=4)]
    price: Quantity
    days: Annotated[int, Field(ge=0, le=60)] = 0
    paddlers: Annotated[list[Name], Field(min_length=1)] | None = None


class BankRecord(Record):
    """One bank of a rapid."""

    landing: Annotated[int, Field(ge=0, le=100)] = 0
    landing_above: Annotated[int, Field(ge=0, le=100)] | None = None
    path: bool = False
    walk: Quantity = "0 m"
    anchor: bool = False
    eddy: bool | None = None
    edge_depth: Quantity | None = None
    edge_current: Quantity | None = None


class BankChangeRecord(Record):
    """What changes on one bank at a flow; what is not said stays as written."""

    landing: Annotated[int, Field(ge=0, le=100)] | None = None
    landing_above: Annotated[int, Field(ge=0, le=100)] | None = None
    path: bool | None = None
    walk: Quantity | None = None
    anchor: bool | None = None
    eddy: bool | None = None
    edge_depth: Quantity | None = None
    edge_current: Quantity | None = None


class SpotChangeRecord(Record):
    """What changes at a spot at a flow; what is not said stays as written."""

    from_left: Quantity | None = None
    from_right: Quantity | None = None
    current: Quantity | None = None
    depth: Quantity | None = None
    run_in: Quantity | None = None
    run_out: Quantity | None = None
    slack: bool | None = None
    scenarios: list[Name] | None = None
    likely: Annotated[int, Field(ge=1, le=3)] | None = None
    sight: bool | None = None


class RapidChangeRecord(SpotChangeRecord):
    """What changes at a rapid at a flow; what is not said stays as written."""

    class_: RapidClass | None = Field(default=None, alias="class")
    width: Quantity | None = None
    safety: Literal["set", "afloat", "none"] | None = None
    run: Literal["run", "portage", "lined"] | None = None
    left: BankChangeRecord | None = None
    right: BankChangeRecord | None = None
    eddies: Annotated[int, Field(ge=0, le=100)] | None = None
    guests_walk: bool | None = None


class SpotRecord(Record):
    """A place in a rapid where something can happen."""

    name: Name
    from_left: Quantity | None = None
    from_right: Quantity | None = None
    current: Quantity | None = None
    depth: Quantity | None = None
    run_in: Quantity | None = None
    run_out: Quantity | None = None
    slack: bool = False
    scenarios: Annotated[list[Name], Field(min_length=1)]
    likely: Annotated[int, Field(ge=1, le=3)] = 1
    sight: bool | None = None
    low: SpotChangeRecord | None = None
    medium: SpotChangeRecord | None = None
    high: SpotChangeRecord | None = None


class RapidRecord(Record):
    """One rapid; without `[[rapid.spot]]` it may carry the keys of a single spot itself."""

    day: Annotated[int, Field(ge=1, le=60)]
    name: Name
    class_: Annotated[RapidClass, Field(alias="class")]
    width: Quantity | None = None
    safety: Literal["set", "afloat", "none"]
    run: Literal["run", "portage", "lined"] = "run"
    left: BankRecord = BankRecord()
    right: BankRecord = BankRecord()
    eddies: Annotated[int, Field(ge=0, le=100)] = 0
    spot: list[SpotRecord] = []
    from_left: Quantity | None = None
    from_right: Quantity | None = None
    current: Quantity | None = None
    depth: Quantity | None = None
    run_in: Quantity | None = None
    run_out: Quantity | None = None
    slack: bool = False
    scenarios: list[Name] = []
    likely: Annotated[int, Field(ge=1, le=3)] = 1
    sight: bool = True
    guests_walk: bool = False
    groups: list[list[Name]] | None = None
    low: RapidChangeRecord | None = None
    medium: RapidChangeRecord | None = None
    high: RapidChangeRecord | None = None


class CompanyRecord(Record):
    """Paddlers who sit in the same boat, or in different boats."""

    paddlers: Annotated[list[Name], Field(min_length=2)]


class OrderRecord(Record):
    """What the running order must be: given, or who may lead and what the sweep carries."""

    boats: list[Name] | None = None
    lead: Level = 0
    sweep: list[Name] = []


class TripFile(Record):
    """A trip file."""

    trip: TripRecord
    order: OrderRecord = OrderRecord()
    boat: list[BoatRecord] = []
    paddler: list[PaddlerRecord] = []
    kit: list[KitRecord] = []
    offer: list[OfferRecord] = []
    lesson: list[LessonRecord] = []
    standby: list[StandbyRecord] = []
    rapid: list[RapidRecord] = []
    together: list[CompanyRecord] = []
    apart: list[CompanyRecord] = []
    stores: StoresRecord | None = None
    store: list[StoreRecord] = []
    restock: list[RestockRecord] = []
    rule: list[HouseRuleRecord] = []
    spread: list[SpreadRecord] = []
