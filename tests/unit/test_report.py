"""Words, tables and sheets: small nouns in, whole lines out, written here by hand."""

from dataclasses import replace

import pytest

from kitplan.check import Lack
from kitplan.demands import DemandKey
from kitplan.errors import CAUTION
from kitplan.plan import DemandResult, ItemPart, PersonPart, Short
from kitplan.report.duties import list_duties, say_changes, say_places
from kitplan.report.lacks import say_lacks
from kitplan.report.sheet import COLUMNS, Sheet
from kitplan.report.words import count, join, join_of, say_missing, say_short

KEY = DemandKey("Ledge", "the spot", "swimmer", "throw-line", "left", "Heron")


# --- words ----------------------------------------------------------------------------------------


def test_lists_and_counts_in_words() -> None:
    assert join([]) == "nobody"
    assert join(["Ada"]) == "Ada"
    assert join(["Ada", "Ben", "Cleo"]) == "Ada, Ben and Cleo"
    assert join(["Ada", "Ben"], "or") == "Ada or Ben"
    assert join_of(["1 line", "2 pulleys", "1 pole"]) == "1 line, of 2 pulleys and of 1 pole"
    assert count(1, "person", "people") == "1 person"
    assert count(0, "boat") == "0 boats"


def test_what_is_short_is_one_sentence_by_bank() -> None:
    missing = (
        Short("working", "right", "item", "prusik loop", "", 1),
        Short("working", "right", "person", "holder", "rope 2", 1),
        Short("far", "left", "item", "line", "24 m or longer, to lie across", 2),
    )
    assert say_missing(missing) == (
        "river right is short of 1 prusik loop and of 1 paddler with rope 2 as 'holder'; "
        "river left is short of 2 lines (24 m or longer, to lie across)"
    )


@pytest.mark.parametrize(
    ("site", "place"),
    [
        ("above", "above the rapid one is"),
        ("anywhere", "the banks and above are"),
        ("ashore", "the rest of the party is"),
    ],
)
def test_what_is_short_away_from_the_banks(site: str, place: str) -> None:
    assert say_missing((Short(site, "", "person", "spotter", "", 2),)) == (
        f"{place} short of 2 paddlers as 'spotter'"
    )


def test_hands_and_boats_that_are_short() -> None:
    assert say_short(Short("working", "left", "hands", "pair of hands", "", 1)) == (
        "1 further person to carry bulky things"
    )
    boat = Short("afloat", "", "boat", "picks up", "afloat: a kayak with steerer 3", 1)
    assert say_missing((boat,)) == (
        "no boat is there for 'picks up' (afloat: a kayak with steerer 3)"
    )


def test_seats_and_boats_that_are_short_themselves_are_no_work_of_a_boat() -> None:
    """As for a party by itself, so for a rapid: nothing is put in quotes but what a boat does."""
    seats, spared = "a seat in another boat there", "a boat that can be spared"
    missing = (
        Short("ashore", "", "boat", seats, "", 2),
        Short("ashore", "", "boat", spared, "", 1),
        Short("ashore", "", "item", "shelter", "", 1),
    )
    assert say_missing(missing) == (
        "the rest of the party is short of 2 seats in other boats there, of 1 boat that can be "
        "spared and of 1 shelter"
    )
    assert say_lacks([Lack("boat", seats, 1), Lack("boat", "picks up", 1)]) == [
        "1 seat in another boat there",
        "a boat for 'picks up'",
    ]


# --- sheets ---------------------------------------------------------------------------------------


def test_text_is_wrapped_and_ends_in_the_caution() -> None:
    sheet = Sheet("text")
    sheet.title("A trip")
    sheet.say("word " * 60)
    sheet.point("word " * 60, 1)
    text = sheet.finish()
    assert max(len(line) for line in text.splitlines()) <= COLUMNS == 100
    assert " ".join(text.split()).endswith(CAUTION)
    assert text.endswith("prevail.\n")


def test_points_hang_under_their_first_line() -> None:
    sheet = Sheet("text")
    sheet.point("a" * 60 + " " + "b" * 60, 1)
    assert sheet.finish().splitlines()[:2] == ["    " + "a" * 60, "      " + "b" * 60]


def test_wide_cells_are_wrapped_in_text_and_whole_in_markdown() -> None:
    rows = [("kayak 3", "Ada, Ben and Cleo")]
    text, marked = Sheet("text"), Sheet("markdown")
    text.table(rows, ("asks", "who"), widths=(10, 9))
    marked.table(rows, ("asks", "who"), widths=(10, 9))
    assert text.finish().splitlines()[:3] == [
        "  asks     who",
        "  kayak 3  Ada, Ben",
        "           and Cleo",
    ]
    assert "| kayak 3 | Ada, Ben and Cleo |" in marked.finish()


