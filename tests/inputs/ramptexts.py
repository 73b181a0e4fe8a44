"""A trip for loads written by hand: two boats, three days in two legs, kit and stores; and a load.

By hand from the texts of `stowed`; added are kit that may lie in two ways, a tent of the party's
own beside those of the camp, a rapid of three flows, and one that the boats pass apart.
"""

from pathlib import Path

from kitplan.ramp import RampLoad
from kitplan.rampfile import load_ramp
from kitplan.trip import Trip
from tests.inputs.stowed import load_stowed
from tests.inputs.texts import Loaded

MORE = """\
brings = ["food", "drinking water"]

[[kit]]
item = "throw bag 15 m"
count = 2

[[kit]]
item = "first-aid kit"
count = 1
to = 2

[[kit]]
item = "tent"
count = 1

[[rapid]]
day = 1
name = "Chute"
class = "III"
width = "12 m"
safety = "none"
scenarios = ["swimmer"]
high = { class = "IV" }

[[rapid]]
day = 3
name = "Ledge"
class = "II"
width = "12 m"
safety = "none"
scenarios = ["swimmer"]
groups = [["Heron"], ["Dipper"]]
"""
HEADER = "boat,from_day,row,name,count,carried,worn_by,rapid,flow,while,lot"
SEATS = """\
Heron,1,seat,Ana,,,,,,,
Dipper,1,seat,Bo,,,,,,,
"""
LATER = """\
Heron,3,seat,Ana,,,,,,,
Heron,3,seat,Cy,,,,,,,
Dipper,3,seat,Bo,,,,,,,
"""
ORDER = """\
Heron,1,order,1,,,,,,,
Dipper,1,order,2,,,,,,,
"""


def make_trip(*edits: tuple[str, str]) -> Trip:
    """Return the trip, with edits of its text, written to the current folder."""
    return load_stowed(('brings = ["food", "drinking water"]\n', MORE), *edits)


def read(
    trip: Trip, text: str | bytes, name: str = "load.csv"
) -> tuple[RampLoad | None, list[str]]:
    """Return the load of a text and the lines said of it."""
    path = Path(name)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    load, findings = load_ramp(path, trip)
    return load, Loaded(None, findings).lines


def accept(trip: Trip, text: str, name: str = "load.csv") -> RampLoad:
    """Return the load of a text of which nothing is said."""
    load, lines = read(trip, text, name)
    assert lines == []
    assert load is not None
    return load
