"""Where things stand in a TOML text, and what is said of a broken one."""

import codecs
from decimal import Decimal
from pathlib import Path

import pytest

from kitplan.tomlplaces import MOST_BYTES, Trail, read_text, read_toml

TRIP = """\
# a comment with [brackets] and a = sign
title = "a # in a text"   # not a table: [x]
starts = 2027-06-14 07:30:00

[trip]
accept = { wading = "III", 'at most' = "II", "a.b".c = 1 }
water.temperature = "8 degC"
notes = \"\"\"
[boat]
a = 1 \\\"\"\" still inside\"\"\"\"\"
literal = '''it's [[boat]] '''''
"oar \\u0072aft" = 3

[[boat]]
name = 'Heron'
seats = [
    1,   # one
    [2, { x = 3 }, ],
]
[[boat.kit]]
item = "line"
[boat.rig]
frame = true
  [[boat]]
  name = "Teal"
[[boat.kit]]
item = "sling"
"""


@pytest.mark.parametrize(
    ("trail", "line", "column"),
    [
        ((), 1, 1),
        (("title",), 2, 1),
        (("starts",), 3, 1),
        (("trip",), 5, 2),
        (("trip", "accept"), 6, 1),
        (("trip", "accept", "wading"), 6, 12),
        (("trip", "accept", "at most"), 6, 28),
        (("trip", "accept", "a.b"), 6, 46),
        (("trip", "accept", "a.b", "c"), 6, 52),
        (("trip", "water"), 7, 1),
        (("trip", "water", "temperature"), 7, 7),
        (("trip", "notes"), 8, 1),
        (("trip", "literal"), 11, 1),
        (("trip", "oar raft"), 12, 1),
        (("boat",), 14, 3),
        (("boat", 0), 14, 1),
        (("boat", 0, "name"), 15, 1),
        (("boat", 0, "seats", 0), 17, 5),
        (("boat", 0, "seats", 1), 18, 5),
        (("boat", 0, "seats", 1, 1), 18, 9),
        (("boat", 0, "seats", 1, 1, "x"), 18, 11),
        (("boat", 0, "kit", 0), 20, 1),
        (("boat", 0, "rig", "frame"), 23, 1),
        (("boat", 1), 24, 3),
        (("boat", 1, "name"), 25, 3),
        (("boat", 1, "kit", 0, "item"), 27, 1),
    ],
)
def test_places(trail: Trail, line: int, column: int) -> None:
    _, places, findings = read_toml(TRIP, "x.toml")
    assert findings == []
    place = places.find(trail)
    assert (place.file, place.line, place.column) == ("x.toml", line, column)


def test_what_is_not_in_the_file_is_skipped() -> None:
    _, places, _ = read_toml(TRIP, "x.toml")
    assert places.find(("boat", 1, "mass")) == places.find(("boat", 1))
    assert places.find(("boat", 7, "mass")) == places.find(("boat",))
    assert places.find(("trip", "union-tag", "water")) == places.find(("trip", "water"))
    assert places.find(("nothing", "here")) == places.find(())


def test_places_hold_with_line_ends_of_windows() -> None:
    unix, windows = (read_toml(text, "x")[1] for text in (TRIP, TRIP.replace("\n", "\r\n")))
    assert {trail: windows.find(trail) for trail in windows.trails()} == {
        trail: unix.find(trail) for trail in unix.trails()
    }


def test_numbers_with_a_point_are_decimal() -> None:
    data, _, _ = read_toml("x = 1.10", "x.toml")
    assert data == {"x": Decimal("1.10")}


NO_VALUE = "a value is missing, or is text without quotes (broken-toml)"
QUOTE = 'quote text and quantities, as in "18 m"'
WRITE_KEY = 'write key = "value"'
NOT_CLOSED = "the text is not closed (broken-toml)"
END_IT = "end it with the quotes it began with"
ITSELF = "write the sign itself"
TWICE = "this table is there twice (broken-toml)"
SEVERAL = "where there are several, write [[a]], with two brackets, each time"
JSON = "this is JSON, perhaps a plan file, and TOML is read here (broken-toml)"
ENDLESS = "nan, inf and endless numbers are no quantities (number-out-of-range)"
TOO_LONG = "this number has too many digits (number-out-of-range)"
PLAIN = "write a number a person would write"
DEEP = "lists and tables are nested more than 32 levels deep (nested-too-deep)"
BESIDE = "write them side by side"


