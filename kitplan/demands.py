"""Frozen nouns of what the river asks: slots, variants, choices, demands, cases.

Sites are absolute here: "left", "right", "above". `load` and the catalogue speak of working and far
bank; that is resolved when a choice is derived for a working bank.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from kitplan.errors import NOWHERE, Place

if TYPE_CHECKING:
    from kitplan.trip import CarriageRule


@dataclass(frozen=True, slots=True, order=True)
class Ask:
    """What one person must be to fill a slot; read off the roster, no solver needed.

    `skills` must all be held at the level given; of `steers` (skill, level) at least one, unless
    it is empty. `wears` names kinds of own worn things. A guest fills a slot only where `guest`.
    """

    skills: tuple[tuple[str, int], ...] = ()
    steers: tuple[tuple[str, int], ...] = ()
    certificate: str = ""
    wears: tuple[str, ...] = ()
    exposure: str = "ashore"
    guest: bool = False
    least_mass_g: int = 0


@dataclass(frozen=True, slots=True, order=True)
class Thing:
    """What one item must be to fill a slot."""

    kind: str
    least_mm: int = 0
    flags: tuple[str, ...] = ()
    spare: bool = False  # a crew paddle does not do
    whole: bool = False  # a line in one piece


@dataclass(frozen=True, slots=True, order=True)
class PersonSlot:
    """`count` places for persons who stand at one of `sites` and answer `ask`."""

    role: str
    sites: tuple[str, ...]
    ask: Ask
    count: int = 1


@dataclass(frozen=True, slots=True, order=True)
class ItemSlot:
    """`count` places for items that lie or are worn at `site` and answer `thing`."""

    site: str
    thing: Thing
    count: int = 1


@dataclass(frozen=True, slots=True, order=True)
class BoatOption:
    """What a boat of one of `crafts` must hold to do a boat's work.

    A steerer with `steerer` in the boat's own skill who wears things of the kinds `wears`, the
    further persons, things lying quick or worn in that boat, and `free_places` (seats less crew
    plus deck places).
    Sites of the slots in it are all "aboard".
    """

    crafts: tuple[str, ...]
    steerer: int
    exposure: str
    free_places: int = 0
    persons: tuple[PersonSlot, ...] = ()
    items: tuple[ItemSlot, ...] = ()
    wears: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class BoatSlot:
    """`count` different boats, each at one of `stations` and answering one of `options`."""

    work: str
    stations: tuple[str, ...]
    options: tuple[BoatOption, ...]
    count: int = 1


@dataclass(frozen=True, slots=True, order=True)
class Throwing:
    """Any number of throwers at a site, each with a bag of his own that lies or is worn there."""

    site: str
    role: str
    ask: Ask
    bag: Thing


@dataclass(frozen=True, slots=True, order=True)
class CatchSlot:
    """As many swimmers as sit in the running boat, each taken by a thrower or by a boat afloat.

    A boat that answers one of `options` takes as many as it has free places: seats less crew plus
    deck places. With `both` at least one is taken ashore and at least one afloat.
    """

    work: str
    ashore: tuple[Throwing, ...]
    options: tuple[BoatOption, ...]
    both: bool


@dataclass(frozen=True, slots=True, order=True)
class Variant:
    """One way in which a demand may be met; `way` is unique within its choice.

    `needs_boat`: unhurried work that takes a boat: one of these, not the running boat, must exist.
    `types`: boat types of the running boat it holds for; empty: any.
    `crew_at_most`: it holds only while no more people sit in the running boat; None: always.
    With `catch` it asks for nothing else. `unless`: it holds only while the party owns fewer than
    so many of each thing; for widened trips, in which that is open.
    """

    way: str
    persons: tuple[PersonSlot, ...]
    items: tuple[ItemSlot, ...]
    boats: tuple[BoatSlot, ...] = ()
    needs_boat: tuple[str, ...] = ()
    types: tuple[str, ...] = ()
    crew_at_most: int | None = None
    catch: CatchSlot | None = None
    unless: tuple[tuple[Thing, int], ...] = ()

    def holds_for(self, boat_type: str) -> bool:
        """Say whether it holds while a boat of this type is in trouble."""
        return not self.types or boat_type in self.types

    def holds_with(self, crew: int) -> bool:
        """Say whether it holds while so many people sit in the running boat."""
        return self.crew_at_most is None or crew <= self.crew_at_most


class ChoiceKey(NamedTuple):
    """Name of a choice; `bank` is "" for a technique that works from the water."""

    rapid: str
    spot: str
    scenario: str
    technique: str
    bank: str


class CaseKey(NamedTuple):
    """Name of a case: who is in trouble where, and how."""

    rapid: str
    spot: str
    scenario: str
    running: str


class DemandKey(NamedTuple):
    """Name of a demand: a choice while `running` is the boat in trouble."""

    rapid: str
    spot: str
    scenario: str
    technique: str
    bank: str
    running: str

    @property
    def choice(self) -> ChoiceKey:
        """Return the choice this demand belongs to."""
        return ChoiceKey(*self[:5])

    @property
    def case(self) -> CaseKey:
        """Return the case this demand belongs to."""
        return CaseKey(self.rapid, self.spot, self.scenario, self.running)


@dataclass(frozen=True, slots=True)
class Choice:
    """One technique at one spot for one scenario from one working bank.

    `verdict` is "fits", "does not fit" or "not accepted"; `reasons` say why not, with the
    arithmetic; `amounts` say how lengths, levels and counts were worked out; `cautions` hold good
    even where it fits. `place` counts from 1 among what fits and is accepted from this bank, 0
    otherwise. `covers` is false for support only (unless that is all the scenario asks) and for a
    last resort where another accepted technique fits.
    """

    key: ChoiceKey
    verdict: str
    reasons: tuple[str, ...]
    amounts: tuple[str, ...]
    cautions: tuple[str, ...]
    variants: tuple[Variant, ...]
    place: int
    covers: bool
    support_only: bool
    unhurried: bool
    sort: tuple[int, ...]
    where: Place = field(default=NOWHERE, compare=False, repr=False)

    @property
    def accepted(self) -> bool:
        """Say whether the technique fits the place and the leader accepts it."""
        return self.verdict == "fits"


@dataclass(frozen=True, slots=True)
class Case:
    """A case with its weight and the banks that count for it (those with an accepted demand)."""

    key: CaseKey
    weight: int
    banks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WithoutTechnique:
    """A spot and scenario with no accepted technique, and what the leader may decide.

    `running`: the boats for which it would be a case.
    """

    rapid: str
    spot: str
    scenario: str
    reason: str
    running: tuple[str, ...]
    where: Place = field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Needs:
    """All that the trip asks. Order: rapids by day and file, then spots, scenarios, rank, bank."""

    choices: dict[ChoiceKey, Choice]
    cases: dict[CaseKey, Case]
    demands: dict[DemandKey, int]  # weight in aim `unmet`
    without_technique: tuple[WithoutTechnique, ...]


@dataclass(frozen=True, slots=True)
class CarriageNeed:
    """A carriage rule that applies in a leg.

    Scope trip: the party as a whole, and `asked` is how many. Scope boat: each of `boats` by
    itself, and `asked` is how many for each, or None where it goes by the people in it: then by how
    many of `people` sit there (`needs.count_asked`). None also for a widened trip as a whole, if it
    is open who comes. `said` is the rule's reading in words.
    """

    rule: CarriageRule
    boats: tuple[str, ...]
    asked: int | None
    people: tuple[str, ...]  # who is counted for "each so many", in the leg's order
    said: str


@dataclass(frozen=True, slots=True)
class Counting:
    """What counts towards a rule in a leg, as far as the trip says; what is packed is the plan's.

    `items`: kit that counts; `worn`: how many pieces each paddler wears that count, 0 left out;
    `paddles`: boats whose crew paddles count; `people` and `boats`: those that count themselves;
    `lots`: lots of stores, by name, whose things count; `bundles`: how many pieces that count are
    in each bundle, 0 left out.
    """

    items: frozenset[str]
    worn: dict[str, int]
    paddles: frozenset[str]
    people: tuple[str, ...]
    boats: tuple[str, ...]
    lots: frozenset[str] = frozenset()
    bundles: dict[str, int] = field(default_factory=dict)
