"""Frozen nouns of a trip and its catalogues; each knows its Place.

Whole-number units throughout: millimetres, grams, millilitres, millimetres a second, seconds,
thousandths of a degree Celsius, cents. Names are the keys of every dict; dicts keep file order.
Nothing here computes more than a look-up.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Place

if TYPE_CHECKING:
    from datetime import date

EXPOSURES: tuple[str, ...] = ("ashore", "wading", "afloat", "tethered", "swimming")
CLASSES: tuple[str, ...] = ("I", "II", "III", "IV", "V", "VI")
BANKS: tuple[str, ...] = ("left", "right")
STATIONS: tuple[str, ...] = ("left", "right", "afloat", "above")
CARRIED: tuple[str, ...] = ("worn", "quick", "stowed")
FLOWS: tuple[str, ...] = ("low", "medium", "high")
AS_WRITTEN, ALL_FLOWS = "medium", "all"
AT_FLOW = {flow: f"at {flow} water" for flow in FLOWS}
"""How a flow is said; names of passages end in it where several flows are planned for."""


# --- catalogue nouns ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Scenario:
    """What may have happened at a spot."""

    name: str
    consequence: int
    in_time_s: int
    crafts: tuple[str, ...] = ()  # only boats of these crafts can be in it; empty: any
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Serves:
    """For which scenario a technique serves; the first line of a technique that holds is taken."""

    scenario: str
    tier: int
    banks: int | None = None  # holds only where so many banks are usable
    depth_at_most_mm: int | None = None
    slack: bool | None = None


@dataclass(frozen=True, slots=True)
class PlaceLimits:
    """Limits of the place that a technique (or one way of doing it) keeps to; None: not asked."""

    reach_at_most_mm: int | None = None
    width_at_most_mm: int | None = None
    current_at_most_mm_s: int | None = None
    depth_at_most_mm: int | None = None
    run_in_at_least_mm: int | None = None
    run_out_at_least_mm: int | None = None
    class_at_most: int | None = None
    wading: str | None = None  # "to the spot" or "edges"
    anchor: bool = False
    eddy: bool = False
    slack: bool = False


@dataclass(frozen=True, slots=True)
class When:
    """Condition under which a role or thing is asked; every stated part must hold."""

    reach_over_mm: int | None = None
    reach_up_to_mm: int | None = None
    depth_over_mm: int | None = None
    edge_depth_over_mm: int | None = None
    water_below_mdegc: int | None = None
    water_from_mdegc: int | None = None


@dataclass(frozen=True, slots=True)
class Force:
    """What the hands of a role hold: so many bodies in the current, on a line.

    `angle_deg` is the one between the halves of a line held at both ends; None: at one end. Each
    hand is so many grips, and `beside` so many more of the team hold in other roles.
    """

    bodies: int = 1
    angle_deg: int | None = None
    grips: int = 1
    beside: int = 0


@dataclass(frozen=True, slots=True)
class Role:
    """What `count` persons do in a technique, and what each of them must be able to."""

    name: str
    site: str  # working, far, above, banks (either bank), anywhere (either bank or above)
    count: int = 1
    count_hard: int | None = None
    skills: tuple[tuple[str, int], ...] = ()
    certificate: str | None = None
    wears: tuple[str, ...] = ()
    exposure: str = "ashore"
    guest: bool = False
    throws: bool = False  # asked for the throwing level that reaches the spot
    line_hand: bool = False  # one of these gets the line across
    hauls: bool = False  # pulls at the end of the pulling system
    force: Force | None = None  # as many as it asks, but at least the count
    may_lead: bool = True  # may be the one in charge as well
    least_mass_g: int = 0
    when: When | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LengthRule:
    """One least length: width and reach, each times its tenths, and `plus_mm`."""

    width_tenths: int
    reach_tenths: int
    plus_mm: int


@dataclass(frozen=True, slots=True)
class Need:
    """Things of a kind that a technique asks for at a site."""

    kind: str
    site: str
    count: int = 1
    count_hard: int | None = None
    length: tuple[LengthRule, ...] = ()  # the greatest of these counts
    flags: frozenset[str] = frozenset()
    spare: bool = False  # must not be a crew paddle
    when: When | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Crew:
    """What a boat of one of these crafts must bring for a boat's work, in these scenarios."""

    crafts: tuple[str, ...]
    steerer: int
    free_places: int = 0
    class_at_most: int | None = None
    scenarios: tuple[str, ...] = ()  # empty: any
    roles: tuple[Role, ...] = ()
    items: tuple[Need, ...] = ()


