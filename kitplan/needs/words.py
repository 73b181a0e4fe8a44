"""What a slot asks for, in words: no computation, shared by check, explain and report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.units import show_length

if TYPE_CHECKING:
    from kitplan.demands import Ask, BoatOption, BoatSlot, CatchSlot, Thing

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
