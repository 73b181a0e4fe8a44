"""Reads a plan file back into a plan. No bytes make it raise; what is wrong becomes findings."""

from __future__ import annotations

import codecs
import hashlib
import json
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kitplan import __version__
from kitplan.errors import Finding, Place, shorten
from kitplan.plan import digest_sources
from kitplan.tomlplaces import place_after

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.plan import Plan
    from kitplan.planfile import records

MOST_QUOTED = 60  # signs of a value that a finding repeats
MAKE_ANEW = "make the plan anew with `kitplan plan`"
_MOST_FINDINGS = 20


@dataclass(frozen=True, slots=True)
class PlanFile:
    """A plan that was read, and its document as it stands in the file."""

    plan: Plan
    record: records.PlanRecord
    file: str


class _BadJSONError(ValueError):
    """The text is JSON of a sort that no plan file is."""


def read_plan(data: bytes, file: str) -> tuple[PlanFile | None, list[Finding]]:
    """Return the plan in the bytes of a plan file, None if it can't be used, and all findings."""
    document, findings = _parse(data, file)
    if findings:
        return None, findings
    findings = _check_version(document, file)
    if findings:
        return None, findings
    record, findings = _check_shape(document, file)
    if record is None:
        return None, findings
    from kitplan.planfile.nouns import make_plan  # noqa: PLC0415 - it loads pydantic

    plan = make_plan(record)
    findings = [*_check_names(record, file), *_check_digests(plan, file)]
    return (None if findings else PlanFile(plan, record, file)), findings


# --- text -> document -----------------------------------------------------------------------------


def _parse(data: bytes, file: str) -> tuple[Any, list[Finding]]:
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = data.decode()
    except UnicodeDecodeError as error:
        where = place_after(data[: error.start].decode(), file)
        return None, [_break(where, "this is not UTF-8 text")]
    try:
        document = json.loads(text, object_pairs_hook=_read_table, parse_constant=_refuse)
        _refuse_halves(text, document)
    except json.JSONDecodeError as error:
        words = "from here on this is no JSON; perhaps the file was cut short"
        if not text.lstrip().startswith("{"):
            return None, [_say_other_file(Place(file, error.lineno, error.colno))]
        return None, [_break(Place(file, error.lineno, error.colno), words)]
    except _BadJSONError as error:
        return None, [_break(Place(file, 0, 0), str(error))]
    except (RecursionError, ValueError):
        # Too deep, or a number with thousands of digits.
        return None, [_break(Place(file, 0, 0), "this is no plan file")]
    return document, []


