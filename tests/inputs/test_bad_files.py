# ruff: noqa: E501 - a finding is one line, however long
"""Files that are not there, can't be read or hold something else; and all findings of one run."""

from pathlib import Path

import pytest

from kitplan.load import load_trip, load_trip_text
from tests.inputs.texts import CATALOG, TRIP, Loaded, load, spoil, write

NOTHING = [
    "trips/x.toml:1:1: error: the trip has no boats (no-boats)",
    "  try: add a [[boat]] table for each",
    "trips/x.toml:1:1: error: the trip has no paddlers (no-paddlers)",
    "  try: add a [[paddler]] table for each",
    "trips/x.toml:1:1: error: the trip has no rapids (no-rapids)",
    "  try: add a [[rapid]] table for each",
]


def load_path(path: str) -> Loaded:
    return Loaded(*load_trip(Path(path)))


def cut(text: str, start: str, end: str) -> str:
    """Return the text without what lies between two headings."""
    return text[: text.index(start)] + text[text.index(end) :]


def test_trip_that_is_not_there() -> None:
    assert load_path("trips/y.toml").lines == [
        "trips/y.toml:1:1: error: there is no such file (file-missing)",
        "  try: look at its name and folder",
    ]


def test_trip_that_is_a_folder(tmp_path: Path) -> None:
    (tmp_path / "trips").mkdir()
    assert load_path("trips").lines == [
        "trips:1:1: error: this is a folder, not a file (file-is-folder)",
        "  try: name a file in it",
    ]


def test_catalogue_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path)
    # Root may read everything, so the refusal is the test's own.
    whole = Path.open

    def refuse(path: Path, mode: str) -> object:
        if path.name == "all.toml":
            raise PermissionError
        return whole(path, mode)

    monkeypatch.setattr(Path, "open", refuse)
    assert load_path("trips/x.toml").lines == [
        'trips/x.toml:4:13: error: trip: "../catalogs/all.toml": you are not allowed to read this file (file-unreadable)',
        "  try: ask its owner, or copy it",
    ]


def test_trip_that_is_not_utf8(tmp_path: Path) -> None:
    assert load(tmp_path, TRIP.replace("Sawtooth", "Säwtooth").encode("latin-1")).lines == [
        "trips/x.toml:48:10: error: byte 0xe4 here is not UTF-8 text (not-utf8)",
        '  try: save the file as "UTF-8" in your editor or spreadsheet',
    ]


def test_catalogue_that_is_not_utf8(tmp_path: Path) -> None:
    assert load(tmp_path, TRIP, b"\xff\xfe" + CATALOG.encode("utf-16-le")).lines == [
        "catalogs/all.toml:1:1: error: byte 0xff here is not UTF-8 text (not-utf8)",
        '  try: save the file as "UTF-8" in your editor or spreadsheet',
    ]


def test_ten_megabytes_of_junk(tmp_path: Path) -> None:
    junk = bytes(range(256)) * 40_000
    assert load(tmp_path, junk).lines == [
        "trips/x.toml:1:1: error: this file is larger than 8 MB (file-too-large)",
        "  try: look whether it is the right one",
    ]
    assert load(tmp_path, TRIP, junk).lines == [
        'trips/x.toml:4:13: error: trip: "../catalogs/all.toml": this file is larger than 8 MB (file-too-large)',
        "  try: look whether it is the right one",
    ]


def test_junk_that_is_valid_toml(tmp_path: Path) -> None:
    keys = "".join(f"k{number} = 1\n" for number in range(20_000))
    lines = load(tmp_path, keys + TRIP).lines
    assert lines[-4:] == [
        'trips/x.toml:199:1: error: unknown key "k198" (unknown-key)',
        "  try: the keys here are trip, order, boat, paddler, kit, offer, lesson, standby, rapid, together, apart, stores, store, restock, rule, spread",
        "trips/x.toml:200:1: error: from here on there are more findings, not shown (too-many-findings)",
        "  try: put the first ones right",
    ]
    assert len(lines) == 2 * 200


def test_empty_trip_file(tmp_path: Path) -> None:
    assert load(tmp_path, "").lines == [
        "trips/x.toml:1:1: error: there is no [trip] table (missing-table)",
        "  try: begin with a line [trip] and its keys below it",
        *NOTHING,
    ]


def test_trip_without_lists(tmp_path: Path) -> None:
    assert load(tmp_path, TRIP[: TRIP.index("[[boat]]")]).lines == NOTHING


def test_trip_without_boats(tmp_path: Path) -> None:
    trip = cut(TRIP, "[[boat]]", "[[paddler]]")
    assert load(tmp_path, spoil(trip, ('boat = "Wren"\n', ""))).lines == NOTHING[:2]


def test_trip_without_rapids(tmp_path: Path) -> None:
    assert load(tmp_path, cut(TRIP, "[[rapid]]", "[[together]]")).lines == NOTHING[4:]


def test_trip_without_paddlers(tmp_path: Path) -> None:
    trip = cut(TRIP, "[[paddler]]", "[[kit]]")
    assert load(tmp_path, trip[: trip.index("[[together]]")]).lines == NOTHING[2:4]


