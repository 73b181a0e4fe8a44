"""Results side by side: a row for each rung, a column for each method."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from tests.bench.run import read_result

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from tests.bench.run import Result


def read_results(files: Iterable[Path]) -> list[Result]:
    """Return the results that JSON files of benchmarks hold; of equal runs the last one."""
    results = [
        read_result(row)
        for file in files
        for row in json.loads(Path(file).read_text("utf-8"))["results"]
    ]
    return list({(one.rung, one.method): one for one in results}.values())


def list_beside(results: Sequence[Result]) -> list[dict[str, str]]:
    """Return for each rung what each method came to, in words; "" where it was not run."""
    methods = dict.fromkeys(one.method for one in results)
    rows: dict[str, dict[str, str]] = {}
    for one in results:
        row = rows.setdefault(one.rung.name, {"rung": one.rung.name, **dict.fromkeys(methods, "")})
        row[one.method] = say_result(one)
    return list(rows.values())


def say_result(one: Result) -> str:
    """Return the aims, what is proven of them, and the seconds to the proof.

    "170, 266, 570 in 3.1 s" is proven; "264, 1706, 2426 (36, 252, 560)" has bounds.
    """
    if one.faults:
        return one.faults[0]
    values = ", ".join(map(str, one.values or ()))
    if one.proven:
        return f"{values} in {one.seconds} s"
    known = [bound for bound in one.bounds or () if bound is not None]
    bounds = f"({', '.join(map(str, known))})" if known else ""
    return " ".join(part for part in (values or "no plan", bounds) if part)
