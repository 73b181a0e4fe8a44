"""How kitplan grows: `python -m tests.bench.growth --seeds 3 --plot FILE --json FILE`.

Rapids, people, boats and copies of kit are varied one at a time over nested trips (`points`), each
measured in a process of its own. Prints each point, the median of its trips, and the slope of the
log of each measure against the log of the size by least squares: 1 is linear, 2 is quadratic.
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import statistics
import sys
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tabulate import tabulate

from tests.bench.__main__ import save
from tests.bench.grown import MEASURES, measure
from tests.bench.points import SEEDS, SERIES, draw_large, list_numbers, take_part

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitplan.trip import Trip
    from tests.bench.points import Large

HEADS = ("series", "size", *MEASURES, "trips")
WIDTHS = (8, 6, *(max(8, len(name)) for name in MEASURES), 0)


@dataclass(frozen=True, slots=True)
class Point:
    """Medians over the trips of a size, by measure; `trips`: how many ended."""

    what: str
    size: int
    values: dict[str, float]
    trips: int


def find_slope(points: Sequence[tuple[float, float]]) -> float | None:
    """Return the slope of log against log by least squares; None for fewer than two points."""
    rows = [(math.log(size), math.log(value)) for size, value in points if value > 0]
    if len(rows) < 2:
        return None
    return statistics.linear_regression(*zip(*rows, strict=True)).slope


def main() -> None:
    """Measure what was asked for, print it, and write and draw it if asked."""
    asked = _read_arguments()
    series = asked.series.split(",")
    seeds = SEEDS[: asked.seeds]
    parts = tuple(numbers for what in series for numbers in list_numbers(what))
    large = [draw_large(seed, parts=parts) for seed in seeds]
    sys.stdout.write(f"{sum(one.rejected for one in large)} draws rejected\n")
    _say(HEADS)
    points: list[Point] = []
    for point in _measure_all(series, large):
        points.append(point)
        values = [_say_value(point, name) for name in MEASURES]
        _say((point.what, str(point.size), *values, f"{point.trips} of {len(seeds)}"))
        if asked.json:
            save(asked.json, _dump(points, large))
    sys.stdout.write("\n" + tabulate(_list_slopes(points), headers="keys") + "\n")
    if asked.plot:
        _draw(points, asked.plot)


def _read_arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.growth", description="growth")
    parser.add_argument("--series", default=",".join(SERIES), help="of " + ",".join(SERIES))
    parser.add_argument("--seeds", type=int, default=3, choices=range(1, len(SEEDS) + 1))
    parser.add_argument("--json", type=Path, help="file to write all figures to")
    parser.add_argument("--plot", type=Path, help="file for a plot; needs matplotlib")
    return parser.parse_args()


# --- measuring ----------------------------------------------------------------------------------


def _measure_all(series: Sequence[str], large: Sequence[Large]) -> Iterator[Point]:
    for what in series:
        for size, numbers in zip(SERIES[what], list_numbers(what), strict=True):
            found = [_measure_apart(take_part(one.trip, numbers)) for one in large]
            rows = [row for row in found if row]
            values = {
                name: statistics.median(row[name] for row in rows) for name in MEASURES if rows
            }
            yield Point(what, size, values, len(rows))


def _measure_apart(trip: Trip) -> dict[str, float]:
    """Return the measures of a trip, taken in a process of its own; empty if it was killed."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        try:
            return pool.submit(measure, trip).result()
        except BrokenProcessPool:
            return {}


# --- what is printed, written and drawn ---------------------------------------------------------


def _say(cells: Sequence[str]) -> None:
    """Print a row at once."""
    row = "  ".join(f"{cell:{width}}" for cell, width in zip(cells, WIDTHS, strict=True))
    sys.stdout.write(row.rstrip() + "\n")
    sys.stdout.flush()


def _say_value(point: Point, name: str) -> str:
    """Return a measure in words: seconds to two places, "killed" where no trip was measured."""
    if not point.values:
        return "killed"
    return f"{point.values[name]:.{2 if name.endswith(' s') else 0}f}"


def _list_slopes(points: Sequence[Point]) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for what in dict.fromkeys(point.what for point in points):
        slopes = {name: find_slope(_read(points, what, name)) for name in MEASURES}
        said = {name: "-" if s is None else f"{s:.2f}" for name, s in slopes.items()}
        rows.append({"slope against": what, **said})
    return rows


def _read(points: Sequence[Point], what: str, name: str) -> list[tuple[float, float]]:
    """Return size and value of a measure at the points of a series."""
    return [(p.size, p.values[name]) for p in points if p.what == what and p.values]


def _dump(points: Sequence[Point], large: Sequence[Large]) -> str:
    rejected = sum(one.rejected for one in large)
    whole = {
        "trips": [one.trip.name for one in large],
        "rejected": rejected,
        "points": [asdict(point) for point in points],
        "slopes": _list_slopes(points),
    }
    return json.dumps(whole, indent=1) + "\n"


def _draw(points: Sequence[Point], file: Path) -> None:
    """Draw each measure over size, a line for each series, all axes logarithmic."""
    from matplotlib.figure import Figure  # noqa: PLC0415

    across = -(-len(MEASURES) // 2)
    figure = Figure(figsize=(4 * across, 7), layout="constrained")
    grid = figure.subplots(2, across)
    for axes, name in zip(grid.flat, MEASURES, strict=False):
        axes.set(xscale="log", yscale="log", title=name, xlabel="size, times the smallest")
        for what in dict.fromkeys(point.what for point in points):
            rows = _read(points, what, name)
            slope = find_slope(rows)
            said = what if slope is None else f"{what} {slope:.2f}"
            axes.plot([n / rows[0][0] for n, _ in rows], [y for _, y in rows], "o-", label=said)
        axes.grid(visible=True, alpha=0.3)
        axes.legend(title="slope", fontsize="small")
    for axes in grid.flat[len(MEASURES) :]:
        axes.set_visible(False)
    figure.savefig(file, dpi=110)


if __name__ == "__main__":
    main()
