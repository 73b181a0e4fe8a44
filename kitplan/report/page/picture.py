"""A rapid drawn to scale: banks, landings, spots; boats where they wait; a witness at work.

Across the river and along lines everything is to scale; along the river it is not, as trips say
nothing of how far apart spots are. The current runs up the page, so that river left is at the left.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.report.page.shapes import CHANNEL, ON_WATER, STRIP, TEXT, WIDE, Drawing, cut, measure
from kitplan.trip import BANKS
from kitplan.units import show_length

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from kitplan.needs.lines import Line
    from kitplan.plan import Arrangement
    from kitplan.report.page.cast import Cast
    from kitplan.report.page.shapes import Point
    from kitplan.trip import Rapid, Spot, Trip

ROW, NAME, ROPE, FLAKE = 15.0, 12.5, 13.0, 3.5
"""Units from one boat, name, line across the water and turn of a line on land to the next one."""
HEAD, FOOT, TITLES, SPOT = 16.0, 30.0, 28.0, 34.0
EDGES = {"left": STRIP, "right": WIDE - STRIP}
MIDDLE = WIDE / 2
SCALES_MM = (1_000, 2_000, 5_000, 10_000, 20_000, 50_000)
LONGEST_BAR = 90  # units
BELOW, AFLOAT, ABOVE = "below", "afloat", "above"


@dataclass(frozen=True, slots=True)
class Levels:
    """How far down the page things are, in units."""

    further: float
    landing: float
    guards: float  # the bottom of them
    spots: dict[str, float]
    ropes: int
    lookouts: float
    above: float
    height: float


class Picture:
    """Draws one rapid with the boats of a plan, and any of the casts it was made for."""

    def __init__(
        self, trip: Trip, arrangement: Arrangement, rapid: Rapid, casts: Sequence[Cast]
    ) -> None:
        self.trip, self.arrangement, self.rapid = trip, arrangement, rapid
        self.runs = arrangement.list_run(rapid.boats)
        self.scale = CHANNEL / (rapid.width_mm / 1000)
        self.places = {boat: self._place_boats(boat) for boat in self.runs}
        self.levels = self._measure(casts)

    # --- where everything is ---

    def _place_boats(self, running: str) -> dict[str, tuple[str, str]]:
        """Return where each other boat is while one runs: a zone, and the bank or "" for afloat."""
        placed = {}
        now = self.runs.index(running)
        for number, boat in enumerate(self.runs):
            if boat == running:
                continue
            station = self.arrangement.stations[self.rapid.name, boat, running]
            if station in BANKS:
                placed[boat] = ("landing" if number < now else ABOVE, station)
            else:
                zone = {AFLOAT: "landing", BELOW: "further"}.get(station, ABOVE)
                placed[boat] = (zone, "")
        return placed

    def _count_most(self, zone: str) -> int:
        """Return how many boats are above each other in a zone at most."""
        counts = [
            [place for place in placed.values() if place == (zone, bank)]
            for placed in self.places.values()
            for bank in (*BANKS, "")
        ]
        return max(map(len, counts), default=0)

    def _measure(self, casts: Sequence[Cast]) -> Levels:
        def most(groups: Iterable[dict[str, list[str]]]) -> int:
            return max((len(names) for group in groups for names in group.values()), default=0)

        further = HEAD
        landing = further + ROW * self._count_most("further")
        guards = landing + TITLES + ROW * self._count_most("landing")
        guards += NAME * most(cast.guards for cast in casts)
        ropes = max((len(c.list_drawn(bank)) for c in casts for bank in BANKS), default=0)
        first = guards + NAME * most(cast.team for cast in casts) + SPOT
        between = SPOT + ROPE * ropes
        names = [spot.name for spot in reversed(self.rapid.spots)]
        spots = {name: first + number * between for number, name in enumerate(names)}
        turns = max(
            (self._measure_flakes(cast, bank) for cast in casts for bank in BANKS), default=0.0
        )
        last = max(spots.values(), default=first) + ROPE * (ropes + 1.3) + turns + 8
        middle = ROW + NAME * max((len(cast.above) for cast in casts), default=0)
        beside = NAME * most(cast.lookouts for cast in casts)
        above = last + max(middle, beside) + 6
        height = above + TITLES + ROW * self._count_most(ABOVE) + FOOT
        return Levels(further, landing, guards, spots, ropes, last, above, height)

    def _measure_flakes(self, cast: Cast, bank: str) -> float:
        """Return how high what lies on a bank of the lines is, in units."""
        return sum(self._measure_turns(line) for _, line in cast.list_drawn(bank))

    def _measure_turns(self, line: Line) -> float:
        """Return how high the turns are in which the rest of a line lies on land, in units."""
        rest = self.scale * max(0, line.length_mm - line.span_mm) / 1000
        return FLAKE * (2 + rest // (STRIP - 24))

    # --- the river ---

    def draw_river(self) -> Drawing:
        """Draw what is there whoever stands where."""
        drawing, height = Drawing(self.scale), self.levels.height
        for left, right, look in (
            (0, STRIP, "land"),
            (STRIP, WIDE - STRIP, "water"),
            (WIDE - STRIP, WIDE, "land"),
        ):
            drawing.area([(left, 0), (right, 0), (right, height), (left, height)], look)
        for edge in EDGES.values():
            drawing.line([(edge, 0), (edge, height)], "edge")
        drawing.text(4, 11, "river left", "start strong")
        drawing.text(WIDE - 4, 11, "river right", "end strong")
        drawing.text(MIDDLE, 11, "downstream", "middle faint")
        for bank in BANKS:
            self._draw_bank(drawing, bank)
        drawing.text(MIDDLE, self.levels.landing + 11, "have run", "middle faint")
        drawing.text(MIDDLE, self.levels.above + 11, "still to run", "middle faint")
        for spot in self.rapid.spots:
            self._draw_spot(drawing, spot)
        self._draw_foot(drawing)
        return drawing

    def _draw_bank(self, drawing: Drawing, side: str) -> None:
        bank, x, stands = self.rapid.bank(side), 4.0, "start"
        if side == "right":
            x, stands = WIDE - 4.0, "end"
        for level, boats in (
            (self.levels.landing, bank.landing),
            (self.levels.above, bank.landing_above),
        ):
            said = f"landing: {boats}" if boats else "no landing"
            drawing.text(x, level + 11, said, f"{stands} faint")
        walk = "no path"
        if bank.path:
            walk = f"path, {show_length(bank.walk_mm)}" if bank.walk_mm else "path"
        drawing.text(x, self.levels.landing + 23, walk, f"{stands} faint")
        if bank.path:
            way = x if side == "left" else WIDE - 4.0
            drawing.line([(way, self.levels.landing + 27), (way, self.levels.above)], "path")

    def _draw_spot(self, drawing: Drawing, spot: Spot) -> None:
        """Draw a spot with its distances from both banks, in words on the water."""
        x, y = self._find_spot(spot), self.levels.spots[spot.name]
        drawing.text(MIDDLE, y - 18, cut(spot.name, ON_WATER), "middle strong")
        for bank, mm in (("left", spot.from_left_mm), ("right", spot.from_right_mm)):
            edge = EDGES[bank]
            drawing.line([(edge, y), (x, y)], f"distance {bank}")
            said = show_length(mm)
            room = 2 + TEXT * measure(said) / 2
            at = max(EDGES["left"] + room, min((edge + x) / 2, EDGES["right"] - room))
            drawing.text(at, y - 6, said, "middle")
        drawing.dot(x, y, 4, "spot")

    def _find_spot(self, spot: Spot) -> float:
        return STRIP + self.scale * spot.from_left_mm / 1000

    def _draw_foot(self, drawing: Drawing) -> None:
        """Draw the current, and how long so many metres are."""
        y = self.levels.height - 6
        drawing.line([(MIDDLE, y), (MIDDLE, y - 18)], "current")
        drawing.line([(MIDDLE - 4, y - 13), (MIDDLE, y - 18), (MIDDLE + 4, y - 13)], "current")
        drawing.text(MIDDLE + 9, y - 4, "current", "start faint")
        fitting = [mm for mm in SCALES_MM if self.scale * mm / 1000 <= LONGEST_BAR]
        mm = fitting[-1] if fitting else SCALES_MM[0]
        long = self.scale * mm / 1000
        drawing.line([(4, y - 5), (4, y), (4 + long, y), (4 + long, y - 5)], "scale")
        drawing.text(8, y - 4, show_length(mm), "start")

    # --- boats ---

    def draw_boats(self, running: str) -> Drawing:
        """Draw where each boat is while one runs, with its place in the order."""
        drawing = Drawing(self.scale)
        for boat, (x, y) in self._find_boats(running).items():
            drawing.hull(x, y, "boat")
            place, said = self.places[running][boat][1], self._name_boat(boat)
            if place:
                out = -13 if place == "left" else 13
                drawing.text(EDGES[place] + out, y + 4, said, "end" if place == "left" else "start")
            else:
                drawing.text(x + 11, y + 4, said, "start")
        y = self.levels.lookouts + 6
        drawing.hull(MIDDLE - 44, y, "boat runs")
        drawing.text(MIDDLE - 35, y + 4, f"{self._name_boat(running)} runs", "start strong")
        return drawing

    def _name_boat(self, boat: str) -> str:
        return f"{self.runs.index(boat) + 1} {cut(self.trip.boats[boat].called)}"

    def _find_boats(self, running: str) -> dict[str, Point]:
        """Return where boats lie while one runs, in units."""
        tops = {
            "further": self.levels.further + 6,
            "landing": self.levels.landing + TITLES + 6,
            ABOVE: self.levels.above + TITLES + 6,
        }
        inward = {"left": EDGES["left"] + 7, "right": EDGES["right"] - 7, "": STRIP + 40}
        found: dict[str, Point] = {}
        rows: dict[tuple[str, str], int] = {}
        for boat, place in self.places[running].items():
            row = rows[place] = rows.get(place, -1) + 1
            found[boat] = (inward[place[1]], tops[place[0]] + row * ROW)
        return found

    # --- a witness ---

    def draw_cast(self, cast: Cast, running: str) -> Drawing:
        """Draw which spot is meant, people where they work, lines, and the boats that work."""
        drawing = Drawing(self.scale)
        spot = self.levels.spots[cast.spot]
        there = next(one for one in self.rapid.spots if one.name == cast.spot)
        drawing.dot(self._find_spot(there), spot, 4, "picked")
        for bank in BANKS:
            self._draw_lines(drawing, cast, bank)
            team = cast.team.get(bank, [])
            self._draw_names(drawing, team, bank, spot - 8 - NAME * (len(team) - 1), "team")
            guards = cast.guards.get(bank, [])
            bottom = self.levels.guards - NAME * (len(guards) - 1) - 2
            self._draw_names(drawing, guards, bank, bottom, "guard")
            self._draw_names(
                drawing, cast.lookouts.get(bank, []), bank, self.levels.lookouts + 4, "lookout"
            )
        for number, name in enumerate(cast.above):
            y = self.levels.lookouts + ROW + 5 + number * NAME
            _draw_mark(drawing, MIDDLE - 44, y, "lookout")
            drawing.text(MIDDLE - 35, y + 4, f"{cut(name)}, above", "start")
        afloat = self._find_boats(running)
        for boat in cast.works:
            if boat in afloat:
                drawing.dot(*afloat[boat], 8.5, "works")
        return drawing

    def _draw_names(
        self, drawing: Drawing, names: list[str], bank: str, top: float, look: str
    ) -> None:
        out, stands = (-1, "end") if bank == "left" else (1, "start")
        for number, name in enumerate(names):
            x, y = EDGES[bank] + 7 * out, top + number * NAME
            _draw_mark(drawing, x, y, look)
            drawing.text(x + 7 * out, y + 4, cut(name), stands)

    def _draw_lines(self, drawing: Drawing, cast: Cast, bank: str) -> None:
        """Draw the lines of a bank: whole, what is not spanned in turns on the bank.

        What is asked for is drawn through, what is left over is dashed.
        """
        top = self.levels.spots[cast.spot]
        turns = top + ROPE * (self.levels.ropes + 1.3)
        for number, (letter, line) in enumerate(cast.list_drawn(bank)):
            y = top + ROPE * (number + 1.1)
            way = self._lay(line, y, turns, number)
            turns += self._measure_turns(line)
            if bank == "right":
                way = [(WIDE - x, y) for x, y in way]
            asked, rest = _cut_way(way, self.scale * line.asked_mm / 1000)
            drawing.line(asked, "rope")
            if len(rest) > 1:
                drawing.line(rest, "rope left")
            x, stands = (EDGES[bank] + 5, "start") if bank == "left" else (EDGES[bank] - 5, "end")
            drawing.text(x, y - 1.5, letter, f"{stands} strong")

    def _lay(self, line: Line, y: float, turns: float, number: int) -> list[Point]:
        """Return the way of a line of river left, from its tip to its end on land, in units."""
        long, span = (self.scale * mm / 1000 for mm in (line.length_mm, line.span_mm))
        down = STRIP - 4 - 3 * number
        way = [(STRIP + min(span, long), y), (STRIP, y), (down, y), (down, turns)]
        outer, inner = 8.0, STRIP - 16
        x, level = outer, turns
        while _measure_way(way) < long:
            way += [(x, level), (x, level + FLAKE)]
            level += FLAKE
            x = inner if x == outer else outer
        return _cut_way(way, long)[0]


def _draw_mark(drawing: Drawing, x: float, y: float, look: str) -> None:
    """Draw what stands for a person: a dot in the team, else a triangle or a square."""
    if look == "team":
        drawing.dot(x, y, 2.8, look)
    elif look == "guard":
        drawing.area([(x - 3.4, y - 3), (x + 3.4, y - 3), (x, y + 3.2)], look)
    else:
        drawing.area([(x - 3, y - 3), (x + 3, y - 3), (x + 3, y + 3), (x - 3, y + 3)], look)


def _measure_way(way: Sequence[Point]) -> float:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(way))


def _cut_way(way: Sequence[Point], at: float) -> tuple[list[Point], list[Point]]:
    """Return a way, all of it straight up, down or across, cut after so many units."""
    head = [way[0]]
    for number, (a, b) in enumerate(pairwise(way)):
        long = abs(a[0] - b[0]) + abs(a[1] - b[1])
        if long > at:
            part = at / long
            middle = (a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1]))
            return [*head, middle], [middle, *way[number + 1 :]]
        head.append(b)
        at -= long
    return head, []
