"""What it takes to mend a trip, as a sheet: what to get first, then what less money reaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.remedies import BRING, BUY
from kitplan.report.carriage import write_shortfalls
from kitplan.report.cover import write_gaps
from kitplan.report.decisions import say_lost, write_decisions
from kitplan.report.restate import make_sheet, write_units
from kitplan.report.words import count, join
from kitplan.trip.carriage import SPREAD
from kitplan.units import METRIC, show_mass, show_price

if TYPE_CHECKING:
    from kitplan.decide.mend import Mended, Step
    from kitplan.decide.without import Closed
    from kitplan.plan import Plan
    from kitplan.remedies import Mend, Remedy
    from kitplan.report.sheet import Sheet

WIDTH, WITH_DEMANDS = 38, 27
"""Of the column of what to get, so that the table keeps to the width of a sheet."""
NOTHING = "nothing"
_OPEN_STILL = "What is open still, worst first"


def render_mend(mended: Mended, style: str, units: str = METRIC) -> str:
    """Return what it takes to mend a trip as text or Markdown."""
    trip = mended.trip
    sheet = make_sheet(trip, style, units)
    sheet.title(f"{trip.name}: {_say_answer(mended)}")
    _write_made(sheet, mended)
    write_units(sheet, units)
    _write_curve(sheet, mended)
    _write_closed(sheet, mended)
    _write_left(sheet, mended)
    write_decisions(sheet, mended.trip, mended.decisions, on_bare=mended.bare is not None)
    return sheet.finish()


def _say_answer(mended: Mended) -> str:
    """Return what to get and what is covered then."""
    made, totals = mended.made.mend, mended.made.plan.totals
    covered = f"{totals.cases - totals.none} of {count(totals.cases, 'case')} covered"
    if not made.remedies:
        if not made.proven:
            return f"not finished, nothing to get was found so far: {covered}"
        limited = _is_over(mended) or mended.limit.mass_g is not None
        within = "within the limit " if limited else ""
        return f"{within}nothing that has a price helps, {covered}"
    paid = f"{say_price(mended, made.price_cents)} for {say_remedies(made)}"
    return f"{paid}: {covered}{_say_change(mended)}"


def _say_change(mended: Mended) -> str:
    """Return what is otherwise than with nothing bought, in counts; aim 1 to 4, as far as asked."""
    if mended.bare is None:
        return ""
    after, before = mended.made.plan, mended.bare.plan
    now, was = after.totals, before.totals
    said = " as before" if now.none == was.none else f" instead of {was.cases - was.none}"
    changes = [
        (_sum_short(after), _sum_short(before), "short of rules and spreads"),
        (now.one_bank, was.one_bank, "from one bank only"),
    ]
    changes += [(now.met, was.met, "demands met")] if mended.demands else []
    rest = [f"{new} {what} instead of {old}" for new, old, what in changes if new != old]
    return ", ".join([said, *rest])


def _sum_short(plan: Plan) -> int:
    return sum(row.short for row in plan.shortfalls)


def _is_over(mended: Mended) -> bool:
    """Say whether more money than there may be spent reaches more."""
    return mended.goal.mend.remedies != mended.made.mend.remedies


def say_price(mended: Mended, cents: int) -> str:
    """Return a price in the trip's currency."""
    return show_price(cents, mended.trip.market.currency)


def say_remedies(mend: Mend) -> str:
    """Return how many changes of which sort there are."""
    sorts = {one.sort for one in mend.remedies}
    words = [
        count(sum(one.count for one in mend.remedies if one.sort == sort), word)
        for sort, word in ((BUY, "thing"), ("teach", "lesson"))
        if sort in sorts
    ]
    brought = [one for one in mend.remedies if one.sort == BRING]
    words += [f"{count(len(brought), 'more person', 'more people')}"] if brought else []
    return join(words)


def say_remedy(mended: Mended, one: Remedy) -> str:
    """Return one change in words, with its price."""
    price = say_price(mended, one.price_cents)
    if one.sort == BUY:
        each = f" ({say_price(mended, one.price_cents // one.count)} each)" if one.count > 1 else ""
        return f"{one.count} x {one.name}, {price}{each}"
    if one.sort == BRING:
        return f"bring {one.name}, {price}"
    days = next(
        (
            lesson.days
            for lesson in mended.trip.market.lessons
            if (lesson.paddler, lesson.skill, lesson.level) == (one.name, one.skill, one.level)
        ),
        0,
    )
    takes = f" ({count(days, 'day')})" if days else ""
    return f"teach {one.name} {one.skill} {one.level}{takes}, {price}"