@pytest.mark.parametrize(
    ("text", "place", "message", "hint"),
    [
        ("a = ", "1:4", NO_VALUE, QUOTE),
        ("a = 1\nb = high\n", "2:5", NO_VALUE, QUOTE),
        (
            "a = 18 m",
            "1:8",
            "there is more on this line than one value (broken-toml)",
            'quote text and quantities ("18 m"), and write one key to a line',
        ),
        (
            "oar raft = 3",
            "1:5",
            "the key has no value (broken-toml)",
            f"{WRITE_KEY}, with quotes round a key of two words",
        ),
        ("= 1", "1:1", "this is neither a key nor a table heading (broken-toml)", WRITE_KEY),
        (
            "[]",
            "1:2",
            "a key is missing, or has a sign in it that needs quotes (broken-toml)",
            'quote the key, as in "oar raft" = 3',
        ),
        ("[a", "1:3", "the table heading is not closed (broken-toml)", "end it with ]"),
        ("[[a]\n", "1:4", "the table heading is not closed (broken-toml)", "end it with ]]"),
        ("a = 1\na = 2\n", "2:6", "this key is there twice (broken-toml)", "keep one of the two"),
        ("[a]\n[a]\n", "2:3", TWICE, SEVERAL),
        ("[a]\nb = 1\n[[a]]\n", "3:4", TWICE, SEVERAL),
        ('{"a": 1}', "1:1", JSON, "`kitplan verify` checks plan files"),
        ("[a.b]\n[a]\nb.c = 1\n", "3:8", TWICE, "join the two tables"),
        (
            "a = {b = 1, b = 2}",
            "1:18",
            "this key is there twice (broken-toml)",
            "keep one of the two",
        ),
        (
            "a = []\n[[a]]\n",
            "2:4",
            "this table was closed above (broken-toml)",
            "write all its keys in one place",
        ),
        (
            "a = [1,\n2\n\n",
            "2:2",
            "the list is not closed (broken-toml)",
            "end it with ], with commas between its members",
        ),
        (
            "a = {b = 1",
            "1:11",
            "the { ... } is not closed (broken-toml)",
            "end it with } on the same line",
        ),
        ('a = "x', "1:7", NOT_CLOSED, END_IT),
        ("a = 'x\n'", "1:7", NOT_CLOSED.replace(" (", " on its line ("), END_IT),
        ("a = '''x", "1:9", NOT_CLOSED, END_IT),
        ('a = """x', "1:9", NOT_CLOSED, END_IT),
        (
            r'a = "\q"',
            "1:8",
            (
                "a backslash in a text in double quotes starts a special sign, and this is none"
                " (broken-toml)"
            ),
            r"write it twice, \\, or use single quotes",
        ),
        (r'a = "\uZZZZ"', "1:8", r"\u and \U need hexadecimal digits (broken-toml)", ITSELF),
        (r'a = "\ud800"', "1:12", "there is no sign of this number (broken-toml)", ITSELF),
        ('a = "\x01"', "1:6", "there is a control character here (broken-toml)", "delete it"),
        ('a = "x\n"', "1:7", NOT_CLOSED.replace(" (", " on its line ("), END_IT),
        ("# \x01", "1:3", "there is a control character here (broken-toml)", "delete it"),
        (
            "a = 2027-02-30",
            "1:5",
            "there is no such date or time (broken-toml)",
            "write a date as 2027-06-14",
        ),
        ("a = 1\nx = nan", "2:1", "x: " + ENDLESS, "write a plain number"),
        ("x = [1, -inf]", "1:9", "x: " + ENDLESS, "write a plain number"),
        ("x = 1e99999999999999999999", "1:1", "x: " + ENDLESS, "write a plain number"),
        ("x = 1e30", "1:1", "x: " + TOO_LONG, PLAIN),
        ("x = 1e-30", "1:1", "x: " + TOO_LONG, PLAIN),
        ("x = 0." + "1" * 41, "1:1", "x: " + TOO_LONG, PLAIN),
        ("x = " + "9" * 5000, "1:1", "x: " + TOO_LONG, PLAIN),
        ("x = [1, -" + "9" * 5000 + "]", "1:9", "x: " + TOO_LONG, PLAIN),
        ("x = 0x" + "f" * 5000, "1:1", "x: " + TOO_LONG, PLAIN),
        ("a = 1\nx = " + "[" * 40 + "]" * 40, "2:5", DEEP, BESIDE),
        ("x = " + "[" * 100_000, "1:5", DEEP, BESIDE),
        ("b = 1\n" + "a." * 1_000_000 + "b = 1", "2:1", DEEP, BESIDE),
    ],
)
def test_refuses_in_plain_words(text: str, place: str, message: str, hint: str) -> None:
    data, _, findings = read_toml(text, "x.toml")
    # A number beyond all bounds has a stand-in, so that the rest can still be checked.
    assert (data is None) != message.startswith("x: ")
    assert len(findings) == 1
    assert findings[0].text() == f"x.toml:{place}: error: {message}\n  try: {hint}"


