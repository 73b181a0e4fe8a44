"""Checks the shape of a file's data and says in our words what pydantic found.

What is wrong gets its finding and is then mended (left out, or replaced by a stand-in), so that
the rest of the file can still be checked in the same run.
"""

from __future__ import annotations

import copy
import types
import unicodedata
from datetime import date
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar, Union, get_args, get_origin
from typing import get_type_hints as read_hints

from pydantic import ValidationError

from kitplan import records
from kitplan.errors import MOST_FINDINGS
from kitplan.load.sheet import STAND_IN, has_member, name_key, show_value
from kitplan.trip import FLOWS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail

_R = TypeVar("_R", bound=records.Record)

_ROUNDS = 4
"""Mending one thing may lay another bare; more rounds than this have not been seen to help."""
_TRIES = {
    "missing-unit": 'put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
    "unknown-class": 'write it as "III" or "IV+"',
    "too-long": "shorten it",
    "empty": "write at least a letter",
    "wrong-length": "add or take out members",
}
# What to try in a CSV list instead, where nothing stands in quotes.
_IN_ROWS = {
    "write a number, without quotes": "write a whole number",
    "true or false, without quotes": "write yes or no",
}
_BAD_KEY = "bad key"
# Categories of signs: control and half characters; invisible ones, line and paragraph ends.
_CONTROL, _UNSEEN = frozenset({"Cc", "Cs"}), frozenset({"Cf", "Zl", "Zp", "Co"})
# Tables of a rapid that are no flows.
_TABLES = frozenset({"left", "right", "spot"})
_EARLY_DAY, _LATE_DAY = date(2000, 1, 1), date(2200, 1, 1)
"""Stand-ins for the start of a trip and the end of a certificate: nothing has run out."""
# Keys whose text may run over several lines.
_PROSE = frozenset({"summary", "source", "cautions", "remark", "righting", "standard"})
# Keys whose stand-in is the greatest they may be, so that nothing else seems too much beside it.
_AMPLE = frozenset({"seats", "count"})
_SPECIAL: tuple[tuple[Any, str], ...] = (
    (records.Quantity, "quoted text, a number with its unit"),
    (records.RapidClass, "I to VI (with + or -)"),
    (records.Level, "a level from 0 to 4"),
    (records.Factor, "a number from 0 to 10, in tenths at the finest"),
    (records.Share, "a number from 0 to 1"),
)
# What to try where text in quotes stands for something else.
_UNQUOTED: tuple[tuple[type, str], ...] = (
    (int, "write a number, without quotes"),
    (bool, "true or false, without quotes"),
    (date, "write it as 2027-06-14, without quotes"),
)
# Our codes for pydantic's sorts of error; any other is a wrong type.
_CODES = {
    "string_too_short": "empty",
    "string_too_long": "too-long",
    "too_short": "wrong-length",
    "too_long": "wrong-length",
    "greater_than_equal": "out-of-range",
    "less_than_equal": "out-of-range",
}
_PLAIN: dict[Any, str] = {
    str: "quoted text",
    int: "a whole number",
    bool: "true or false",
    date: "a date without quotes",
}


def check_shape(sheet: Sheet, model: type[_R]) -> _R | None:
    """Return the sheet's data as a record, wrong parts mended; None if it is beyond mending.

    Every wrong part has an error among the sheet's findings.
    """
    data = copy.deepcopy(sheet.data)
    _check_signs(sheet)
    for round_number in range(_ROUNDS):
        try:
            return model.model_validate(data)
        except ValidationError as error:
            complaints = error.errors(include_url=False, include_context=False, include_input=False)
        wrongs = _join(data, [(one["type"], one["loc"]) for one in complaints])
        if round_number == 0:
            _complain(sheet, model, wrongs)
        for trail, sort in wrongs.items():
            _mend(data, model, trail, sort)
    return None


# --- what pydantic found --------------------------------------------------------------------------


def _join(data: Any, errors: list[tuple[str, Trail]]) -> dict[Trail, str]:
    """Return the trail of each wrong part with the sort of wrong, each part once.

    pydantic's own steps (which branch of a union it tried) are left out; where a member of a list
    is wrong, the list is not.
    """
    wrongs: dict[Trail, str] = {}
    for sort, steps in errors:
        trail = _clean(data, steps, sort)
        of_key = steps[-1:] == ("[key]",) and trail != steps
        wrongs.setdefault(trail, _BAD_KEY if of_key else sort)
    parents = {trail[:end] for trail in wrongs for end in range(len(trail))}
    return {trail: sort for trail, sort in wrongs.items() if trail not in parents}


