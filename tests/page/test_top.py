"""The top of a page, and its tables: the same answer, gaps, masses, people as everywhere else."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.needs.loads import list_loads
from kitplan.needs.shortfalls import list_losses
from kitplan.report.page.answer import count_days, count_rapids, write_answer
from kitplan.report.page.record import make_record
from kitplan.report.plan import render_plan
from kitplan.units import show_mass
from tests.golden import stored
from tests.page.pages import read_html, show_demo

if TYPE_CHECKING:
    from tests.page.pages import Node, Shown


@pytest.fixture(scope="module", params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


@pytest.fixture(scope="module")
def page(shown: Shown) -> Node:
    """Return the page, read."""
    return read_html(shown.text)


@pytest.fixture(scope="module")
def told(shown: Shown) -> list[str]:
    """Return what a terminal is told of the plan, in parts between empty lines."""
    text = render_plan(shown.trip, shown.needs, shown.plan, "text")
    return [squeeze(part) for part in text.split("\n\n")]


def squeeze(text: str) -> str:
    """Return text without line breaks."""
    return " ".join(text.split())


def find(page: Node, tag: str, id_: str) -> Node:
    """Return an element by its id."""
    [found] = [node for node in page.find_all(tag) if node.attributes.get("id") == id_]
    return found


def list_rows(table: Node) -> list[list[str]]:
    """Return the words in the cells of a table, row by row, but for its head."""
    bodies = table.find_all("tbody")
    rows = [row for body in bodies for row in body.find_all("tr")]
    return [[squeeze(cell.read()) for cell in row.inside] for row in rows]


def count_open(shown: Shown, rapids: list[str]) -> tuple[int, int, int]:
    """Return the cases of rapids, the covered ones, and those without an accepted technique."""
    met = {
        one.key.case
        for one in shown.plan.demands
        if one.met and shown.needs.choices[one.key.choice].covers
    }
    cases = [case for case in shown.needs.cases if case.rapid in rapids]
    bare = [one for one in shown.needs.without_technique if one.rapid in rapids]
    return len(cases), len(met & set(cases)), sum(len(one.running) for one in bare)


# --- covered or not -------------------------------------------------------------------------------


def test_the_head_is_the_head_of_the_plan(page: Node, told: list[str]) -> None:
    [header] = page.find_all("header")
    [title], [answer] = header.find_all("h1"), header.find_all("p", "answer")
    assert f"{title.read()}: {answer.read()}".casefold() == f"{told[0]}.".casefold()


def test_days_add_up_to_the_totals(shown: Shown) -> None:
    totals = shown.plan.totals
    days = count_days(shown.trip, count_rapids(shown.trip, shown.needs, shown.plan))
    assert sum(day.cases for day in days) == totals.cases
    assert sum(day.covered for day in days) == totals.cases - totals.none
    assert all(day.open == day.cases - day.covered + day.bare for day in days)


def test_each_day_says_how_much_is_open(shown: Shown, page: Node) -> None:
    [table] = page.find_all("table", "days")
    rows = list_rows(table)
    assert [row[0] for row in rows] == [f"day {day}" for day in shown.trip.days]
    for day, row, looks in zip(shown.trip.days, rows, table.find_all("tr")[1:], strict=True):
        rapids = [rapid.name for rapid in shown.trip.rapids.values() if rapid.day == day]
        cases, done, bare = count_open(shown, rapids)
        left = cases - done + bare
        assert row[1] == (f"{left} open" if left else "all covered" if cases else "nothing asked")
        assert row[2].startswith(f"{done} of {cases}")
        assert (f"; {bare} more have no accepted technique" in row[2]) == bool(bare)
        assert looks.attributes["class"] == ("open" if left else "done")


def test_rapids_say_what_is_open_where_they_are_listed(shown: Shown, page: Node) -> None:
    links = [
        link
        for row in find(page, "section", "rapids").find_all("p", "jump")
        if row.find_all("b")
        for link in row.find_all("a")
    ]
    assert len(links) == len(shown.trip.rapids)
    for (number, name), link in zip(enumerate(shown.trip.rapids, start=1), links, strict=True):
        assert link.attributes["href"] == f"#r{number}"
        cases, done, bare = count_open(shown, [name])
        left = cases - done + bare
        assert link.read() == (f"{name}: {left} open" if left else name)


def test_what_is_beyond_the_party_is_told_with_the_head(page: Node, told: list[str]) -> None:
    days = squeeze(find(page, "section", "days").read())
    beyond = [part for part in told if part.startswith("Whatever is packed where")]
    assert all(part in days for part in beyond)
    assert ("no packing can mend" in told[0]) == bool(beyond)


def test_what_is_support_only_is_told_with_the_totals(page: Node, told: list[str]) -> None:
    days = squeeze(find(page, "section", "days").read())
    said = [part for part in told if part.startswith(("Covered, but support only", "Backed: "))]
    assert said
    assert all(part in days for part in said)


def test_support_only_is_told_of_each_case_that_has_nothing_else(shown: Shown) -> None:
    choices = {
        key: replace(choice, support_only=True) for key, choice in shown.needs.choices.items()
    }
    needs = replace(shown.needs, choices=choices)
    blocks = write_answer(make_record(shown.trip), shown.trip, needs, shown.plan)
    [at] = [n for n, block in enumerate(blocks) if block.text.startswith("Covered, but support")]
    spots = {f"{one.key.rapid}, {one.key.spot}" for one in shown.plan.demands if one.met}
    assert blocks[at + 1].points
    assert {one.text.split(": ")[0].split(" and ")[-1] for one in blocks[at + 1].points} <= spots


# --- gaps -----------------------------------------------------------------------------------------


def test_gaps_are_told_word_for_word(page: Node, told: list[str]) -> None:
    [at] = [number for number, part in enumerate(told) if part.startswith("GAPS, WORST FIRST")]
    gaps = squeeze(find(page, "section", "gaps").read())
    assert told[at + 1] in gaps
    assert told[at].casefold() in gaps.casefold()


def test_what_a_lost_boat_leaves_is_told_boat_by_boat(shown: Shown, page: Node) -> None:
    tables = find(page, "section", "gaps").find_all("table")
    lost = [list_rows(one) for one in tables if one.find_all("th")[0].read() == "lost"]
    assert len(lost) == bool(shown.trip.spreads)
    losses = list_losses(shown.trip, shown.plan.arrangement)
    told = {}
    for boats, said in (row for rows in lost for row in rows):
        for boat in boats.replace(" or ", ", ").split(", "):
            told[boat] = said
            short = {spread: one for (spread, lost), one in losses.items() if lost == boat}
            for spread in shown.trip.spreads:
                assert (f"{spread.name}: short" in said) == (spread.name in short)
            for one in short.values():
                assert re.search(rf"{one.name}: short {one.short}\b.* \(day {one.day}\)", said)
            assert (said == "nothing short") == (not short)
    assert set(told) == (list_called(shown) if lost else set())


# --- mass and people ------------------------------------------------------------------------------


def test_mass_is_told_of_each_boat_and_day(shown: Shown, page: Node) -> None:
    [table] = page.find_all("table", "mass")
    found = {}
    for boat, days, mass, share in list_rows(table):
        first, *_, last = map(int, re.findall(r"\d+", days) * 2)
        for day in range(min(first, last), max(first, last) + 1):
            assert (boat, day) not in found
            found[boat, day] = (mass, share)
    expected = {
        (shown.trip.boats[name].called, day): (
            f"{show_mass(load.total_g)} of {show_mass(load.payload_g)}",
            f"{load.percent:.0f} %",
        )
        for name, loads in list_loads(shown.trip, shown.plan.arrangement).items()
        for day, load in loads.items()
    }
    assert found == expected


def test_bars_are_as_long_as_shares(page: Node) -> None:
    [table] = page.find_all("table", "mass")
    for row in table.find_all("tr")[1:]:
        payload, load = (float(one.attributes["width"]) for one in row.find_all("rect"))
        said = int(squeeze(row.inside[3].read()).removesuffix(" %"))
        assert load / payload == pytest.approx(min(100, said) / 100, abs=0.01)


def test_everybody_is_told_with_boats_and_skills(shown: Shown, page: Node) -> None:
    [table] = page.find_all("table", "people")
    rows = {row[0].removesuffix(" (guest)"): row for row in list_rows(table)}
    assert list(rows) == list(shown.trip.paddlers)
    for name, paddler in shown.trip.paddlers.items():
        who, boats, skills = rows[name]
        assert who.endswith(" (guest)") == paddler.guest
        seats = {b for b, crew in shown.plan.arrangement.crew.items() if name in crew}
        called = {shown.trip.boats[boat].called for boat in seats}
        assert called == {one for one in list_called(shown) if re.search(rf"\b{one}\b", boats)}
        able = [f"{skill} {level}" for skill, level in paddler.skills.items() if level]
        assert skills == (", ".join(able) or "none")


def list_called(shown: Shown) -> set[str]:
    return {boat.called for boat in shown.trip.boats.values()}


def test_certificates_are_told_with_their_dates(shown: Shown, page: Node) -> None:
    tables = find(page, "section", "people").find_all("table")
    [table] = [one for one in tables if one.find_all("th")[0].read() == "certificate"]
    expected = [
        [name, paddler, until.isoformat()]
        for paddler, one in shown.trip.paddlers.items()
        for name, until in one.certificates
    ]
    assert sorted(row[:3] for row in list_rows(table)) == sorted(expected)
    assert len(table.find_all("thead")[0].find_all("tr")[0].inside) == len(list_rows(table)[0])


def test_what_cards_say_besides_is_what_the_plan_says(page: Node, told: list[str]) -> None:
    whole = " ".join(told)
    packing = find(page, "section", "packing")
    for said in (*packing.find_all("li"), *packing.find_all("p", "first")):
        assert squeeze(said.read()).removesuffix(".").casefold() in whole.casefold()


def test_first_choices_in_words_are_those_of_the_plan(page: Node, told: list[str]) -> None:
    rapids = page.find_all("article", "rapid")
    for rapid in rapids:
        heading = squeeze(rapid.find_all("h3")[0].read())
        for details in rapid.find_all("details"):
            words = squeeze(" ".join(one.read() for one in details.find_all("ul")[:1]))
            [part] = [one for one in told if one.startswith(f"{heading} ")]
            assert part == f"{heading} {words}"
    assert any(rapid.find_all("details") for rapid in rapids)
