"""A small catalogue and a small trip as people would write them, for tests to spoil.

They hold what the tests need and nothing more; all people, boats and rapids are invented.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from kitplan.errors import Finding
from kitplan.load import load_trip
from kitplan.trip import Trip

Edits: TypeAlias = list[tuple[str, str]]
Cases: TypeAlias = dict[str, tuple[Edits, list[str]]]
"""What is wrong -> how a text is spoilt so, and the lines said of it."""

CATALOG = """\
skill = ["throwing", "rope", "leading", "oar raft", "paddle raft", "kayak"]
certificate = ["swift-water rescue"]
kind = ["line", "carabiner", "paddle", "life jacket", "harness", "helmet", "first aid"]

[figures]
wet_kit = "8 kg"
walk_per_minute = "25 m"
set_safety_per_boat = "9 min"
afloat_safety = "15 min"
throw_reach = ["8 m", "12 m", "16 m", "20 m"]
cross_throw = ["15 m", "20 m"]
line_less = "2 m"
cold_water = "10 degC"
hard_class = "IV"
in_charge_from = 4
in_charge_leading = 2
guide_leading = 2
ferry_steerer = 3
role_wears = ["life jacket", "helmet"]
rope_role_wears = []
source = "made up for tests"

[downstream]
role = { name = "downstream safety", skills = { throwing = 2 } }
items = [{ kind = "line", length = [{ plus = "15 m" }], flags = ["thrown"] }]

[[downstream.crews]]
crafts = ["kayak"]
steerer = 3

[spotter]
name = "spotter"
site = "anywhere"
guest = true

[[scenario]]
name = "swimmer"
consequence = 2
in_time = "1 min"

[[scenario]]
name = "pinned boat"
consequence = 1
in_time = "2 h"
crafts = ["raft"]

[[technique]]
name = "throw-line"
summary = "A thrower with a bag."
source = "made up for tests"
banks = "one"
serves = [{ scenario = "swimmer", tier = 1 }]
ready_in = ["10 s", "30 s"]
place = { reach_at_most = "20 m", eddy = true }
roles = [{ name = "thrower", skills = { throwing = 1 }, throws = true, wears = ["life jacket"] }]
items = [{ kind = "line", length = [{ reach = 1.5, plus = "2 m" }], flags = ["thrown"] }]

[[technique]]
name = "bank-haul"
summary = "Hands on a line."
source = "made up for tests"
banks = "one"
serves = [{ scenario = "pinned boat", tier = 1, depth_at_most = "3 m" }]
hurry = "unhurried"
ready_in = ["20 min", "60 min"]
downstream_safety = { count = 1 }
items = [{ kind = "carabiner", count = 2 }]

[[technique.roles]]
name = "leader"
skills = { rope = 2 }
certificate = "swift-water rescue"

[[technique.ways]]
name = "clipped afloat"
[[technique.ways.boats]]
name = "clipping boat"
crews = [{ crafts = ["kayak"], steerer = 3 }]

[[item]]
name = "throw bag 20 m"
kinds = ["line"]
mass = "1 kg"
length = "20 m"
flags = ["thrown", "floats"]
carried = ["quick"]
bulky = true

[[item]]
name = "throw bag 15 m"
kinds = ["line"]
mass = "550 g"
length = "15 m"
flags = ["thrown"]
carried = ["worn", "quick"]
worn_on = "waist"

[[item]]
name = "locking carabiner"
kinds = ["carabiner"]
mass = "85 g"
strength = "20 kN"
price = "14 EUR"
carried = ["worn", "quick"]
worn_on = "vest"

[[item]]
name = "raft paddle"
kinds = ["paddle"]
mass = "850 g"
carried = ["quick"]
bulky = true

[[item]]
name = "life jacket, river"
kinds = ["life jacket"]
mass = "900 g"
carried = ["worn"]
worn_on = "body"

[[item]]
name = "life jacket, rescue"
kinds = ["life jacket", "harness"]
mass = "1.4 kg"
carried = ["worn"]
worn_on = "body"
vest_room = 8

[[item]]
name = "helmet"
kinds = ["helmet"]
mass = "500 g"
carried = ["worn"]
worn_on = "body"

[[item]]
name = "first-aid kit"
kinds = ["first aid"]
mass = "3.2 kg"
carried = ["stowed", "quick"]
bulky = true

