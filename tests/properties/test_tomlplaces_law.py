"""The walker knows a place for everything that tomllib reads, and for nothing else."""

import tomllib
from collections.abc import Iterator
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from kitplan.tomlplaces import Trail, read_toml

BARE = st.sampled_from(["a", "b", "c-1", "_", "7", "boat"])
QUOTED = st.sampled_from(
    [r'"a b"', "'a.b'", r'"\u0062"', r'"q\"]"', "'[x]'", '""', "'#'", "'a = 1'", r"'\'"]
)
KEY = BARE | QUOTED
GAP = st.sampled_from(["", " ", "\t", "  "])
DOTTED = st.lists(KEY, min_size=1, max_size=3).flatmap(
    lambda parts: GAP.map(lambda gap: f"{gap}.{gap}".join(parts))
)
REMARK = st.sampled_from(["", " # plain", "# [a] = { 'b'", '#"""', "  #'''"])
PLAIN = st.sampled_from(
    [
        "1",
        "-2.5e3",
        "0xff",
        "1_000",
        "true",
        "2027-06-14",
        "2027-06-14 07:30:00",
        "2027-06-14T07:30:00.5+02:00",
        "07:30:00",
        '""',
        "''",
        '"a # b = [c] \\" \\\\"',
        "'c:\\'",
        '""""""',
        '"""\n[[a]]\nb = """',
        '"""two "" quotes \\""" and more"""""',
        '"""\\\n  x \\\\"""',
        "''''''",
        "'''it's ''here'''''",
        "'''\n[x]\n\"\"\"\n'''",
    ]
)
LINE_BREAK = st.sampled_from(["", " ", "\n", " # ] }\n", "\n\n\t"])


@st.composite
def arrays(draw: st.DrawFn, members: st.SearchStrategy[str]) -> str:
    """Draw a list, on one line or several, with or without a comma at its end."""
    parts = draw(st.lists(members, max_size=3))
    gaps = [draw(LINE_BREAK) for _ in range(2 * len(parts) + 1)]
    inner = ",".join(f"{gaps[2 * at]}{part}{gaps[2 * at + 1]}" for at, part in enumerate(parts))
    comma = draw(st.sampled_from(["", ","])) if parts else ""
    return f"[{inner}{comma}{gaps[-1]}]"


@st.composite
def inline_tables(draw: st.DrawFn, members: st.SearchStrategy[str]) -> str:
    """Draw an inline table; two equal keys make it one that tomllib refuses."""
    pairs = draw(st.lists(st.tuples(DOTTED, GAP, members), max_size=3))
    gap = draw(GAP)
    return "{" + gap + f"{gap},{gap}".join(f"{k}{g}={g}{v}" for k, g, v in pairs) + gap + "}"


VALUE = st.recursive(PLAIN, lambda inner: arrays(inner) | inline_tables(inner), max_leaves=6)
PAIR = st.tuples(GAP, DOTTED, GAP, VALUE, REMARK).map(
    lambda p: f"{p[0]}{p[1]}{p[2]}={p[2]}{p[3]}{p[4]}"
)
TABLE = st.tuples(GAP, DOTTED, REMARK).map(lambda p: f"{p[0]}[{p[0]}{p[1]}{p[0]}]{p[2]}")
TABLES = st.tuples(GAP, DOTTED, REMARK).map(lambda p: f"{p[0]}[[{p[0]}{p[1]}{p[0]}]]{p[2]}")
LINE = PAIR | TABLE | TABLES | REMARK


@st.composite
def documents(draw: st.DrawFn) -> str:
    """Draw a text line by line, leaving out each line that tomllib refuses after those before."""
    kept: list[str] = []
    for line in draw(st.lists(LINE, max_size=12)):
        try:
            tomllib.loads("\n".join([*kept, line]))
        except tomllib.TOMLDecodeError:
            continue
        kept.append(line)
    return draw(st.sampled_from(["\n", "\r\n"])).join(kept)


def list_trails(value: object, trail: Trail = ()) -> Iterator[Trail]:
    """Yield the trail of everything in data, written the plain way."""
    if trail:
        yield trail
    if isinstance(value, dict):
        for key, member in value.items():
            yield from list_trails(member, (*trail, key))
    if isinstance(value, list):
        for index, member in enumerate(value):
            yield from list_trails(member, (*trail, index))


@given(documents())
def test_trails_are_those_of_tomllib(text: str) -> None:
    data, places, findings = read_toml(text, "x.toml")
    assert findings == []
    assert data == tomllib.loads(text, parse_float=Decimal)
    assert set(places.trails()) == set(list_trails(data))


@given(documents())
def test_a_place_is_where_its_key_or_its_heading_is_written(text: str) -> None:
    _, places, _ = read_toml(text, "x.toml")
    lines = text.split("\n")
    for trail in places.trails():
        place = places.find(trail)
        rest = lines[place.line - 1][place.column - 1 :]
        assert rest.strip(), (trail, place)
        if isinstance(trail[-1], str):
            # The key as written, read by tomllib alone, is the last part of the trail.
            written = _cut_key(rest)
            assert list(tomllib.loads(f"{written} = 1")) == [trail[-1]]


def _cut_key(rest: str) -> str:
    if rest[0] == "'":
        return rest[: rest.index("'", 1) + 1]
    if rest[0] == '"':
        end = 1
        while rest[end] != '"':
            end += 2 if rest[end] == "\\" else 1
        return rest[: end + 1]
    end = 0
    while end < len(rest) and (rest[end].isalnum() or rest[end] in "_-"):
        end += 1
    return rest[:end]


@given(st.text(max_size=60) | st.lists(LINE, max_size=6).map("\n".join))
def test_any_text_is_read_or_refused_with_a_place(text: str) -> None:
    data, _, findings = read_toml(text, "x.toml")
    assert (data is None) == bool(findings)
    for finding in findings:
        assert 1 <= finding.where.line <= text.count("\n") + 1
        assert finding.where.column >= 1
