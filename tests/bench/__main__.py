"""Benchmarks: `python -m tests.bench --sizes XS,S --seeds 5 --limit 60`.

Prints each row as its run ends, and writes JSON where asked, whole after each run: what is cut
short has left its figures. At the end it says how methods compare with doing it by hand, and which
goals are met. `--read FILE...` runs nothing: it tells the same of what was written, side by side.
Exits with 1 where a plan is not what it says, or an aim is not what it was once proven to be.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from tabulate import tabulate

from kitplan.files import write_whole
from tests.bench.beside import list_beside, read_results
from tests.bench.compare import list_means
from tests.bench.goals import hold_goals
from tests.bench.ladder import KITS, LADDER, PLENTY, list_rungs, load_scarce
from tests.bench.method import AIMS
from tests.bench.methods import METHODS
from tests.bench.optima import list_contradictions, load_optima, store_optima
from tests.bench.run import run_apart

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

    from tests.bench.ladder import Rung
    from tests.bench.optima import Optima
    from tests.bench.run import Result

WIDTHS = (20, 6, 24, 9, 8, 7, 20, 6, 7, 6, 24, 0)
"""Columns of a row that is printed before later ones are known."""
HEADS = ("rung", "bare %", "method", *AIMS, "bounds", "proven", "s", "MB", "off by", "fault")


def main() -> int:
    """Run what was asked for; return 1 where anything is not as it must be."""
    asked = _read_arguments()
    if asked.read:
        return _tell(read_results(asked.read), asked)
    rungs = list_rungs(asked.sizes, asked.seeds, asked.kits)
    optima = load_optima()
    results: list[Result] = []
    _say(HEADS)
    for rung in rungs:
        for method in asked.methods:
            sys.stderr.write(f"{rung.name}, {method}\n")
            results.append(run_apart(rung, method, asked.limit))
            _say(_list_cells(results[-1], _find_best(rung, results, optima)))
            if asked.json:
                save(asked.json, _dump(results, asked.limit))
    return _conclude(results, asked)


def _tell(results: Sequence[Result], asked: argparse.Namespace) -> int:
    """Say what came of earlier runs, rung by rung."""
    sys.stdout.write(tabulate(list_beside(results), headers="keys", tablefmt="github") + "\n")
    return _conclude(results, asked)


def _conclude(results: Sequence[Result], asked: argparse.Namespace) -> int:
    """Say how methods compare, which goals are met, and what is wrong; return 1 if anything is."""
    optima = load_optima()
    if means := list_means(results):
        sys.stdout.write("\n" + tabulate(means, headers="keys") + "\n")
    goals = [
        {"size": one.size, "kit": one.kit, "goal": one.asked, "came to": one.reached,
         "met": "yes" if one.met else "no"}
        for one in hold_goals(results)
    ]  # fmt: skip
    if goals:
        sys.stdout.write("\n" + tabulate(goals, headers="keys", tablefmt="github") + "\n")
    faults = [f"{r.rung.name}, {r.method}: {said}" for r in results for said in r.faults]
    wrong = list_contradictions(results, optima)
    sys.stdout.write("".join(f"FAILED: {said}\n" for said in [*faults, *wrong]))
    if asked.store and not wrong:
        sys.stdout.write(f"{store_optima(results)} optima stored\n")
    return 1 if faults or wrong else 0


def _read_arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description="run benchmarks")
    parser.add_argument("--sizes", type=_split(LADDER), default="XS,S", help="of XS,S,M,L,XL")
    parser.add_argument("--kits", type=_split(KITS), default=",".join(KITS))
    parser.add_argument("--seeds", type=int, default=5, help="trips of each size, seeds from 1 on")
    parser.add_argument("--methods", type=_split(METHODS), default="kitplan;by hand",
                        help=f"separated by ; of {'; '.join(METHODS)}")  # fmt: skip
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each run")
    parser.add_argument("--json", type=Path, help="file to write all figures to")
    parser.add_argument("--read", type=Path, nargs="+", metavar="FILE",
                        help="run nothing, tell what these files of --json hold")  # fmt: skip
    parser.add_argument("--store", action="store_true", help="store optima that are new")
    return parser.parse_args()


def _split(known: Collection[str]) -> Callable[[str], list[str]]:
    """Return what reads a list of known names; a comma or, where names have one, a ; parts them."""

    def read(text: str) -> list[str]:
        names = [name.strip() for name in text.split(";" if ";" in text else ",")]
        names = [text.strip()] if text.strip() in known else names
        for name in names:
            if name not in known:
                raise argparse.ArgumentTypeError(f"{name!r} is none of {', '.join(known)}")
        return names

    return read


# --- what is printed and written ----------------------------------------------------------------


def save(file: Path, text: str) -> None:
    """Write a file whole or not at all; where it can't be written, end here and say so."""
    refused = write_whole(file, text.encode(), force=True)
    if refused is not None:
        raise SystemExit(refused.message)


def _say(cells: Sequence[str]) -> None:
    """Print a row at once."""
    row = "  ".join(f"{cell:{width}}" for cell, width in zip(cells, WIDTHS, strict=True))
    sys.stdout.write(row.rstrip() + "\n")
    sys.stdout.flush()


def _list_cells(result: Result, best: tuple[int, ...]) -> list[str]:
    scarce = load_scarce(result.rung)
    bare = "0" if result.rung.kit == PLENTY else str(scarce.reached) if scarce else "?"
    values = (*map(str, result.values or ()), "", "", "")[: len(AIMS)]
    bounds = ", ".join("-" if b is None else str(b) for b in result.bounds or ())
    return [
        result.rung.name,
        bare,
        result.method,
        *values,
        bounds,
        "yes" if result.proven else "",
        "" if result.seconds is None else f"{result.seconds:.1f}",
        str(result.peak_mb or ""),
        _say_distance(result, best),
        result.faults[0] if result.faults else "",
    ]


def _find_best(rung: Rung, results: Iterable[Result], optima: Optima) -> tuple[int, ...]:
    """Return the best that can be on a rung as far as it is known: all aims, or a bound of one."""
    here = [one for one in results if one.rung == rung]
    proven = [one.values for one in here if one.proven and one.values]
    if proven or rung.name in optima:
        return proven[0] if proven else optima[rung.name]
    bounds = [one.bounds[0] for one in here if one.bounds and one.bounds[0] is not None]
    return (max(bounds),) if bounds else ()


def _say_distance(result: Result, best: tuple[int, ...]) -> str:
    """Return the first aim that is above the best there can be, and by how much."""
    for aim, value, bound in zip(AIMS, result.values or (), best, strict=False):
        if value != bound:
            return f"{aim} {value - bound:+d} of {value}"
    return "" if len(best) < len(AIMS) or not result.values else "0"


def _dump(results: Sequence[Result], limit_s: float) -> str:
    machine = {"processors": os.cpu_count(), "machine": platform.machine()}
    python = platform.python_version()
    rows = [asdict(one) for one in results]
    whole = {"limit_s": limit_s, **machine, "python": python, "results": rows}
    return json.dumps(whole, indent=1) + "\n"


if __name__ == "__main__":
    sys.exit(main())
