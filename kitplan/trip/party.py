"""Frozen nouns of a trip: boats, people, kit, the river, legs."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from kitplan.errors import NOWHERE, Place
from kitplan.trip.carriage import TIERS
from kitplan.trip.mending import Market

if TYPE_CHECKING:
    from datetime import date

    from kitplan.trip.carriage import RuleSet, Spread
    from kitplan.trip.catalog import BoatType, Catalog, Item
    from kitplan.trip.stores import Stores

EXPOSURES: tuple[str, ...] = ("ashore", "wading", "afloat", "tethered", "swimming")
CLASSES: tuple[str, ...] = ("I", "II", "III", "IV", "V", "VI")
BANKS: tuple[str, ...] = ("left", "right")
STATIONS: tuple[str, ...] = ("left", "right", "afloat", "above", "below")
HELD, RESET = "held", "reset"
"""Whether a boat waits at one station before its run and one after, or at others each time."""
CARRIED: tuple[str, ...] = ("worn", "quick", "stowed")
FLOWS: tuple[str, ...] = ("low", "medium", "high")
AS_WRITTEN, ALL_FLOWS = "medium", "all"
AT_FLOW = {flow: f"at {flow} water" for flow in FLOWS}
"""How a flow is said; names of passages end in it where several flows are planned for."""


@dataclass(frozen=True, slots=True)
class Boat:
    """One boat of the party in one leg.

    In later legs `name` says from which day on: what it holds then is another matter. `called` is
    the boat's name in the file.
    """

    name: str
    type: BoatType
    dry_load_g: int = 0
    called: str = ""
    leg: int = 0  # place in the trip's legs
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Paddler:
    """One person afloat. `wears` counts items by name, what everyone wears included.

    Who is `hurt` keeps seat and mass and what he wears; he works at nothing and is to be minded.
    `taught`: in a widened trip, whom this is once he has had a lesson; one of the two comes.
    """

    name: str
    mass_g: int
    skills: dict[str, int]
    wears: dict[str, int]
    certificates: tuple[tuple[str, date], ...]
    at_most: str
    guest: bool
    boat: str | None = None
    faded: tuple[tuple[str, int], ...] = ()  # counted one level lower in `skills`; level as written
    undated: tuple[str, ...] = ()  # counted in full though skills fade, for want of a date
    hurt: bool = False
    taught: str = ""
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    @property
    def minded(self) -> bool:
        """Say whether others mind him: he steers no boat, and nothing is dealt to him to wear."""
        return self.guest or self.hurt

    def level(self, skill: str) -> int:
        """Return the paddler's level in `skill`, 0 where none is given."""
        return self.skills.get(skill, 0)


@dataclass(frozen=True, slots=True)
class Kit:
    """Copies of one item that the party owns; `take` of them always go.

    What is taken goes along through all legs that have the item. Past `retire_by`, the last day of
    its use, it counts for no rule on what must be carried. Of a widened trip's copies so many are
    `offered`: not owned yet.
    """

    item: Item
    count: int
    take: int = 0
    bought: date | None = None
    retire_by: date | None = None
    offered: int = 0
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    @property
    def owned(self) -> int:
        """Return how many copies the party has without buying any."""
        return self.count - self.offered


@dataclass(frozen=True, slots=True)
class Bank:
    """One bank of a rapid; None: not given.

    `landing`: boats it takes below, once they have run; `landing_above`: boats whose crews can walk
    down from above before they run.
    """

    landing: int = 0
    landing_above: int = 0
    path: bool = False
    walk_mm: int = 0
    anchor: bool = False
    eddy: bool = False
    edge_depth_mm: int | None = None
    edge_current_mm_s: int | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a rapid where something can happen; None: not given.

    `automatic` are those of its scenarios that no file names here.
    """

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
    automatic: tuple[str, ...] = ()
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
    run: str = "run"  # run, portage or lined: nobody is in a boat but where it is run
    guests_walk: bool = False  # round it: in no boat there, on no bank at once
    place: str = ""  # the rapid's name in the file
    leg: int = 0  # place in the trip's legs
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
class Leg:
    """Days with the same boats, people and kit; its days count from 1, `ends` is the last one."""

    first_day: int
    last_day: int
    ends: date
    boats: tuple[str, ...]
    paddlers: tuple[str, ...]
    kit: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """What the running order must be: as given, or who may lead and what the sweep carries.

    `boats`: all boats as they are called, in the order given; empty: it is free. `lead`: least
    level of the first boat's steerer in its own skill. `sweep`: kinds of things in the last boat.
    """

    boats: tuple[str, ...] = ()
    lead: int = 0
    sweep: tuple[str, ...] = ()
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

    `boats` has a boat once for each leg it is in; `running` names boats as they are called.
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
    legs: tuple[Leg, ...]
    fades_months: int | None = None  # skills not practised so long count one level lower
    flow: str = AS_WRITTEN  # what is planned for: low, medium, high or all
    order: OrderTerms = OrderTerms()
    stations: str = HELD
    stores: Stores | None = None  # None: a flat dry load is all there is
    rules: tuple[RuleSet, ...] = ()  # on what must be carried
    spreads: tuple[Spread, ...] = ()  # what must be left when a boat is lost
    short_at_most: dict[str, int] = field(default_factory=dict)  # by tier; the solver holds these
    market: Market = field(default_factory=Market)  # what can be had for money before the trip
    sources: tuple[SourceText, ...] = field(default=(), compare=False, repr=False)
    whole: Trip | None = field(default=None, compare=False, repr=False)  # that this is a leg of
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    @property
    def whole_trip(self) -> Trip:
        """Return the trip with all its legs: itself, unless it is one leg of another."""
        return self.whole or self

    @property
    def days(self) -> range:
        """Return the days of the trip, counted from 1; of one begun afresh, those that are left."""
        return range(self.legs[0].first_day, self.legs[-1].last_day + 1)

    @property
    def tiers(self) -> tuple[str, ...]:
        """Return the tiers of which the trip has a rule or a spread, the first ones first."""
        there = {rule.tier for one in self.rules for rule in one.rules}
        there |= {spread.tier for spread in self.spreads}
        return tuple(tier for tier in TIERS if tier in there)

    @property
    def cold(self) -> bool:
        """Say whether the water is colder than the catalogue's limit for cold water."""
        return self.water_mdegc < self.catalog.figures.cold_water_mdegc

    def leg_of(self, rapid: str) -> Leg:
        """Return the leg in which a rapid is passed."""
        return self.legs[self.rapids[rapid].leg]

    def list_party(self, leg: Leg) -> dict[str, Paddler]:
        """Return the paddlers who are there in a leg."""
        return {name: self.paddlers[name] for name in leg.paddlers}

    def list_persons(self, leg: Leg) -> list[str]:
        """Return who is there in a leg, each once, be he taught or not."""
        return [name for name in leg.paddlers if not self.paddlers[name].taught]

    def at_leg(self, number: int) -> Trip:
        """Return the trip with the boats, paddlers and kit of one leg alone, up to its end."""
        leg = self.legs[number]
        return replace(
            self,
            ends=leg.ends,
            boats={name: self.boats[name] for name in leg.boats},
            paddlers=self.list_party(leg),
            kit={name: self.kit[name] for name in leg.kit},
            whole=self.whole_trip,
        )
