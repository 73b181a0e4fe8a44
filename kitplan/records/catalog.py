"""Shapes of catalogue files."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.records.shared import (
    BoatStation,
    Carried,
    Count,
    Craft,
    Exposure,
    Factor,
    Level,
    LineFlag,
    Name,
    Pulling,
    Quantity,
    RapidClass,
    Record,
    Site,
)
from kitplan.records.stores import CampRowRecord, ContainerRecord, StoreRateRecord


class AutomaticRecord(Record):
    """At which rapids a scenario may happen without being named: from this class as written up."""

    class_from: RapidClass
    cold_or_remote: bool = False


class ScenarioRecord(Record):
    """What may have happened, how bad it is and how soon help must be there."""

    name: Name
    consequence: Annotated[int, Field(ge=1, le=100)]
    in_time: Quantity
    crafts: list[Craft] = []
    automatic: AutomaticRecord | None = None
    source: str = ""


class ServesRecord(Record):
    """For which scenario a technique serves, in which tier, under which conditions."""

    scenario: Name
    tier: Annotated[int, Field(ge=0, le=20)]
    banks: Annotated[int, Field(ge=1, le=2)] | None = None
    depth_at_most: Quantity | None = None
    slack: bool | None = None


class PlaceRecord(Record):
    """Limits of the place; what is not stated is not asked."""

    reach_at_most: Quantity | None = None
    width_at_most: Quantity | None = None
    current_at_most: Quantity | None = None
    depth_at_most: Quantity | None = None
    run_in_at_least: Quantity | None = None
    run_out_at_least: Quantity | None = None
    class_at_most: RapidClass | None = None
    wading: Literal["to the spot", "edges"] | None = None
    anchor: bool = False
    far_anchor: bool = False
    eddy: bool = False
    slack: bool = False


class WhenRecord(Record):
    """Condition under which a role or item is asked; all parts must hold."""

    reach_over: Quantity | None = None
    reach_up_to: Quantity | None = None
    depth_over: Quantity | None = None
    edge_depth_over: Quantity | None = None
    water_below: Quantity | None = None
    water_from: Quantity | None = None


class ForceRecord(Record):
    """What the hands of a role hold against: their count grows with the force of the water."""

    on: Literal["body", "two bodies"] = "body"
    angle: Annotated[int, Field(ge=0, le=170)] | None = None
    grips: Annotated[int, Field(ge=1, le=10)] = 1
    beside: Annotated[int, Field(ge=0, le=10)] = 0


class RoleRecord(Record):
    """One or more persons of a technique who do the same."""

    name: Name
    site: Site = "working"
    count: Annotated[int, Field(ge=1, le=20)] = 1
    count_hard: Annotated[int, Field(ge=1, le=20)] | None = None
    count_crowded: Annotated[int, Field(ge=1, le=20)] | None = None
    skills: dict[Name, Level] = {}
    certificate: Name | None = None
    wears: list[Name] = []
    exposure: Exposure = "ashore"
    guest: bool = False
    throws: bool = False
    line_hand: bool = False
    hauls: bool = False
    force: ForceRecord | None = None
    may_lead: bool = True
    minds: bool = False
    least_mass: Quantity | None = None
    when: WhenRecord | None = None


class LengthRecord(Record):
    """Least length of a line: width x `width` + reach x `reach` + `plus`, and a haul's strokes."""

    width: Factor = 0
    reach: Factor = 0
    plus: Quantity = "0 m"
    stroke: Quantity = "0 m"


class NeedRecord(Record):
    """A thing of a kind that a technique asks for at a site; `rig` counts by the pulling system."""

    kind: Name
    site: Site = "working"
    count: Annotated[int, Field(ge=1, le=50)] = 1
    count_hard: Annotated[int, Field(ge=1, le=50)] | None = None
    count_crowded: Annotated[int, Field(ge=1, le=50)] | None = None
    length: list[LengthRecord] = []
    flags: list[LineFlag] = []
    spare: bool = False
    whole: bool = False
    rig: Literal["pulleys", "prusik loops"] | None = None
    besides: Annotated[int, Field(ge=0, le=50)] = 0
    when: WhenRecord | None = None


class CrewRecord(Record):
    """What one craft must bring for a boat's work: steerer, further people, things, free places."""

    crafts: Annotated[list[Craft], Field(min_length=1)]
    steerer: Level
    free_places: Annotated[int, Field(ge=0, le=20)] = 0
    scenarios: list[Name] = []
    class_at_most: RapidClass | None = None
    roles: list[RoleRecord] = []
    items: list[NeedRecord] = []


class BoatworkRecord(Record):
    """The work of one boat (or `count` boats) in a technique."""

    name: Name
    stations: Annotated[list[BoatStation], Field(min_length=1)] = ["afloat"]
    count: Annotated[int, Field(ge=1, le=10)] = 1
    exposure: Exposure = "afloat"
    crews: Annotated[list[CrewRecord], Field(min_length=1)]


class CatcherRecord(Record):
    """Who throws ashore: so many of them as there are, each for one swimmer."""

    name: Name = "thrower"
    skills: dict[Name, Level] = {}
    wears: list[Name] = []
    throws: bool = False


class BagRecord(Record):
    """What each thrower throws."""

    kind: Name
    length: list[LengthRecord] = []
    flags: list[LineFlag] = []


class CatchRecord(Record):
    """Work that takes all who sat in the running boat: throwers ashore, free places afloat."""

    thrower: CatcherRecord
    bag: BagRecord
    crews: Annotated[list[CrewRecord], Field(min_length=1)]


class WayRecord(Record):
    """One of several ways in which a technique may be done; adds to what all ways ask."""

    name: Name
    place: PlaceRecord = PlaceRecord()
    roles: list[RoleRecord] = []
    items: list[NeedRecord] = []
    boats: list[BoatworkRecord] = []


