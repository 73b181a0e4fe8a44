"""Laws of the loader: no bytes make it raise, and what it refuses it explains."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.errors import has_errors, sort_findings
from kitplan.load import load_trip, load_trip_text
from tests.inputs.rule_texts import RULED, RULES, SPREADS
from tests.inputs.texts import CATALOG, TRIP, Loaded, spoil, write

PIECES = st.sampled_from(
    [
        "\n", '"', "'", "[", "]", "{", "}", "=", ",", ";", ".", "-", "#", "\\", "\0", "\ud800",
        "[[boat]]\n", "[[rapid]]\n", "[[rapid.spot]]\n", "[trip]\n", '"18 m"', '"\\u0000"', "nan",
        "true", "-1", "99999999999999999999", "1e999", "0.5", "2027-02-30", "9999-12-31",
        "2027-06-14T10:00:00", "07:30:00", "[]", "{}", '""', '"IX"', "[[[[", "name = 3\n",
        'boats = "x.csv"\n', 'catalogs = [""]\n', 'catalogs = ["kitplan:"]\n', "a.b.c = 1\n",
    ]
)  # fmt: skip
FLOWING = spoil(
    TRIP,
    (
        "eddies = 2\n",
        """eddies = 2
groups = [["Heron"], ["Wren"]]
[rapid.low]
class = "III"
safety = "afloat"
[rapid.high]
width = "25 m"
run = "portage"
[rapid.high.left]
landing = 0
walk = "20 m"
""",
    ),
    (
        "likely = 2\n",
        """likely = 2
[rapid.spot.low]
scenarios = ["swimmer"]
[rapid.spot.high]
from_right = "18 m"
depth = "2 m"
scenarios = []
""",
    ),
)
RULES_AND_SPREADS = (
    RULES
    + """
[[rule]]
id = "S 4"
says = "a kit, and from 9 boats on two"
source = "River Rules 2020, section 4"
dated = "2020"
status = "primary text read"
tier = "law"
remark = "as read"
[rule.counts]
kinds = ["first aid"]
in_reach = true
[rule.reading]
scope = "trip"
of = "boats"
steps = [{ up_to = 8, count = 1 }, { count = 2 }]
[rule.boats]
types = ["river kayak"]
only = true

# spreads
"""
    + SPREADS
    + """
[[spread]]
name = "spares"
says = "a paddle is left for each kayak"
lost = "boat and crew"
within = "group"
[[spread.fits]]
boats = { skills = ["kayak"] }
counts = { kinds = ["paddle"], spare = true }
"""
)
CSV_TEXT = st.text(alphabet='nametypislw,;"\n\r x0123456789kg-', max_size=80)


@pytest.fixture(scope="module", autouse=True)
def _stand_in_own_folder() -> Iterator[None]:
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        yield
        os.chdir(before)


@st.composite
def spoiled(draw: st.DrawFn, text: str) -> str:
    """Draw the text with a few parts cut out, doubled or replaced."""
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 40)))
        new = draw(PIECES | st.just("") | st.just(text[start:end] * 2))
        text = text[:start] + new + text[end:]
    return text


@st.composite
def retyped(draw: st.DrawFn, text: str) -> str:
    """Draw the text with the value of a few keys replaced, so that it stays TOML mostly."""
    lines = text.split("\n")
    for _ in range(draw(st.integers(1, 3))):
        number = draw(st.integers(0, len(lines) - 1))
        key, equals, _value = lines[number].partition(" = ")
        if equals:
            lines[number] = f"{key} = {draw(PIECES)}"
    return "\n".join(lines)


def check(loaded: Loaded) -> None:
    """Assert a trip without errors or errors without one, each on one line."""
    assert (loaded.trip is None) == has_errors(loaded.findings)
    assert loaded.findings == sort_findings(loaded.findings)
    for finding in loaded.findings:
        assert finding.code
        assert "nput should" not in finding.message, "pydantic's words are not ours"
        assert finding.message.isprintable()
        assert finding.hint.isprintable()


def load_bytes(trip: bytes, catalog: bytes = CATALOG.encode(), **more: bytes) -> Loaded:
    return Loaded(*load_trip(write(Path.cwd(), trip, catalog, **more)))


def encode(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@given(st.binary(max_size=200), st.binary(max_size=200))
def test_no_bytes_make_load_raise(trip: bytes, rows: bytes) -> None:
    check(load_bytes(trip))
    check(load_bytes(TRIP.encode(), trip))
    head = TRIP.replace("[trip]\n", '[trip]\nkit = "rows.csv"\n')
    check(load_bytes(head.encode(), rows=rows))


@given(spoiled(TRIP) | retyped(TRIP))
def test_no_spoiled_trip_makes_load_raise(text: str) -> None:
    check(load_bytes(encode(text)))


@given(spoiled(FLOWING) | retyped(FLOWING))
def test_no_spoiled_flows_or_groups_make_load_raise(text: str) -> None:
    check(load_bytes(encode(text)))
    read = [load_trip(write(Path.cwd(), encode(text)), flow) for flow in ("low", "all")]
    assert read[0][1] == read[1][1], "what is wrong does not depend on the flow planned for"


@given(spoiled(CATALOG) | retyped(CATALOG))
def test_no_spoiled_catalogue_makes_load_raise(text: str) -> None:
    check(load_bytes(TRIP.encode(), encode(text)))


@given(spoiled(RULES_AND_SPREADS) | retyped(RULES_AND_SPREADS))
def test_no_spoiled_rules_or_spreads_make_load_raise(text: str) -> None:
    rules, _, spreads = text.partition("# spreads\n")
    texts = {"trips/x.toml": RULED, "catalogs/all.toml": CATALOG}
    texts |= {"rules/a.toml": rules, "rules/spreads.toml": spreads}
    check(Loaded(*load_trip_text(texts, "trips/x.toml")))
    own = rules.replace("[set]", "[sets]") + spreads
    check(Loaded(*load_trip_text({**texts, "trips/x.toml": RULED + own}, "trips/x.toml")))


@given(CSV_TEXT, st.sampled_from(["boats", "paddlers", "kit"]))
def test_no_rows_make_load_raise(text: str, key: str) -> None:
    headers = {"boats": "name,type\n", "paddlers": "name,mass,skills\n", "kit": "item,count\n"}
    head = TRIP.replace("[trip]\n", f'[trip]\n{key} = "rows.csv"\n')
    for rows in (text, headers[key] + text):
        check(load_bytes(head.encode(), rows=encode(rows)))


@given(spoiled(TRIP))
def test_no_kept_text_makes_load_raise(text: str) -> None:
    texts = {"trips/x.toml": text, "catalogs/all.toml": CATALOG}
    check(Loaded(*load_trip_text(texts, "trips/x.toml")))


def split_tables(text: str) -> tuple[str, list[str]]:
    """Return the head of a trip and its tables; a spot stays with the rapid above it."""
    head, *tables = text.rstrip("\n").split("\n\n")
    joined: list[str] = []
    for table in tables:
        if table.startswith("[[rapid.spot]]"):
            joined[-1] += "\n\n" + table
        else:
            joined.append(table)
    return head, joined


HEAD, TABLES = split_tables(TRIP)


@given(st.permutations(TABLES))
def test_order_of_tables_changes_no_noun(tables: list[str]) -> None:
    first = load_bytes(TRIP.encode()).trip
    second = load_bytes("\n\n".join([HEAD, *tables]).encode()).trip
    assert first is not None
    assert second is not None
    assert first.boats == second.boats
    assert first.paddlers == second.paddlers
    assert first.rapids == second.rapids
    assert first.kit == second.kit
