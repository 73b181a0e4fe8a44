"""The trip page: one file that shows a plan on a telephone, on a desk and on paper.

Everything is inside: style, script, pictures, data. Nothing is computed here but where things are
drawn; templates lay out what other rooms say.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.errors import CAUTION
from kitplan.needs import derive_needs
from kitplan.report.cover import say_answer
from kitplan.report.page.answer import count_days, count_rapids, say_size, write_answer, write_open
from kitplan.report.page.boats import list_cards, list_masses
from kitplan.report.page.duties import DutyCards
from kitplan.report.page.frame import Frame
from kitplan.report.page.people import list_abilities, list_counts, list_people
from kitplan.report.page.rapids import Rapids
from kitplan.report.page.record import make_record
from kitplan.report.page.table import list_cover
from kitplan.units import METRIC

if TYPE_CHECKING:
    from kitplan.decide.counts import Counted
    from kitplan.plan import Plan
    from kitplan.trip import Trip


def render_page(trip: Trip, plan: Plan, counted: Counted | None = None, units: str = METRIC) -> str:
    """Return a plan as a page; `units` are those that it shows first.

    Without `counted` it says how to get who and what counts most. Equal plans give equal bytes.
    """
    frame, needs = Frame(trip), derive_needs(trip)
    rapids = Rapids(frame, trip, needs, plan)
    passages, covered = rapids.make_all(), count_rapids(trip, needs, plan)
    return frame.fill(
        rapids.make_data(),
        trip=trip,
        units=units,
        caution=CAUTION,
        answer=say_answer(needs, plan),
        size=say_size(trip),
        days=count_days(trip, covered),
        covered=covered,
        summary=write_answer(make_record(trip), trip, needs, plan),
        gaps=write_open(make_record(trip), trip, needs, plan),
        passages=passages,
        cover=list_cover(trip, needs, plan, rapids),
        masses=list_masses(trip, plan),
        people=list_people(trip, plan),
        abilities=list_abilities(trip, needs),
        counts=list_counts(trip, counted),
        legs=list_cards(trip, plan),
        duties=DutyCards(trip, needs, plan, rapids.ids).make_all(),
    )