class DownstreamRecord(Record):
    """How many stand in as downstream safety: as a rule, and in hard or cold water."""

    count: Annotated[int, Field(ge=0, le=4)]
    hard: Annotated[int, Field(ge=0, le=4)] | None = None


class TechniqueRecord(Record):
    """One technique: what it serves, where it fits, who does what with which things."""

    name: Name
    summary: Annotated[str, Field(min_length=1, max_length=300)]
    source: Annotated[str, Field(min_length=1, max_length=200)]
    banks: Literal["one", "both", "none"]
    serves: Annotated[list[ServesRecord], Field(min_length=1)]
    hurry: Literal["at once", "unhurried"] = "at once"
    ready_in: Annotated[list[Quantity], Field(min_length=2, max_length=2)]
    support_only: bool = False
    last_resort: bool = False
    line_across: bool = False
    pulling: Pulling | None = None
    spotter: Literal["needed", "wanted", "none"] = "none"
    downstream_safety: DownstreamRecord = DownstreamRecord(count=0)
    place: PlaceRecord = PlaceRecord()
    roles: list[RoleRecord] = []
    items: list[NeedRecord] = []
    boats: list[BoatworkRecord] = []
    ways: list[WayRecord] = []
    catch: CatchRecord | None = None
    cautions: list[str] = []


class ItemRecord(Record):
    """A thing that can be packed; only a bundle, which `contains` others, may leave out `mass`."""

    name: Name
    kinds: list[Name]
    mass: Quantity | None = None
    contains: dict[Name, Annotated[int, Field(ge=1, le=50)]] = {}
    volume: Quantity = "0 L"
    length: Quantity | None = None
    packed_length: Quantity | None = None
    diameter: Quantity | None = None
    flags: list[LineFlag] = []
    strength: Quantity | None = None
    standard: str = ""
    price: Quantity | None = None
    carried: Annotated[list[Carried], Field(min_length=1)]
    worn_on: Literal["vest", "waist", "body"] | None = None
    vest_room: Count = 0
    bulky: bool = False
    source: Annotated[str, Field(min_length=1)] = "typical; weigh your own"
    remark: str = ""


class HaulRecord(Record):
    """What hauls a pinned boat off: a pulling system with hands at its end, or hands alone."""

    system: Pulling
    hands: Annotated[int, Field(ge=1, le=20)]
    by_hand: Annotated[int, Field(ge=1, le=20)]


class BoatTypeRecord(Record):
    """What a type of boat holds and asks for."""

    name: Name
    craft: Craft
    skill: Name
    seats: Annotated[int, Field(ge=1, le=40)]
    payload: Quantity
    mass: Quantity
    least_crew: Annotated[
        list[Annotated[int, Field(ge=1, le=40)]], Field(min_length=2, max_length=2)
    ]
    steerer: Annotated[list[Level], Field(min_length=6, max_length=6)]
    guests_one_level_up: bool = False
    quick_bulky: Count
    quick_small: Count
    crew_paddle: Name | None = None
    deck_places: Count = 0
    length: Quantity | None = None
    longest: Quantity | None = None
    hold: Quantity | None = None
    room: Annotated[int, Field(ge=1, le=100)] = 10
    righting: str = ""
    worst_drag: Count | None = None
    haul: HaulRecord | None = None
    source: Annotated[str, Field(min_length=1)] = "typical; weigh your own"


class FiguresRecord(Record):
    """House figures that all techniques share, each with its source in a comment or `source`."""

    wet_kit: Quantity
    walk_per_minute: Quantity
    set_safety_per_boat: Quantity
    afloat_safety: Quantity
    throw_reach: Annotated[list[Quantity], Field(min_length=4, max_length=4)]
    cross_throw: Annotated[list[Quantity], Field(min_length=2, max_length=2)]
    line_less: Quantity
    cold_water: Quantity
    hard_class: RapidClass
    in_charge_from: Annotated[int, Field(ge=1, le=50)]
    in_charge_leading: Level
    guide_leading: Level
    ferry_steerer: Level
    role_wears: list[Name]
    rope_role_wears: list[Name]
    safety_factor: Annotated[int, Field(ge=1, le=20)] = 4
    joint: Quantity | None = None
    joint_kind: Name | None = None
    joint_unless: Annotated[int, Field(ge=1, le=1000)] = 1
    crowded_over: Annotated[int, Field(ge=1, le=40)] = 2
    guests_per_guide: Annotated[int, Field(ge=1, le=100)] = 8
    source: Annotated[str, Field(min_length=1)]


class DownstreamCrewRecord(Record):
    """Who may stand in as downstream safety: ashore (roles, items) or afloat (crews)."""

    role: RoleRecord
    items: list[NeedRecord]
    crews: Annotated[list[CrewRecord], Field(min_length=1)]


class LiningRecord(Record):
    """What a lined rapid asks for, the same lines and hands for each boat in turn."""

    roles: list[RoleRecord] = []
    items: list[NeedRecord] = []


class CatalogFile(Record):
    """A catalogue file: any of these lists."""

    figures: FiguresRecord | None = None
    downstream: DownstreamCrewRecord | None = None
    spotter: RoleRecord | None = None
    lining: LiningRecord | None = None
    skill: list[Name] = []
    certificate: list[Name] = []
    kind: list[Name] = []
    scenario: list[ScenarioRecord] = []
    technique: list[TechniqueRecord] = []
    item: list[ItemRecord] = []
    boat_type: list[BoatTypeRecord] = []
    container: list[ContainerRecord] = []
    store_rate: list[StoreRateRecord] = []
    camp_row: list[CampRowRecord] = []