[[boat_type]]
name = "oar raft 4.3 m"
craft = "raft"
skill = "oar raft"
seats = 5
payload = "650 kg"
mass = "115 kg"
least_crew = [1, 1]
steerer = [2, 2, 3, 3, 4, 4]
quick_bulky = 5
quick_small = 12

[[boat_type]]
name = "paddle raft 4.0 m"
craft = "raft"
skill = "paddle raft"
seats = 7
payload = "570 kg"
mass = "57 kg"
least_crew = [5, 6]
steerer = [2, 2, 3, 3, 4, 4]
guests_one_level_up = true
quick_bulky = 3
quick_small = 12
crew_paddle = "raft paddle"

[[boat_type]]
name = "river kayak"
craft = "kayak"
skill = "kayak"
seats = 1
payload = "115 kg"
mass = "21 kg"
least_crew = [1, 1]
steerer = [2, 2, 3, 3, 4, 4]
quick_bulky = 1
quick_small = 4
deck_places = 1
room = 4
"""

TRIP = """\
[trip]
name = "two days"
starts = 2027-06-14
catalogs = ["../catalogs/all.toml"]
water_temperature = "8 degC"
accept = { wading = "III", afloat = "V" }
everyone_wears = ["life jacket, river", "helmet"]

[[boat]]
name = "Heron"
type = "oar raft 4.3 m"
dry_load = "120 kg"

[[boat]]
name = "Wren"
type = "river kayak"

[[paddler]]
name = "Ana"
mass = "68 kg"
skills = { throwing = 3, leading = 3, "oar raft" = 4 }
wears = { "life jacket, rescue" = 1, "locking carabiner" = 2 }
certificates = [{ name = "swift-water rescue", until = 2028-05-01 }]

[[paddler]]
name = "Bo"
mass = "80 kg"
skills = { kayak = 3 }
boat = "Wren"
at_most = "wading"

[[paddler]]
name = "Cy"
mass = "154 lb"

[[kit]]
item = "throw bag 20 m"
count = 3
take = 1

[[kit]]
item = "first-aid kit"
count = 1
take = true

[[rapid]]
day = 1
name = "Sawtooth"
class = "IV+"
width = "18 m"
safety = "set"
left = { landing = 2, path = true, walk = "60 m", anchor = true }
right = { landing = 0, edge_depth = "0.4 m", edge_current = "0.5 m/s" }
eddies = 2

[[rapid.spot]]
name = "the ledge"
from_left = "7 m"
from_right = "11 m"
current = "1.4 m/s"
depth = "0.6 m"
run_in = "30 m"
run_out = "80 m"
scenarios = ["swimmer", "pinned boat"]
likely = 2

[[rapid]]
day = 2
name = "Riffle"
class = "II"
width = "12 m"
safety = "none"
scenarios = ["swimmer"]

[[together]]
paddlers = ["Ana", "Cy"]

[[apart]]
paddlers = ["Ana", "Bo"]
"""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What the loader made of a folder of texts."""

    trip: Trip | None
    findings: list[Finding]

    @property
    def lines(self) -> list[str]:
        """Return the lines of the findings as they are printed."""
        return [line for finding in self.findings for line in finding.text().split("\n")]


def spoil(text: str, *edits: tuple[str, str]) -> str:
    """Return the text with each old part, which must be there once, replaced by its new one."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} is there {text.count(old)} times"
        text = text.replace(old, new)
    return text


def write(
    folder: Path, trip: str | bytes = TRIP, catalog: str | bytes = CATALOG, **more: str | bytes
) -> Path:
    """Write trips/x.toml, catalogs/all.toml and more trips/NAME.csv; return the trip's path."""
    files = {"trips/x.toml": trip, "catalogs/all.toml": catalog}
    files |= {f"trips/{name}.csv": text for name, text in more.items()}
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return Path("trips/x.toml")


def load(
    folder: Path, trip: str | bytes = TRIP, catalog: str | bytes = CATALOG, **more: str | bytes
) -> Loaded:
    """Load the trip from a folder, which must be the current one, so that names are short."""
    return Loaded(*load_trip(write(folder, trip, catalog, **more)))


def reject(trip: str = TRIP, catalog: str = CATALOG) -> list[str]:
    """Return the lines said of texts that make no trip, as `load` reads them here."""
    loaded = load(Path(), trip, catalog)
    assert loaded.trip is None
    return loaded.lines
