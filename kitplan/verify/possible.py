"""What can be done, by augmenting paths: pieces short, what stays possible after a loss.

No condition of the builder is used here: every question is a matching of single slots to single
persons, things or boats.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from kitplan import needs as asks
from kitplan.demands import PersonSlot
from kitplan.matching import match, match_preferring, survives_any_loss
from kitplan.trip import BANKS
from kitplan.verify.gather import lack_places, outlives_losses
from kitplan.verify.ground import CREW_PADDLE
from kitplan.verify.hands import HANDS, count_hands

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Sequence

    from kitplan.demands import BoatOption, BoatSlot, Choice, ItemSlot, Variant
    from kitplan.verify.ground import Ground, Piece

STEERS = "steers"
Short = Counter[tuple[str, str, str]]
"""Pieces short by (what, bank or "", name): person by role, item by kind, hands, boat by work."""
Slot = TypeVar("Slot", "PersonSlot", "ItemSlot", "BoatSlot")
PersonEdges = dict[tuple[PersonSlot, int], list[str]]
ItemEdges = dict[tuple["ItemSlot", int], list["Piece"]]


class Judge:
    """Answers for one arrangement; remembers what it was asked."""

    def __init__(self, ground: Ground) -> None:
        """Look at every boat once."""
        self.ground = ground
        self.boats = sorted(ground.trip.boats)
        self.pieces = {b: ground.list_pieces(b) for b in self.boats}
        self._short: dict[Hashable, Short] = {}
        self._backed: dict[Hashable, bool] = {}
        self._numbers: dict[Variant, int] = {}
        self._seen: dict[int, tuple[Variant, int]] = {}
        self._away = {(p, rapid) for (rapid, _), p in ground.plan.twice.items()}
        self._others: dict[tuple[str, str], tuple[str, ...]] = {}
        self._crews: dict[tuple[str, str], list[str]] = {}
        self._there: dict[tuple[str, str], list[tuple[str, str]]] = {}
        self._guests: dict[tuple[str, str], Counter[str]] = {}
        self._at: dict[tuple[str, str, str], list[Piece]] = {}

    def _number(self, variant: Variant) -> int:
        """Return a number that variants have in common if they differ in name only.

        The identity stands for the variant, which is kept so that it stays its own: hashing all
        slots at each question would take longer than the answers.
        """
        if id(variant) not in self._seen:
            bare = replace(variant, way="", types=())
            number = self._numbers.setdefault(bare, len(self._numbers))
            self._seen[id(variant)] = (variant, number)
        return self._seen[id(variant)][1]

    def list_ways(self, choice: Choice, running: str) -> tuple[Variant, ...]:
        """Return the variants of a choice that hold while `running` is in trouble."""
        ways = asks.list_ways(choice, self.ground.trip.boats[running].type)
        rapid = choice.key.rapid
        return tuple(variant for variant in ways if self.holds(variant, rapid, running))

    def holds(self, variant: Variant, rapid: str, running: str) -> bool:
        """Say whether few enough people sit in the running boat for a variant."""
        return variant.holds_with(self.count_aboard(rapid, running))

    def count_aboard(self, rapid: str, running: str) -> int:
        """Return how many sit in a boat as it runs: its crew, and who takes it down for them."""
        plan = self.ground.plan
        return len([*plan.crew[running], *(k for k in plan.twice if k == (rapid, running))])

    def is_away(self, paddler: str, rapid: str) -> bool:
        """Say whether he rows twice at a rapid, and so does nothing else there."""
        return (paddler, rapid) in self._away

    # --- what is short ----------------------------------------------------------------------

    def count_short(self, choice: Choice, variant: Variant, running: str) -> Short:
        """Return what is short of a variant while `running` is in trouble; empty if possible."""
        rapid = choice.key.rapid
        where = self._find_where(choice, running)
        key = (where, running, choice.unhurried, self._number(variant))
        if key not in self._short:
            count = self._count_pool if choice.unhurried else self._count_at_once
            self._short[key] = count(variant, rapid, running)
        return self._short[key]

    def _find_where(self, choice: Choice, running: str) -> Hashable:
        """Return what unhurried questions have in common: the others, if none of them is away."""
        rapid = choice.key.rapid
        alike = choice.unhurried and not any(r == rapid for r, _ in self.ground.plan.twice)
        return self.list_others(rapid, running) if alike else rapid

    def _count_at_once(self, variant: Variant, rapid: str, running: str) -> Short:
        people = self.edge_people(self.list_people(variant, rapid, running), rapid, running)
        short = _lack_people(people)
        for site in dict.fromkeys(slot.site for slot in variant.items):
            slots = [slot for slot in variant.items if slot.site == site]
            edges = self.edge_items(slots, self.list_at(site, rapid, running))
            small = {p for row in edges.values() for p in row if not self.ground.takes_hand(p)}
            got = match_preferring(edges, small)
            short += _lack_items(edges, got)
            if site in BANKS:
                by_hand = sum(1 for piece in got.values() if self.ground.takes_hand(piece))
                beyond = by_hand - count_hands(self, site, rapid, running)
                if beyond > 0:
                    short["hands", site, ""] += -(-beyond // HANDS)
        edges_of_boats = self.edge_boats(variant.boats, rapid, running)
        short += _lack_boats(edges_of_boats)
        if variant.catch is not None:
            short += lack_places(self, variant.catch, rapid, running)
        return short

    def _count_pool(self, variant: Variant, rapid: str, running: str) -> Short:
        others = self.list_others(rapid, running)
        edges = self.edge_items(variant.items, self.list_pool(others, rapid))
        short = _lack_people(self.edge_pool(variant.persons, others, rapid))
        short += _lack_items(edges, match(edges))
        if variant.needs_boat and not set(variant.needs_boat) & set(others):
            short["boat", "", ""] += 1
        return short

    # --- who may fill what ------------------------------------------------------------------

    def list_others(self, rapid: str, running: str) -> tuple[str, ...]:
        """Return the boats that pass a rapid together with the running one, sorted."""
        key = (rapid, running)
        if key not in self._others:
            there = self.ground.trip.rapids[rapid].boats
            self._others[key] = tuple(b for b in self.boats if b in there and b != running)
        return self._others[key]

    def station(self, rapid: str, boat: str, running: str) -> str:
        """Return where a boat stands while another one runs."""
        return self.ground.plan.stations[rapid, boat, running]

    def leg_of(self, boat: str) -> int:
        """Return the leg that a boat is in."""
        return self.ground.trip.boats[boat].leg

    def edge_people(self, slots: Iterable[PersonSlot], rapid: str, running: str) -> PersonEdges:
        """Return for each single place who stands at one of its sites and is able."""
        there = self._list_there(rapid, running)
        edges: PersonEdges = {}
        for slot in slots:
            able = self.ground.list_able(slot.ask, self.leg_of(running))
            row = [p for p, at in there if at in slot.sites and p in able]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return edges

    def _list_there(self, rapid: str, running: str) -> list[tuple[str, str]]:
        """Return who may do something at once outside the running boat, and where he is."""
        key = (rapid, running)
        if key not in self._there:
            self._there[key] = [
                (p, self.station(rapid, b, running))
                for b in self.list_others(rapid, running)
                for p in self.list_crew(b, rapid)
            ]
        return self._there[key]

    def list_people(self, variant: Variant, rapid: str, running: str) -> tuple[PersonSlot, ...]:
        """Return the places of a variant's people at once, and of who minds the guests then."""
        trip = self.ground.trip
        key = (rapid, running)
        if key not in self._guests:
            minded = (
                at
                for p, at in self._list_there(rapid, running)
                if trip.paddlers[p].guest or trip.paddlers[p].hurt
            )
            self._guests[key] = Counter(minded)
        minders = asks.list_minders(variant.persons, self._guests[key], trip.catalog.figures)
        return (*variant.persons, *minders)

    def list_crew(self, boat: str, rapid: str) -> list[str]:
        """Return those of a boat's crew who do not walk round a rapid, nor row twice there."""
        key = (boat, rapid)
        if key not in self._crews:
            trip, crew = self.ground.trip, self.list_all(boat, rapid)
            there = trip.rapids[rapid]
            self._crews[key] = [p for p in crew if asks.counts(trip.paddlers[p], there)]
        return self._crews[key]

    def list_all(self, boat: str, rapid: str) -> list[str]:
        """Return those of a boat's crew who do not row twice at a rapid."""
        return [p for p in self.ground.plan.crew[boat] if not self.is_away(p, rapid)]

    def list_in_reach(self, boat: str, rapid: str) -> list[Piece]:
        """Return what lies quick in a boat or is worn there by who does not walk round a rapid."""
        wearers = {"", *self.list_crew(boat, rapid)}
        pieces = self.pieces[boat]
        return [p for p in pieces if p.carried != "stowed" and p.worn_by in wearers]

    def edge_pool(
        self, slots: Iterable[PersonSlot], others: Sequence[str], rapid: str
    ) -> PersonEdges:
        """Return for each single place of unhurried work who is able, wherever he stands."""
        crew = [p for b in others for p in self.list_all(b, rapid)]
        leg = self.leg_of(others[0]) if others else 0
        return self._edge_crew(slots, crew, leg)

    def _edge_crew(self, slots: Iterable[PersonSlot], crew: Sequence[str], leg: int) -> PersonEdges:
        edges: PersonEdges = {}
        for slot in slots:
            able = self.ground.list_able(slot.ask, leg)
            row = [p for p in crew if p in able]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return edges

    def list_pool(self, others: Sequence[str], rapid: str) -> list[Piece]:
        """Return the pieces in the boats that are not in trouble, stowed ones too."""
        there = (piece for b in others for piece in self.pieces[b])
        return [piece for piece in there if not self.is_away(piece.worn_by, rapid)]

    def list_at(self, site: str, rapid: str, running: str) -> list[Piece]:
        """Return the pieces that are worn or lie quick in the boats at a site."""
        key = (site, rapid, running)
        if key not in self._at:
            self._at[key] = [
                piece
                for b in self.list_others(rapid, running)
                if self.station(rapid, b, running) == site
                for piece in self.list_in_reach(b, rapid)
            ]
        return self._at[key]

    def count_at(self, site: str, rapid: str, running: str) -> int:
        """Return how many people stand at a site who are not hurt."""
        return sum(
            not self.ground.trip.paddlers[p].hurt
            for b in self.list_others(rapid, running)
            if self.station(rapid, b, running) == site
            for p in self.list_crew(b, rapid)
        )

    def edge_items(self, slots: Iterable[ItemSlot], pieces: Sequence[Piece]) -> ItemEdges:
        """Return for each single item place the pieces that serve."""
        edges: ItemEdges = {}
        for slot in slots:
            serving = self.ground.list_serving(slot.thing)
            row = [piece for piece in pieces if piece.item in serving]
            row = _drop_paddles(row) if slot.thing.spare else row
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return edges

    def edge_boats(
        self, slots: Iterable[BoatSlot], rapid: str, running: str
    ) -> dict[tuple[BoatSlot, int], list[str]]:
        """Return for each boat's work the boats that stand so that they can do it, and can."""
        edges: dict[tuple[BoatSlot, int], list[str]] = {}
        for slot in slots:
            row = [
                b
                for b in self.list_others(rapid, running)
                if self.station(rapid, b, running) in slot.stations
                and any(self.can_crew(b, option, rapid) for option in slot.options)
            ]
            edges |= dict.fromkeys(number_places(slot, len(edges)), row)
        return edges

    def can_crew(self, boat: str, option: BoatOption, rapid: str) -> bool:
        """Say whether a boat's own crew and things fill an option at a rapid."""
        crew = self.list_crew(boat, rapid)
        if not self.ground.has_place(boat, option, len(crew)):
            return False
        skill = self.ground.trip.boats[boat].type.skill
        steers = asks.ask_steerer(skill, option)
        slots = (PersonSlot(STEERS, ("aboard",), steers), *option.persons)
        people = self._edge_crew(slots, crew, self.leg_of(boat))
        items = self.edge_items(option.items, self.list_in_reach(boat, rapid))
        return len(match(people)) == len(people) and len(match(items)) == len(items)

    # --- backing ------------------------------------------------------------------------------

    def is_backed(self, choice: Choice, variant: Variant, running: str) -> bool:
        """Say whether a variant stays possible after any one loss."""
        rapid = choice.key.rapid
        if not self.holds(variant, rapid, running):
            return False
        where = self._find_where(choice, running)
        key = (where, running, choice.unhurried, self._number(variant))
        if key not in self._backed:
            look = self._pool_backed if choice.unhurried else self._at_once_backed
            self._backed[key] = look(variant, rapid, running)
        return self._backed[key]

    def _at_once_backed(self, variant: Variant, rapid: str, running: str) -> bool:
        slots = self.list_people(variant, rapid, running)
        if not survives_any_loss(self.edge_people(slots, rapid, running)):
            return False
        for site in dict.fromkeys(slot.site for slot in variant.items):
            things = [slot for slot in variant.items if slot.site == site]
            loose = [piece for piece in self.list_at(site, rapid, running) if piece.loose]
            edges = self.edge_items(things, loose)
            if not survives_any_loss(edges):
                return False
            small = {
                place: [p for p in row if not self.ground.takes_hand(p)]
                for place, row in edges.items()
            }
            by_hand = len(edges) - len(match(small))
            hands = count_hands(self, site, rapid, running) - HANDS
            if site in BANKS and by_hand > hands:
                return False
        if variant.catch is not None and not outlives_losses(self, variant.catch, rapid, running):
            return False
        return survives_any_loss(self.edge_boats(variant.boats, rapid, running))

    def _pool_backed(self, variant: Variant, rapid: str, running: str) -> bool:
        others = self.list_others(rapid, running)
        if variant.needs_boat and not set(variant.needs_boat) & set(others):
            return False
        pieces = [piece for piece in self.list_pool(others, rapid) if piece.loose]
        people = self.edge_pool(variant.persons, others, rapid)
        return survives_any_loss(people) and survives_any_loss(
            self.edge_items(variant.items, pieces)
        )


def number_places(slot: Slot, before: int) -> list[tuple[Slot, int]]:
    """Return the single places of a slot; `before` are numbered already, by equal slots even."""
    return [(slot, before + n) for n in range(slot.count)]


def _drop_paddles(pieces: Iterable[Piece]) -> list[Piece]:
    return [piece for piece in pieces if piece.carried != CREW_PADDLE]


def _bank(sites: Sequence[str]) -> str:
    return sites[0] if len(sites) == 1 and sites[0] in BANKS else ""


def _lack_people(edges: PersonEdges) -> Short:
    got = match(edges)
    return Counter(("person", _bank(s.sites), "") for s, n in edges if (s, n) not in got)


def _lack_items(edges: ItemEdges, got: dict[tuple[ItemSlot, int], Piece]) -> Short:
    return Counter(("item", _bank((s.site,)), "") for s, n in edges if (s, n) not in got)


def _lack_boats(edges: dict[tuple[BoatSlot, int], list[str]]) -> Short:
    got = match(edges)
    return Counter(("boat", "", "") for place in edges if place not in got)
