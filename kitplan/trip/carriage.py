"""Frozen nouns of what must be carried: rules, and what must be left when a boat is lost.

A rule's text leaves readings open, so each rule carries its own as data. Whole-number units, as in
the rest of this package. Nothing here computes anything.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from kitplan.errors import NOWHERE, Place

LAW, HOUSE, SPREAD = "law", "house", "spread"
"""Tiers: what the law or a permit asks, what the house asks, what a lost boat must leave."""
TIERS: tuple[str, ...] = (LAW, HOUSE, SPREAD)
LOST_BOAT, WITHIN_GROUP = "boat", "group"
"""A spread whose lost boat's crew is saved; one that asks it of those who pass rapids together."""
THINGS, WORN, PEOPLE, BOATS = "things", "worn", "people", "boats"
"""What counts: pieces, people who wear a thing of their own, people, boats."""
PER_BOAT, PER_TRIP = "boat", "trip"
AT_LEAST, AT_MOST = "at least", "at most"


@dataclass(frozen=True, slots=True)
class Who:
    """Which people are meant; what is not stated is not asked."""

    guest: bool = False  # guests and nobody else
    guide: bool = False  # not a guest, leading at least as the house figures ask of a guide
    skills: tuple[tuple[str, int], ...] = ()
    certificate: str = ""


@dataclass(frozen=True, slots=True)
class BoatLimits:
    """Which boats are meant; what is not stated is not asked.

    `skills` are those that boats are steered with: a party may call its types as it likes. `only`:
    the party has no other boats.
    """

    crafts: tuple[str, ...] = ()
    types: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()
    length_from_mm: int | None = None
    length_under_mm: int | None = None
    only: bool = False


@dataclass(frozen=True, slots=True)
class Condition:
    """When a rule applies; every stated part must hold. `class_from` counts I as 1."""

    class_from: int | None = None  # of the hardest rapid that is run in the leg
    overnight: bool = False
    water_below_mdegc: int | None = None
    boats_over: int | None = None
    people_over: int | None = None


@dataclass(frozen=True, slots=True)
class Counted:
    """What counts towards a rule.

    Things are of any of the kinds. `spare`: neither what people wear of their own nor a
    crew paddle counts;
    `in_reach`: only what is worn or quick does; `apart`: of the pieces in one boat one counts.
    """

    what: str = THINGS
    kinds: tuple[str, ...] = ()
    least_mm: int = 0
    diameter_mm: int = 0
    flags: frozenset[str] = frozenset()
    spare: bool = False
    in_reach: bool = False
    apart: bool = False
    who: Who = Who()  # of people, and of those who wear


@dataclass(frozen=True, slots=True)
class Step:
    """A number that is asked where there are up to so many; None: and all above."""

    up_to: int | None
    count: int


@dataclass(frozen=True, slots=True)
class Reading:
    """How a rule counts: `count` as it is, or for each so many of something, or by steps.

    `of` is what is counted for it: "people" (those whom `who` means, in the boat or in the trip) or
    "boats" (those that the rule is about); "" for a plain count. `part_counts`: a part of
    `for_each` counts as a whole. `least`: so many in any case.
    """

    scope: str  # boat: each boat by itself; trip: the party as a whole
    bound: str = AT_LEAST
    count: int = 1
    of: str = ""
    who: Who = Who()
    for_each: int | None = None
    part_counts: bool = True
    least: int = 0
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class CarriageRule:
    """One rule on what must be carried; `says` is its sentence, in words of our own."""

    id: str
    says: str
    source: str
    dated: str  # date of the text that was read
    status: str  # how it was read
    tier: str
    counts: Counted
    reading: Reading
    boats: BoatLimits = BoatLimits()
    when: Condition = Condition()
    remark: str = ""
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Reminder:
    """A rule that no count can say: it is printed."""

    id: str
    says: str
    source: str
    dated: str
    status: str
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class RuleSet:
    """The rules of one country, body or house."""

    name: str
    title: str
    country: str
    rules: tuple[CarriageRule, ...]
    reminders: tuple[Reminder, ...]
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Fit:
    """What serves boats of some sort, a spare oar for oar boats."""

    boats: BoatLimits
    counts: Counted


@dataclass(frozen=True, slots=True)
class Spread:
    """What must be left when any one boat is lost, with its crew or without.

    One of these is said: `count` of what `counts`; one that `fits` each sort of boat still afloat;
    `seats` for the crew of the lost boat; a share of the food for the days left.
    """

    name: str
    says: str
    source: str
    lost: str  # "boat": its crew is saved; "boat and crew"
    within: str  # "party", or "group": those who pass rapids together
    counts: Counted | None = None
    count: int = 1
    fits: tuple[Fit, ...] = ()
    seats: bool = False
    food_permille: int | None = None
    tier: str = SPREAD
    where: Place = field(default=NOWHERE, compare=False, repr=False)
