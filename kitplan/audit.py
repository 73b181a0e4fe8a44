"""Checks a plan file from end to end: its form, the trip in it, its claims, the files on disk.

The trip is made anew from the texts that the plan keeps, so a plan can be checked anywhere; where
its files lie on disk too, it is said whether they have changed since.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitplan.errors import Finding, Place, has_errors
from kitplan.load import load_trip_text
from kitplan.load.files import DiskSources, make_source, name_beside
from kitplan.needs import derive_needs
from kitplan.planfile import check_document, read_plan
from kitplan.tomlplaces import is_pipe_on_disk
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import Plan

LARGEST_BYTES = 256 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Audit:
    """What checking a plan file came to: a line for people, and all findings."""

    verdict: str
    findings: list[Finding]


def audit_plan(path: Path) -> Audit:
    """Return whether the plan file holds what it claims."""
    data, findings = _read_bytes(path)
    if data is None:
        return Audit(f"{path}: can't be read", findings)
    kept, findings = read_plan(data, str(path))
    if kept is None:
        return Audit(f"{path}: rejected, as it is no whole plan file of this version", findings)
    plan = kept.plan
    texts = {source.file: source.text for source in plan.sources}
    trip, findings = load_trip_text(texts, plan.sources[0].file, kept.record.flow)
    if trip is None:
        return Audit(f"{path}: rejected, as the trip it keeps has errors", findings)
    found = list(verify_plan(trip, plan))
    if not has_errors(found):
        found += check_document(kept, trip, derive_needs(trip))
    found += _compare_with_disk(plan, path.parent)
    verdict = "rejected" if has_errors(found) else _praise(plan)
    return Audit(f"{path}: {verdict}", [*findings, *found])


def _praise(plan: Plan) -> str:
    met = sum(1 for demand in plan.demands if demand.met)
    return (
        f"holds what it claims: rules kept, {met} demands met by their witnesses, "
        f"{len(plan.demands) - met} not met, {len(plan.gaps)} gaps, "
        f"{len(plan.aims)} aims counted anew; that an aim is proven best, a rapid at its best or "
        "another one loses by it is the solver's word"
    )


def _read_bytes(path: Path) -> tuple[bytes | None, list[Finding]]:
    if is_pipe_on_disk(path):
        return None, [_refuse(path, "file-unreadable", "this is a pipe, not an ordinary file")]
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        return None, [_refuse(path, "file-missing", "there is no such file")]
    except IsADirectoryError:
        return None, [_refuse(path, "file-is-folder", "this is a folder")]
    except (OSError, ValueError):
        return None, [_refuse(path, "file-unreadable", "this file can't be read")]
    if len(data) > LARGEST_BYTES:
        return None, [_refuse(path, "file-too-large", "this file is too large for a plan")]
    return data, []


def _refuse(path: Path, code: str, message: str) -> Finding:
    hint = "the file that `kitplan plan TRIP --out plan.json` wrote"
    return Finding(Place(str(path), 0, 0), "error", code, message, hint)


def _compare_with_disk(plan: Plan, folder: Path) -> Iterator[Finding]:
    """Warn of every file with another text on disk, if the trip lies beside the plan or here."""
    disk = DiskSources()
    name = plan.sources[0].file
    trip = next((one for one in (folder / name, Path(name)) if one.is_file()), None)
    for source in plan.sources if trip else ():
        shown = name_beside(str(trip), source.file)
        text, _ = disk.read(shown)
        if text is not None and make_source(source.file, text).digest != source.digest:
            message = "this file has changed since the plan was made"
            hint = "make the plan anew with `kitplan plan`"
            yield Finding(Place(shown, 0, 0), "warning", "stale-input", message, hint)
