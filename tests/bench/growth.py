"""How time and memory of kitplan grow: `python -m tests.bench.growth --limit 60 --plot FILE`.

Rapids, people, boats and copies of kit are varied one at a time. Prints each point, the median of
its trips, and for each series the slope of log time and log memory against log size: 1 is linear, 2
is quadratic. Points that ran to the limit unproven count for no slope.
"""

from __future__ import annotations

import argparse
import math
import statistics
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from tabulate import tabulate

from tests.bench.ladder import Rung
from tests.bench.points import AS_DRAWN, SEEDS, SERIES
from tests.bench.run import run_apart

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


class Point(NamedTuple):
    """Medians over the trips of a size; `proven`: how many of how many were, in time."""

    size: int
    seconds: float
    peak_mb: float
    proven: int
    trips: int

    @property
    def counts(self) -> bool:
        """Say whether more than half of its trips were solved, so that the median is a time."""
        return 2 * self.proven > self.trips


@dataclass(frozen=True, slots=True)
class Growth:
    """The points of one series."""

    what: str
    points: list[Point]

    def find_slope(self, read: Callable[[Point], float]) -> float | None:
        """Return the slope of the log of what is read against log size; None for one point."""
        rows = [(math.log(p.size), math.log(read(p))) for p in self.points if p.counts]
        if len(rows) < 2:
            return None
        return statistics.linear_regression(*zip(*rows, strict=True)).slope


def measure(what: str, size: int, seeds: Sequence[int], limit_s: float) -> Point:
    """Return what kitplan takes at a point; a run that was ended counts as twice the limit."""
    results = [run_apart(Rung(f"{what} {size}", AS_DRAWN, s), "kitplan", limit_s) for s in seeds]
    return Point(
        size,
        statistics.median(2 * limit_s if r.seconds is None else r.seconds for r in results),
        statistics.median(r.peak_mb for r in results),
        sum(r.proven for r in results),
        len(results),
    )


def main() -> None:
    """Measure what was asked for, print it, and draw it if asked."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.growth", description="growth")
    parser.add_argument("--series", default=",".join(SERIES), help="of " + ",".join(SERIES))
    parser.add_argument("--seeds", type=int, default=3, choices=range(1, len(SEEDS) + 1))
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each run")
    parser.add_argument("--plot", type=Path, help="file for a plot; needs matplotlib")
    asked = parser.parse_args()
    seeds = SEEDS[: asked.seeds]
    grown = []
    for what in asked.series.split(","):
        points = []
        for size in SERIES[what]:
            points.append(measure(what, size, seeds, asked.limit))
            sys.stderr.write(f"{what} {size}: {points[-1].seconds} s\n")
        grown.append(Growth(what, points))
    sys.stdout.write(_tabulate(grown))
    if asked.plot:
        _draw(grown, asked.plot)


def _tabulate(grown: Sequence[Growth]) -> str:
    rows = [
        [one.what, p.size, f"{p.seconds:.1f}", round(p.peak_mb), f"{p.proven} of {p.trips}"]
        for one in grown
        for p in one.points
    ]
    slopes = [
        [one.what, *(_say(one.find_slope(read)) for read in (_read_seconds, _read_peak_mb))]
        for one in grown
    ]
    points = tabulate(rows, ("series", "size", "s", "MB", "proven"))
    return f"{points}\n\n{tabulate(slopes, ('series', 'slope of time', 'slope of memory'))}\n"


def _say(slope: float | None) -> str:
    return "not enough points" if slope is None else f"{slope:.2f}"


def _read_seconds(point: Point) -> float:
    return max(point.seconds, 0.01)


def _read_peak_mb(point: Point) -> float:
    return max(point.peak_mb, 1.0)


def _draw(grown: Sequence[Growth], file: Path) -> None:
    """Draw time and memory over size, both axes logarithmic; hollow: ran to the limit."""
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure(figsize=(9, 4), layout="constrained")
    for place, (said, read) in enumerate((("s", _read_seconds), ("MB", _read_peak_mb)), 1):
        axes = figure.add_subplot(1, 2, place, xscale="log", yscale="log", ylabel=said)
        for one in grown:
            sizes = [p.size / one.points[0].size for p in one.points]
            (line,) = axes.plot(sizes, [read(p) for p in one.points], label=one.what)
            for size, point in zip(sizes, one.points, strict=True):
                fill = line.get_color() if point.counts else "none"
                axes.plot(size, read(point), "o", color=line.get_color(), markerfacecolor=fill)
        axes.set_xlabel("size, times the smallest")
        axes.legend()
    figure.savefig(file)


if __name__ == "__main__":
    main()