# --- what to get ----------------------------------------------------------------------------------


def _write_made(sheet: Sheet, mended: Mended) -> None:
    made = mended.made.mend
    nothing = "Nothing to get" if made.proven else "Nothing to get was found"
    sheet.heading("What to get" if made.remedies else nothing)
    for one in made.remedies:
        sheet.point(say_remedy(mended, one))
    sheet.gap()
    if made.remedies:
        mass = f", and {show_mass(made.mass_g)} more to carry" if made.mass_g else ""
        sheet.say(f"In all {say_price(mended, made.price_cents)}{mass}.{_say_limit(mended)}")
    elif said := _say_limit(mended).strip():
        sheet.say(said)
    sheet.say(_say_gain(mended))
    sheet.say(_say_proof(mended))
    settled = made.values == made.bounds
    write_shortfalls(sheet, mended.made.trip, mended.made.plan, settled=settled)


def _say_limit(mended: Mended) -> str:
    """Return what it was to keep to, if anything."""
    limits = []
    if mended.limit.cents is not None:
        limits.append(f"{say_price(mended, mended.limit.cents)} at the most")
    if mended.limit.mass_g is not None:
        limits.append(f"{show_mass(mended.limit.mass_g)} more at the most")
    return f" It was to be {join(limits)}." if limits else ""


def _say_gain(mended: Mended) -> str:
    """Return what is covered with all of it, beside what is without."""
    after = _say_cover(mended.made.plan, demands=mended.demands)
    if mended.bare is None:
        what = "without any of it no plan keeps the rules" if mended.complete else ""
        what = what or "what is covered without any of it was not found within the limit"
        return f"Then {after}; {what}."
    if not mended.made.mend.remedies:
        return f"As the trip is, {after}."
    before = _say_cover(mended.bare.plan, demands=mended.demands)
    return f"Then {after}; with nothing bought {before}."


def _say_cover(plan: Plan, *, demands: bool) -> str:
    totals = plan.totals
    said = [f"{totals.cases - totals.none} of {totals.cases} cases are covered"]
    said += [f"{totals.one_bank} of them from one bank only"] if totals.one_bank else []
    if demands:
        said.append(f"{totals.met} of {totals.demands} demands met")
    short = _sum_short(plan)
    said += [f"{short} short of rules and spreads"] if short else []
    return ", ".join(said)


def _say_proof(mended: Mended) -> str:
    made = mended.made.mend
    within = " within this limit" if mended.limit != (None, None) else ""
    if made.proven:
        reach = f"Proven: nothing that has a price reaches more{within}"
        return f"{reach}, and nothing cheaper reaches as much."
    if made.values == made.bounds:
        least = say_price(mended, made.least_cents)
        return f"Proven: nothing reaches more{within}. It may be had for less: for {least} or more."
    return f"Not proven: the limit cut in, and more may be reached{within}, or as much for less."


# --- the curve ------------------------------------------------------------------------------------


def _write_curve(sheet: Sheet, mended: Mended) -> None:
    """Write what less and less money reaches."""
    if len(mended.curve) == 1 and not mended.made.mend.remedies:
        return
    sheet.heading("What less money reaches, step by step")
    rows = [_make_row(mended, step) for step in mended.curve]
    widths = [None, WITH_DEMANDS if mended.demands else WIDTH, *([None] * (len(rows[0]) - 2))]
    sheet.table([[*row.values()] for row in rows], [*rows[0]], widths)
    tiers = "; rules: short of law and house rules" if mended.trip.rules else ""
    tiers += "; lost: short if a boat is lost" if mended.trip.spreads else ""
    first = "law, then house rules, then what a lost boat must leave, then " if tiers else ""
    sheet.say(
        f"Cases: covered from anywhere; one bank: those covered from one bank only{tiers}. Each "
        f"row is better than the next one: by {first}what is covered, which goes by weight (class, "
        "consequence, how likely) and not by counts."
    )
    if not mended.complete:
        sheet.say("The limit cut in: steps between these were not looked for.")
    if not all(step.mend.proven for step in mended.curve):
        sheet.say(
            "Where it is not proven, more may be reached for as much, or as much for less; where "
            '"at least" is said, as much for less, but for no less than that.'
        )
    elif mended.complete:
        sheet.say("Between two prices nothing more is reached.")


