"""Facts of the place and of what was laid down: banks, eddies, order, stations, who sits where."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kitplan import needs as asks
from kitplan.facts.noun import Fact, Sort, Turn
from kitplan.facts.things import TAKE
from kitplan.facts.words import join
from kitplan.needs.words import BANK_WORDS
from kitplan.trip import BANKS, HELD, RESET, OrderTerms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.facts.noun import Asked
    from kitplan.trip import Bank, Trip

PLENTY = 99  # places for boats


def _change_rapid(trip: Trip, asked: Asked, **changes: Any) -> Trip:
    rapid = replace(asked.find_rapid(trip), **changes)
    return replace(trip, rapids={**trip.rapids, rapid.name: rapid})


def _change_bank(trip: Trip, asked: Asked, side: str, **changes: Any) -> Trip:
    bank = replace(asked.find_rapid(trip).bank(side), **changes)
    return _change_rapid(trip, asked, **{side: bank})


def _find_bank(trip: Trip, asked: Asked, side: str) -> Bank:
    return asked.find_rapid(trip).bank(side)


def _say_boats(number: int) -> str:
    return f"{number or 'no'} boat{'' if number == 1 else 's'}"


# --- banks and eddies -----------------------------------------------------------------------------


def _tell_safety(trip: Trip, asked: Asked) -> Iterator[Fact]:
    rapid = asked.find_rapid(trip)
    if rapid.safety != "set" and not _asks_both_ways(trip, asked):
        said = f"{rapid.name} is passed with safety = '{rapid.safety}': nobody is set on a bank"
        yield Fact("safety", "", said, (rapid.where,))


def _relax_safety(trip: Trip, asked: Asked, _subject: str) -> Trip:
    return _change_rapid(trip, asked, safety="set")


def _turn_safety(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    yield Turn("safety set on the banks", _relax_safety(trip, asked, ""))


def _tell_landing(trip: Trip, asked: Asked) -> Iterator[Fact]:
    for side in BANKS:
        bank = _find_bank(trip, asked, side)
        said = f"below, {_say_boats(bank.landing)} can land on {BANK_WORDS[side]}"
        yield Fact("landing", side, said, (bank.where,))


def _relax_landing(trip: Trip, asked: Asked, side: str) -> Trip:
    return _change_bank(trip, asked, side, landing=PLENTY)


def _turn_landing(trip: Trip, asked: Asked, side: str) -> Iterator[Turn]:
    landing = _find_bank(trip, asked, side).landing + 1
    said = f"a landing below for one more boat on {BANK_WORDS[side]}"
    yield Turn(said, _change_bank(trip, asked, side, landing=landing))


def _tell_above(trip: Trip, asked: Asked) -> Iterator[Fact]:
    both = _asks_both_ways(trip, asked)
    before = asks.stations_before(asked.find_rapid(trip))
    for side in BANKS:
        bank = _find_bank(trip, asked, side)
        said = f"from above, no path leads down on {BANK_WORDS[side]}"
        if bank.path:
            boats = _say_boats(bank.landing_above)
            said = f"from above, the crews of {boats} can walk down on {BANK_WORDS[side]}"
        if side in before or not both:
            yield Fact("above", side, said, (bank.where,))


def _asks_both_ways(trip: Trip, asked: Asked) -> bool:
    """Say whether swimmers are to be taken ashore and afloat.

    Then people on a bank above ask for more (`needs.asks_both`), so they are no mere relief.
    """
    return any(v.catch is not None and v.catch.both for v in asked.list_variants(trip))


def _relax_above(trip: Trip, asked: Asked, side: str) -> Trip:
    return _change_bank(trip, asked, side, path=True, landing_above=PLENTY)


def _turn_above(trip: Trip, asked: Asked, side: str) -> Iterator[Turn]:
    bank = _find_bank(trip, asked, side)
    if bank.path:
        said = f"a landing above for one more boat on {BANK_WORDS[side]}"
        yield Turn(said, _change_bank(trip, asked, side, landing_above=bank.landing_above + 1))
    else:
        above = max(1, bank.landing_above)
        said = f"a path down from above on {BANK_WORDS[side]}"
        yield Turn(said, _change_bank(trip, asked, side, path=True, landing_above=above))


def _tell_eddies(trip: Trip, asked: Asked) -> Iterator[Fact]:
    rapid = asked.find_rapid(trip)
    said = f"below, {_say_boats(rapid.eddies)} can wait afloat in eddies"
    yield Fact("eddies", "", said, (rapid.where,))


def _relax_eddies(trip: Trip, asked: Asked, _subject: str) -> Trip:
    return _change_rapid(trip, asked, eddies=PLENTY)


def _turn_eddies(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    eddies = asked.find_rapid(trip).eddies + 1
    yield Turn("room in an eddy for one more boat", _change_rapid(trip, asked, eddies=eddies))


# --- what was laid down ---------------------------------------------------------------------------


def _tell_order(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    if trip.order.boats:
        said = f"the running order is given: {', '.join(trip.order.boats)}"
        yield Fact("order", "", said, (trip.order.where,))


def _relax_order(trip: Trip, _asked: Asked, _subject: str) -> Trip:
    return replace(trip, order=replace(trip.order, boats=()))


def _turn_order(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    yield Turn("any running order", _relax_order(trip, asked, ""))


def _tell_terms(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    order = trip.order
    said = [f"the first boat's steerer has level {order.lead}"] if order.lead else []
    said += [f"something of kind '{kind}' lies in the last boat" for kind in order.sweep]
    if said:
        yield Fact("order terms", "", "; ".join(said), (order.where,))


def _relax_terms(trip: Trip, _asked: Asked, _subject: str) -> Trip:
    return replace(trip, order=OrderTerms(boats=trip.order.boats, where=trip.order.where))


def _turn_terms(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    yield Turn("any first and last boat", _relax_terms(trip, asked, ""))


def _tell_held(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    if trip.stations == HELD:
        said = "each boat waits at one station before its run and one after, whichever boat runs"
        yield Fact("held", "", said, (trip.where,))


def _relax_held(trip: Trip, _asked: Asked, _subject: str) -> Trip:
    return replace(trip, stations=RESET)


def _turn_held(trip: Trip, asked: Asked, _subject: str) -> Iterator[Turn]:
    yield Turn("stations set anew before each boat runs", _relax_held(trip, asked, ""))


def _tell_tied(trip: Trip, asked: Asked) -> Iterator[Fact]:
    leg = asked.find_leg(trip)
    called = {trip.boats[name].called for name in leg.boats}
    for name in leg.paddlers:
        paddler = trip.paddlers[name]
        if paddler.boat in called:
            yield Fact("tied", name, f"{name} is to sit in {paddler.boat}", (paddler.where,))


def _relax_tied(trip: Trip, _asked: Asked, name: str) -> Trip:
    free = replace(trip.paddlers[name], boat=None)
    return replace(trip, paddlers={**trip.paddlers, name: free})


def _turn_tied(trip: Trip, asked: Asked, name: str) -> Iterator[Turn]:
    yield Turn(f"{name} in any boat", _relax_tied(trip, asked, name))


def _tell_companies(trip: Trip, _asked: Asked) -> Iterator[Fact]:
    for number, company in enumerate(trip.companies):
        how = "in one boat" if company.together else "apart"
        said = f"{join(company.paddlers)} sit {how}"
        yield Fact("company", str(number), said, (company.where,))


def _relax_company(trip: Trip, _asked: Asked, number: str) -> Trip:
    """Return the trip with a company of nobody in its place, so that the numbers stay."""
    free = replace(trip.companies[int(number)], paddlers=())
    before, after = trip.companies[: int(number)], trip.companies[int(number) + 1 :]
    return replace(trip, companies=(*before, free, *after))


def _turn_company(trip: Trip, asked: Asked, number: str) -> Iterator[Turn]:
    company = trip.companies[int(number)]
    how = "together" if company.together else "apart"
    said = f"{join(company.paddlers)} not kept {how}"
    yield Turn(said, _relax_company(trip, asked, number))


SORTS = {
    "safety": Sort(_tell_safety, _relax_safety, _turn_safety),
    "landing": Sort(_tell_landing, _relax_landing, _turn_landing),
    "above": Sort(_tell_above, _relax_above, _turn_above),
    "eddies": Sort(_tell_eddies, _relax_eddies, _turn_eddies),
    "order": Sort(_tell_order, _relax_order, _turn_order),
    "order terms": Sort(_tell_terms, _relax_terms, _turn_terms),
    "held": Sort(_tell_held, _relax_held, _turn_held),
    "tied": Sort(_tell_tied, _relax_tied, _turn_tied),
    "company": Sort(_tell_companies, _relax_company, _turn_company),
    **TAKE,
}
