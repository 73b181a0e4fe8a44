"""Stored optima: for each rung whose aims were once proven their values, nothing that varies."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tests.bench.run import Result

    Optima = dict[str, tuple[int, ...]]
    """What aims 2 to 4 come to at best, by the name of the rung."""

STORED = Path(__file__).parent / "optima.json"


def load_optima() -> Optima:
    """Return the optima stored."""
    return {name: tuple(row) for name, row in json.loads(STORED.read_text("utf-8")).items()}


def store_optima(results: Iterable[Result]) -> int:
    """Store what was proven of rungs without a stored optimum; return how many those are."""
    known = load_optima()
    more = {
        one.rung.name: one.values
        for one in results
        if one.proven and one.values and not one.faults and one.rung.name not in known
    }
    lines = (f" {json.dumps(name)}: {list(row)}" for name, row in sorted({**known, **more}.items()))
    STORED.write_text("{\n" + ",\n".join(lines) + "\n}\n", "utf-8")
    return len(more)


def list_contradictions(results: Iterable[Result], optima: Optima) -> list[str]:
    """Return in words what can't be, given the optima and what other methods proved."""
    said: dict[str, dict[tuple[int, ...], str]] = defaultdict(dict)
    for name, row in optima.items():
        said[name][row] = "stored"
    rows = list(results)
    for one in rows:
        if one.proven and one.values:
            said[one.rung.name].setdefault(one.values, one.method)
    return [
        f"{one.rung.name}, {one.method}: {_name(one)} {one.values}, but {best} is best ({source})"
        for one in rows
        for best, source in said[one.rung.name].items()
        if one.values and _contradicts(one, best)
    ]


def _name(result: Result) -> str:
    return "proven" if result.proven else "found"


def _contradicts(result: Result, best: tuple[int, ...]) -> bool:
    """Say whether values proven are others, or values found are better, than the best ones."""
    values = result.values or ()
    return values != best if result.proven else values < best[: len(values)]
