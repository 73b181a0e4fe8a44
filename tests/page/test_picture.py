"""Pictures are to scale: distances, widths and lines in metres, within one per cent."""

from __future__ import annotations

import string
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from kitplan.needs.lines import IS_READY, LIES_ACROSS
from kitplan.plan import PersonPart
from kitplan.report.page.cast import make_cast
from kitplan.report.page.picture import Picture
from kitplan.report.page.shapes import ON_WATER, cut
from kitplan.units import show_length
from tests.golden import stored
from tests.page.pages import join_pieces, read_data, read_html, show_demo

if TYPE_CHECKING:
    from collections.abc import Iterator

    from kitplan.plan import DemandResult
    from kitplan.report.page.cast import Cast
    from kitplan.report.page.shapes import Shape
    from tests.page.pages import Shown

NEAR = 0.01
MM = 1000


@pytest.fixture(scope="module", params=stored.NAMES)
def shown(request: pytest.FixtureRequest) -> Shown:
    """Return each of the demo trips with its page."""
    return show_demo(request.param)


def list_points(text: object) -> list[tuple[float, float]]:
    pairs = (pair.split(",") for pair in str(text).split())
    return [(float(x), float(y)) for x, y in pairs]


def measure(text: object) -> float:
    """Return how long a line is drawn, in metres."""
    return sum(abs(a - c) + abs(b - d) for (a, b), (c, d) in pairwise(list_points(text)))


def draw_all(shown: Shown) -> Iterator[tuple[Picture, Cast, DemandResult, list[Shape]]]:
    """Yield each demand that is met, with its picture."""
    for name, rapid in shown.trip.rapids.items():
        results = [one for one in shown.plan.demands if one.key.rapid == name]
        casts = [make_cast(shown.trip, shown.needs.choices[one.key.choice], one) for one in results]
        if casts:
            picture = Picture(shown.trip, shown.plan.arrangement, rapid, casts)
            for cast, result in zip(casts, results, strict=True):
                if result.met:
                    yield picture, cast, result, picture.draw_cast(cast, result.key.running).shapes


def test_spots_are_as_far_from_the_banks_as_they_are(shown: Shown) -> None:
    drawn = 0
    by_id = {f"r{n}": rapid for n, rapid in enumerate(shown.trip.rapids.values(), start=1)}
    for article in read_html(shown.text).find_all("article", "drawn"):
        rapid = by_id[article.attributes["id"]]
        lines = article.find_all("polyline", "distance")
        far = [measure(line.attributes["points"]) for line in lines]
        asked = [mm / MM for s in rapid.spots for mm in (s.from_left_mm, s.from_right_mm)]
        assert far == pytest.approx(asked, rel=NEAR)
        edges = [
            list_points(x.attributes["points"])[0][0] for x in article.find_all("polyline", "edge")
        ]
        assert edges[1] - edges[0] == pytest.approx(rapid.width_mm / MM, rel=NEAR)
        drawn += len(lines)
    assert drawn


def test_the_scale_is_as_long_as_it_says(shown: Shown) -> None:
    for article in read_html(shown.text).find_all("article", "drawn"):
        [line] = article.find_all("polyline", "scale")
        across = list_points(line.attributes["points"])
        [said] = [
            one
            for one in article.find_all("text", "start")
            if one.read() in {"1 m", "2 m", "5 m", "10 m", "20 m"}
        ]
        assert across[2][0] - across[1][0] == pytest.approx(float(said.read()[:-2]), rel=NEAR)


def test_lines_are_as_long_as_they_are(shown: Shown) -> None:
    drawn = 0
    for _, cast, _, shapes in draw_all(shown):
        ropes = [shape for shape in shapes if shape[0] == "line"]
        for bank in ("left", "right"):
            for _, line in cast.list_drawn(bank):
                asked = measure(ropes[0][2])
                assert ropes.pop(0)[1] == "rope"
                left = measure(ropes.pop(0)[2]) if ropes and ropes[0][1] == "rope left" else 0.0
                assert asked == pytest.approx(line.asked_mm / MM, rel=NEAR)
                assert left == pytest.approx(line.left_mm / MM, rel=NEAR, abs=0.01)
                drawn += 1
        assert ropes == []
    assert drawn


