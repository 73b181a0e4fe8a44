"""What a slot asks for and passages are called: no computation, shared by all that says it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.trip import AT_FLOW
from kitplan.trip.carriage import BOATS, PER_BOAT
from kitplan.units import show_length

if TYPE_CHECKING:
    from kitplan.demands import Ask, BoatOption, BoatSlot, CatchSlot, Thing
    from kitplan.trip import Rapid, Reading

ALLOWED = {
    "wading": "allowed to wade",
    "tethered": "allowed on a tether",
    "swimming": "allowed to swim",
}
BANK_WORDS = {"left": "river left", "right": "river right"}
# What is short where swimmers are not all taken: with what each piece would take one more.
NO_THROWER = "thrower with a bag of his own ashore"
NO_BOAT = "boat afloat with a free place"
NO_PLACE = "place for a swimmer (a thrower with a bag of his own, or a free place afloat)"
FLAG_WORDS = {
    "thrown": "to be thrown",
    "across": "to lie across",
    "haul": "fit to haul",
    "floats": "that floats",
}


def strip_flow(rapid: Rapid) -> str:
    """Return the name of a passage without its flow: "Tollbooth with Heron, Dipper"."""
    return rapid.name.removesuffix(f" {AT_FLOW[rapid.flow]}") if rapid.flow else rapid.name


def say_ask(ask: Ask) -> str:
    """Return what a person must be able to, "rope 2, throwing 3"; "" if anybody will do."""
    said = [f"{skill} {level}" for skill, level in ask.skills]
    if ask.steers:
        said.append(" or ".join(f"{skill} {level}" for skill, level in ask.steers))
    if ask.certificate:
        said.append(f"a valid {ask.certificate} certificate")
    if "harness" in ask.wears:
        said.append("a release harness worn")
    if ask.exposure in ALLOWED:
        said.append(ALLOWED[ask.exposure])
    return ", ".join(said)


def say_thing(thing: Thing, *, length: bool = True) -> str:
    """Return what a thing must be beyond its kind, "24 m or longer, to be thrown"."""
    said = [f"{show_length(thing.least_mm)} or longer"] if length and thing.least_mm else []
    said += [FLAG_WORDS[flag] for flag in thing.flags]
    if thing.whole:
        said.append("in one piece")
    if thing.spare:
        said.append("not a crew paddle")
    return ", ".join(said)


def say_work(slot: BoatSlot) -> str:
    """Return what boat a work takes, "afloat: a kayak with steerer 3, or a raft with ..."."""
    return f"{' or '.join(slot.stations)}: " + ", or ".join(_say_option(o) for o in slot.options)


def say_catch(slot: CatchSlot) -> list[str]:
    """Return who takes swimmers: a line for each bank, and one for boats afloat."""
    said = [
        f"{BANK_WORDS[one.site]}: each {one.role}{_bracket(say_ask(one.ask))} with a "
        f"{one.bag.kind}{_bracket(say_thing(one.bag))} of his own takes one"
        for one in slot.ashore
    ]
    if slot.options:
        boats = ", or ".join(_say_option(option) for option in slot.options)
        said.append(f"afloat: {boats} takes as many as it has free places")
    if slot.both:
        said.append("at least one each way, once boats can be at both")
    return said


def say_reading(reading: Reading) -> str:
    """Return how a rule counts, "at least 1 for each 10 persons or part, in the trip"."""
    where = "in each boat" if reading.scope == PER_BOAT else "in the trip"
    counted = _say_counted(reading)
    if reading.steps:
        first, *others = reading.steps
        said = [f"{first.count} up to {first.up_to} {counted}"]
        said += [f"{s.count} up to {s.up_to}" if s.up_to else f"{s.count} above" for s in others]
        return f"{reading.bound} {', '.join(said)}, {where}"
    if reading.for_each is None:
        return f"{reading.bound} {reading.count} {where}"
    part = " or part" if reading.part_counts and reading.for_each > 1 else ""
    each = "" if reading.for_each == 1 else f"{reading.for_each} "
    least = f", no fewer than {reading.least}" if reading.least else ""
    return f"{reading.bound} {reading.count} for each {each}{counted}{part}, {where}{least}"


def _say_counted(reading: Reading) -> str:
    """Return what a rule goes by, in the plural but for "each" one."""
    one = reading.for_each == 1
    if reading.of == BOATS:
        return "boat" if one else "boats"
    who = reading.who
    word = "guest" if who.guest else "guide" if who.guide else "person"
    said = [f"{skill} {level}" for skill, level in who.skills]
    if who.certificate:
        said.append(f"a valid {who.certificate} certificate")
    return f"{word if one else word + 's'}{' with ' if said else ''}{', '.join(said)}"


def _bracket(said: str) -> str:
    return f" ({said})" if said else ""


def _say_option(option: BoatOption) -> str:
    said = [f"a {' or '.join(option.crafts)} with steerer {option.steerer}"]
    for person in option.persons:
        ask = say_ask(person.ask)
        said.append(f"{person.count} more for '{person.role}'" + (f" ({ask})" if ask else ""))
    for item in option.items:
        thing = say_thing(item.thing)
        said.append(f"{item.count} {item.thing.kind}" + (f" ({thing})" if thing else ""))
    if option.free_places:
        said.append(f"{option.free_places} free place")
    return ", ".join(said)
