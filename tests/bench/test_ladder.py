"""The low rungs of the ladder: their kit is as stored, and their aims what was once proven."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from kitplan.needs import derive_needs
from tests.bench import __main__ as command
from tests.bench.compare import list_means
from tests.bench.hand import solve_by_hand
from tests.bench.ladder import PLENTY, Rung, draw_rung, list_rungs, load_scarce
from tests.bench.optima import list_contradictions, load_optima
from tests.bench.run import Result, run_apart, run_here
from tests.bench.scarce import list_coverable, take_away, with_kit
from tests.generator import is_full_run

if TYPE_CHECKING:
    from pathlib import Path


def name_rung(rung: Rung) -> str:
    return rung.name


QUICK = Rung("XS", "scarce 30", 1)
LIMIT_S = 600.0  # far more than is taken: what ends early is a failure, not a slow machine
SOLVED = [*list_rungs(["XS"], 2), Rung("XS", PLENTY, 3), Rung("S", "scarce 30", 4)]
if is_full_run():
    SOLVED = [rung for rung in list_rungs(["XS", "S"], 5) if rung.name in load_optima()]
FOUND = [rung for rung in list_rungs(["XS"], 5) if rung.per_cent]
FOUND = FOUND if is_full_run() else [rung for rung in FOUND if rung.seed == 3]


@pytest.mark.parametrize("rung", SOLVED, ids=name_rung)
def test_aims_are_proven_again_and_as_stored(rung: Rung) -> None:
    result = run_here(rung, "kitplan", LIMIT_S)
    assert result.faults == []
    assert result.proven
    assert result.values == load_optima()[rung.name]


@pytest.mark.parametrize("rung", FOUND, ids=name_rung)
def test_scarcity_is_found_again_as_stored(rung: Rung) -> None:
    assert draw_rung(rung, stored=False).scarce == load_scarce(rung)


def test_what_is_scarce_is_bare_as_said() -> None:
    rung = Rung("XS", "scarce 30", 3)
    plenty, scarce = draw_rung(replace(rung, kit=PLENTY)).trip, draw_rung(rung)
    most, left = (len(list_coverable(trip, derive_needs(trip))) for trip in (plenty, scarce.trip))
    assert left < most
    assert round(100 * (most - left) / most, 1) == scarce.scarce.reached


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_more_than_plenty_covers_no_more(seed: int) -> None:
    trip = draw_rung(Rung("XS", PLENTY, seed)).trip
    doubled = {name: replace(row, count=2 * row.count) for name, row in trip.kit.items()}
    more = with_kit(trip, doubled)
    here, there = (list_coverable(one, derive_needs(one)) for one in (trip, more))
    assert here == there
    assert here


def test_pieces_go_one_after_the_other_but_what_must_be_taken() -> None:
    trip = draw_rung(Rung("XS", PLENTY, 1)).trip
    name = next(iter(trip.kit))
    kept = with_kit(trip, {**trip.kit, name: replace(trip.kit[name], take=2)})
    counts = [
        {i: row.count for i, row in take_away(kept, factor).kit.items()}
        for factor in (0.0, 0.1, 0.4, 1.0)
    ]
    assert counts[0] == {i: row.take for i, row in kept.kit.items() if row.take}
    assert counts[-1] == {i: row.count for i, row in trip.kit.items()}
    for fewer, more in pairwise(counts):
        assert all(count <= more[i] for i, count in fewer.items())
        assert sum(fewer.values()) < sum(more.values())


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5])
def test_by_hand_keeps_the_rules_and_is_no_better_than_the_best(seed: int) -> None:
    rung = Rung("XS", PLENTY, seed)
    result = run_here(rung, "by hand", LIMIT_S)
    assert result.faults == []
    assert result.values is not None
    assert result.values >= load_optima()[rung.name]


def test_by_hand_deals_out_as_even_as_it_goes() -> None:
    trip = draw_rung(Rung("XS", PLENTY, 3)).trip
    bags = "throw bag 20 m"
    few = with_kit(trip, {bags: replace(trip.kit[bags], count=len(trip.boats))})
    arrangement = solve_by_hand(few, derive_needs(few), LIMIT_S).arrangement
    assert arrangement is not None
    assert sorted((row.boat, row.count) for row in arrangement.packed) == [
        (boat, 1) for boat in sorted(few.boats)
    ]


PROVEN = Result(QUICK, "one", (5, 3, 2), (5, 3, 2), proven=True)


@pytest.mark.parametrize(
    ("result", "wrong"),
    [
        (PROVEN, False),
        (replace(PROVEN, values=(5, 4, 0)), True),  # proven, and not what is stored
        (replace(PROVEN, proven=False, values=(5, 4, 0)), False),  # worse, and not said to be best
        (replace(PROVEN, proven=False, values=(5, 3, 1)), True),  # better than the best
        (replace(PROVEN, proven=False, values=(4,)), True),
        (replace(PROVEN, proven=False, values=None), False),
    ],
)
def test_what_contradicts_a_stored_optimum_is_said(result: Result, *, wrong: bool) -> None:
    assert bool(list_contradictions([result], {QUICK.name: (5, 3, 2)})) == wrong


def test_two_methods_that_prove_different_values_are_told_apart() -> None:
    other = replace(PROVEN, method="other", values=(5, 3, 1))
    (said, _) = list_contradictions([PROVEN, other], {})
    assert said == "XS, scarce 30, 1, one: proven (5, 3, 2), but (5, 3, 1) is best (other)"


@pytest.mark.parametrize("stored", [(2186, 626, 1226), (2186, 626, 1225)])
def test_the_command_fails_where_an_optimum_is_another_one(
    stored: tuple[int, ...], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["--sizes", "XS", "--seeds", "1", "--kits", "scarce 30", "--methods", "kitplan"]
    monkeypatch.setattr("sys.argv", ["bench", *asked, "--limit", "600"])
    monkeypatch.setattr(command, "load_optima", lambda: {QUICK.name: stored})
    right = load_optima()[QUICK.name] == stored
    assert command.main() == (0 if right else 1)
    assert ("FAILED: " in capsys.readouterr().out) != right


def test_means_are_geometric_and_of_rungs_where_both_gave_a_plan() -> None:
    rungs = [Rung("S", PLENTY, seed) for seed in (1, 2, 3)]
    rows = [(rungs[0], 10.0, (19, 0, 0)), (rungs[1], 10.0, (0, 0, 0)), (rungs[2], 5.0, None)]
    hand = [(rung, 20.0, (9, 0, 0)) for rung in rungs]
    results = [Result(rung, "kitplan", values, seconds=s) for rung, s, values in rows]
    results += [Result(rung, "by hand", values, seconds=s) for rung, s, values in hand]
    (mean,) = list_means(results)
    assert (mean["method"], mean["rungs"]) == ("kitplan", 2)
    assert mean["time / by hand"] == 0.5
    assert mean["uncovered / by hand"] == round((2 * 0.1) ** 0.5, 3)
    assert list_means(results[:3]) == []


def test_each_run_leaves_its_row_and_all_figures_so_far(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "figures.json"
    asked = ["--sizes", "XS", "--seeds", "2", "--kits", PLENTY, "--methods", "kitplan"]
    monkeypatch.setattr("sys.argv", ["bench", *asked, "--json", str(file)])

    def run(rung: Rung, method: str, _limit_s: float) -> Result:
        if rung.seed == 2:
            raise KeyboardInterrupt
        return Result(rung, method, faults=["killed by SIGKILL"])

    monkeypatch.setattr(command, "run_apart", run)
    with pytest.raises(KeyboardInterrupt):
        command.main()
    _, row = capsys.readouterr().out.splitlines()
    assert row.startswith("XS, plenty, 1")
    assert row.endswith("killed by SIGKILL")
    (left,) = json.loads(file.read_text("utf-8"))["results"]
    assert left["faults"] == ["killed by SIGKILL"]
    assert list(tmp_path.iterdir()) == [file]


def test_a_run_that_was_killed_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    killed = "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"
    start = subprocess.Popen
    monkeypatch.setattr(
        "tests.bench.run.subprocess.Popen",
        lambda _, **more: start([sys.executable, "-c", killed], **more),
    )
    assert run_apart(QUICK, "kitplan", 1.0).faults == ["killed by SIGKILL"]
