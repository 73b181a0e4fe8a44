"""What is said of goals and of earlier runs: by made-up results, each with its answer by hand."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from typing import TYPE_CHECKING

import pytest

from tests.bench import __main__ as command
from tests.bench.beside import list_beside, read_results, say_result
from tests.bench.goals import hold_goals, is_near
from tests.bench.ladder import PLENTY, Rung
from tests.bench.run import Result

if TYPE_CHECKING:
    from pathlib import Path

M = [Rung("M", PLENTY, seed) for seed in (1, 2)]
SCARCE = [Rung("M", "scarce 30", seed) for seed in (1, 2)]
BEST = (9, 5, 4)


def _prove(rung: Rung, seconds: float, method: str = "kitplan") -> Result:
    return Result(rung, method, BEST, BEST, proven=True, seconds=seconds)


def _find(rung: Rung, values: tuple[int, ...], bound: int, method: str = "kitplan") -> Result:
    return Result(rung, method, values, (bound, None, None), seconds=30.0)


def _tell(results: list[Result]) -> dict[str, tuple[str, bool]]:
    return {held.asked: (held.reached, held.met) for held in hold_goals(results)}


@pytest.mark.parametrize(("seconds", "met"), [(10.0, True), (10.1, False)])
def test_plenty_is_to_be_proven_in_its_time(seconds: float, *, met: bool) -> None:
    said = _tell([_prove(M[0], 2.0), _prove(M[1], seconds)])
    assert said == {"proven in 10 s": (f"{2 if met else 1} of 2 proven", met)}


@pytest.mark.parametrize(("uncovered", "met"), [(103, True), (104, False)])
def test_scarce_may_be_near_its_bound(uncovered: int, *, met: bool) -> None:
    said = _tell([_prove(SCARCE[0], 30.0), _find(SCARCE[1], (uncovered, 1, 1), 100)])
    assert said["proven in 30 s, or within 3%"][1] is met


def test_near_is_said_of_the_first_aim_that_is_not_proven() -> None:
    assert is_near(Result(M[0], "kitplan", (9, 100, 7), (9, 98, 0)))
    assert not is_near(Result(M[0], "kitplan", (9, 100, 7), (9, 90, 7)))
    assert not is_near(Result(M[0], "kitplan", (9, 100, 7), (9, None, None)))
    assert not is_near(Result(M[0], "kitplan"))
    assert not is_near(_find(M[0], (1, 0, 0), 0))


def test_how_much_sooner_the_proof_is_there() -> None:
    """Twelve times and three: six by the geometric mean, and one is not ten times."""
    name = "SCIP, one model"
    ours = [_prove(M[0], 1.0), _prove(M[1], 1.0)]
    said = _tell([*ours, _prove(M[0], 12.0, name), _prove(M[1], 3.0, name)])
    assert said[f"10 times sooner than {name}"] == ("6 times", False)
    said = _tell([*ours, _prove(M[0], 12.0, name), _find(M[1], BEST, 0, name)])
    assert said[f"10 times sooner than {name}"] == ("at least 19 times", True)


def test_where_neither_has_a_proof_nothing_is_known_and_no_goal_met() -> None:
    name = "HiGHS in the loop"
    ours = [_prove(M[0], 1.0), _find(M[1], BEST, 0)]
    said = _tell([*ours, _prove(M[0], 2.0, name), _find(M[1], BEST, 0, name)])
    assert said[f"1 times sooner than {name}"] == ("2 times; neither proven on 1 of 2", False)


def test_a_peer_that_alone_has_a_proof_is_sooner() -> None:
    said = _tell([_find(M[0], BEST, 0), _prove(M[0], 9.0, "plain")])
    assert said["5 times sooner than plain"] == ("0.01 times", False)


@pytest.mark.parametrize(("by_hand", "met"), [(29, True), (28, False)])
def test_a_third_of_what_is_uncovered_by_hand(by_hand: int, *, met: bool) -> None:
    """One is added to both: ten of thirty is a third."""
    hand = Result(SCARCE[0], "by hand", (by_hand, 0, 0), seconds=0.1)
    reached, held = _tell([_prove(SCARCE[0], 1.0), hand])["a third of by hand uncovered"]
    assert held is met
    assert reached.endswith("1 of 1 are the proven least")
    assert "a third of by hand uncovered" not in _tell(
        [_prove(M[0], 1.0), replace(hand, rung=M[0])]
    )


def test_goals_are_held_on_the_sizes_they_are_for() -> None:
    small = Rung("XS", PLENTY, 1)
    assert _tell([_prove(small, 1.0), _prove(small, 2.0, "SCIP, one model")]) == {}
    assert hold_goals([_prove(M[0], 1.0, "by hand")]) == []


# --- told side by side --------------------------------------------------------------------------


def test_a_result_is_said_with_what_is_proven_of_it() -> None:
    assert say_result(_prove(M[0], 3.1)) == "9, 5, 4 in 3.1 s"
    assert say_result(_find(M[0], (9, 5, 4), 7)) == "9, 5, 4 (7)"
    assert say_result(Result(M[0], "plain", None, (3, None, None))) == "no plan (3)"
    assert say_result(Result(M[0], "plain", faults=["killed by SIGKILL"])) == "killed by SIGKILL"


def test_files_are_told_rung_by_rung(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The last of equal runs counts; what a file says is wrong is said again."""
    parts = [
        [_find(M[0], BEST, 0), _prove(M[1], 60.0)],
        [_prove(M[0], 3.0), Result(M[0], "by hand", (20, 1, 1), seconds=0.1)],
    ]
    files = [tmp_path / f"{n}.json" for n in range(2)]
    for file, results in zip(files, parts, strict=True):
        file.write_text(json.dumps({"results": [asdict(one) for one in results]}), "utf-8")
    assert list_beside(read_results(files)) == [
        {"rung": "M, plenty, 1", "kitplan": "9, 5, 4 in 3.0 s", "by hand": "20, 1, 1"},
        {"rung": "M, plenty, 2", "kitplan": "9, 5, 4 in 60.0 s", "by hand": ""},
    ]
    monkeypatch.setattr("sys.argv", ["bench", "--read", *map(str, files)])
    monkeypatch.setattr(command, "load_optima", lambda: {"M, plenty, 1": (9, 5, 3)})
    assert command.main() == 1
    said = capsys.readouterr().out
    assert "proven in 10 s" in said
    assert "FAILED: M, plenty, 1, kitplan: proven (9, 5, 4)" in said