def _text_of_finding(path: Path) -> str:
    text, findings = read_text(path, "x.toml")
    assert text is None
    assert len(findings) == 1
    return findings[0].text()


def test_reads_utf8_with_and_without_the_mark_of_spreadsheets(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    for mark in (b"", codecs.BOM_UTF8):
        path.write_bytes(mark + 'name = "Bäche"\r\n'.encode())
        assert read_text(path, "x.toml") == ('name = "Bäche"\r\n', [])


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (
            codecs.BOM_UTF8 + 'a = 1\nb = "Bä\xe4'.encode() + b"\xe4che",
            (
                "2:9: error: byte 0xe4 here is not UTF-8 text (not-utf8)\n"
                '  try: save the file as "UTF-8" in your editor or spreadsheet'
            ),
        ),
        (
            "a = 1".encode("utf-16"),
            (
                "1:1: error: byte 0xff here is not UTF-8 text (not-utf8)\n"
                '  try: save the file as "UTF-8" in your editor or spreadsheet'
            ),
        ),
        (
            b"a = 1\nb\0",
            (
                "2:2: error: a zero byte is no text (nul-byte)\n"
                '  try: save the file as plain text, "UTF-8"'
            ),
        ),
        (
            b"a,b\rc,d\r\nef,\0",
            (
                "3:4: error: a zero byte is no text (nul-byte)\n"
                '  try: save the file as plain text, "UTF-8"'
            ),
        ),
        (
            b"a,b\rc,d\re\xe4",
            (
                "3:2: error: byte 0xe4 here is not UTF-8 text (not-utf8)\n"
                '  try: save the file as "UTF-8" in your editor or spreadsheet'
            ),
        ),
        (
            b"x" * (MOST_BYTES + 1),
            (
                "1:1: error: this file is larger than 8 MB (file-too-large)\n"
                "  try: look whether it is the right one"
            ),
        ),
    ],
)
def test_refuses_what_is_no_text(tmp_path: Path, data: bytes, expected: str) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(data)
    assert _text_of_finding(path) == f"x.toml:{expected}"


def test_says_why_a_file_can_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    missing = (
        "x.toml:1:1: error: there is no such file (file-missing)\n"
        "  try: look at its name and folder"
    )
    (tmp_path / "file").write_bytes(b"")
    assert _text_of_finding(tmp_path / "x.toml") == missing
    assert _text_of_finding(tmp_path / "file" / "x.toml") == missing
    assert _text_of_finding(tmp_path) == (
        "x.toml:1:1: error: this is a folder, not a file (file-is-folder)\n  try: name a file in it"
    )
    assert _text_of_finding(tmp_path / "a\0b") == (
        "x.toml:1:1: error: this file can't be read (file-unreadable)\n  try: a copy of it"
    )

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError

    # The tests may run as a user whom no file refuses.
    monkeypatch.setattr(Path, "open", refuse)
    assert _text_of_finding(tmp_path / "file") == (
        "x.toml:1:1: error: you are not allowed to read this file (file-unreadable)\n"
        "  try: ask its owner, or copy it"
    )