def test_catalogue_without_figures(tmp_path: Path) -> None:
    assert load(tmp_path, TRIP, cut(CATALOG, "[figures]", "[downstream]")).lines == [
        "trips/x.toml:4:1: error: trip: none of the catalogues has a [figures] table (missing-table)",
        '  try: name "kitplan:techniques.toml" among them, or add the table',
    ]


def test_name_in_two_catalogues_tells_both_places(tmp_path: Path) -> None:
    write(tmp_path)
    more = '[[item]]\nname = "helmet"\nkinds = ["helmet"]\nmass = "1 kg"\ncarried = ["quick"]\n'
    (tmp_path / "catalogs/more.toml").write_text(more + '[spotter]\nname = "spotter"\n')
    trip = spoil(TRIP, ("all.toml", 'all.toml", "../catalogs/more.toml'))
    assert load(tmp_path, trip).lines == [
        "catalogs/more.toml:2:1: error: item 'helmet': this name is used twice, first at catalogs/all.toml:130:1 (name-used-twice)",
        "  try: give each its own name",
        "catalogs/more.toml:6:2: error: [spotter] is there twice, first at catalogs/all.toml:31:2 (table-used-twice)",
        "  try: keep one of the two",
    ]


def test_unknown_names_are_not_called_so_while_a_catalogue_is_broken(tmp_path: Path) -> None:
    trip = spoil(TRIP, ("river kayak", "river kayk"), ("likely = 2", "likely = 9"))
    assert load(tmp_path, trip, CATALOG + "oops\n").lines == [
        "catalogs/all.toml:182:5: error: the key has no value (broken-toml)",
        '  try: write key = "value", with quotes round a key of two words',
        "trips/x.toml:65:1: error: rapid 'Sawtooth', spot 'the ledge': likely must be a whole number from 1 to 3, not 9 (out-of-range)",
        "  try: look for a slip",
    ]


def test_all_findings_of_a_run_come_at_once(tmp_path: Path) -> None:
    """Wrong shapes do not hide wrong names, nor one file another, nor one key its neighbour."""
    trip = spoil(
        TRIP,
        ("8 degC", "8"),
        ('type = "oar raft 4.3 m"\ndry_load = "120 kg"', 'type = "oar raft"\ndry_load = 120'),
        ("throwing = 3", "throwing = 7"),
        ('"IV+"', '"IX"'),
        ("eddies = 2", "edies = 2"),
        ('from_left = "7 m"', 'from_left = "-7 m"'),
    )
    catalog = spoil(CATALOG, ("seats = 5", 'seats = "four"'), ('["helmet"]', '["helmt"]'))
    assert load(tmp_path, trip, catalog).lines == [
        "catalogs/all.toml:131:10: error: item 'helmet': unknown kind \"helmt\" (unknown-kind)",
        "  try: helmet",
        "catalogs/all.toml:147:1: error: boat type 'oar raft 4.3 m': seats must be a whole number, not \"four\" (wrong-type)",
        "  try: write a number, without quotes",
        'trips/x.toml:5:1: error: trip: water_temperature "8" has no unit (missing-unit)',
        '  try: write a temperature as "8 degC" or "46 degF"',
        "trips/x.toml:11:1: error: boat 'Heron': unknown boat type \"oar raft\" (unknown-boat-type)",
        "  try: oar raft 4.3 m",
        "trips/x.toml:12:1: error: boat 'Heron': dry_load must be quoted text, a number with its unit, not 120 (missing-unit)",
        '  try: put number and unit in quotes, as in "18 m", "68 kg" or "1.4 m/s"',
        "trips/x.toml:21:12: error: paddler 'Ana', skills: levels go from 0 to 4, so throwing can't be 7 (out-of-range)",
        "  try: 0 none, 1 briefed, 2 practised, 3 does it alone, 4 leads and teaches it",
        "trips/x.toml:49:1: error: rapid 'Sawtooth': class must be I to VI (with + or -), not \"IX\" (unknown-class)",
        '  try: write it as "III" or "IV+"',
        "trips/x.toml:54:1: error: rapid 'Sawtooth': unknown key \"edies\" (unknown-key)",
        "  try: eddies",
        "trips/x.toml:58:1: error: rapid 'Sawtooth', spot 'the ledge': from_left must not be negative, and \"-7 m\" is (out-of-range)",
        "  try: leave the minus sign out",
    ]


def test_kept_texts_load_like_the_files_they_were(tmp_path: Path) -> None:
    loaded = load(tmp_path)
    assert loaded.trip is not None
    texts = {source.file: source.text for source in loaded.trip.sources}
    assert list(texts) == ["x.toml", "../catalogs/all.toml"]
    (tmp_path / "trips/x.toml").unlink()
    (tmp_path / "catalogs/all.toml").unlink()
    again, findings = load_trip_text(texts, "x.toml")
    assert findings == []
    assert again == loaded.trip
    assert again.sources == loaded.trip.sources


def test_plan_that_keeps_no_catalogue() -> None:
    trip, findings = load_trip_text({"trips/x.toml": TRIP}, "trips/x.toml")
    assert Loaded(trip, findings).lines == [
        'trips/x.toml:4:13: error: trip: "../catalogs/all.toml": the plan does not keep this file (file-missing)',
        "  try: make the plan anew from its trip file",
    ]
