"""Trips of one rapid with the shipped catalogues, as text a person would write."""

from pathlib import Path

from kitplan.demands import Choice, ChoiceKey, Needs
from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.trip import Trip

HEAD = """\
[trip]
name = "one rapid"
starts = 2027-06-14
catalogs = ["kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml"]
water_temperature = "{water}"
remote = {remote}
accept = {{ wading = "IV", afloat = "V", tethered = "IV", swimming = "IV" }}
everyone_wears = ["life jacket", "helmet", "whistle, pealess", "river knife"]

[[boat]]
name = "Heron"
type = "{boat}"

[[boat]]
name = "Dipper"
type = "{boat}"

[[paddler]]
name = "Ada"
mass = "70 kg"
skills = {{ "oar raft" = 4, throwing = 4, rope = 4, leading = 3 }}

[[paddler]]
name = "Ben"
mass = "80 kg"
skills = {{ "oar raft" = 3, throwing = 2, rope = 2 }}

[[rapid]]
day = 1
name = "Ledge"
class = "{river_class}"
width = "{width} m"
safety = "{safety}"
left = {{ landing = {left}, anchor = true, edge_depth = "{edge}", edge_current = "0.5 m/s" }}
right = {{ landing = {right}, anchor = true, edge_depth = "{edge}", edge_current = "0.5 m/s" }}
eddies = {eddies}
from_left = "{reach} m"
{spot}
scenarios = ["{scenario}"]
{more}
"""

USUAL: dict[str, object] = {
    "more": "",
    "boat": "oar raft 4.9 m",
    "water": "14 degC",
    "remote": "false",
    "river_class": "III",
    "width": 18,
    "safety": "set",
    "left": 2,
    "right": 2,
    "edge": "0.3 m",
    "eddies": 1,
    "reach": 7,
    "spot": 'current = "1.2 m/s"\ndepth = "0.8 m"\nrun_in = "30 m"\nrun_out = "80 m"',
}


def lay(folder: Path, scenario: str, **changes: object) -> tuple[Trip, Needs]:
    """Return the trip of one rapid with `scenario` and some facts changed, and its needs."""
    path = folder / "trip.toml"
    path.write_text(HEAD.format(**(USUAL | changes | {"scenario": scenario})))
    trip, findings = load_trip(path)
    assert trip is not None, [finding.text() for finding in findings]
    return trip, derive_needs(trip)


def look(folder: Path, scenario: str, technique: str, bank: str, **changes: object) -> Choice:
    """Return what became of one technique from one bank ("" from the water)."""
    trip, needs = lay(folder, scenario, **changes)
    spot = next(iter(trip.rapids["Ledge"].spots)).name
    return needs.choices[ChoiceKey("Ledge", spot, scenario, technique, bank)]