def test_lines_reach_what_they_are_for(shown: Shown) -> None:
    for picture, cast, result, shapes in draw_all(shown):
        spot = next(s for s in picture.rapid.spots if s.name == result.key.spot)
        width = picture.rapid.width_mm / MM
        edge = 96 / picture.scale
        tips = iter(list_points(shape[2])[0][0] for shape in shapes if shape[1] == "rope")
        for bank in ("left", "right"):
            for _, line in cast.list_drawn(bank):
                far = width if line.does == LIES_ACROSS else spot.from_left_mm / MM
                if bank == "right":
                    far = 0.0 if line.does == LIES_ACROSS else far
                assert next(tips) - edge == pytest.approx(far, rel=NEAR, abs=0.01)


def test_the_spot_that_is_meant_is_filled(shown: Shown) -> None:
    for picture, _, result, shapes in draw_all(shown):
        dots = [shape[2:4] for shape in picture.draw_river().shapes if shape[1] == "spot"]
        spots = [spot.name for spot in picture.rapid.spots]
        [filled] = [shape[2:4] for shape in shapes if shape[1] == "picked"]
        assert filled == dots[spots.index(result.key.spot)]
        [name] = [s for s in picture.draw_river().shapes if s[-1] == cut(result.key.spot, ON_WATER)]
        assert 0 < float(str(filled[1])) - float(str(name[3])) < 24 / picture.scale


def test_marks_say_who_does_what(shown: Shown) -> None:
    catalog = shown.trip.catalog
    looks = {catalog.downstream.role.name: "guard", catalog.spotter.name: "lookout"}
    for _, _, result, shapes in draw_all(shown):
        marks = {
            (str(name[4]), str(mark[1]))
            for mark, name in pairwise(shapes)
            if mark[1] in {"team", "guard", "lookout"}
        }
        corners = {
            (str(mark[1]), len(list_points(mark[2])) if mark[0] == "area" else 0)
            for mark, name in pairwise(shapes)
            if (str(name[-1]), str(mark[1])) in marks
        }
        assert corners <= {("team", 0), ("guard", 3), ("lookout", 4)}
        expected = {
            (part.paddler, looks.get(part.role, "team"))
            for part in result.witness
            if isinstance(part, PersonPart) and part.bank and not part.boat
        }
        assert expected <= marks


def test_rings_are_round_boats_at_work(shown: Shown) -> None:
    ringed = 0
    for picture, _, result, shapes in draw_all(shown):
        boats = picture.draw_boats(result.key.running).shapes
        hulls = {
            str(name[4]).split(" ", 1)[1]: list_points(hull[2])
            for hull, name in pairwise(boats)
            if hull[1] == "boat"
        }
        works = {part.boat for part in result.witness if part.boat} - {result.key.running}
        around = []
        for ring in (shape for shape in shapes if shape[1] == "works"):
            x, y = float(str(ring[2])), float(str(ring[3]))
            around += [
                called
                for called, points in hulls.items()
                if abs(x - points[0][0]) < 0.01 and points[0][1] < y < points[2][1]
            ]
        assert sorted(around) == sorted(shown.trip.boats[boat].called for boat in works)
        ringed += len(around)
    assert ringed or not any(part.boat for one in shown.plan.demands for part in one.witness)


def test_banks_are_told_of_the_right_side(shown: Shown) -> None:
    for rapid in shown.trip.rapids.values():
        if not any(one.key.rapid == rapid.name for one in shown.plan.demands):
            continue
        picture = Picture(shown.trip, shown.plan.arrangement, rapid, [])
        words = [shape for shape in picture.draw_river().shapes if shape[0] == "text"]
        for side, stands in (("left", "start faint"), ("right", "end faint")):
            bank = rapid.bank(side)
            told = [str(shape[4]) for shape in words if shape[1] == stands]
            landings = [bank.landing, bank.landing_above]
            assert told[:2] == [f"landing: {n}" if n else "no landing" for n in landings]
            assert told[2].startswith("path" if bank.path else "no path")
            assert (show_length(bank.walk_mm) in told[2]) == bool(bank.path and bank.walk_mm)


