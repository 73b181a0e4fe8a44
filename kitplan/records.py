"""Shapes of the files people edit, as pydantic models: strict, no unknown keys, no logic.

A quantity is the text a person wrote ("18 m"); `load` turns it into whole-number units, so that
every complaint about it can name file, line and column. Nothing outside `load` and the schema
writer sees these shapes.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Quantity = Annotated[str, Field(max_length=60, description='a number with its unit, "18 m"')]
Name = Annotated[str, Field(min_length=1, max_length=80)]
Count = Annotated[int, Field(ge=0, le=10_000)]
Factor = Annotated[int | Decimal, Field(ge=0, le=10, description="in tenths at the finest")]
Level = Annotated[int, Field(ge=0, le=4)]
RapidClass = Annotated[str, Field(max_length=4, description="I to VI, with + or - if wanted")]
Exposure = Literal["ashore", "wading", "afloat", "tethered", "swimming"]
Carried = Literal["worn", "quick", "stowed"]
LineFlag = Literal["thrown", "across", "haul", "floats"]
Craft = Literal["raft", "kayak", "canoe"]
Site = Literal["working", "far", "above", "banks", "anywhere"]
BoatStation = Literal["afloat", "above"]
Pulling = Literal[
    "hands alone", "2:1", "3:1", "2 on 2 (4:1)", "5:1", "2 on 3 (6:1)", "3 on 3 (9:1)"
]


class Record(BaseModel):
    """A table of a file people write."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


# --- catalogues ---------------------------------------------------------------------------------


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
    """A thing that can be packed."""

    name: Name
    kinds: list[Name]
    mass: Quantity
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
    longest: Quantity | None = None
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


# --- the trip -----------------------------------------------------------------------------------


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


class KitRecord(Record):
    """Copies of an item the party owns; `take` says all or how many always go."""

    item: Name
    count: Annotated[int, Field(ge=1, le=1000)]
    take: bool | Annotated[int, Field(ge=0, le=1000)] = False
    from_: Annotated[int, Field(ge=1, le=60)] | None = Field(default=None, alias="from")
    to: Annotated[int, Field(ge=1, le=60)] | None = None


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
    rapid: list[RapidRecord] = []
    together: list[CompanyRecord] = []
    apart: list[CompanyRecord] = []
