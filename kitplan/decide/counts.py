"""Who and what counts most: what cover is lost with somebody hurt, or with one piece gone.

Where boats wait is chosen anew then, rapid by rapid; seats, packing and running order stay as they
are. Rapids have nothing in common but these.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitplan.decide.counter import Count, Counter, Gone, Hurt, get_most
from kitplan.decide.losses import list_hurt, list_pieces
from kitplan.decide.missed import NOTHING, Lost

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from kitplan.demands import Needs
    from kitplan.plan import Arrangement
    from kitplan.solve.run import Clock
    from kitplan.trip import Trip

__all__ = ["FIRST", "Count", "Counted", "Lost", "count_first", "count_most"]

FIRST = 5  # how many are told unless all are asked for


@dataclass(frozen=True, slots=True)
class Counted:
    """All who and what counts: people, and items at their worst places, those that cost most first.

    Who loses nothing is in it, what loses nothing is not. `complete`: all was asked, and all that
    is told is proven; else somebody or something may count for more, and be missing here.
    `first`: only so many are told, those alike as one, and nobody who loses nothing; None: all.
    `left_out`: why nothing was asked at all; "" if it was.
    """

    rows: tuple[Count, ...]
    complete: bool
    first: int | None = None
    left_out: str = ""


def count_most(
    trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock, watch: Callable[[str], None]
) -> Counted:
    """Return what is lost with each paddler hurt, and with one piece of each item gone.

    What it costs is the difference between two bests: of the stations with and those without. It is
    never below nothing, as whatever is possible without is possible with; but for a bundle, which
    keeps hands busy, and a line, without which two joined may do: where a loss helps a rapid, that
    rapid is left out.

    Nothing is solved for a rapid at which as much is covered without, stations and all else as they
    are at its best: it loses nothing then. A team that is told for a demand and has no use for what
    is lost is possible without, so that such demands are not even looked at again. Where somebody
    rows twice stations are not chosen anew, but stay as they are.
    """
    counter = Counter(trip, needs, arrangement, clock)
    rows: list[Count] = []
    watch("the best stations of each rapid")
    counter.begin()
    watch("who counts most")
    hurt = (Hurt(counter, loss) for loss in list_hurt(trip, arrangement))
    _gather(rows, counter, (one.count() for one in hurt))
    watch("what counts most")
    pieces = (Gone(counter, piece) for piece in list_pieces(trip, arrangement))
    _gather(rows, counter, (one.count() for one in pieces))
    there = [row for row in rows if row.rise > NOTHING or not row.item]
    return Counted(tuple(sorted(there, key=_most_first)), not counter.late and counter.proven)


def count_first(
    trip: Trip, needs: Needs, arrangement: Arrangement, clock: Clock, watch: Callable[[str], None]
) -> Counted:
    """Return those who and what count most, as `count_most` does, but only the first of them.

    Guests are left out. With all stations as they are nothing can cost less than at the best ones;
    so nobody is looked at again who even so costs less than so many others do.
    """
    counter = Counter(trip, needs, arrangement, clock)
    watch("the best stations of each rapid")
    counter.begin()
    watch("who and what counts most")
    asked: list[Hurt | Gone] = []
    for loss in list_hurt(trip, arrangement):
        asked += [] if trip.paddlers[loss.paddler].guest else [Hurt(counter, loss)]
    asked += [Gone(counter, piece) for piece in list_pieces(trip, arrangement)]
    rows: list[Count] = []
    for one in sorted(asked, key=get_most, reverse=True):
        more = {row.alike for row in rows if row.rise > one.most}
        if one.most <= NOTHING or len(more) >= FIRST or counter.is_late():
            break
        _gather(rows, counter, iter([one.count()]))
    rows = sorted((row for row in rows if row.rise > NOTHING), key=_most_first)
    told = list(dict.fromkeys(row.alike for row in rows))[:FIRST]
    rows = [row for row in rows if row.alike in told]
    return Counted(tuple(rows), not counter.late and counter.proven, FIRST)


def _gather(rows: list[Count], counter: Counter, found: Iterator[Count]) -> None:
    """Take rows as long as there is time; one that time ran out for is not known."""
    for row in () if counter.is_late() else found:
        if counter.is_late():
            return
        rows.append(row)


def _most_first(row: Count) -> tuple[object, ...]:
    return (-row.rise[0], -row.rise[1], row.item, row.paddler)