@dataclass(frozen=True, slots=True)
class Boatwork:
    """The work of `count` boats, each done by one boat with its own crew and things."""

    name: str
    stations: tuple[str, ...]
    crews: tuple[Crew, ...]
    count: int = 1
    exposure: str = "afloat"
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Way:
    """One of several ways of doing a technique; adds to what all ways ask."""

    name: str
    place: PlaceLimits = PlaceLimits()
    roles: tuple[Role, ...] = ()
    items: tuple[Need, ...] = ()
    boats: tuple[Boatwork, ...] = ()


@dataclass(frozen=True, slots=True)
class Technique:
    """One technique as the catalogue has it."""

    name: str
    summary: str
    source: str
    banks: str  # one, both, none
    serves: tuple[Serves, ...]
    unhurried: bool
    ready_least_s: int
    ready_most_s: int
    support_only: bool = False
    last_resort: bool = False
    line_across: bool = False
    pulling: str = ""  # pulling system, by its name in `river`; "": nothing is hauled
    spotter: str = "none"  # needed, wanted, none
    downstream: int = 0
    downstream_hard: int = 0
    place: PlaceLimits = PlaceLimits()
    roles: tuple[Role, ...] = ()
    items: tuple[Need, ...] = ()
    boats: tuple[Boatwork, ...] = ()
    ways: tuple[Way, ...] = ()
    cautions: tuple[str, ...] = ()
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that can be packed."""

    name: str
    kinds: frozenset[str]
    mass_g: int
    volume_ml: int
    carried: tuple[str, ...]
    worn_on: str | None = None  # vest, waist, body
    vest_room: int = 0  # small things it lets its wearer carry
    bulky: bool = False
    length_mm: int = 0
    packed_mm: int = 0  # of a long rigid thing; 0 for what folds or is short
    diameter_mm: int = 0
    flags: frozenset[str] = frozenset()
    strength_n: int | None = None
    standard: str = ""
    price_cents: int | None = None
    source: str = ""
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class BoatType:
    """What a type of boat holds and asks for; `steerer` is the level by class I..VI."""

    name: str
    craft: str
    skill: str
    seats: int
    payload_g: int
    mass_g: int
    least_crew: tuple[int, int]  # up to class III, from class IV
    steerer: tuple[int, ...]
    guests_one_level_up: bool
    quick_bulky: int
    quick_small: int
    crew_paddle: str | None = None
    deck_places: int = 0
    worst_drag_n: int | None = None  # at 1 m/s when wrapped flat, an estimate
    longest_mm: int | None = None  # of a thing under its load; None: not asked
    room: int = 10  # tenths of a landing or eddy place
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Figures:
    """House figures that all techniques share."""

    wet_kit_g: int
    walk_mm_per_min: int
    set_safety_s_per_boat: int
    afloat_safety_s: int
    throw_reach_mm: tuple[int, int, int, int]
    cross_throw_mm: tuple[int, int]  # throwing 3, throwing 4
    line_less_mm: int
    cold_water_mdegc: int
    hard_class: int
    in_charge_from: int
    in_charge_leading: int
    guide_leading: int
    ferry_steerer: int
    role_wears: tuple[str, ...]
    rope_role_wears: tuple[str, ...]
    safety_factor: int = 4  # strength over force, of what hauls
    guests_per_guide: int = 8  # on a bank; common practice, no source


@dataclass(frozen=True, slots=True)
class Downstream:
    """Who may stand in as downstream safety, ashore or afloat."""

    role: Role
    items: tuple[Need, ...]
    crews: tuple[Crew, ...]


@dataclass(frozen=True, slots=True)
class Catalog:
    """All catalogues of a trip taken together."""

    figures: Figures
    downstream: Downstream
    spotter: Role
    skills: tuple[str, ...]
    certificates: tuple[str, ...]
    kinds: tuple[str, ...]
    scenarios: dict[str, Scenario]
    techniques: dict[str, Technique]
    items: dict[str, Item]
    boat_types: dict[str, BoatType]


# --- trip nouns ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Boat:
    """One boat of the party."""

    name: str
    type: BoatType
    dry_load_g: int = 0
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Paddler:
    """One person afloat. `wears` counts items by name, what everyone wears included."""

    name: str
    mass_g: int
    skills: dict[str, int]
    wears: dict[str, int]
    certificates: tuple[tuple[str, date], ...]
    at_most: str
    guest: bool
    boat: str | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    def level(self, skill: str) -> int:
        """Return the paddler's level in `skill`, 0 where none is given."""
        return self.skills.get(skill, 0)


