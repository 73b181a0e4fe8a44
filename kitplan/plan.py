"""Frozen nouns of a plan. Knows nothing of how a plan is found.

An `Arrangement` is what people decide: seats, packing, stations. A `Plan` adds what was worked out
from it: aims, which demands are met and by whom (the witness), gaps, kit left out.
"""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.demands import DemandKey
    from kitplan.happened import Restart
    from kitplan.trip import Leg, SourceText, Trip


@dataclass(frozen=True, slots=True, order=True)
class Packed:
    """`count` copies of an item in a boat; `worn_by` names a paddler where carried is "worn"."""

    boat: str
    item: str
    carried: str
    count: int
    worn_by: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Stowed:
    """`count` of a lot of stores in a boat, for all days of the boat's leg on which it is aboard.

    `lot` is its name, as `needs.name_lots` gives it.
    """

    boat: str
    lot: str
    count: int


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What the party does. Every boat of every leg, and every rapid, has its entry.

    `crew`: boat -> paddlers, sorted; `steerer`: boat -> paddler; `packed`: sorted, only what the
    plan deals out (what paddlers wear of their own and crew paddles are not in it);
    `stations`: (rapid, boat, running boat) -> "left" or "right", "above" (not yet run), "afloat"
    or "below" (has run, and counts nowhere); `order`: the boats as they run, leg by leg; `twice`:
    (rapid, boat) -> who rows twice there: he has run with his own boat, walks back up and takes
    this one down. He counts for nothing else at the rapid. `stowed`: sorted; where each lot of
    stores lies, leg by leg.
    """

    crew: dict[str, tuple[str, ...]]
    steerer: dict[str, str]
    packed: tuple[Packed, ...]
    stations: dict[tuple[str, str, str], str]
    order: tuple[str, ...]
    twice: dict[tuple[str, str], str] = field(default_factory=dict)
    stowed: tuple[Stowed, ...] = ()

    def list_away(self, rapid: str) -> frozenset[str]:
        """Return who counts for nothing at a rapid, since he rows twice there."""
        return frozenset(p for (where, _), p in self.twice.items() if where == rapid)

    def count_aboard(self, rapid: str, boat: str) -> int:
        """Return how many sit in a boat while it runs a rapid."""
        return len(self.crew[boat]) + ((rapid, boat) in self.twice)

    def list_run(self, boats: Iterable[str]) -> list[str]:
        """Return boats in their running order."""
        there = set(boats)
        return [boat for boat in self.order if boat in there]


@dataclass(frozen=True, slots=True)
class Before:
    """What there is already: where people, kit and stores are, which moves are counted against.

    Boats are named as in the legs of the trip that is planned. `seats`: paddler, boat, sorted; who
    has no seat yet in some leg, since his boat is lost, is in it with boat "". `packed`: copies
    with boat "" are there, but lie in no boat yet. A leg without any seat in it is not looked at.
    """

    seats: tuple[tuple[str, str], ...]
    packed: tuple[Packed, ...] = ()
    stowed: tuple[Stowed, ...] = ()

    def list_seats(self, leg: Leg) -> list[tuple[str, str]]:
        """Return the seats in a leg, and who has none in it, with boat ""; others are not known."""
        here = [(p, boat) for p, boat in self.seats if boat in leg.boats]
        seated = {p for p, _ in here}
        nowhere = (p for p, boat in self.seats if not boat)
        return here + [(p, "") for p in nowhere if p in leg.paddlers and p not in seated]

    def list_boats(self) -> frozenset[str]:
        """Return the boats in which somebody sits."""
        return frozenset(boat for _, boat in self.seats if boat)


@dataclass(frozen=True, slots=True)
class AimResult:
    """One aim: its value, the best bound known, and whether the value is proven best."""

    name: str
    value: int
    bound: int
    proven: bool


@dataclass(frozen=True, slots=True)
class PersonPart:
    """A person of a witness. `site`: working, far, above, aboard, or ashore (unhurried)."""

    site: str
    bank: str  # left, right or ""
    role: str
    paddler: str
    boat: str = ""  # the boat whose work it is, for parts aboard


@dataclass(frozen=True, slots=True)
class ItemPart:
    """Items of a witness: `count` of `item` serving `kind`, from a boat's quick kit or a person.

    `source` is a boat's name; `carried` is worn, quick, stowed or "crew paddle"; `worn_by` names
    the wearer of worn things, `bundle` what the things lie in.
    """

    site: str
    bank: str
    kind: str
    item: str
    count: int
    source: str
    carried: str
    worn_by: str = ""
    boat: str = ""
    bundle: str = ""


@dataclass(frozen=True, slots=True)
class PlacePart:
    """Free places of a boat in a witness: so many swimmers it takes. `site` is aboard."""

    site: str
    bank: str  # always ""
    swimmers: int
    boat: str


Part = PersonPart | ItemPart | PlacePart


@dataclass(frozen=True, slots=True)
class Short:
    """What is missing at a site: `short` of a role or of a kind of thing."""

    site: str
    bank: str
    what: str  # "person", "item", "hands", "boat" or "swimmer"
    name: str  # role, kind, work, or what would take a swimmer
    asks: str  # in words: "rope work 2", "15 m or longer"
    short: int


@dataclass(frozen=True, slots=True)
class DemandResult:
    """One demand: met with its witness, or what is missing in the variant that comes nearest."""

    key: DemandKey
    met: bool
    way: str
    witness: tuple[Part, ...] = ()
    missing: tuple[Short, ...] = ()


@dataclass(frozen=True, slots=True)
class Gap:
    """A case and bank not covered; cases that differ only in the running boat are one gap.

    `bank` is "" where no bank counts (only from the water). `sort` is "impossible alone",
    "impossible together", "trade-off" or "not proven", or in a load packed by hand
    "as it lies"; `note` says the rest in words.
    """

    rapid: str
    day: int
    spot: str
    scenario: str
    bank: str
    technique: str
    running: tuple[str, ...]
    missing: tuple[Short, ...]
    sort: str
    note: str
    weight: int
    covered_elsewhere: bool  # the case is covered from another bank


@dataclass(frozen=True, slots=True)
class Shortfall:
    """Where a plan falls short of a rule on what is carried, or of a spread: `short` pieces.

    `name`: a rule's id or a spread's name. `boat`: the boat that a rule is about, or that a spread
    is about to lose; "" for a rule about the trip as a whole. `day`: the first day of the leg, or
    the day on which the boat is lost. `short` is above 0; of what may be there at most it is what
    is too much.
    """

    tier: str
    name: str
    day: int
    boat: str
    asked: int
    there: int
    short: int


@dataclass(frozen=True, slots=True)
class Totals:
    """Counts of cases by how they are covered, of backed cases, and of demands."""

    all_banks: int
    one_bank: int
    from_water: int
    none: int
    backed: int
    cases: int
    met: int
    demands: int


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Copies of an item the party owns and this plan does not call for."""

    item: str
    count: int


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan with all that is claimed of it; `digest` is that of all its inputs."""

    trip_name: str
    arrangement: Arrangement
    aims: tuple[AimResult, ...]
    demands: tuple[DemandResult, ...]
    gaps: tuple[Gap, ...]
    totals: Totals
    not_called_for: tuple[LeftOut, ...]
    canonical: bool
    digest: str
    shortfalls: tuple[Shortfall, ...] = ()
    before: Before | None = None  # what moves are counted against; None: there was nothing yet
    happened: tuple[Restart, ...] = ()  # each time the trip was begun afresh, the first one first
    sources: tuple[SourceText, ...] = field(default=(), compare=False, repr=False)


@dataclass(frozen=True, slots=True, order=True)
class Move:
    """Who or what moves between two legs: from a place in a boat to one in another, or the same.

    `item`: it is a thing, no person. `source` and `target` name boats as they are called;
    `carried` and `to_carry` say how a thing lies there.
    """

    name: str
    item: bool
    source: str
    target: str
    carried: str = ""
    to_carry: str = ""


def list_moves(trip: Trip, arrangement: Arrangement) -> list[list[Move]]:
    """Return the moves into each leg but the first; each piece that moves is a row of its own.

    Of a load by hand those who have no seat in one of the two legs do not move, nor do pieces that
    one of them has too many of.
    """
    moves = []
    for before, after in pairwise(trip.legs):
        sits = [_find_seats(trip, arrangement, leg.boats) for leg in (before, after)]
        people = [p for p in before.paddlers if all(p in seats for seats in sits)]
        rows = [
            Move(p, item=False, source=sits[0][p], target=sits[1][p])
            for p in people
            if sits[0][p] != sits[1][p]
        ]
        items = [i for i in before.kit if i in after.kit]
        lies = [_count_lying(trip, arrangement, leg.boats) for leg in (before, after)]
        for item in items:
            old, new = (sorted((one[item] - other[item]).elements())
                        for one, other in (lies, lies[::-1]))  # fmt: skip
            rows += [
                Move(item, item=True, source=a, target=b, carried=c, to_carry=d)
                for (a, c), (b, d) in zip(old, new, strict=False)
            ]
        moves.append(rows)
    return moves


@dataclass(frozen=True, slots=True, order=True)
class Shift:
    """Somebody or something that is moved from where it is: `count` alike ones in one row.

    `what`: "person", "item" or "stores". `source` and `target` are boats as the trip names them,
    "" for no boat: what comes new, or is left behind. `carried` and `to_carry` say how a thing
    lies there.
    """

    what: str
    name: str
    source: str
    target: str
    count: int = 1
    carried: str = ""
    to_carry: str = ""


def list_shifts(trip: Trip, before: Before, arrangement: Arrangement) -> list[Shift]:
    """Return what is other than before, leg by leg of those known; each move once.

    Of things that are alike, those that stay are matched first, then the rest in order of boats.
    """
    known = before.list_boats()
    rows: list[Shift] = []
    for leg in trip.legs:
        if known & set(leg.boats):
            there = {"", *leg.boats}
            rows += sorted(
                [
                    *_shift_people(before, arrangement, leg),
                    *_shift_kit(before, arrangement, there),
                    *_shift_stores(before, arrangement, there),
                ]
            )
    return rows


def count_shifts(trip: Trip, before: Before, arrangement: Arrangement) -> int:
    """Return how many moves there are from what there was before."""
    return sum(shift.count for shift in list_shifts(trip, before, arrangement))


def _shift_people(before: Before, arrangement: Arrangement, leg: Leg) -> Iterator[Shift]:
    sits = {p: b for b in leg.boats for p in arrangement.crew[b]}
    for p, boat in before.list_seats(leg):
        if p in sits and sits[p] != boat:
            yield Shift("person", p, boat, sits[p])


def _shift_kit(before: Before, arrangement: Arrangement, there: set[str]) -> list[Shift]:
    old, new = (
        _count_copies(row for row in rows if row.boat in there)
        for rows in (before.packed, arrangement.packed)
    )
    shifts: Counter[tuple[str, tuple[str, str], tuple[str, str]]] = Counter()
    for item in sorted({*old, *new}):
        came = sorted((new[item] - old[item]).elements())
        went = sorted((old[item] - new[item]).elements())
        most = max(len(came), len(went))
        came += [("", "")] * (most - len(came))
        went += [("", "")] * (most - len(went))
        for one, other in zip(went, came, strict=True):
            shifts[item, one, other] += 1
    return [Shift("item", i, a, b, n, c, d) for (i, (a, c), (b, d)), n in shifts.items()]


def _count_copies(rows: Iterable[Packed]) -> dict[str, Counter[tuple[str, str]]]:
    lying: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for row in rows:
        lying[row.item][row.boat, row.carried] += row.count
    return lying


def _shift_stores(before: Before, arrangement: Arrangement, there: set[str]) -> list[Shift]:
    old, new = (
        Counter({(row.lot, row.boat): row.count for row in rows if row.boat in there})
        for rows in (before.stowed, arrangement.stowed)
    )
    shifts: Counter[tuple[str, str, str]] = Counter()
    for lot in sorted({lot for lot, _ in old}):
        went, came = (
            [boat for (name, boat), n in sorted((a - b).items()) if name == lot for _ in range(n)]
            for a, b in ((old, new), (new, old))
        )
        for source, target in zip(went, came, strict=False):
            shifts[lot, source, target] += 1
    return [Shift("stores", lot, a, b, n) for (lot, a, b), n in shifts.items()]


def _find_seats(trip: Trip, arrangement: Arrangement, boats: Iterable[str]) -> dict[str, str]:
    return {p: trip.boats[b].called for b in boats for p in arrangement.crew[b]}


def _count_lying(
    trip: Trip, arrangement: Arrangement, boats: Iterable[str]
) -> dict[str, Counter[tuple[str, str]]]:
    """Return for each item how many lie in which boat, as it is called, and how."""
    lying: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    there = set(boats)
    for row in arrangement.packed:
        if row.boat in there:
            lying[row.item][trip.boats[row.boat].called, row.carried] += row.count
    return lying


AS_IT_LIES = "as it lies"
"""The sort of a gap of a load packed by hand: nobody has asked whether another one covers it."""
# Notes of gaps. Maker and verifier say them in the same words, each with its own figures.
AT_BEST = "this rapid at its best: {done} of {total} covered, bank by bank"
TRADED = "for example with '{rapid}': covering this costs cover there"
WHATEVER = "whatever is packed where"
FLOOR_UNKNOWN = "the limit cut in before it was known what this rapid could do alone"
TOO_LARGE = "this trip asks too much to find out what covering it would cost elsewhere"
TRADE_UNKNOWN = "the limit cut in before the rapid it is traded with was found"
NOT_FOUND = "another plan as good covers it; the limit cut in before it was found"


def digest_sources(sources: Iterable[SourceText]) -> str:
    """Return the SHA-256 over file name, newline, digest, newline of each source in order."""
    whole = "".join(f"{source.file}\n{source.digest}\n" for source in sources)
    return hashlib.sha256(whole.encode()).hexdigest()
