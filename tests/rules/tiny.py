"""Tiny trips for the rule families, as somebody would write them, and what is changed in them.

Unless changed: two rafts of five seats; Ana and Bo steer, Cy and Dee throw; two bags of 1 kg; one
usable bank of a class II rapid where somebody may swim.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tests.inputs.texts import CATALOG, load, spoil

if TYPE_CHECKING:
    from pathlib import Path

    from kitplan.trip import Trip

Edit = tuple[str, str]
RAFT, KAYAK = "oar raft 4.3 m", "river kayak"
STEERS, THROWS = '"oar raft" = 3', "throwing = 2"
BOTH = f"{STEERS}, {THROWS}"

HEAD = """\
[trip]
name = "tiny"
starts = 2027-06-14
catalogs = ["../catalogs/all.toml"]
water_temperature = "12 degC"
accept = { wading = "III", afloat = "V" }
everyone_wears = ["life jacket, river", "helmet"]
"""

RIVER = """\
[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "set"
left = { landing = 3, path = true, eddy = true }
right = { landing = 0, eddy = true }
eddies = 0
scenarios = ["swimmer"]
"""


@dataclass(frozen=True)
class Tiny:
    """A tiny trip: boat -> type, paddler -> skills, item -> copies; the rest as text."""

    boats: dict[str, str] = field(default_factory=lambda: {"Heron": RAFT, "Teal": RAFT})
    people: dict[str, str] = field(
        default_factory=lambda: {"Ana": STEERS, "Bo": STEERS, "Cy": THROWS, "Dee": THROWS}
    )
    own: dict[str, str] = field(default_factory=dict)  # paddler -> further lines
    kit: dict[str, str] = field(default_factory=lambda: {"throw bag 20 m": "count = 2"})
    head: tuple[Edit, ...] = ()
    river: tuple[Edit, ...] = ()
    more: str = ""
    catalog: tuple[Edit, ...] = ()
    types: str = ""

    def text(self) -> str:
        """Return the trip as somebody would write it."""
        boats = [
            f'[[boat]]\nname = "{name}"\ntype = "{kind}"\n' for name, kind in self.boats.items()
        ]
        people = [
            f'[[paddler]]\nname = "{name}"\nmass = "70 kg"\nskills = {{ {skills} }}\n'
            f"{self.own.get(name, '')}\n"
            for name, skills in self.people.items()
        ]
        kit = [f'[[kit]]\nitem = "{name}"\n{lines}\n' for name, lines in self.kit.items()]
        return "".join(
            [spoil(HEAD, *self.head), *boats, *people, *kit, spoil(RIVER, *self.river), self.more]
        )


def odd_raft(
    seats: int = 5,
    payload: str = "650 kg",
    least: int = 1,
    bulky: int = 5,
    small: int = 12,
    *,
    more: str = "",
) -> str:
    """Return a boat type for Teal that differs from Heron's in what is given."""
    return f"""
[[boat_type]]
name = "odd raft"
craft = "raft"
skill = "oar raft"
seats = {seats}
payload = "{payload}"
mass = "115 kg"
least_crew = [{least}, {least}]
steerer = [2, 2, 3, 3, 4, 4]
quick_bulky = {bulky}
quick_small = {small}
{more}
"""


def company(kind: str, *names: str) -> str:
    """Return people to be kept together or apart."""
    quoted = ", ".join(f'"{name}"' for name in names)
    return f"[[{kind}]]\npaddlers = [{quoted}]\n"


BASE = Tiny()
ODD = replace(BASE, boats={"Heron": RAFT, "Teal": "odd raft"})
THREE = Tiny(
    boats=dict.fromkeys(("Heron", "Teal", "Coot"), RAFT),
    people=dict.fromkeys(("Ana", "Bo", "Cy"), BOTH),
    kit={"throw bag 20 m": "count = 3"},
)
FOUR = Tiny(
    boats=dict.fromkeys(("Heron", "Teal", "Coot", "Smew"), RAFT),
    people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee"), BOTH),
    kit={"throw bag 20 m": "count = 4"},
)
TWO_BANKS: Edit = ("right = { landing = 0", "right = { landing = 3")
BOTH_PATHS: Edit = ("right = { landing = 0", "right = { landing = 3, path = true")
NO_PATH: Edit = ("landing = 3, path = true", "landing = 3")  # only who has run is on the bank
RESETS: Edit = ("accept =", 'stations = "reset"\naccept =')

# A rate there must be; with water from the river this one comes to nothing.
NO_RATE = """
[[container]]
name = "canister"
mass = "1 kg"
volume = "24 L"
holds = "20 L"

[[store_rate]]
name = "drinking water"
kind = "line"
amount = "3 L"
litre = "1 kg"
container = "canister"
use = "in common"
water = "carried"
source = "made up for tests"
"""

LINE = 'items = [{ kind = "line", length = [{ reach = 1.5, plus = "2 m" }], flags = ["thrown"] }]'
THROWER = (
    'roles = [{ name = "thrower", skills = { throwing = 1 }, throws = true, '
    'wears = ["life jacket"] }]'
)
ONE_BANK = 'banks = "one"\nserves = [{ scenario = "swimmer", tier = 1 }]'
PLACE = 'place = { reach_at_most = "20 m", eddy = true }'
BAG_20 = 'flags = ["thrown", "floats"]\ncarried = ["quick"]'
BAG_15 = 'flags = ["thrown"]\ncarried = ["worn", "quick"]\nworn_on = "waist"'
CARABINER = 'price = "14 EUR"\ncarried = ["worn", "quick"]'
STOWED: Edit = (BAG_20, BAG_20.replace("quick", "stowed"))
# Unhurried work with bags as stiff as poles, stowed.
LONG: tuple[Edit, ...] = (
    (BAG_20, BAG_20.replace("quick", "stowed") + '\npacked_length = "1.5 m"'),
    (PLACE, f'hurry = "unhurried"\n{PLACE}'),
)
SMALL: Edit = (BAG_15, 'flags = ["thrown"]\ncarried = ["quick"]')
WAIST: Edit = (BAG_15, BAG_15.replace(', "quick"', ""))
CLIPPED: tuple[Edit, ...] = (
    (LINE, LINE.replace("items = [", 'items = [{ kind = "carabiner" }, ')),
    (CARABINER, CARABINER.replace(', "quick"', "")),
)
RESCUE_VEST = 'wears = { "life jacket, rescue" = 1 }'


# A second thrower where more people sit in the running boat than the figure, 2 if it is not said.
TWO_IF_CROWDED: Edit = (THROWER, THROWER.replace('"thrower",', '"thrower", count_crowded = 2,'))
SOURCE = 'source = "made up for tests"\n\n[downstream]'


def few(count: int) -> Edit:
    """Return up to how many people in the running boat are few."""
    return SOURCE, f"crowded_over = {count}\n{SOURCE}"


def lines(count: int) -> Edit:
    """Return that a throw asks for so many lines."""
    return LINE, LINE.replace('kind = "line"', f'kind = "line", count = {count}')


def work(name: str, count: int = 1) -> str:
    """Return a boat's work for so many kayaks that wait afloat."""
    crews = '[{ crafts = ["kayak"], steerer = 3 }]'
    return f'{{ name = "{name}", count = {count}, stations = ["afloat"], crews = {crews} }}'


def from_the_water(*works: str) -> tuple[Edit, ...]:
    """Return that throwing is kayaks' work instead, nobody standing on a bank."""
    return (
        (ONE_BANK, ONE_BANK.replace('"one"', '"none"')),
        (f"{PLACE}\n{THROWER}\n{LINE}", f"boats = [{', '.join(works)}]"),
    )


def kayaks(count: int, eddies: int, *works: str) -> Tiny:
    """Return so many kayaks and eddies, and what the kayaks are to do."""
    names = ("Wren", "Tern", "Knot", "Ruff")[:count]
    return Tiny(
        boats=dict.fromkeys(names, KAYAK),
        people=dict.fromkeys(("Ana", "Bo", "Cy", "Dee")[:count], "kayak = 3"),
        kit={},
        river=(("eddies = 0", f"eddies = {eddies}"),),
        catalog=from_the_water(*works),
    )


# All in the running boat are taken: by throwers with a line of 11 m, or by boats afloat.
CATCH = (
    "catch = { thrower = { skills = { throwing = 1 }, throws = true }, "
    f"bag = {{ {LINE.removeprefix('items = [{ ').removesuffix(' }]')} }}, "
    'crews = [{ crafts = ["raft", "kayak"], steerer = 3 }] }'
)
GATHER: tuple[Edit, ...] = (
    (ONE_BANK, ONE_BANK.replace('"one"', '"none"')),
    (
        f"{PLACE}\n{THROWER}\n{LINE}",
        CATCH,
    ),
)

PICK_UP = f"""
[[technique]]
name = "pick-up"
summary = "A kayak picks the swimmer up."
source = "made up for tests"
banks = "none"
serves = [{{ scenario = "swimmer", tier = 2 }}]
ready_in = ["10 s", "30 s"]
boats = [{work("pick-up")}]
"""

WAYS: tuple[Edit, ...] = (
    (
        LINE,
        '[[technique.ways]]\nname = "with a line"\n'
        + LINE
        + '\n[[technique.ways]]\nname = "with a paddle"\nitems = [{ kind = "paddle" }]',
    ),
)

WATER = replace(
    kayaks(2, 1), river=(TWO_BANKS, ("eddies = 0", "eddies = 1")), catalog=(), types=PICK_UP
)


# Wren's paddler throws and picks up; of the rafts' steerers one throws. The order is given.
TORN = Tiny(
    boats={"Wren": KAYAK, "Heron": RAFT, "Teal": RAFT},
    people={"Ana": f"kayak = 3, {THROWS}", "Bo": STEERS, "Cy": BOTH},
    river=(("eddies = 0", "eddies = 1"),),
    more='[order]\nboats = ["Wren", "Heron", "Teal"]\n',
    types=PICK_UP,
)


# Class III asks for 3 in an oar raft: Ana alone can row it, and Bo what is easier. A path of 130 m
# leads back up.
WEAK = replace(
    BASE,
    people={"Ana": STEERS, "Bo": '"oar raft" = 2', "Cy": THROWS, "Dee": THROWS},
    river=(('class = "II"', 'class = "III"'), ("path = true", 'path = true, walk = "130 m"')),
)
# Ana is one of two who throw.
MISSED = replace(WEAK, people={"Ana": f"{STEERS}, {THROWS}", "Bo": '"oar raft" = 2', "Cy": THROWS})


def read_tiny(folder: Path, tiny: Tiny) -> Trip:
    """Return a tiny trip as the loader reads it from a folder, which must be the current one."""
    loaded = load(folder, tiny.text(), spoil(CATALOG, *tiny.catalog) + tiny.types)
    assert loaded.trip is not None, loaded.lines
    return loaded.trip
