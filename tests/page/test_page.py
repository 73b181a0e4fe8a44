"""A page says what its plan says: every witness, every case, each item of each boat once."""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

from kitplan.demands import DemandKey
from kitplan.errors import CAUTION
from kitplan.needs import crew_paddles
from kitplan.needs.loads import list_loads
from kitplan.plan import ItemPart, PersonPart
from kitplan.report.page import render_page
from kitplan.report.rapids import list_told
from kitplan.report.stations import say_waits
from kitplan.report.words import BANK_NAMES, STATION_NAMES, say_days
from kitplan.units import show_mass
from tests.golden import stored
from tests.page.pages import join_pieces, read_data, read_html, show_demo

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import DemandResult, Part
    from tests.page.pages import Node, Shown

SIDES = {"left": 0, "right": 1, "": 2}
LARGEST = 1_500_000


@pytest.fixture(scope="module", params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


@pytest.fixture(scope="module")
def page(shown: Shown) -> Node:
    """Return the page, read."""
    return read_html(shown.text)


@pytest.fixture(scope="module")
def data(page: Node) -> dict[str, Any]:
    """Return the data that the script picks from."""
    return read_data(page)


# --- what can be picked ---------------------------------------------------------------------------


def pick(shown: Shown, data: dict[str, Any], result: DemandResult) -> list[int]:
    """Return the pick of a demand, found as a reader finds it."""
    key = result.key
    id_ = f"r{list(shown.trip.rapids).index(key.rapid) + 1}"
    [rapid] = [one for one in data["rapids"] if one["id"] == id_]
    [banks] = [one[3] for one in rapid["picks"] if tuple(one[:3]) == key[1:4]]
    at = rapid["runs"].index(shown.trip.boats[key.running].called)
    found: list[int] = banks[SIDES[key.bank]][1][at]
    return found


def say_part(shown: Shown, part: Part) -> tuple[str, str, str]:
    """Return where, as what, and who or what: the words that a reader finds."""
    boats = {name: boat.called for name, boat in shown.trip.boats.items()}
    place = f"river {part.bank}" if part.bank else part.site
    if part.boat:
        place = f"in {boats[part.boat]}"
    if isinstance(part, PersonPart):
        return place, part.role, part.paddler
    if isinstance(part, ItemPart):
        many = f"{part.count} x " if part.count > 1 else ""
        lies = (
            f"worn by {part.worn_by}" if part.worn_by else f"{boats[part.source]}, {part.carried}"
        )
        inside = f"from the {part.bundle}, " if part.bundle else ""
        return place, part.kind, f"{many}{part.item} ({inside}{lies})"
    places = "swimmer" if part.swimmers == 1 else "swimmers"
    return place, "room", f"room for {part.swimmers} {places}"


def test_every_demand_has_its_witness(shown: Shown, data: dict[str, Any]) -> None:
    for result in shown.plan.demands:
        met, witness, *_ = pick(shown, data, result)
        assert bool(met) == result.met
        told = [(place, *row) for place, rows in data["witnesses"][witness] for row in rows]
        expected = [say_part(shown, part) for part in result.witness]
        assert sorted(told) == sorted(expected)


def test_nothing_can_be_picked_that_is_no_demand(shown: Shown, data: dict[str, Any]) -> None:
    picks = [
        pick
        for rapid in data["rapids"]
        for *_, banks in rapid["picks"]
        for bank in banks
        if bank
        for pick in bank[1]
        if pick
    ]
    assert len(picks) == len(shown.plan.demands)


def test_what_is_short_is_said(shown: Shown, data: dict[str, Any]) -> None:
    for result in shown.plan.demands:
        said = join_pieces(data["words"][pick(shown, data, result)[4]])
        if not result.met:
            assert "short of" in said or "no boat is there" in said
            assert all(piece.name in said for piece in result.missing if piece.what == "item")


@pytest.mark.parametrize("kept", ["witnesses", "pictures", "lines", "boats", "words"])
def test_what_is_equal_is_kept_once(data: dict[str, Any], kept: str) -> None:
    assert len({repr(one) for one in data[kept]}) == len(data[kept])


def test_the_first_choice_is_shown_without_the_script(page: Node, data: dict[str, Any]) -> None:
    for rapid in data["rapids"]:
        [article] = [one for one in page.find_all("article") if one.attributes["id"] == rapid["id"]]
        number, side, at = (_read_chosen(select) for select in article.find_all("select"))
        kind, picks = rapid["picks"][number][3][side]
        met, witness, lines, _, more = picks[at]
        said = [join_pieces(data["words"][word]) for word in (kind, more)]
        assert article.find_all("p", "more")[0].read() == "; ".join(filter(None, said))
        assert (
            article.find_all("p", "answer")[0]
            .read()
            .endswith(": can be done" if met else ": short")
        )
        [table] = article.find_all("table", "witness")
        rows = [[cell.read() for cell in row.inside] for row in table.find_all("tr")]
        expected = [["as", "who or what"]]
        for place, parts in data["witnesses"][witness]:
            expected += [[place], *parts]
        assert rows == expected
        [listed] = article.find_all("ul", "lines")
        said = [" ".join(filter(None, (a, join_pieces(b)))) for a, b in data["lines"][lines]]
        assert [line.read() for line in listed.inside] == said


def _read_chosen(select: Node) -> int:
    [option] = [one for one in select.find_all("option") if "selected" in one.attributes]
    return int(option.attributes["value"])


# --- figures --------------------------------------------------------------------------------------


def test_cells_of_the_cover_table_add_up_to_the_demands(shown: Shown, page: Node) -> None:
    [table] = page.find_all("table", "cover")
    met = asked = 0
    for link in table.find_all("a"):
        sign, *words = link.read().split()
        number = int(words[-1])
        done = number if words[0] == "all" else int(words[0])
        assert sign == ("●" if done == number else "◐" if done else "○")
        met, asked = met + done, asked + number
    assert (met, asked) == (shown.plan.totals.met, shown.plan.totals.demands)


def test_cells_open_what_is_short(page: Node, data: dict[str, Any]) -> None:
    [table] = page.find_all("table", "cover")
    by_id = {rapid["id"]: rapid for rapid in data["rapids"]}
    for link in table.find_all("a"):
        number, side, at = map(int, link.attributes["data-pick"].split())
        met, *_ = by_id[link.attributes["href"][1:]]["picks"][number][3][side][1][at]
        assert bool(met) == ("all" in link.read())
    assert len(table.find_all("a")) > len(by_id)


def test_cards_hold_each_item_of_their_boat_once(shown: Shown, page: Node) -> None:
    packed: dict[str, Counter[str]] = defaultdict(Counter)
    for row in shown.plan.arrangement.packed:
        packed[row.boat][row.item] += row.count
    for name, boat in shown.trip.boats.items():
        paddles = crew_paddles(boat, len(shown.plan.arrangement.crew[name]))
        if paddles:
            packed[name][boat.type.crew_paddle or ""] += paddles
        leg = shown.trip.legs[boat.leg]
        id_ = f"pack-{boat.leg + 1}-{leg.boats.index(name) + 1}"
        [card] = [one for one in page.find_all("article") if one.attributes["id"] == id_]
        rows = [row.inside for table in card.find_all("table") for row in table.find_all("tr")]
        told = [(row[0].text[0].strip(), int(row[1].read())) for row in rows[1:]]
        assert sorted(told) == sorted(packed[name].items())
        assert boat.called in card.find_all("h4")[0].read()


def test_packing_cards_say_who_is_aboard_and_who_steers(shown: Shown, page: Node) -> None:
    done = shown.plan.arrangement
    cards = page.find_all("article", "packing")
    boats = [name for leg in shown.trip.legs for name in leg.boats]
    for name, card in zip(boats, cards, strict=True):
        boat = shown.trip.boats[name]
        leg = shown.trip.legs[boat.leg]
        days = say_days(leg.first_day, leg.last_day)
        assert card.find_all("h4")[0].read() == f"{boat.called}, {days}: to pack"
        runs, steers = done.list_run(leg.boats), done.steerer[name]
        others = [one for one in done.crew[name] if one != steers]
        beside = f"; with {', '.join(others)}" if others else ""
        assert card.find_all("p")[0].read() == (
            f"{boat.type.name}; runs as number {runs.index(name) + 1} of {len(runs)}. "
            f"{steers} steers{beside}."
        )
        most = max(load.total_g for load in list_loads(shown.trip, done)[name].values())
        assert f": {show_mass(most)} of " in card.find_all("p", "first")[0].read()


def test_each_boat_has_a_card_for_each_day_with_a_rapid(shown: Shown, page: Node) -> None:
    trip = shown.trip
    passes = {(rapid.day, boat) for rapid in trip.rapids.values() for boat in rapid.boats}
    expected = {f"{trip.boats[boat].called}, day {day}: duties" for day, boat in passes}
    assert {card.find_all("h4")[0].read() for card in page.find_all("article", "duty")} == expected


def test_duty_cards_name_no_one_of_another_boat(page: Node) -> None:
    for card in page.find_all("article", "duty"):
        aboard = card.find_all("p")[0].read()
        names = {
            name
            for body in card.find_all("tbody")
            for row in body.find_all("tr")
            for name in row.inside[0].read().split(", ")
        }
        assert all(name in aboard for name in names)


def test_duty_cards_say_at_which_spot_and_while_which_boat_runs(shown: Shown, page: Node) -> None:
    roles: dict[tuple[str, str], set[tuple[str, str, str, str]]] = defaultdict(set)
    said: dict[tuple[str, str], set[str]] = defaultdict(set)
    for result in shown.plan.demands:
        key, running = result.key, shown.trip.boats[result.key.running].called
        id_ = f"r{list(shown.trip.rapids).index(key.rapid) + 1}"
        for part in result.witness:
            if isinstance(part, PersonPart):
                roles[id_, part.paddler].add((part.role, key.technique, key.spot, running))
                said[id_, part.paddler].add(f"{key.technique} from {BANK_NAMES[key.bank]}")
    for id_, [who, tasks, ways, *at, running] in _list_duties(page):
        [rapid] = [
            one for number, one in enumerate(shown.trip.rapids.values(), 1) if id_ == f"r{number}"
        ]
        spots = at[0].split("; ") if at else [rapid.spots[0].name]
        names = (
            [shown.trip.boats[one].called for one in rapid.boats]
            if running == "any other boat"
            else running.split(", ")
        )
        for paddler in who.split(", "):
            assert list_ways(ways) <= said[id_, paddler]
            told = [
                one
                for one in roles[id_, paddler]
                if one[0] in tasks and one[1] in ways and one[2] in spots and one[3] in names
            ]
            assert {one[2] for one in told} == set(spots)
            others = {one[3] for one in told}
            assert others == set(names) or running == "any other boat"
            assert len(others) >= 2 or running != "any other boat"


def test_duty_cards_leave_out_nothing_that_is_done_first(shown: Shown, page: Node) -> None:
    results = {one.key: one for one in shown.plan.demands}
    cards = defaultdict(list)
    for id_, [who, tasks, ways, *at, running] in _list_duties(page):
        for paddler in who.split(", "):
            cards[id_, paddler].append((tasks, list_ways(ways), "; ".join(at), running))
    for number, rapid in enumerate(shown.trip.rapids.values(), start=1):
        for key, boats in list_told(shown.trip, shown.needs, shown.plan, rapid):
            for boat in boats:
                called = shown.trip.boats[boat].called
                for part in results[DemandKey(*key, boat)].witness:
                    if isinstance(part, PersonPart):
                        place, role, paddler = say_part(shown, part)
                        way = f"{key.technique} from {BANK_NAMES[key.bank]}"
                        assert any(
                            f"{role}, {place}" in tasks.split("; ")
                            and way in ways
                            and (not at or key.spot in at.split("; "))
                            and (running == "any other boat" or called in running.split(", "))
                            for tasks, ways, at, running in cards[f"r{number}", paddler]
                        ), (key, called, paddler, role)


def test_duty_cards_say_where_a_boat_waits(shown: Shown, page: Node) -> None:
    runs = shown.plan.arrangement.list_run
    ids = {f"r{number}": one for number, one in enumerate(shown.trip.rapids.values(), start=1)}
    called = {
        (boat.called, day): name
        for name, boat in shown.trip.boats.items()
        for leg in [shown.trip.legs[boat.leg]]
        for day in range(leg.first_day, leg.last_day + 1)
    }
    for card in page.find_all("article", "duty"):
        boat, day = card.find_all("h4")[0].read().removesuffix(": duties").split(", day ")
        name = called[boat, int(day)]
        [details] = card.find_all("details")
        inside = [node for node in details.inside if node.tag in {"h5", "p"}]
        for stop, note in pairwise(inside):
            if stop.tag != "h5":
                continue
            rapid = ids[stop.find_all("a")[0].attributes["href"][1:]]
            assert rapid.day == int(day)
            if rapid.safety == "none":
                assert note.read() == "Nobody waits for the others here."
                continue
            at = runs(rapid.boats).index(name) + 1
            assert f"Runs as number {at} of {len(rapid.boats)}" in note.read()
            waits = say_waits(shown.trip, shown.plan.arrangement, rapid, name)
            told = [b.read() for b in note.find_all("b")]
            assert told == [STATION_NAMES[station] for _, station in waits]


def list_ways(told: str) -> set[str]:
    """Return each technique with each bank it is told of: "a and b from either bank" are four."""
    found = set()
    for way in told.split("; "):
        names, _, bank = way.partition(" from ")
        banks = ["river left", "river right"] if bank == "either bank" else [bank]
        found |= {
            f"{name} from {one}"
            for name in names.replace(" and ", ", ").split(", ")
            for one in banks
        }
    return found


def _list_duties(page: Node) -> Iterator[tuple[str, list[str]]]:
    """Yield the cells of each duty of each card, with the rapid it is at."""
    for card in page.find_all("article", "duty"):
        [details] = card.find_all("details")
        id_ = ""
        for node in details.inside:
            if node.tag == "h5":
                id_ = node.find_all("a")[0].attributes["href"][1:]
            for row in node.find_all("tr")[1:] if node.tag == "table" else ():
                yield id_, [cell.read() for cell in row.inside]


# --- the whole page -------------------------------------------------------------------------------


def test_pages_are_small(shown: Shown) -> None:
    assert len(shown.text.encode()) < LARGEST


def test_equal_plans_give_equal_pages(shown: Shown) -> None:
    if len(shown.trip.rapids) < 10:
        assert render_page(shown.trip, shown.plan) == shown.text


def test_the_caution_is_at_the_top_and_on_every_card(page: Node) -> None:
    [top] = page.find_all("header")
    assert CAUTION in top.read()
    cards = page.find_all("article", "card")
    assert cards
    assert all(card.find_all("p", "caution")[0].read() == CAUTION for card in cards)


def test_headings_leave_out_no_level(page: Node) -> None:
    levels = [
        int(tag.tag[1]) for tag in _list_all(page) if tag.tag in {"h1", "h2", "h3", "h4", "h5"}
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))