def _clean(data: Any, steps: Trail, sort: str) -> Trail:
    trail: Trail = ()
    value = data
    for step in steps:
        if has_member(value, step):
            value = value[step]
            trail = (*trail, step)
    return (*trail, steps[-1]) if sort == "missing" else trail


def _complain(sheet: Sheet, model: type[records.Record], wrongs: dict[Trail, str]) -> None:
    by_place = sorted(wrongs.items(), key=lambda wrong: sheet.place(*wrong[0]))
    # One more than is shown, so that it is said that there are more.
    for trail, sort in by_place[: MOST_FINDINGS + 1]:
        if sort == "missing":
            _complain_of_missing(sheet, model, trail)
        elif sort == "extra_forbidden":
            _complain_of_unknown(sheet, model, trail)
        elif sort == _BAD_KEY:
            message = f"the key {show_value(trail[-1])} is empty or longer than 80 signs"
            sheet.complain(trail, "bad-key", message, "write a name")
        else:
            _complain_of_value(sheet, model, trail, sort)


def _complain_of_missing(sheet: Sheet, model: type[records.Record], trail: Trail) -> None:
    key = str(trail[-1])
    if len(trail) == 1:
        hint = f"begin with a line [{key}] and its keys below it"
        sheet.complain(trail, "missing-table", f"there is no [{key}] table", hint)
        return
    hint = f"write {key} = ..., {_describe(_find_hint(model, trail))}"
    if _is_row(sheet, trail):
        hint = "fill in this column"
    sheet.complain(trail, "missing-key", f"{key} is missing", hint)


def _complain_of_unknown(sheet: Sheet, model: type[records.Record], trail: Trail) -> None:
    key = str(trail[-1])
    owner = _find_record(_find_hint(model, trail[:-1]))
    known = list(_read_fields(owner)) if owner else []
    near = sheet.guess(key, known)
    if set(FLOWS) <= set(known) and near not in _TABLES and _is_table(sheet.data, trail):
        message = f"unknown flow {show_value(key)}"
        hint = "the flows are low, medium and high"
        sheet.complain(trail, "unknown-flow", message, f"{near}; {hint}" if near else hint)
        return
    hint = near or "the keys here are " + ", ".join(known)
    sheet.complain(trail, "unknown-key", f"unknown key {show_value(key)}", hint)


def _is_table(value: Any, trail: Trail) -> bool:
    for step in trail:
        value = value[step]
    return isinstance(value, dict)


def _complain_of_value(sheet: Sheet, model: type[records.Record], trail: Trail, sort: str) -> None:
    value: Any = sheet.data
    for step in trail:
        value = value[step]
    hint = _strip(_find_hint(model, trail))
    key = name_key(trail)
    must = _describe(hint)
    code = _find_code(hint, value, sort)
    if code == "out-of-range" and _is_sort(hint, records.Level):
        words = f"levels go from 0 to 4, so {key} can't be {show_value(value)}"
    elif isinstance(value, str) and code in {"too-long", "empty"}:
        limit = " of 1 to 80 signs" if _is_sort(hint, records.Name) else ""
        words = f"{key} is {'empty' if code == 'empty' else 'too long'}; it must be {must}{limit}"
    elif isinstance(value, dict) and _is_table_list(hint):
        words = f"[{key}] is one table, and {key} must be a list of them"
        sheet.complain(trail, code, words, f"write [[{'.'.join(_keys(trail))}]], with two brackets")
        return
    elif isinstance(value, list) and code == "wrong-length":
        words = f"{key} must be {must}, and has {len(value)}"
    else:
        must = _PLAIN[int] if code == "wrong-type" and _bare(hint) is int else must
        words = f"{key} must be {must}, not {show_value(value)}"
    tip = _advise(sheet, hint, value, code)
    sheet.complain(trail, code, words, _IN_ROWS.get(tip, tip) if _is_row(sheet, trail) else tip)


def _keys(trail: Trail) -> list[str]:
    return [step for step in trail if isinstance(step, str)]


def _is_table_list(hint: Any) -> bool:
    bare = [_bare(one) for one in _branches(hint)]
    return any(get_origin(one) is list and _is_record(_bare(get_args(one)[0])) for one in bare)