@dataclass(frozen=True, slots=True)
class Kit:
    """Copies of one item that the party owns; `take` of them always go."""

    item: Item
    count: int
    take: int = 0
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Bank:
    """One bank of a rapid; None: not given."""

    landing: int = 0
    path: bool = False
    walk_mm: int = 0
    anchor: bool = False
    eddy: bool = False
    edge_depth_mm: int | None = None
    edge_current_mm_s: int | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a rapid where something can happen; None: not given."""

    name: str
    from_left_mm: int
    from_right_mm: int
    scenarios: tuple[str, ...]
    likely: int = 1
    current_mm_s: int | None = None
    depth_mm: int | None = None
    run_in_mm: int | None = None
    run_out_mm: int | None = None
    slack: bool = False
    sight: bool = True  # those at work and the boats above see each other
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Rapid:
    """One passage of a rapid: by whom, and at which flow.

    Where groups pass apart or several flows are planned for, one rapid of the file is several of
    these, each with a name of its own. `river_class` counts I as 1, `class_text` is as written.
    """

    name: str
    day: int
    river_class: int
    class_text: str
    width_mm: int
    safety: str  # set, afloat, none
    left: Bank
    right: Bank
    eddies: int
    spots: tuple[Spot, ...]
    boats: tuple[str, ...]  # that pass together, sorted; nobody else is there
    run: str = "run"  # run or portage
    guests_walk: bool = False  # round it: in no boat there, on no bank at once
    place: str = ""  # the rapid's name in the file
    flow: str = ""  # low, medium or high; "" where the rapid is the same at all flows
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    def bank(self, side: str) -> Bank:
        """Return the bank on `side`, "left" or "right"."""
        return self.left if side == "left" else self.right


@dataclass(frozen=True, slots=True)
class Company:
    """Paddlers who sit in one boat (`together`) or in different boats."""

    paddlers: tuple[str, ...]
    together: bool
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class SourceText:
    """One input file as it was read: the name shown to people, its text, its SHA-256."""

    file: str
    text: str
    digest: str


@dataclass(frozen=True, slots=True)
class Trip:
    """A trip with everything it names resolved.

    `sources`: the trip file first, then what it names.
    """

    name: str
    starts: date
    ends: date
    catalog: Catalog
    boats: dict[str, Boat]
    paddlers: dict[str, Paddler]
    kit: dict[str, Kit]
    rapids: dict[str, Rapid]
    running: tuple[str, ...]
    water_mdegc: int
    remote: bool
    accept: dict[str, int]  # exposure -> greatest class accepted; "ashore" always 6
    companies: tuple[Company, ...]
    consequence: dict[str, int]  # scenario -> consequence, the trip's changes applied
    flow: str = AS_WRITTEN  # what is planned for: low, medium, high or all
    sources: tuple[SourceText, ...] = field(default=(), compare=False, repr=False)
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    @property
    def cold(self) -> bool:
        """Say whether the water is colder than the catalogue's limit for cold water."""
        return self.water_mdegc < self.catalog.figures.cold_water_mdegc
