"""The catalogues that come with the program load without a finding, from any folder."""

import re
from pathlib import Path

import pytest

from kitplan.load import load_trip
from kitplan.load.files import make_source
from tests.inputs.texts import Loaded

SHIPPED = ["kitplan:techniques.toml", "kitplan:gear.toml", "kitplan:boats.toml"]
TRIP = f"""\
[trip]
name = "a day out"
starts = 2027-06-14
catalogs = {SHIPPED}
water_temperature = "54 degF"
everyone_wears = ["life jacket", "helmet", "whistle, pealess"]

[[boat]]
name = "Heron"
type = "oar raft 4.3 m"

[[paddler]]
name = "Ana"
mass = "68 kg"
skills = {{ "oar raft" = 3 }}

[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "set"
scenarios = ["swimmer"]
"""


def load_shipped(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Loaded:
    monkeypatch.chdir(folder)
    path = Path("x.toml")
    path.write_text(TRIP)
    return Loaded(*load_trip(path))


def test_shipped_catalogues_load(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    loaded = load_shipped(tmp_path, monkeypatch)
    assert loaded.lines == []
    assert loaded.trip is not None
    assert [source.file for source in loaded.trip.sources] == ["x.toml", *SHIPPED]


def test_every_table_of_the_shipped_files_becomes_a_noun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Counted in the text by its headings, so that a name lost on the way shows."""
    trip = load_shipped(tmp_path, monkeypatch).trip
    assert trip is not None
    text = "\n".join(source.text for source in trip.sources[1:])
    catalog = trip.catalog
    for key, nouns in (
        ("scenario", catalog.scenarios),
        ("technique", catalog.techniques),
        ("item", catalog.items),
        ("boat_type", catalog.boat_types),
    ):
        assert len(nouns) == len(re.findall(rf"^\[\[{key}\]\]", text, re.MULTILINE)), key
        assert nouns


def test_digests_are_those_of_the_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SHA-256 of nothing else: the value is that of FIPS 180-4's example "abc"."""
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert make_source("x", "abc").digest == expected
    trip = load_shipped(tmp_path, monkeypatch).trip
    assert trip is not None
    assert len({source.digest for source in trip.sources}) == len(trip.sources)
