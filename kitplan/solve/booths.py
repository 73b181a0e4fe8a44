"""The legs of a widened trip as payers, in processes that stay, or here."""

from __future__ import annotations

import multiprocessing
import signal
from typing import TYPE_CHECKING

from kitplan.solve.legs import LOOK_UP_S
from kitplan.solve.parts import Limit, list_legs, list_short
from kitplan.solve.payers import Front, Payer, Terms

if TYPE_CHECKING:
    from collections.abc import Callable
    from multiprocessing.pool import Pool

    from kitplan.needs.widen import Widened
    from kitplan.solve.parts import Part
    from kitplan.solve.run import Clock

NOTHING = Front((), ())
"""What is known where nobody answered in time."""


class Legs:
    """The payers of legs in one process. Each is built when it is first asked."""

    def __init__(self, widened: Widened, cover: tuple[str, ...], clock: Clock) -> None:
        """Keep what they are built from."""
        self._widened, self._cover, self._clock = widened, cover, clock
        self._parts = list_legs(widened, cover, clock)
        self._payers: dict[int, Payer] = {}

    def __len__(self) -> int:
        """Return how many legs there are that something is asked of."""
        return len(self._parts)

    def count_demands(self, leg: int) -> int:
        """Return about how large a leg is."""
        rapids = set(self._parts[leg].rapids)
        return sum(key.rapid in rapids for key in self._widened.needs.demands)

    def find_front(self, leg: int, terms: Terms) -> Front:
        """Return what a leg reaches on some terms; first, what it does with nothing and with all.

        Whatever is charged to whom, both are between these.
        """
        if leg not in self._payers:
            self._payers[leg] = self._begin(self._parts[leg], terms)
        return self._payers[leg].find_front(terms)

    def begin(self, leg: int, terms: Terms) -> None:
        """Find what a leg does with nothing and with all."""
        if leg not in self._payers:
            self._payers[leg] = self._begin(self._parts[leg], terms)

    def _begin(self, part: Part, terms: Terms) -> Payer:
        tm, asked = part.build()
        aims = {aim: part.sum_gaps(tm, aim) for aim in self._cover}
        payer = Payer(asked, aims, list_short(tm.rules))
        free = terms._replace(charged={}, short=terms.loose)
        floors = [(one, one.find(Limit(), terms.loose)) for one in part.parts]
        rows = [
            {aim: (one.sum_gaps(tm, aim), floor.values[aim]) for aim in self._cover}
            for one, floor in floors
        ]
        payer.add_floors(rows, free._replace(limit=Limit()))
        nothing = Limit(asked.bill.brought_cents, terms.limit.mass_g)
        payer.find_some(free._replace(limit=nothing))
        payer.find_bound(free._replace(limit=Limit(None, terms.limit.mass_g)), None)
        return payer


class Booths:
    """Legs as payers, each always in the same process. Close it."""

    def __init__(self, clock: Clock, workers: int) -> None:
        """Start the processes."""
        self._clock, self._workers = clock, workers
        self._pools: list[Pool] = []
        self._trips: dict[int, Legs] = {}

    def close(self) -> None:
        """End the processes, at work or not."""
        for pool in self._pools:
            pool.terminate()

    def open(self, number: int, widened: Widened, cover: tuple[str, ...]) -> Legs:
        """Let a widened trip in, by its number, and return its legs as they are here."""
        legs = self._trips[number] = Legs(widened, cover, self._clock)
        if self._workers > 1 and not self._pools:
            context = multiprocessing.get_context("spawn")
            # Ctrl-C reaches them too; who started them ends them.
            quiet = (signal.SIGINT, signal.SIG_IGN)
            count = min(self._workers, len(legs))
            self._pools = [context.Pool(1, signal.signal, quiet) for _ in range(count)]
        for pool in self._pools:
            pool.apply_async(_open, (number, widened, cover, self._clock))
        return legs

    def begin(self, number: int, leg: int, terms: Terms) -> None:
        """Let a leg find what it does with nothing and with all, and do not wait for it."""
        if self._pools:
            self._pools[leg % len(self._pools)].apply_async(_begin, (number, leg, terms))

    def asker(self, number: int, leg: int) -> Callable[[Terms], Front]:
        """Return what puts a question to a leg and waits for the answer."""
        return lambda terms: self.ask(number, leg, terms)()

    def ask(self, number: int, leg: int, terms: Terms) -> Callable[[], Front]:
        """Put a question to a leg; what is returned waits for the answer."""
        if not self._pools:
            front = self._trips[number].find_front(leg, terms)
            return lambda: front
        answer = self._pools[leg % len(self._pools)].apply_async(_ask, (number, leg, terms))

        def wait() -> Front:
            while not answer.ready() and not self._clock.stopped:
                answer.wait(LOOK_UP_S)
            return answer.get() if answer.ready() else NOTHING

        return wait


# --- in a process of its own ------------------------------------------------------------------

_here: dict[int, Legs] = {}


def _open(number: int, widened: Widened, cover: tuple[str, ...], clock: Clock) -> None:
    _here[number] = Legs(widened, cover, clock)


def _begin(number: int, leg: int, terms: Terms) -> None:
    _here[number].begin(leg, terms)


def _ask(number: int, leg: int, terms: Terms) -> Front:
    return _here[number].find_front(leg, terms)