def test_ids_are_there_once_and_links_lead_to_them(page: Node) -> None:
    ids = Counter(node.attributes["id"] for node in _list_all(page) if "id" in node.attributes)
    assert set(ids.values()) == {1}
    assert all(link.attributes["href"][1:] in ids for link in page.find_all("a"))
    fors = [one.attributes["for"] for one in page.find_all("label") if "for" in one.attributes]
    assert fors
    assert set(fors) <= set(ids)


def test_table_headers_say_what_they_head(page: Node) -> None:
    assert {head.attributes.get("scope") for head in page.find_all("th")} <= {
        "col",
        "row",
        "rowgroup",
    }
    assert page.find_all("html")[0].attributes["lang"] == "en"
    for picture in page.find_all("svg"):
        named = picture.attributes.get("role") == "img" and picture.find_all("title")
        assert named or picture.attributes["aria-hidden"] == "true"


def _list_all(node: Node) -> list[Node]:
    return [one for inside in node.inside for one in (inside, *_list_all(inside))]


def test_counts_are_left_out_with_the_way_to_get_them(page: Node) -> None:
    [section] = [one for one in page.find_all("section") if one.attributes["id"] == "counts"]
    assert "kitplan page PLAN --counts --out trip.html" in section.read()


def test_us_units_are_shown_first_where_asked_for() -> None:
    demo = show_demo("day-rafts")
    text = render_page(demo.trip, demo.plan, units="us")
    root = read_html(text).find_all("html")[0]
    assert root.attributes["data-units"] == "us"
    [chosen] = [one for one in root.find_all("input") if "checked" in one.attributes]
    assert chosen.attributes["value"] == "us"
    assert '<span class="us">' in text