def _is_row(sheet: Sheet, trail: Trail) -> bool:
    """Say whether the value comes from a CSV list."""
    return sheet.place(*trail).file != sheet.place("trip").file


def _find_code(hint: Any, value: Any, sort: str) -> str:
    if sort in _CODES:
        return "unknown-class" if _is_sort(hint, records.RapidClass) else _CODES[sort]
    if sort == "literal_error" and isinstance(value, str):
        return "unknown-word"
    if _is_sort(hint, records.Quantity) and _is_number(value):
        return "missing-unit"
    return "wrong-type"


def _is_number(value: Any) -> bool:
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def _advise(sheet: Sheet, hint: Any, value: Any, code: str) -> str:
    """Return what to try."""
    if code in _TRIES:
        return _TRIES[code]
    if code == "unknown-word":
        words = [str(word) for word in _list_words(hint)]
        if any(get_origin(_bare(one)) is list for one in _branches(hint)):
            return f'"{words[0]}", or a list in brackets, as in [{show_value(value)}]'
        return sheet.guess(value, words) or "one of " + ", ".join(f'"{word}"' for word in words)
    if code == "out-of-range" and _is_sort(hint, records.Level):
        return "0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it"
    return _advise_on_type(hint, value)


def _advise_on_type(hint: Any, value: Any) -> str:
    if isinstance(value, str):
        tries = [words for sort, words in _UNQUOTED if _takes(hint, sort)]
        if any(get_origin(_bare(one)) is list for one in _branches(hint)):
            tries = [f"put it in brackets, as in [{show_value(value)}]"]
        return tries[0] if tries else "look for slipped brackets or quotes"
    if _is_sort(hint, records.RapidClass):
        return _TRIES["unknown-class"]
    if _takes(hint, str) and not isinstance(value, dict | list | bool):
        return f'put it in quotes, as in "{show_value(value)[:40]}"'
    return "look for a slip"


# --- control signs --------------------------------------------------------------------------------


def _check_signs(sheet: Sheet) -> None:
    """Complain of control characters and signs that nobody sees: they break and hide lines."""
    for trail, text in _list_texts((), sheet.data):
        prose = any(step in _PROSE for step in trail)
        if all(_is_fit(sign, prose=prose) for sign in text):
            continue
        seen = any(unicodedata.category(sign) in _CONTROL for sign in text)
        what = "a control character" if seen else "a sign that can't be seen"
        message = f"{name_key(trail)} has {what} in it"
        sheet.complain(trail, "control-character", message, "retype it on one line")
        sheet.settled |= {sheet.place(*trail)}
        if len(sheet.findings) > MOST_FINDINGS:
            return


def _is_fit(sign: str, *, prose: bool) -> bool:
    return (prose and sign in "\n\t") or unicodedata.category(sign) not in _CONTROL | _UNSEEN


def _list_texts(trail: Trail, value: Any) -> Iterator[tuple[Trail, str]]:
    if isinstance(value, str):
        yield trail, value
    elif isinstance(value, dict):
        for key, member in value.items():
            yield (*trail, key), key
            yield from _list_texts((*trail, key), member)
    elif isinstance(value, list):
        for index, member in enumerate(value):
            yield from _list_texts((*trail, index), member)


# --- mending --------------------------------------------------------------------------------------


def _mend(data: Any, model: type[records.Record], trail: Trail, sort: str) -> None:
    """Leave the wrong part out, or put a stand-in where it may not be missing."""
    if not trail:
        return
    *before, last = trail
    owner = data
    for step in before:
        if not isinstance(owner, dict | list):
            return
        owner = owner.get(step) if isinstance(owner, dict) else owner[int(step)]
    hint = _find_hint(model, trail)
    if isinstance(owner, list):
        owner[int(last)] = _stand_in(hint, last)
    elif isinstance(owner, dict):
        if sort != "extra_forbidden" and _is_needed(model, trail):
            owner[last] = _stand_in(hint, last)
        else:
            owner.pop(last, None)


def _is_needed(model: type[records.Record], trail: Trail) -> bool:
    owner = _find_record(_find_hint(model, trail[:-1]))
    return owner is not None and any(
        one.is_required() and (one.alias or name) == trail[-1]
        for name, one in owner.model_fields.items()
    )


