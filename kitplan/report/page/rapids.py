"""Each rapid of a page: its picture, what can be picked, and the witness of each pick.

A *pick* is a technique at a spot, a bank and a running boat. Equal witnesses, pictures and lists
of lines are kept once for the whole page, and picks name them by number.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from kitplan.demands import ChoiceKey
from kitplan.needs.lines import IS_READY, LIES_ACROSS
from kitplan.plan import ItemPart, PersonPart, PlacePart
from kitplan.report.duties import order_places, say_where
from kitplan.report.page.cast import make_cast
from kitplan.report.page.picture import Picture
from kitplan.report.page.record import Block, make_record
from kitplan.report.page.shapes import TEXT, WIDE
from kitplan.report.rapids import say_classes, say_doubled, say_kind, waits_at, write_passage
from kitplan.report.words import BANK_NAMES, RUN_NAMES, count, say_flow, say_missing
from kitplan.units import show_length

if TYPE_CHECKING:
    from kitplan.demands import Choice, DemandKey, Needs
    from kitplan.plan import DemandResult, Part, Plan
    from kitplan.report.page.cast import Cast
    from kitplan.report.page.frame import Frame
    from kitplan.report.page.shapes import Drawing, Shape
    from kitplan.trip import Rapid, Trip

SIDES = ("left", "right", "")
"""The banks of a pick by number; the last one is the water."""
SAFETY = {
    "set": "people wait on the banks",
    "afloat": "boats wait afloat, nobody on the banks",
    "none": "nobody waits for the others",
}


class Store:
    """Keeps values that are equal once, and gives each its number."""

    def __init__(self) -> None:
        self.values: list[Any] = []
        self._numbers: dict[str, int] = {}

    def add(self, value: Any) -> int:
        """Return the number of a value."""
        key = json.dumps(value)
        if key not in self._numbers:
            self._numbers[key] = len(self.values)
            self.values.append(value)
        return self._numbers[key]


@dataclass(slots=True)
class First:
    """What is shown before anything is picked: places in the lists of picks, and what is there."""

    technique: int
    bank: int
    running: int
    places: list[list[Any]]
    lines: list[tuple[str, str]]
    shapes: list[Shape]
    boats: list[Shape]
    status: str
    details: list[Any]


@dataclass(slots=True)
class Passage:
    """A rapid as the templates take it; `techniques`: spot and scenario -> names, in order."""

    id: str
    rapid: Rapid
    heading: str
    facts: list[str]
    words: list[Block]
    title: str = ""
    river: list[Shape] = field(default_factory=list)
    wide: float = 0.0
    high: float = 0.0
    size: float = 0.0
    groups: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    sides: list[tuple[int, str]] = field(default_factory=list)
    runs: list[str] = field(default_factory=list)
    first: First | None = None


class Rapids:
    """Makes the rapids of a page, and the data that the script picks from."""

    def __init__(self, frame: Frame, trip: Trip, needs: Needs, plan: Plan) -> None:
        self.frame, self.trip, self.needs, self.plan = frame, trip, needs, plan
        self.witnesses, self.lines, self.pictures, self.boats, self.words = (
            Store() for _ in range(5)
        )
        self.picks: list[dict[str, Any]] = []
        self.results: dict[ChoiceKey, dict[str, DemandResult]] = {}
        for result in plan.demands:
            self.results.setdefault(result.key.choice, {})[result.key.running] = result
        self.ids = {name: f"r{n}" for n, name in enumerate(trip.rapids, start=1)}

    def make_all(self) -> list[Passage]:
        """Return all rapids, day by day."""
        by_day = sorted(self.trip.rapids.values(), key=lambda rapid: rapid.day)
        return [self._make(rapid) for rapid in by_day]

    def make_data(self) -> dict[str, Any]:
        """Return what the script picks from, once all rapids are made."""
        return {
            "sides": list(BANK_NAMES.values()),
            "rapids": self.picks,
            "witnesses": self.witnesses.values,
            "lines": self.lines.values,
            "pictures": self.pictures.values,
            "boats": self.boats.values,
            "words": self.words.values,
        }

    # --- one rapid ---

    def _make(self, rapid: Rapid) -> Passage:
        heading = f"Day {rapid.day}, {rapid.name}{say_flow(rapid)}, {say_classes([rapid])}"
        passage = Passage(
            self.ids[rapid.name], rapid, heading, _say_facts(rapid), self._tell(rapid)
        )
        keys = [key for key in self.results if key.rapid == rapid.name]
        if keys:
            self._fill(passage, keys)
        return passage

    def _tell(self, rapid: Rapid) -> list[Block]:
        """Return in words who stands where, and what is done first at each spot."""
        if not waits_at(rapid):
            return []
        record = make_record(self.trip)
        write_passage(record, self.trip, self.needs, self.plan, rapid)
        return [block for block in record.blocks if block.sort != "minor"]

    def _fill(self, passage: Passage, keys: list[ChoiceKey]) -> None:
        """Draw a rapid, and keep all that can be picked there."""
        rapid = passage.rapid
        casts = {
            result.key: make_cast(self.trip, self.needs.choices[key], result)
            for key in keys
            for result in self.results[key].values()
        }
        picture = Picture(self.trip, self.plan.arrangement, rapid, list(casts.values()))
        passage.river = self._split(picture.draw_river())
        passage.title = f"{rapid.name}, drawn to scale"
        passage.wide, passage.high = (
            round(units / picture.scale, 3) for units in (WIDE, picture.levels.height)
        )
        passage.size = round(TEXT / picture.scale, 3)
        passage.runs = [self.trip.boats[boat].called for boat in picture.runs]
        boats = [self._split(picture.draw_boats(boat)) for boat in picture.runs]
        techniques = list(dict.fromkeys(key[1:4] for key in keys))
        picks = []
        for number, (spot, scenario, technique) in enumerate(techniques):
            passage.groups.setdefault(f"{spot}: {scenario}", []).append((number, technique))
            of_banks = [ChoiceKey(rapid.name, spot, scenario, technique, side) for side in SIDES]
            banks = [self._pick_bank(picture, casts, key) for key in of_banks]
            picks.append([spot, scenario, technique, banks])
        self.picks.append(
            {
                "id": passage.id,
                "runs": passage.runs,
                "boats": [self.boats.add(shapes) for shapes in boats],
                "picks": picks,
            }
        )
        self._show_first(passage, boats, techniques)

    def _pick_bank(
        self, picture: Picture, casts: dict[DemandKey, Cast], key: ChoiceKey
    ) -> list[Any] | None:
        """Return what can be picked from one bank; None where the technique isn't done from it.

        In a list: which sort of choice it is, then for each boat in the running order its witness,
        or None where it is no case.
        """
        if key not in self.results:
            return None
        found = []
        for boat in picture.runs:
            result = self.results[key].get(boat)
            found.append(self._pick(picture, casts[result.key], result) if result else None)
        return [self.words.add(_say_kind(self.needs.choices[key])), found]

    def _pick(self, picture: Picture, cast: Cast, result: DemandResult) -> list[int]:
        """Return one pick: whether it is met, then the numbers of its parts."""
        shapes = self._split(picture.draw_cast(cast, result.key.running))
        return [
            int(result.met),
            self.witnesses.add(self.list_places(result)),
            self.lines.add([[a, self.frame.split(b)] for a, b in _say_lines(cast)]),
            self.pictures.add(shapes),
            self.words.add(self.frame.split(self._say_more(result))),
        ]

    def list_places(self, result: DemandResult) -> list[list[Any]]:
        """Return each place of a witness, and at it part by part as what, and who or what."""
        places: dict[str, list[list[str]]] = {}
        for part in result.witness:
            said = [self.frame.shorten(text) for text in _say_part(part)]
            places.setdefault(self.frame.shorten(say_where(part)), []).append(said)
        return [[place, places[place]] for place in sorted(places, key=order_places)]

    def _say_more(self, result: DemandResult) -> str:
        """Return what is short; of what is met, what the roles alone do not tell."""
        return say_doubled(result.way) if result.met else say_missing(result.missing)

    def _split(self, drawing: Drawing) -> list[Shape]:
        """Return shapes with their words in pieces."""
        return [
            [*shape[:-1], self.frame.split(str(shape[-1]))] if shape[0] == "text" else shape
            for shape in drawing.shapes
        ]

    def _show_first(
        self, passage: Passage, boats: list[list[Shape]], techniques: list[Any]
    ) -> None:
        """Settle what is shown before anything is picked: the first choice that is met."""
        picks = [
            (not pick[0], number, side, at)
            for number, (*_, banks) in enumerate(self.picks[-1]["picks"])
            for side, bank in enumerate(banks)
            if bank
            for at, pick in enumerate(bank[1])
            if pick
        ]
        _, number, side, at = min(picks)
        spot, scenario, technique = techniques[number]
        kind, found = self.picks[-1]["picks"][number][3][side]
        met, rows, lines, shapes, more = found[at]
        status = self._say_status(technique, SIDES[side], passage.runs[at], met=met)
        details = [self.words.values[one] for one in (kind, more) if self.words.values[one]]
        banks = self.picks[-1]["picks"][number][3]
        passage.sides = [(n, BANK_NAMES[SIDES[n]]) for n, bank in enumerate(banks) if bank]
        passage.first = First(
            number,
            side,
            at,
            self.witnesses.values[rows],
            self.lines.values[lines],
            self.pictures.values[shapes],
            boats[at],
            f"{spot}, {scenario}: {status}",
            details,
        )

    def _say_status(self, technique: str, bank: str, running: str, *, met: bool) -> str:
        answer = "can be done" if met else "short"
        return f"{technique} from {BANK_NAMES[bank]}, while {running} runs: {answer}"


def _say_kind(choice: Choice) -> str:
    """Return what a choice is good for, and its place: "support only; first choice"."""
    kind = say_kind(choice).removeprefix(", ").removeprefix(" (")
    return kind.replace("), ", "; ", 1)


def _say_part(part: Part) -> tuple[str, str]:
    if isinstance(part, PersonPart):
        return part.role, part.paddler
    if isinstance(part, PlacePart):
        return "room", f"room for {count(part.swimmers, 'swimmer')}"
    return part.kind, _say_thing(part)


def _say_thing(part: ItemPart) -> str:
    """Return a thing in full: how many, of whom or in which boat, and how it lies."""
    many = f"{part.count} x " if part.count > 1 else ""
    holder = f"worn by {part.worn_by}" if part.worn_by else f"{part.source}, {part.carried}"
    bundle = f"from the {part.bundle}, " if part.bundle else ""
    return f"{many}{part.item} ({bundle}{holder})"


def _say_lines(cast: Cast) -> list[tuple[str, str]]:
    """Return each line with its letter: what it spans, what is asked for, what is left over."""
    said = []
    for letter, line in cast.list_lettered():
        does = line.does
        if does != IS_READY:
            across = (
                f"{show_length(line.span_mm)} of river"
                if does == LIES_ACROSS
                else show_length(line.span_mm)
            )
            does = f"{does}, {across}"
        asked = f"asked for {show_length(line.asked_mm)}, is {show_length(line.length_mm)}"
        left = f"{show_length(line.left_mm)} left over" if line.left_mm else "nothing left over"
        said.append((letter, f"{line.part.item}: {does}; {asked}: {left}"))
    return said or [("", "none is used from a bank")]


def _say_facts(rapid: Rapid) -> list[str]:
    """Return what is known of a rapid, for those who can't see its picture."""
    if rapid.run in RUN_NAMES:
        return [f"{RUN_NAMES[rapid.run]}; nobody is in a boat here"]
    facts = [f"{show_length(rapid.width_mm)} wide; {SAFETY[rapid.safety]}"]
    for side in ("left", "right"):
        bank = rapid.bank(side)
        landing = f"landing for {count(bank.landing, 'boat')}" if bank.landing else "no landing"
        above = f"above for {bank.landing_above}" if bank.landing_above else "none above"
        walk = f" of {show_length(bank.walk_mm)}" if bank.walk_mm else ""
        path = f"path{walk}" if bank.path else "no path"
        more = [
            word
            for word, there in (("something to tie to", bank.anchor), ("an eddy", bank.eddy))
            if there
        ]
        facts.append(", ".join([f"{BANK_NAMES[side]}: {landing}", above, path, *more]))
    for spot in rapid.spots:
        run = [
            f"{show_length(mm)} of {word}"
            for word, mm in (("run-in", spot.run_in_mm), ("run-out", spot.run_out_mm))
            if mm is not None
        ]
        facts.append(
            f"{spot.name}: {show_length(spot.from_left_mm)} from river left, "
            f"{show_length(spot.from_right_mm)} from river right" + "".join(f", {r}" for r in run)
        )
    if rapid.guests_walk:
        facts.append("guests walk round it")
    return facts