def _make_row(mended: Mended, step: Step) -> dict[str, str]:
    """Return a step by the heads of the columns."""
    totals, mend = step.plan.totals, step.mend
    row = {
        "price": say_price(mended, mend.price_cents),
        "what to get": "; ".join(_say_short(one) for one in mend.remedies) or NOTHING,
        "cases": f"{totals.cases - totals.none} of {totals.cases}",
        "one bank": str(totals.one_bank),
    }
    lost = sum(short.short for short in step.plan.shortfalls if short.tier == SPREAD)
    if mended.trip.rules:
        row["rules"] = str(_sum_short(step.plan) - lost)
    if mended.trip.spreads:
        row["lost"] = str(lost)
    if mended.demands:
        row["demands"] = f"{totals.met} of {totals.demands}"
    return row | {"": _say_state(mended, mend)}


def _say_state(mended: Mended, mend: Mend) -> str:
    """Return what is proven of a step: all, its values, or nothing."""
    if mend.proven:
        return "proven"
    if mend.values == mend.bounds:
        return f"at least {say_price(mended, mend.least_cents)}"
    return "not proven"


def _say_short(one: Remedy) -> str:
    if one.sort == BUY:
        return f"{one.count} x {one.name}"
    return f"{one.name} comes" if one.sort == BRING else f"{one.name} {one.skill} {one.level}"


# --- what each closes -----------------------------------------------------------------------------


def _write_closed(sheet: Sheet, mended: Mended) -> None:
    """Write what each remedy closes, rapid by rapid."""
    if not mended.closed:
        return
    sheet.heading("What each of these closes")
    sheet.say(
        "What would open without it, with all else packed and seated as here; stations are chosen "
        "anew for it, rapid by rapid. Of several copies all are left out."
    )
    for row in mended.closed:
        sheet.point(f"{say_remedy(mended, row.remedy)}: {_say_closed(mended, row)}")
        for lost in row.lost:
            sheet.point(say_lost(mended.made.trip, lost), 1)
        for short in row.short:
            sheet.point(f"{short.name}: {short.short} short", 1)
    if not all(row.proven for row in mended.closed):
        sheet.say("The limit cut in: with better stations less may open.")


def _say_closed(mended: Mended, row: Closed) -> str:
    if not row.asked:
        return "not asked, the limit cut in"
    said = [f"{count(row.uncovered, 'case')} uncovered"] if row.uncovered else []
    if row.one_bank:
        said.append(f"{row.one_bank if said else count(row.one_bank, 'case')} left with one bank")
    if row.short:
        said.append(f"{sum(one.short for one in row.short)} short of rules and spreads")
    if row.steers:
        said.append(f"nobody aboard could steer {join(row.steers)}")
    if not said and mended.demands:
        return "no case; it is for demands that are met by it"
    return join(said) if said else "nothing by itself: the others close as much, packed as here"


# --- what stays open ------------------------------------------------------------------------------


def _write_left(sheet: Sheet, mended: Mended) -> None:
    """Write what nothing with a price mends, and what has none."""
    goal, over = mended.goal, _is_over(mended)
    best = goal.mend.values == goal.mend.bounds
    if over:
        price = say_price(mended, goal.mend.price_cents)
        reached = _say_cover(goal.plan, demands=mended.demands)
        sheet.heading("What more money reaches")
        sheet.say(f"For {price} (see the table) {reached}.")
        if goal.plan.shortfalls:
            write_shortfalls(sheet, goal.trip, goal.plan, settled=best)
    if mended.left.gaps or goal.needs.without_technique:
        mass_g = mended.limit.mass_g
        light = "" if mass_g is None else f" within {show_mass(mass_g)}"
        head = f"What nothing with a price mends{light}" if best else _OPEN_STILL
        write_gaps(sheet, goal.trip, goal.needs, mended.left, head)
    else:
        sheet.heading("Nothing stays open then" if not over else "Nothing would stay open then")
    if mended.unpriced:
        sheet.gap()
        sheet.say(
            f"Asked for there and left out, since it has no price: {join(mended.unpriced)}. With "
            "one in [[offer]] or [[lesson]] things and lessons are taken in."
        )
