"""Checks a plan file from end to end: its form, the trip in it, its claims, the files on disk.

The trip is made anew from the texts that the plan keeps, and begun afresh as it says, so a plan can
be checked, and gone on from, anywhere; where its files lie on disk too, it is said whether they
have changed since.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kitplan.decide.restart import begin_again
from kitplan.errors import Finding, Place, has_errors
from kitplan.load import load_trip_text
from kitplan.load.files import DiskSources, make_source, name_beside
from kitplan.needs import derive_needs
from kitplan.planfile import check_document, read_plan
from kitplan.tomlplaces import is_pipe_on_disk
from kitplan.verify import verify_plan

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import Before, Plan
    from kitplan.planfile import PlanFile
    from kitplan.trip import SourceText, Trip

LARGEST_BYTES = 256 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Audit:
    """What checking a plan file came to: a line for people, and all findings."""

    verdict: str
    findings: list[Finding]


def audit_plan(path: Path) -> Audit:
    """Return whether the plan file holds what it claims."""
    held = _hold(path)
    if held.trip is None or held.kept is None:
        return Audit(f"{path}: {held.verdict}", held.findings)
    found = _compare_with_disk(held.kept.plan, path, "make the plan anew with `kitplan plan`")
    verdict = held.verdict or _praise(held.kept.plan)
    return Audit(f"{path}: {verdict}", [*held.findings, *found])


def open_plan(
    path: Path, flow: str | None = None, keep_for: Trip | None = None
) -> tuple[Trip | None, Plan | None, list[Finding]]:
    """Return a plan to go on from, and its trip as it was begun last; None if it can't be used.

    `flow`: how much water the trip is to have, if not as planned. `keep_for`: the trip whose plan
    is to keep near this one; another trip's is refused. Without it files that have changed since
    are warned of, since the texts that the plan keeps are used.
    """
    held = _hold(path)
    if held.trip is None or held.kept is None or has_errors(held.findings):
        return None, None, held.findings
    trip, plan, findings = held.trip, held.kept.plan, held.findings
    if keep_for is not None:
        other = _refuse_other(path, plan, keep_for)
        return (None, None, other) if other else (trip, plan, findings)
    hint = "the texts kept in the plan are used"
    findings = [*findings, *_compare_with_disk(plan, path, hint)]
    if flow in {None, trip.flow}:
        return trip, plan, findings
    again, _, found = _make_trip(path, plan, flow or "")
    return again, plan, [*findings, *found]


def _refuse_other(path: Path, plan: Plan, trip: Trip) -> list[Finding]:
    """Refuse a plan of a trip by another name."""
    if plan.trip_name == trip.name:
        return []
    message = f"this is a plan of another trip, '{plan.trip_name}', and the trip is '{trip.name}'"
    hint = "a plan that was made of an earlier state of the same trip"
    return [Finding(Place(str(path), 0, 0), "error", "other-trip", message, hint)]


@dataclass(frozen=True, slots=True)
class _Held:
    """A plan file held against the trip it keeps; `verdict` is "" where nothing is wrong."""

    verdict: str
    findings: list[Finding]
    kept: PlanFile | None = None
    trip: Trip | None = None


def _hold(path: Path) -> _Held:
    """Read a plan file, make its trip from the texts it keeps, and check all that it claims."""
    data, findings = _read_bytes(path)
    if data is None:
        return _Held("can't be read", findings)
    kept, findings = read_plan(data, str(path))
    if kept is None:
        return _Held("rejected, as it is no whole plan file of this version", findings)
    plan = kept.plan
    trip, before, findings = _make_trip(path, plan, kept.record.flow)
    if trip is None:
        return _Held("rejected, as the trip it keeps has errors", findings, kept)
    found = list(_check_before(path, plan, before)) or list(verify_plan(trip, plan))
    if not has_errors(found):
        found += check_document(kept, trip, derive_needs(trip))
    return _Held("rejected" if has_errors(found) else "", [*findings, *found], kept, trip)


def _make_trip(
    path: Path, plan: Plan, flow: str
) -> tuple[Trip | None, Before | None, list[Finding]]:
    """Return the trip of the texts that a plan keeps, begun afresh as often as the plan says.

    With it what there was before, where it was begun afresh.
    """
    texts = {source.file: source.text for source in plan.sources}
    trip, findings = load_trip_text(texts, plan.sources[0].file, flow)
    if trip is None or not plan.happened:
        return trip, None, findings
    afresh, found = begin_again(trip, plan.happened)
    findings += [replace(one, where=Place(str(path), 0, 0)) for one in found]
    return (afresh.trip, afresh.before, findings) if afresh else (None, None, findings)


def _check_before(path: Path, plan: Plan, before: Before | None) -> Iterator[Finding]:
    """Complain if moves are counted from something else than what was left."""
    if plan.happened and plan.before != before:
        message = "what there was before is not what was left after all that happened"
        hint = "make the plan anew with `kitplan replan`"
        yield Finding(Place(str(path), 0, 0), "error", "wrong-before", message, hint)


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


def list_inputs(plan: Plan, path: Path) -> dict[str, SourceText]:
    """Return the files that a plan was made of where its trip lies beside it, or here: by name."""
    name = plan.sources[0].file
    trip = next((one for one in (path.parent / name, Path(name)) if one.is_file()), None)
    return {name_beside(str(trip), one.file): one for one in plan.sources} if trip else {}


def _compare_with_disk(plan: Plan, path: Path, hint: str) -> Iterator[Finding]:
    """Warn of every file with another text on disk."""
    disk = DiskSources()
    for shown, source in list_inputs(plan, path).items():
        text, _ = disk.read(shown)
        if text is not None and make_source(source.file, text).digest != source.digest:
            message = "this file has changed since the plan was made"
            yield Finding(Place(shown, 0, 0), "warning", "stale-input", message, hint)
