"""Frozen nouns of the catalogues: techniques, items, boat types, and house figures.

Whole-number units throughout, as in the rest of this package. Nothing here computes anything.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from kitplan.errors import NOWHERE, Place


@dataclass(frozen=True, slots=True)
class Automatic:
    """At which rapids a scenario may happen without being named there.

    From the class as written up; with `cold_or_remote` only in cold water or far from help.
    """

    class_from: int
    cold_or_remote: bool = False


@dataclass(frozen=True, slots=True)
class Scenario:
    """What may have happened at a spot."""

    name: str
    consequence: int
    in_time_s: int
    crafts: tuple[str, ...] = ()  # only boats of these crafts can be in it; empty: any
    automatic: Automatic | None = None
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
    far_anchor: bool = False
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
    count_crowded: int | None = None  # with more than few people in the running boat
    skills: tuple[tuple[str, int], ...] = ()
    certificate: str | None = None
    wears: tuple[str, ...] = ()
    exposure: str = "ashore"
    guest: bool = False
    throws: bool = False  # asked for the throwing level that reaches the spot
    line_hand: bool = False  # one of these gets the line across
    hauls: bool = False  # pulls at the end of the pulling system: as many as the boat type asks
    force: Force | None = None  # as many as it asks, but at least the count
    may_lead: bool = True  # may be the one in charge as well
    minds: bool = False  # has free hands at unhurried work, and so minds guests who lend theirs
    least_mass_g: int = 0
    when: When | None = None
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LengthRule:
    """One least length: width and reach, each times its tenths, `plus_mm`, and what a haul takes.

    That is `stroke_mm` times the ideal advantage of the pulling system less one.
    """

    width_tenths: int
    reach_tenths: int
    plus_mm: int
    stroke_mm: int = 0


@dataclass(frozen=True, slots=True)
class Need:
    """Things of a kind that a technique asks for at a site."""

    kind: str
    site: str
    count: int = 1
    count_hard: int | None = None
    count_crowded: int | None = None
    length: tuple[LengthRule, ...] = ()  # the greatest of these counts
    flags: frozenset[str] = frozenset()
    spare: bool = False  # must not be a crew paddle
    whole: bool = False  # a line in one piece, never two joined
    rig: str = ""  # "pulleys" or "prusik loops": as many as the pulling system has of them
    besides: int = 0  # and so many more
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
class Catch:
    """Work that takes all who sat in the running boat: throwers ashore, free places afloat."""

    thrower: Role
    bag: Need  # one for each thrower
    crews: tuple[Crew, ...]


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
    pulling: str = ""  # pulling system, by its name in `river`; "": nothing is hauled. But for
    # hands alone, the type of the pinned boat names the system where it says how it is hauled
    spotter: str = "none"  # needed, wanted, none
    downstream: int = 0
    downstream_hard: int = 0
    place: PlaceLimits = PlaceLimits()
    roles: tuple[Role, ...] = ()
    items: tuple[Need, ...] = ()
    boats: tuple[Boatwork, ...] = ()
    ways: tuple[Way, ...] = ()
    catch: Catch | None = None  # then it asks for nothing else
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
    currency: str = ""  # of the price
    source: str = ""
    contains: tuple[tuple[Item, int], ...] = ()  # a bundle: other items, so many in each
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    def list_pieces(self, count: int = 1) -> tuple[tuple[Item, int], ...]:
        """Return what so many copies are of use for: what is in a bundle, else they themselves."""
        return tuple((one, n * count) for one, n in self.contains or ((self, 1),))


@dataclass(frozen=True, slots=True)
class Haul:
    """What it takes to haul a pinned boat off: a pulling system, hands at its end, or by hand.

    A system of "hands alone" says that no pulleys are asked for such a boat.
    """

    system: str
    hands: int
    by_hand: int


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
    haul: Haul | None = None  # None: as the technique has it
    length_mm: int | None = None  # over all; None: not given
    longest_mm: int | None = None  # of a thing under its load; None: not asked
    hold_ml: int | None = None  # room for stores; None: no limit
    room: int = 10  # tenths of a landing or eddy place
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Joint:
    """What it takes to join two lines: so much of their length, and a thing of a kind, if named.

    None are joined where `unless` lines of the party are long enough alone.
    """

    takes_mm: int
    kind: str
    unless: int = 1


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
    joint: Joint | None = None  # None: lines are never joined
    crowded_over: int = 2  # people in the running boat
    guests_per_guide: int = 8  # on a bank; common practice, no source


@dataclass(frozen=True, slots=True)
class Downstream:
    """Who may stand in as downstream safety, ashore or afloat."""

    role: Role
    items: tuple[Need, ...]
    crews: tuple[Crew, ...]


@dataclass(frozen=True, slots=True)
class Lining:
    """What a lined rapid asks for, the same lines and hands for each boat in turn."""

    roles: tuple[Role, ...] = ()
    items: tuple[Need, ...] = ()


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
    lining: Lining = Lining()