def test_a_table_without_rows_is_left_out() -> None:
    sheet = Sheet("text")
    sheet.table([], ("a", "b"))
    assert sheet.finish() == "\n".join(Sheet("text").finish().splitlines()) + "\n"


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("*Star*", r"\*Star\*"),
        ("a_b", r"a\_b"),
        ("<b>", r"\<b\>"),
        ("[x](y)", r"\[x\](y)"),
        ("R&amp;B", r"R\&amp;B"),
        ("1. first", r"1\. first"),
        ("- dash", r"\- dash"),
        ("a - dash", "a - dash"),
        ("---", r"\---"),
        ("83.7 %", "83.7 %"),
        ("back\\slash", r"back\\slash"),
    ],
)
def test_names_are_never_read_as_markdown(name: str, shown: str) -> None:
    """CommonMark 0.31.2, section 2.4: a backslash before punctuation takes its meaning away."""
    sheet = Sheet("markdown")
    sheet.point(name)
    assert sheet.finish().splitlines()[0] == f"- {shown}"


# --- duties ---------------------------------------------------------------------------------------


def line(count: int, source: str, site: str = "working", bank: str = "left") -> ItemPart:
    return ItemPart(site, bank, "line", "throw bag 20 m", count, source, "quick")


FIRST = DemandResult(
    KEY,
    met=True,
    way="",
    witness=(
        PersonPart("working", "left", "thrower", "Cleo"),
        PersonPart("working", "left", "thrower", "Ada"),
        PersonPart("far", "right", "spotter", "Ben"),
        line(1, "Dipper"),
        line(1, "Dipper"),
    ),
)


def test_duties_are_told_by_bank() -> None:
    assert say_places(list_duties(FIRST)) == [
        "river left: Ada and Cleo (thrower) with 2 x throw bag 20 m (Dipper)",
        "river right: Ben (spotter)",
    ]


def test_the_order_of_a_witness_does_not_matter() -> None:
    turned = replace(FIRST, witness=tuple(reversed(FIRST.witness)))
    assert sorted(list_duties(turned).items()) == sorted(list_duties(FIRST).items())
    assert say_changes(list_duties(FIRST), list_duties(turned)) == ""


def test_of_another_boat_only_what_changes_is_told() -> None:
    witness = (
        PersonPart("working", "left", "thrower", "Ada"),
        PersonPart("working", "left", "thrower", "Dora"),
        line(1, "Dipper"),
        line(1, "Otter"),
    )
    other = replace(FIRST, witness=witness)
    assert say_changes(list_duties(FIRST), list_duties(other)) == (
        "river left: Ada and Dora (thrower) with throw bag 20 m (Dipper); throw bag 20 m (Otter); "
        "river right: nobody for this"
    )


def test_things_are_told_with_who_or_what_holds_them() -> None:
    parts = (
        PersonPart("ashore", "", "first aider", "Ada"),
        ItemPart("ashore", "", "first-aid kit", "first-aid kit", 1, "Heron", "stowed"),
        ItemPart("ashore", "", "line", "throw bag 15 m, belt", 1, "Otter", "worn", "Ben"),
    )
    assert say_places(list_duties(replace(FIRST, witness=parts))) == [
        "ashore: Ada (first aider) with first-aid kit (Heron, stowed); throw bag 15 m, belt (Ben)"
    ]


def test_what_lies_in_a_bundle_is_told_so() -> None:
    """The bundle, and where it is; what is stowed is said to be."""
    held = (("Heron", "quick"), ("Otter", "stowed"))
    parts = [
        ItemPart("ashore", "", "line", "static line 60 m", 1, boat, carried, bundle="haul kit")
        for boat, carried in held
    ]
    puller = PersonPart("ashore", "", "puller", "Ada")
    assert say_places(list_duties(replace(FIRST, witness=(puller, *parts)))) == [
        (
            "ashore: Ada (puller) with static line 60 m (from the haul kit in Heron); "
            "static line 60 m (from the haul kit in Otter, stowed)"
        )
    ]


def test_the_work_of_a_boat_is_told_by_its_name() -> None:
    parts = (
        PersonPart("aboard", "", "steers", "Ada", "Otter"),
        PersonPart("aboard", "", "pulls in", "Ben", "Otter"),
        PersonPart("working", "left", "thrower", "Cleo"),
    )
    assert say_places(list_duties(replace(FIRST, witness=parts))) == [
        "river left: Cleo (thrower)",
        "in Otter: Ada (steers), Ben (pulls in)",
    ]
