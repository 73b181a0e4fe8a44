"""The ladder: rungs by size of the trip, how much kit it has, and seed.

`python -m tests.bench.ladder --sizes XS,S --seeds 5` finds how scarce kit is on rungs that are not
stored yet, and stores it.
"""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

from tests.bench.scarce import Scarce, find_scarce, give_plenty, take_away
from tests.generator import SIZES, draw_trip

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.trip import Trip

LADDER = ("XS", "S", "M", "L", "XL")
PLENTY = "plenty"
KITS = (PLENTY, "scarce 10", "scarce 30")
STORED = Path(__file__).parent / "rungs.json"


@dataclass(frozen=True, slots=True)
class Rung:
    """One trip of the ladder, by what it is drawn from."""

    size: str
    kit: str
    seed: int

    @property
    def name(self) -> str:
        """Return the name under which things are stored."""
        return f"{self.size}, {self.kit}, {self.seed}"

    @property
    def per_cent(self) -> int:
        """Return how many per cent of the cases are to be bare of kit; 0 with plenty."""
        return 0 if self.kit == PLENTY else int(self.kit.split()[1])


@dataclass(frozen=True, slots=True)
class Drawn:
    """A rung's trip, how many draws before it no seating satisfied, and how scarce its kit is."""

    trip: Trip
    rejected: int
    scarce: Scarce


def list_rungs(sizes: Iterable[str], seeds: int, kits: Iterable[str] = KITS) -> Iterator[Rung]:
    """Yield the rungs of these sizes, seeds from 1 on."""
    for size, seed, kit in product(sizes, range(1, seeds + 1), kits):
        yield Rung(size, kit, seed)


def draw_rung(rung: Rung, *, stored: bool = True) -> Drawn:
    """Return the trip of a rung; `stored`: how scarce its kit is may be looked up."""
    draw = draw_trip(rung.seed, SIZES[rung.size])
    plenty = give_plenty(draw.trip)
    if rung.kit == PLENTY:
        return Drawn(plenty, draw.rejected, Scarce(1.0, 0.0))
    known = _load().get(rung.name) if stored else None
    scarce = Scarce(**known) if known else find_scarce(plenty, rung.per_cent)
    return Drawn(take_away(plenty, scarce.factor), draw.rejected, scarce)


def load_scarce(rung: Rung) -> Scarce | None:
    """Return how scarce the kit of a rung is if that is stored."""
    known = _load().get(rung.name)
    return Scarce(**known) if known else None


def _load() -> dict[str, dict[str, float]]:
    loaded: dict[str, dict[str, float]] = json.loads(STORED.read_text("utf-8"))
    return loaded


def store(rungs: Iterable[Rung]) -> None:
    """Find and store how scarce kit is on those rungs of which it is not stored."""
    for rung in rungs:
        if rung.kit == PLENTY or rung.name in _load():
            continue
        found = draw_rung(rung).scarce
        rows = {**_load(), rung.name: {"factor": found.factor, "reached": found.reached}}
        STORED.write_text(json.dumps(dict(sorted(rows.items())), indent=1) + "\n", "utf-8")
        sys.stdout.write(f"{rung.name}: {found.reached} % at {found.factor} of plenty\n")
        sys.stdout.flush()


def main() -> None:
    """Store how scarce kit is on the rungs asked for."""
    parser = argparse.ArgumentParser(description="find how scarce kit is on rungs of the ladder")
    parser.add_argument("--sizes", default="XS,S")
    parser.add_argument("--seeds", type=int, default=5)
    asked = parser.parse_args()
    store(list_rungs(asked.sizes.split(","), asked.seeds))


if __name__ == "__main__":
    main()
