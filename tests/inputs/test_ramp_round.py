"""What `plan` writes as its packing list is read back as the very same load, from CSV and TOML.

Of the demo trips the stored plans; of the six days also any load that somebody might make up: who
sits and what lies where is drawn, sensible or not, at all flows and with stations of both sorts.
"""

import csv
import io
import random
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.load import load_trip
from kitplan.needs.stores import list_lots, name_lots
from kitplan.plan import Arrangement, Packed, Plan, Stowed
from kitplan.ramp import RampLoad, arm, disarm
from kitplan.report.csv import COLUMNS, render_csv
from kitplan.report.toml import render_toml
from kitplan.trip import ALL_FLOWS, HELD, RESET, STATIONS, Item, Leg, Trip
from tests.golden import stored
from tests.inputs.ramptexts import accept
from tests.inputs.stowed import make_plan

QUOTINGS: tuple[Literal[0, 1], ...] = (csv.QUOTE_MINIMAL, csv.QUOTE_ALL)


def check_same(load: RampLoad, arrangement: Arrangement) -> None:
    """Assert that a load says what an arrangement does."""
    assert load.crew == arrangement.crew
    assert load.steerer == arrangement.steerer
    assert load.packed == arrangement.packed
    assert (load.stowed or ()) == arrangement.stowed
    assert load.stations == arrangement.stations
    assert load.order == arrangement.order
    assert load.twice == arrangement.twice


