"""A small file of rules, one of spreads, and a trip that names both, for tests to spoil."""

from collections.abc import Mapping
from pathlib import Path

from kitplan.load import load_trip
from tests.inputs.texts import CATALOG, TRIP, Loaded, spoil, write

RULES = """\
[set]
name = "Somewhere"
title = "River Rules 2020 of Somewhere"
country = "Nowhere"

[[rule]]
id = "S 1"
says = "each boat carries a throw bag of 15 m"
source = "River Rules 2020, section 1"
dated = "2020"
status = "primary text read"
tier = "law"
counts = { kinds = ["line"], length = "15 m", flags = ["thrown"] }
reading = { scope = "boat", count = 1 }
boats = { crafts = ["raft"], skills = ["oar raft"] }

[[rule]]
id = "S 2"
says = "from class III a spare life jacket for each ten persons or part"
source = "River Rules 2020, section 2"
dated = "2020"
status = "second-hand copy"
tier = "law"
counts = { kinds = ["life jacket"], spare = true }
reading = { scope = "trip", for_each = 10, of = "persons", part_counts = true }
when = { class_from = "III", water_below = "15 degC" }

[[reminder]]
id = "S 3"
says = "a rescue plan is carried"
source = "River Rules 2020, section 3"
dated = "2020"
status = "from memory"
"""
SPREADS = """\
[[spread]]
name = "first aid"
says = "a first-aid kit is left"
lost = "boat"
counts = { kinds = ["first aid"] }

[[spread]]
name = "food"
says = "half the food is left"
lost = "boat"
food = 0.5
"""
RULED = (
    spoil(
        TRIP,
        (
            "water_temperature",
            'rules = ["../rules/a.toml"]\nspreads = ["../rules/spreads.toml"]\nwater_temperature',
        ),
    )
    + """
[[rule]]
id = "own 1"
says = "a carabiner for each guide, in his boat"
counts = { kinds = ["carabiner"] }
reading = { scope = "boat", for_each = 1, of = "guides" }
"""
)
FILES = {"x": RULED, "all": CATALOG, "a": RULES, "spreads": SPREADS}
"""The texts by the names of their files."""


def load_ruled(texts: Mapping[str, str]) -> Loaded:
    """Load the trip of texts by name, in the current folder; those not given are as in FILES."""
    every = {**FILES, **texts}
    path = write(Path(), every.pop("x"), every.pop("all"))
    Path("rules").mkdir(exist_ok=True)
    for name, text in every.items():
        (Path("rules") / f"{name}.toml").write_text(text)
    return Loaded(*load_trip(path))
