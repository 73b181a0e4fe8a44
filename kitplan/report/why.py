"""Why something is not met, as a sheet: the answer first, then what makes it so, what turns it."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from kitplan.decide.answers import (
    AS_PLANNED,
    MET,
    NOT_MET,
    POSSIBLE,
    REFUSED,
    TOGETHER,
    UNKNOWN,
)
from kitplan.report.duties import list_duties, say_places
from kitplan.report.moves import say_gain, say_shift
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import BANK_NAMES, count, join, say_running
from kitplan.units import METRIC

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.decide.answers import Moved, Told, Why
    from kitplan.errors import Place
    from kitplan.report.sheet import Sheet
    from kitplan.solve.reasons import Reasons

MOST_TOLD = 12  # facts, where it is not known that all of them are needed
VERDICTS = {
    MET: "met",
    POSSIBLE: "possible at this rapid by itself",
    AS_PLANNED: "possible, but not as planned",
    TOGETHER: "not met, and it costs something else",
    NOT_MET: "not met",
    REFUSED: "no accepted technique",
    UNKNOWN: "not proven",
}
"""Verdicts in the words of a title, in the order in which they are counted."""


def render_why(why: Why, style: str, units: str = METRIC) -> str:
    """Return the answers as text or Markdown."""
    sheet = make_sheet(why.trip, style, units)
    sheet.title(f"{join(dict.fromkeys(t.question.rapid for t in why.answers))}: {_sum_up(why)}")
    write_units(sheet, units)
    sheet.say(_say_given(why))
    for told in why.answers:
        sheet.heading(_say_question(why, told))
        _write_answer(sheet, why, told)
    if why.stopped:
        sheet.gap()
        sheet.say(
            "The limit cut in: what is not proven may be answered with a longer --time-limit."
        )
    return sheet.finish()


def _sum_up(why: Why) -> str:
    """Return the verdicts with how many cases or demands they are about."""
    counts = Counter[str]()
    for told in why.answers:
        counts[told.verdict] += len(told.running)
    if len(counts) == 1:
        return VERDICTS[next(iter(counts))]
    return ", ".join(f"{counts[one]} {said}" for one, said in VERDICTS.items() if counts[one])


def _say_given(why: Why) -> str:
    """Return who there is, and what the question was put to."""
    leg = why.trip.leg_of(why.answers[0].question.rapid)
    rapid = why.trip.rapids[why.answers[0].question.rapid]
    people = count(len(leg.paddlers), "person", "people")
    party = f"{people} in {count(len(leg.boats), 'boat')}"
    if len(rapid.boats) < len(leg.boats):
        party += f", of which {len(rapid.boats)} pass together"
    open_ = "asked of the trip, with all seats, packing and stations open"
    asked = "asked of the plan" if why.plan is not None else open_
    return f"Day {rapid.day}, class {rapid.class_text}; {party}; {asked}."


def _say_question(why: Why, told: Told) -> str:
    asked = told.question
    what = f" by {asked.technique}" if asked.technique else ""
    bank = f" from {BANK_NAMES[asked.bank]}" if asked.bank or asked.technique else ""
    asks = (*asked.choices, *asked.refused)
    if bank and not asked.technique and any(not choice.key.bank for choice in asks):
        bank += " or the water"
    while_what = say_running(told.running, why.trip.rapids[asked.rapid].boats)
    return f"{asked.spot}: {asked.scenario}{what}{bank}, {while_what}"


def _write_answer(sheet: Sheet, why: Why, told: Told) -> None:
    if told.verdict == REFUSED:
        sheet.say("Not met: no technique fits there and is accepted.")
        _write_refused(sheet, told)
    elif told.verdict == UNKNOWN:
        sheet.say("Not proven: the limit cut in before it was known whether it could be done.")
    elif told.verdict == NOT_MET:
        sheet.say("Not met, and it could not be, whatever is packed where and whoever sits where.")
        if told.reasons is not None and not told.reasons.facts:
            sheet.say(_say_too_few(why, told))
        else:
            _write_reasons(sheet, told.reasons, "These facts make it so")
        _write_turns(sheet, told, "")
        if told.question.refused:
            sheet.gap()
            sheet.say("What does not count there anyway:")
            _write_refused(sheet, told)
    elif told.verdict == MET:
        sheet.say(f"Met by {_say_way(told)}.")
        _write_witness(sheet, told)
    else:
        _write_possible(sheet, why, told)


def _say_too_few(why: Why, told: Told) -> str:
    """Return how many people the least way takes, where nothing but their number is in the way."""
    ways = [way for choice in told.question.choices for way in choice.variants]
    least = min(
        sum(slot.count for slot in way.persons) + sum(slot.count for slot in way.boats)
        for way in ways
    )
    leg = why.trip.leg_of(told.question.rapid)
    people = count(len(leg.paddlers), "person", "people")
    party = f"{people} in {count(len(leg.boats), 'boat')}"
    said = f"{party} can't do it, whatever they know and have"
    if least:
        takes = count(least, "person", "people")
        said += f": any way takes {takes} or more, besides the crew of the boat in trouble"
        if any(one.guest for one in why.trip.list_party(leg).values()):
            said += " and whoever minds the guests"
    return f"{said}."


def _write_refused(sheet: Sheet, told: Told) -> None:
    """Write what speaks against each technique from each bank that would not do."""
    for choice in told.question.refused:
        bank = f" from {BANK_NAMES[choice.key.bank]}" if choice.key.bank else ""
        verdict = choice.verdict
        reasons = "; ".join(choice.reasons)
        if choice.accepted:
            verdict = "fits"
            reasons = "but it frees nobody, or does not hold for this boat"
        sheet.point(f"{choice.key.technique}{bank}: {verdict}{f' ({reasons})' if reasons else ''}")


def _write_possible(sheet: Sheet, why: Why, told: Told) -> None:
    """Write how it could be done at this rapid alone, and with a plan, what is in the way."""
    if why.plan is None:
        sheet.say(
            f"It can be met at this rapid by itself, by {_say_way(told)}; whether that goes "
            "together with the other rapids is what `kitplan plan` decides. For example:"
        )
        _write_witness(sheet, told)
        crews = (f"{boat}: {join(crew)}" for boat, crew in told.crew)
        sheet.point(f"the boats, in the order in which they run: {'; '.join(crews)}")
        for boat, paddler in told.twice:
            sheet.point(f"{paddler} rows twice: takes {boat} down as well")
        return
    _write_trade(sheet, told)
    _write_decided(sheet, why, told)
    sheet.gap()
    sheet.say(f"At this rapid by itself it could be done by {_say_way(told)}, for example:")
    _write_witness(sheet, told)


def _write_trade(sheet: Sheet, told: Told) -> None:
    """Write whether it goes together with what the plan covers and keeps."""
    if told.verdict == TOGETHER:
        sheet.say("Not met: it could be done at this rapid, but not with all else that is kept.")
        _write_reasons(sheet, told.reasons, "These can't be kept together with it")
        if told.nothing_else:
            sheet.say(
                "No skill, kit, room or landing more would mend that: it can only be had instead "
                "of what is named here."
            )
        _write_turns(sheet, told, ", with what is named here kept")
    elif told.open_end:
        sheet.say(
            "Not met in this plan. Whether it goes together with all that the plan covers is not "
            "proven: the limit cut in."
        )
    else:
        sheet.say(
            "Not met in this plan, but it goes together with all that the plan covers and with the "
            "rules on what is carried: another plan as good in that has it."
        )


def _write_decided(sheet: Sheet, why: Why, told: Told) -> None:
    """Write what of the plan is in the way, and what one move alone does."""
    sheet.gap()
    if told.decided is None or _is_no_help(told.decided):
        sheet.say("What of the plan is in the way was not found in time.")
        return
    _write_reasons(sheet, told.decided, "Whatever else of this plan is changed, this is in the way")
    for moved in told.moves:
        sheet.point(f"enough alone: {_say_moved(why, moved)}")
    if not told.moves and told.decided.facts:
        sheet.say("One of these changed alone is not enough: more of the plan has to change.")


def _say_moved(why: Why, moved: Moved) -> str:
    said = [say_shift(why.trip, shift) for shift in moved.shifts]
    if moved.waits:
        said.append(f"{moved.fact.subject} waits {moved.waits}")
    gain = say_gain(why.trip, why.plan, moved.plan) if why.plan is not None else ""
    return f"{join(said)}; with that {gain or 'as many cases and demands are met'}"


def _write_reasons(sheet: Sheet, reasons: Reasons | None, lead: str) -> None:
    if reasons is None or _is_no_help(reasons):
        sheet.say("What makes it so was not found in time.")
        return
    sure = "none can be left out" if reasons.irreducible else "perhaps not all are needed"
    sheet.say(f"{lead} ({sure}):")
    for fact in reasons.facts:
        where = say_where(fact.where)
        sheet.point(f"{fact.said}{f' ({where})' if where else ''}")


def _is_no_help(reasons: Reasons) -> bool:
    """Say whether the limit cut in so soon that most facts were not tried yet."""
    return not reasons.irreducible and len(reasons.facts) > MOST_TOLD


def _write_turns(sheet: Sheet, told: Told, kept: str) -> None:
    sheet.gap()
    if told.turns:
        sheet.say(f"Any one of these turns it, each solved anew{kept}:")
        for turn in told.turns:
            all_kept = "; all else that the plan covers and keeps can stay with it"
            sheet.point(f"{turn}{all_kept if turn in told.all_kept else ''}")
    elif told.tried:
        tried = count(told.tried, "single change was", "single changes were")
        sheet.say(f"{tried} tried, each solved anew{kept}; none turns it.")


def _say_way(told: Told) -> str:
    if told.result is None:
        return "some technique"
    key = told.result.key
    bank = f" from {BANK_NAMES[key.bank]}" if key.bank else ""
    return f"{key.technique}{bank}"


def _write_witness(sheet: Sheet, told: Told) -> None:
    for line in say_places(list_duties(told.result)) if told.result else ():
        sheet.point(line)


def say_where(places: Iterable[Place]) -> str:
    """Return files with their lines, each file once: "trip.toml:12, 15; house.toml:3"."""
    lines: dict[str, list[str]] = {}
    for place in places:
        lines.setdefault(place.file, []).append(str(place.line) if place.line else "")
    return "; ".join(
        f"{file}:{', '.join(found)}" if any(found) else file for file, found in lines.items()
    )