def test_everybody_of_a_bank_is_drawn_on_it(shown: Shown) -> None:
    for picture, _, result, shapes in draw_all(shown):
        middle = 180 / picture.scale
        words = {
            (str(s[4]), "left" if float(str(s[2])) < middle else "right")
            for s in shapes
            if s[0] == "text"
        }
        for part in result.witness:
            if hasattr(part, "paddler") and part.bank and not part.boat:
                assert (part.paddler, part.bank) in words


def test_boats_are_drawn_where_they_wait(shown: Shown) -> None:
    stations = shown.plan.arrangement.stations
    for rapid in shown.trip.rapids.values():
        if not any(key[0] == rapid.name for key in stations):
            continue
        picture = Picture(shown.trip, shown.plan.arrangement, rapid, [])
        for running in picture.runs:
            texts = {
                str(s[4]).split(" ", 1)[1]: s
                for s in picture.draw_boats(running).shapes
                if s[0] == "text"
            }
            for boat in picture.runs:
                called = shown.trip.boats[boat].called
                if boat == running:
                    assert f"{called} runs" in texts
                    continue
                _, look, x, y, _ = texts[called]
                station = stations[rapid.name, boat, running]
                stands = {"left": "end", "right": "start"}.get(station)
                assert stands in {None, look}
                inside = 96 < float(str(x)) * picture.scale < 264
                assert inside == (station not in {"left", "right"})
                has_run = picture.runs.index(boat) < picture.runs.index(running)
                if station in {"left", "right"}:
                    assert (float(str(y)) * picture.scale < picture.levels.guards) == has_run


def test_lines_are_told_with_the_letters_they_are_drawn_with(shown: Shown) -> None:
    data = read_data(read_html(shown.text))
    told = {repr([[a, join_pieces(b)] for a, b in lines]) for lines in data["lines"]}
    for _, cast, _, shapes in draw_all(shown):
        letters = iter(string.ascii_uppercase)
        expected = []
        for line in cast.lines:
            drawn = line.does != IS_READY and line.bank
            across = " of river" if line.does == LIES_ACROSS else ""
            spans = "" if line.does == IS_READY else f", {show_length(line.span_mm)}{across}"
            left = line.length_mm - line.asked_mm
            expected.append(
                [
                    next(letters) if drawn else "",
                    f"{line.part.item}: {line.does}{spans}; "
                    f"asked for {show_length(line.asked_mm)}, is {show_length(line.length_mm)}: "
                    + (f"{show_length(left)} left over" if left else "nothing left over"),
                ]
            )
        if expected:
            assert repr(expected) in told
        in_picture = sorted(str(shape[4]) for shape in shapes if str(shape[1]).endswith("strong"))
        assert in_picture == [letter for letter, _ in expected if letter]


def test_facts_say_how_far_spots_are_from_which_bank(shown: Shown) -> None:
    rapids = list(shown.trip.rapids.values())
    for article in read_html(shown.text).find_all("article", "drawn"):
        rapid = rapids[int(article.attributes["id"][1:]) - 1]
        [facts] = article.find_all("ul", "facts")
        told = [fact.read() for fact in facts.inside]
        assert told[0].startswith(f"{show_length(rapid.width_mm)} wide; ")
        for side, fact in zip(("left", "right"), told[1:3], strict=True):
            landing = rapid.bank(side).landing
            said = f"landing for {landing} boat" if landing else "no landing"
            assert fact.startswith(f"river {side}: {said}")
        for spot, fact in zip(rapid.spots, told[3:], strict=False):
            assert fact.startswith(
                f"{spot.name}: {show_length(spot.from_left_mm)} from river left, "
                f"{show_length(spot.from_right_mm)} from river right"
            )


def test_what_lies_ready_is_told_and_not_drawn(shown: Shown) -> None:
    ready = [line for _, cast, _, _ in draw_all(shown) for a, line in cast.list_lettered() if not a]
    assert ready
    assert {line.does for line in ready} == {IS_READY}
