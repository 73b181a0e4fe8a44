"""Reads rules on what must be carried and spreads: from their files, and from the trip itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.load.caps import RuleAt, check_caps, check_lengths
from kitplan.load.counts import CountsReader
from kitplan.load.names import Names
from kitplan.trip.carriage import (
    BOATS,
    PEOPLE,
    PER_BOAT,
    CarriageRule,
    Condition,
    Fit,
    Reading,
    Reminder,
    RuleSet,
    Spread,
    Step,
    Who,
)
from kitplan.units import read_temperature_mdegc

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from decimal import Decimal

    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.sheet import FileSheet, Sheet
    from kitplan.tomlplaces import Trail
    from kitplan.trip import Boat

OWN_SET = "the trip's own rules"
_PER_MILLE = 1000


OWN_SET = "the trip's own rules"
_PER_MILLE = 1000


def read_rule_sets(
    files: Sequence[FileSheet[records.RuleFile]],
    own: FileSheet[records.TripFile] | None,
    shelf: Shelf,
    boats: Iterable[Boat],
) -> tuple[RuleSet, ...]:
    """Return the sets of rules that a trip names, and a last one of those it adds, if any.

    `own`: the trip file, None where its shape can't be read.
    """
    sets, every = [], []
    ids, names = Names("rule"), Names("set")
    for one in files:
        names.add(one.sheet, one.record.set.name, "set", "name")
        read = _read_rules(one.sheet, one.record.rule, ids, shelf)
        sets.append(_make_set(one.sheet, one.record, [at.rule for at in read], ids))
        every += read
    if own is not None:
        read = _read_rules(own.sheet, own.record.rule, ids, shelf)
        if read:
            rules = tuple(at.rule for at in read)
            sets.append(RuleSet(OWN_SET, OWN_SET, "", rules, (), own.sheet.place("rule", 0)))
        every += read
    check_caps(every)
    check_lengths(every, boats)
    return tuple(sets)


def _make_set(
    sheet: Sheet, record: records.RuleFile, rules: Iterable[CarriageRule], ids: Names
) -> RuleSet:
    reminders = []
    for index, one in enumerate(record.reminder):
        ids.add(sheet, one.id, "reminder", index, "id")
        where = sheet.place("reminder", index)
        reminders.append(Reminder(one.id, one.says, one.source, one.dated, one.status, where))
    head = record.set
    where = sheet.place("set")
    return RuleSet(head.name, head.title, head.country, tuple(rules), tuple(reminders), where)


def _read_rules(
    sheet: Sheet, read: Sequence[records.RuleRecord], ids: Names, shelf: Shelf
) -> list[RuleAt]:
    """Return the rules of one file, each with where it is written."""
    rules = []
    for index, record in enumerate(read):
        trail: Trail = ("rule", index)
        ids.add(sheet, record.id, *trail, "id")
        rules.append(RuleAt(sheet, trail, _read_rule(sheet, record, trail, shelf)))
    return rules


def _read_rule(
    sheet: Sheet, record: records.RuleRecord, trail: Trail, shelf: Shelf
) -> CarriageRule:
    reader = CountsReader(sheet, shelf)
    return CarriageRule(
        id=record.id,
        says=record.says,
        source=record.source,
        dated=record.dated,
        status=record.status,
        tier=record.tier,
        counts=reader.read_counts(record.counts, (*trail, "counts")),
        reading=_read_reading(sheet, record, trail, reader),
        boats=reader.read_boat_limits(record.boats, (*trail, "boats")),
        when=_read_condition(sheet, record.when, (*trail, "when")),
        remark=record.remark,
        where=sheet.place(*trail),
    )


def _read_condition(sheet: Sheet, record: records.ConditionRecord, trail: Trail) -> Condition:
    below = (*trail, "water_below")
    return Condition(
        class_from=sheet.read_class_if_given(record.class_from, *trail, "class_from"),
        overnight=record.overnight,
        water_below_mdegc=sheet.read_if_given(read_temperature_mdegc, record.water_below, *below),
        boats_over=record.boats_over,
        people_over=record.people_over,
    )


# --- readings -------------------------------------------------------------------------------------


def _read_reading(
    sheet: Sheet, rule: records.RuleRecord, trail: Trail, reader: CountsReader
) -> Reading:
    record, at = rule.reading, (*trail, "reading")
    _check_reading(sheet, record, at)
    _check_scope(sheet, rule, at)
    who = Who(guest=record.of == "passengers", guide=record.of == "guides")
    if record.who is not None:
        who = reader.read_who(record.who, (*at, "who"), who)
    counted = {None: "", "boats": BOATS}.get(record.of, PEOPLE)
    return Reading(
        scope=record.scope,
        bound=record.bound,
        count=record.count,
        of=counted,
        who=who,
        for_each=record.for_each,
        part_counts=record.part_counts is not False,
        least=record.least,
        steps=tuple(Step(step.up_to, step.count) for step in record.steps),
    )


def _check_reading(sheet: Sheet, record: records.ReadingRecord, trail: Trail) -> None:
    """Complain of a reading that leaves open how it counts, or says it twice."""
    if sheet.find_given(trail) is None:
        return
    by_number = record.for_each is not None or bool(record.steps)
    if by_number and record.of is None:
        message = "of is missing: a number of what?"
        hint = 'write of = "persons", "passengers", "guides" or "boats"'
        sheet.complain((*trail, "of"), "missing-key", message, hint)
    if record.of is not None and not by_number:
        message = f'of is "{record.of}", but for_each is missing'
        sheet.complain((*trail, "of"), "missing-key", message, "write for_each = ..., or steps")
    if record.for_each not in {None, 1} and record.part_counts is None:
        message = f"part_counts is missing: is a part of {record.for_each} a whole one?"
        hint = "part_counts = true rounds up, false rounds down; the text may leave it open"
        sheet.complain((*trail, "for_each"), "missing-key", message, hint)
    if record.steps:
        _check_steps(sheet, record, trail)


def _check_steps(sheet: Sheet, record: records.ReadingRecord, trail: Trail) -> None:
    for key in ("for_each", "count"):
        if key in record.model_fields_set:
            message = f"steps says how many there are, and so does {key}"
            sheet.complain((*trail, key), "said-twice", message, "leave one of the two out")
    *before, _ = record.steps
    ups = [step.up_to for step in record.steps]
    for index, step in enumerate(before):
        upper = ups[index + 1]
        if step.up_to is None or (upper is not None and upper <= step.up_to):
            message = f"step {index + 1} must end below step {index + 2}"
            hint = "up_to rises from step to step; only the last one may leave it out"
            sheet.complain((*trail, "steps", index), "out-of-range", message, hint)


def _check_scope(sheet: Sheet, rule: records.RuleRecord, trail: Trail) -> None:
    """Complain of what can be counted for the trip as a whole only."""
    whole = (
        ((*trail, "of"), "boats are counted", rule.reading.of == "boats"),
        ((*trail[:-1], "counts", "boats"), "boats are counted", rule.counts.boats),
        ((*trail[:-1], "counts", "apart"), "different boats are asked", rule.counts.apart),
    )
    for at, what, asked in whole:
        if asked and rule.reading.scope == PER_BOAT:
            message = f'{what}, and scope is "boat"'
            sheet.complain(at, "scope-too-narrow", message, 'write scope = "trip"')


# --- spreads --------------------------------------------------------------------------------------


def read_spreads(
    files: Sequence[FileSheet[records.SpreadFile]],
    own: FileSheet[records.TripFile] | None,
    shelf: Shelf,
) -> tuple[Spread, ...]:
    """Return the spreads that a trip names, then those it adds."""
    names, spreads = Names("spread"), []
    lists = [(one.sheet, one.record.spread) for one in files]
    if own is not None:
        lists.append((own.sheet, own.record.spread))
    for sheet, read in lists:
        for index, record in enumerate(read):
            names.add(sheet, record.name, "spread", index, "name")
            spreads.append(_read_spread(sheet, record, ("spread", index), shelf))
    return tuple(spreads)


def _read_spread(sheet: Sheet, record: records.SpreadRecord, trail: Trail, shelf: Shelf) -> Spread:
    _check_spread(sheet, record, trail)
    reader = CountsReader(sheet, shelf)
    counts = record.counts
    return Spread(
        name=record.name,
        says=record.says,
        source=record.source,
        lost=record.lost,
        within=record.within,
        counts=None if counts is None else reader.read_counts(counts, (*trail, "counts")),
        count=record.count,
        fits=tuple(
            Fit(
                reader.read_boat_limits(one.boats, (*trail, "fits", index, "boats")),
                reader.read_counts(one.counts, (*trail, "fits", index, "counts")),
            )
            for index, one in enumerate(record.fits)
        ),
        seats=record.seats,
        food_permille=_read_permille(sheet, record.food, (*trail, "food")),
        where=sheet.place(*trail),
    )


def _check_spread(sheet: Sheet, record: records.SpreadRecord, trail: Trail) -> None:
    """Complain unless one thing is asked to be left."""
    given = sheet.find_given(trail)
    said = [key for key in ("counts", "fits", "seats", "food") if given.get(key)]
    if not said:
        message = "nothing is said of what must be left"
        hint = "write counts = { ... }, fits = [...], seats = true or food = 0.5"
        sheet.complain((*trail, "counts"), "missing-key", message, hint)
    for key in said[1:]:
        message = f"{said[0]} says what must be left, and so does {key}"
        sheet.complain((*trail, key), "said-twice", message, "make two rows of them")
    if "count" in record.model_fields_set and "counts" not in said:
        message = "count is a number of what counts, and there is no counts"
        hint = "write counts = { ... }, or leave count out"
        sheet.complain((*trail, "count"), "missing-key", message, hint)


def _read_permille(sheet: Sheet, share: int | Decimal | None, trail: Trail) -> int | None:
    if share is None:
        return None
    permille = share * _PER_MILLE
    if permille != int(permille):
        message = f"food must be in thousandths at the finest, not {share}"
        sheet.complain(trail, "out-of-range", message, "round it")
    return int(permille)