def _stand_in(hint: Any, key: str | int = "") -> Any:
    """Return a value of the right shape that later checks pass over."""
    hint = _strip(hint)
    bare = _bare(hint)
    if _is_record(bare):
        fields = _read_fields(bare)
        needed = [name for name in fields if _is_needed(bare, (name,))]
        return {name: _stand_in(fields[name], name) for name in needed}
    if get_origin(bare) is Literal:
        return get_args(bare)[0]
    if get_origin(bare) is list:
        return [_stand_in(get_args(bare)[0]) for _ in range(_limit(hint, "min_length") or 0)]
    if bare is int:
        return _limit(hint, "le" if key in _AMPLE else "ge") or 0
    if bare is date:
        return _EARLY_DAY if key == "starts" else _LATE_DAY
    return {} if get_origin(bare) is dict else STAND_IN


# --- what a record's annotations say --------------------------------------------------------------


@cache
def _read_fields(model: type[records.Record]) -> dict[str, Any]:
    """Return the keys of a record as they stand in a file, each with its annotation."""
    hints = read_hints(model, include_extras=True)
    return {(one.alias or name): hints[name] for name, one in model.model_fields.items()}


def _find_hint(model: Any, trail: Trail) -> Any:
    """Return the annotation of the value at the end of the trail, None if there is none."""
    hint = model
    for step in trail:
        record = hint if _is_record(hint) else None
        if record:
            hint = _read_fields(record).get(str(step))
        else:
            members = [_bare(one) for one in _branches(hint)]
            inner = [get_args(one)[-1] for one in members if get_origin(one) in {list, dict}]
            hint = inner[0] if inner else None
        if hint is None:
            return None
        hint = _strip(hint)
    return hint


def _is_record(hint: Any) -> bool:
    return isinstance(hint, type) and issubclass(hint, records.Record)


def _find_record(hint: Any) -> type[records.Record] | None:
    """Return the record that an annotation is about, or None."""
    return next((one for one in _branches(hint) if _is_record(one)), None)


def _strip(hint: Any) -> Any:
    """Return an annotation without its None."""
    branches = _branches(hint)
    return branches[0] if len(branches) == 1 else hint


def _branches(hint: Any) -> list[Any]:
    """Return what a value may be, None left out."""
    if get_origin(hint) in {Union, types.UnionType}:
        return [one for one in get_args(hint) if one is not type(None)]
    return [hint]


def _bare(hint: Any) -> Any:
    """Return an annotation without its limits."""
    return get_args(hint)[0] if get_origin(hint) is Annotated else hint


def _limit(hint: Any, name: str) -> int | None:
    """Return a limit that an annotation states, such as "ge" or "min_length"."""
    for extra in get_args(hint)[1:] if get_origin(hint) is Annotated else ():
        for one in extra.metadata:
            limit = getattr(one, name, None)
            if isinstance(limit, int):
                return limit
    return None


def _is_sort(hint: Any, sort: Any) -> bool:
    """Say whether an annotation is one of those named in `records`, further words or not."""
    hint = _strip(hint)
    same = get_origin(hint) is Annotated and _bare(hint) == _bare(sort)
    return same and all(any(own is one for own in get_args(hint)) for one in get_args(sort)[1:])


def _takes(hint: Any, sort: type) -> bool:
    return any(_bare(one) is sort for one in _branches(hint))


def _list_words(hint: Any) -> list[Any]:
    bare = [_bare(one) for one in _branches(hint)]
    return [word for one in bare if get_origin(one) is Literal for word in get_args(one)]


def _describe(hint: Any) -> str:
    """Return what a value must be, in words."""
    for special, words in _SPECIAL:
        if _is_sort(hint, special):
            return words
    return " or ".join(_describe_branch(one) for one in _branches(hint))


def _describe_branch(hint: Any) -> str:
    bare = _bare(hint)
    if get_origin(bare) is Literal:
        *words, last = [f'"{word}"' for word in get_args(bare)]
        return f"{', '.join(words)} or {last}" if words else last
    if get_origin(bare) is list:
        return _describe_list(hint)
    if bare is int and _limit(hint, "ge") is not None:
        return f"a whole number from {_limit(hint, 'ge')} to {_limit(hint, 'le')}"
    return _PLAIN.get(bare, "a table")


def _describe_list(hint: Any) -> str:
    least, most = _limit(hint, "min_length"), _limit(hint, "max_length")
    member = get_args(_bare(hint))[0]
    if not least and _describe(member) == _PLAIN[str]:
        return "a list of quoted texts"
    each = f"each {_describe(member)}"
    if least and least == most:
        return f"a list of {least}, {each}"
    return f"a list of at least {least}, {each}" if least else f"a list, {each}"