def _refuse_halves(text: str, document: Any) -> None:
    """Refuse half a sign, written as an escape: it is no text, and could not be written again."""
    if "\\ud" not in text.lower():
        return
    try:
        json.dumps(document, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise _BadJSONError("half a sign stands in it, and that is no text") from None


def _say_other_file(where: Place) -> Finding:
    message = "this is another sort of file, perhaps the trip, and no plan file"
    hint = "the file that `kitplan plan TRIP --out plan.json` wrote"
    return Finding(where, "error", "broken-plan", message, hint)


def _read_table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        twice = next(key for key, count in Counter(key for key, _ in pairs).items() if count > 1)
        raise _BadJSONError(f"the key {_quote(twice)} is there twice in one table")
    return table


def _refuse(constant: str) -> Any:
    raise _BadJSONError(f"{constant} is no number of a plan")


def _check_version(document: Any, file: str) -> list[Finding]:
    if not isinstance(document, dict) or "version" not in document:
        return [_break(Place(file, 0, 0), "this is no plan file: it names no version")]
    version = document["version"]
    if version == __version__:
        return []
    message = f"the plan is of version {_quote(version)}, and this is {_quote(__version__)}"
    return [Finding(Place(file, 0, 0), "error", "other-version", message, MAKE_ANEW)]


def _check_shape(document: Any, file: str) -> tuple[records.PlanRecord | None, list[Finding]]:
    from pydantic import ValidationError  # noqa: PLC0415 - loaded only where a plan is read

    from kitplan.planfile.records import PlanRecord  # noqa: PLC0415 - it loads pydantic

    try:
        return PlanRecord.model_validate(document), []
    except ValidationError as error:
        errors = error.errors(include_url=False, include_context=False, include_input=False)
    words = dict.fromkeys(_complain(document, one["type"], one["loc"]) for one in errors)
    # A member of a union is tried as each of its sorts: of equal places only the first counts.
    return None, [_break(Place(file, 0, 0), line) for line in list(words)[:_MOST_FINDINGS]]


def _complain(document: Any, sort: str, steps: tuple[str | int, ...]) -> str:
    path, value = "", document
    for step in steps:
        if isinstance(value, dict) and step in value:
            path += f".{step}" if path else str(step)
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            path += f"[{step}]"
        else:
            continue
        value = value[step]
    if sort == "missing":
        return f"{path or 'the plan'} lacks the key {_quote(steps[-1])}"
    if sort == "extra_forbidden":
        return f"{path} is no key of a plan"
    return f"{path or 'the plan'} has a value that can't be, {_quote(value)}"


# --- what the shape does not say ------------------------------------------------------------------


def _check_names(record: records.PlanRecord, file: str) -> list[Finding]:
    """Complain of rows that name the same thing twice, since a dict would hide one."""
    rows: Iterable[tuple[str, Any]] = [
        *(("boat", boat.name) for boat in record.boats),
        *(("lot in", (b.name, row.lot)) for b in record.boats for row in b.stores or ()),
        *(("station of", (row.rapid, row.boat, row.running)) for row in record.stations),
        *(("place in the order of", boat) for row in record.order for boat in row.boats),
        *(("source", source.file) for source in record.sources),
        *_name_past(record),
    ]
    return [
        _break(Place(file, 0, 0), f"the {what} {_quote(name)} is there twice")
        for (what, name), count in Counter(rows).items()
        if count > 1
    ]


def _name_past(record: records.PlanRecord) -> Iterator[tuple[str, Any]]:
    """Yield what may be there only once in what there was before, and what happened."""
    for boat in record.before or ():
        yield "boat of before", boat.name
        yield from (("seat before", (boat.name, name)) for name in boat.crew)
        yield from (("lot before in", (boat.name, row.lot)) for row in boat.stores)
    # One day can come twice: something else happened on the same evening.
    for number, row in enumerate(record.happened or (), start=1):
        what = f"boat of the evening of time {number},"
        lists = {
            "lost boat": row.lost,
            "absent paddler": row.absent,
            "hurt paddler": row.hurt,
            "skipped rapid": row.skipped,
            "boat left behind": row.left,
        }
        for sort, names in lists.items():
            yield from ((f"{sort} of time", (number, name)) for name in names)
        yield from (("damaged boat of time", (number, one.boat)) for one in row.damaged)
        yield from (("item lost at time", (number, one.boat, one.item)) for one in row.lost_items)
        yield from ((what, one.called) for one in row.boats)


def _check_digests(plan: Plan, file: str) -> list[Finding]:
    changed = [source.file for source in plan.sources if _digest(source.text) != source.digest]
    if not changed and digest_sources(plan.sources) != plan.digest:
        changed = [file]
    return [
        Finding(
            Place(file, 0, 0),
            "error",
            "stale-input",
            f"the text of {_quote(name)} kept in the plan is not the one its digest stands for",
            MAKE_ANEW,
        )
        for name in changed
    ]


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _break(where: Place, message: str) -> Finding:
    return Finding(where, "error", "broken-plan", message, MAKE_ANEW)


def _quote(value: Any) -> str:
    return shorten(json.dumps(value, ensure_ascii=True, default=str), MOST_QUOTED)