@pytest.fixture(params=stored.NAMES)
def demo(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> tuple[Trip, Plan]:
    """Return a demo trip and its stored plan, and stand in an empty folder as before."""
    here = Path.cwd()
    monkeypatch.chdir(stored.ROOT)
    trip, plan = stored.load_demo(request.param), stored.read_stored(request.param)
    monkeypatch.chdir(here)
    assert plan is not None
    return trip, plan


def test_stored_plans_come_back(demo: tuple[Trip, Plan]) -> None:
    trip, plan = demo
    load = accept(trip, render_csv(trip, plan))
    check_same(load, plan.arrangement)
    assert load.legs == tuple(range(len(trip.legs)))
    assert (load.stowed is None) == (trip.stores is None)


def test_stored_plans_come_back_from_toml(demo: tuple[Trip, Plan]) -> None:
    trip, plan = demo
    check_same(accept(trip, render_toml(trip, plan), "load.toml"), plan.arrangement)


# --- any load -------------------------------------------------------------------------------------


@cache
def load_six_days(flow: str) -> Trip:
    trip, findings = load_trip(stored.ROOT / "trips" / "six-days.toml", flow)
    assert trip is not None, findings
    return trip


def list_ways(item: Item) -> list[str]:
    """Return how an item may be dealt out."""
    return [way for way in item.carried if way != "worn" or item.worn_on in {"vest", "waist"}]


class Drawer:
    """Draws an arrangement that people could make: it need not keep a rule but those of a load."""

    def __init__(self, trip: Trip, seed: int) -> None:
        self.trip = trip
        self.rng = random.Random(seed)

    def draw(self) -> Arrangement:
        crew: dict[str, tuple[str, ...]] = {}
        order: list[str] = []
        for leg in self.trip.legs:
            crew |= self.draw_crew(leg)
            order += self.rng.sample(leg.boats, len(leg.boats))
        packed = [row for leg in self.trip.legs for row in self.draw_kit(leg, crew)]
        stowed = [row for leg in self.trip.legs for row in self.draw_stores(leg)]
        steerer = {boat: self.rng.choice(people) for boat, people in crew.items()}
        bare = Arrangement(crew, steerer, tuple(sorted(packed)), {}, tuple(order))
        return replace(
            bare,
            stowed=tuple(sorted(stowed)),
            stations=self.draw_stations(bare),
            twice=self.draw_twice(),
        )

    def draw_crew(self, leg: Leg) -> dict[str, tuple[str, ...]]:
        people = self.rng.sample(leg.paddlers, len(leg.paddlers))
        seats = {boat: [people.pop()] for boat in leg.boats}
        for paddler in people:
            seats[self.rng.choice(leg.boats)].append(paddler)
        return {boat: tuple(sorted(there)) for boat, there in seats.items()}

    def draw_kit(self, leg: Leg, crew: dict[str, tuple[str, ...]]) -> list[Packed]:
        counts: dict[tuple[str, str, str, str], int] = {}
        for name in leg.kit:
            kit = self.trip.kit[name]
            for _ in range(self.rng.randint(0, kit.count) if list_ways(kit.item) else 0):
                boat, way = self.rng.choice(leg.boats), self.rng.choice(list_ways(kit.item))
                wearer = self.rng.choice(crew[boat]) if way == "worn" else ""
                key = (boat, name, way, wearer)
                counts[key] = counts.get(key, 0) + 1
        return [Packed(b, item, way, n, who) for (b, item, way, who), n in counts.items()]

    def draw_stores(self, leg: Leg) -> list[Stowed]:
        rows = []
        for name, lot in name_lots(list_lots(self.trip)).items():
            if lot.first_day > leg.last_day or lot.last_day < leg.first_day:
                continue
            lies = [self.rng.choice(leg.boats) for _ in range(lot.count)]
            rows += [Stowed(boat, name, lies.count(boat)) for boat in sorted(set(lies))]
        return rows

    def draw_stations(self, bare: Arrangement) -> dict[tuple[str, str, str], str]:
        stations = {}
        for rapid in self.trip.rapids.values():
            runs = bare.list_run(rapid.boats)
            for n, boat in enumerate(runs):
                held = self.rng.choices(STATIONS, k=2)
                for k, running in enumerate(runs):
                    if n != k and self.trip.stations == HELD:
                        stations[rapid.name, boat, running] = held[n < k]
                    elif n != k:
                        stations[rapid.name, boat, running] = self.rng.choice(STATIONS)
        return stations

    def draw_twice(self) -> dict[tuple[str, str], str]:
        return {
            (rapid.name, boat): self.rng.choice(self.trip.legs[rapid.leg].paddlers)
            for rapid in self.trip.rapids.values()
            for boat in rapid.boats
            if self.rng.random() < 0.1
        }


@settings(max_examples=12)
@given(st.integers(0, 10**6), st.sampled_from([HELD, RESET]))
def test_any_load_comes_back(seed: int, stations: str) -> None:
    trip = replace(load_six_days(ALL_FLOWS), stations=stations)
    arrangement = Drawer(trip, seed).draw()
    check_same(accept(trip, render_csv(trip, make_plan(arrangement))), arrangement)


@settings(max_examples=12)
@given(st.randoms(use_true_random=False), st.sampled_from(QUOTINGS))
def test_rows_and_columns_in_any_order_mean_the_same(
    rng: random.Random, quoting: Literal[0, 1]
) -> None:
    trip = load_six_days(ALL_FLOWS)
    arrangement = Drawer(trip, rng.randrange(100)).draw()
    rows = list(csv.DictReader(io.StringIO(render_csv(trip, make_plan(arrangement)))))
    shuffled = rng.sample(rows, len(rows))
    stream = io.StringIO()
    columns = rng.sample(COLUMNS, len(COLUMNS))
    writer = csv.DictWriter(stream, columns, quoting=quoting)
    writer.writeheader()
    writer.writerows(shuffled)
    first: dict[str, str] = {}
    for row in shuffled:
        if row["row"] == "seat":
            boats = trip.legs[0 if row["from_day"] == "1" else 1].boats
            [boat] = [name for name in boats if trip.boats[name].called == row["boat"]]
            first.setdefault(boat, row["name"])
    check_same(accept(trip, stream.getvalue()), replace(arrangement, steerer=first))


@given(st.text(alphabet="'=+-@ab", max_size=5))
def test_no_cell_is_a_formula_and_each_comes_back(cell: str) -> None:
    assert disarm(cell)[:1] not in {"=", "+", "-", "@"}
    assert arm(disarm(cell)) == cell
