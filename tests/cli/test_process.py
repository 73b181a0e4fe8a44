"""The program as a process of its own: what it loads, Ctrl-C, a reader who leaves."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from kitplan.report.csv import render_csv
from kitplan.starter import make_starter
from tests.golden.stored import load_demo, read_stored

ROOT = Path(__file__).parents[2]
MAIN = "from kitplan.cli import main; main()"
SAY_LOADED = """\
import sys
from kitplan.cli import run
code = run(sys.argv[1:])
print(code, *sorted(name for name in sys.modules if "." not in name), file=sys.stderr)
"""


def start(script: str, *words: str) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(
        [sys.executable, "-c", script, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment,
        cwd=ROOT,
    )


def list_loaded(*words: str) -> tuple[str, set[str]]:
    with start(SAY_LOADED, *words) as process:
        _, err = process.communicate(timeout=60)
    code, *modules = err.decode().splitlines()[-1].split()
    return code, set(modules)


def test_help_loads_nothing_heavy() -> None:
    code, modules = list_loaded("--help")
    assert code == "0"
    assert "click" in modules
    assert not modules & {"ortools", "pydantic", "pint", "numpy", "pandas", "jinja2"}


def test_check_works_without_the_solver() -> None:
    code, modules = list_loaded("check", "trips/four-kayaks.toml")
    assert code in {"0", "3"}
    assert not modules & {"ortools", "pandas", "jinja2"}


def test_needs_works_without_the_solver() -> None:
    code, modules = list_loaded("needs", "trips/four-kayaks.toml")
    assert code == "0"
    assert not modules & {"ortools", "pandas"}


def test_a_name_that_means_nothing_is_said_without_the_solver() -> None:
    code, modules = list_loaded("why", "trips/four-kayaks.toml", "--rapid", "Nowhere at all")
    assert code == "1"
    assert not modules & {"ortools", "pandas"}


def test_wrong_trips_for_a_standard_kit_are_said_without_the_solver() -> None:
    trip = "trips/fleet/lintel.toml"
    code, modules = list_loaded("standard", trip, trip)
    assert code == "1"
    assert not modules & {"ortools", "pandas"}


STOPPING = b"kitplan: stopping with the best plan so far; Ctrl-C once more leaves at once"


def test_ctrl_c_twice_leaves_at_once() -> None:
    # Solving is held up for good, in the way the solver does it: in a call that hears no signals.
    script = (
        "import threading, kitplan.explain\n"
        "def hold(*_):\n"
        "    print('solving', flush=True)\n"
        "    threading.Lock().acquire() and threading.Event().wait()\n"
        f"kitplan.explain.plan_trip = hold\n{MAIN}"
    )
    with start(script, "plan", "trips/four-kayaks.toml") as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"solving\n"
        process.send_signal(signal.SIGINT)
        assert process.stderr.readline().strip() == STOPPING
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert process.returncode == 5
    assert out == b""
    assert err.strip() == b"kitplan: stopped; nothing was verified yet, so nothing is given"


def stop_at(step: str, *words: str) -> tuple[int, str, str]:
    """Return code, stdout and stderr of a command that Ctrl-C stops when this step begins.

    The command is a plan of a demo trip, if none is given.
    """
    script = (
        "import sys, time, kitplan.cli, kitplan.cli.ramp\n"
        "def tell(said):\n"
        "    if said == sys.argv[-1]:\n"
        "        print('here', file=sys.stderr, flush=True)\n"
        "        time.sleep(1)\n"
        "kitplan.cli.watch = kitplan.cli.ramp.watch = lambda: tell\n"
        "sys.exit(kitplan.cli.run(sys.argv[1:-1]))"
    )
    typed = words or ("plan", "trips/day-rafts.toml")
    with start(script, *typed, step) as process:
        assert process.stderr is not None
        assert process.stderr.readline() == b"here\n"
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    return process.returncode, out.decode(), err.decode()


def test_ctrl_c_gives_the_best_plan_so_far() -> None:
    code, out, err = stop_at("aim mass")
    assert code == 3
    assert err.strip() == STOPPING.decode()
    assert "aim    in this order" in out
    proven = [line for line in out.splitlines() if line.endswith("proven best")]
    assert [line.split()[0] for line in proven][:3] == ["2", "3", "4"]
    assert "this plan is not canonical" in out


def test_ctrl_c_at_the_first_step_gives_a_plan_that_keeps_the_rules() -> None:
    code, out, err = stop_at("what each rapid could do alone")
    assert code == 3
    assert err.strip() == STOPPING.decode()
    assert "this plan is not canonical" in out


@pytest.fixture
def review(tmp_path: Path) -> tuple[str, ...]:
    """Return the command that reviews the load of a demo's stored plan."""
    trip, plan = load_demo("day-rafts"), read_stored("day-rafts")
    assert plan is not None
    load = tmp_path / "load.csv"
    load.write_text(render_csv(trip, plan), encoding="utf-8")
    return "review", "trips/day-rafts.toml", str(load)


def test_ctrl_c_gives_what_a_review_has_found(review: tuple[str, ...]) -> None:
    code, out, err = stop_at("the moves that help most", *review)
    assert code == 3
    assert err.strip() == (
        "kitplan: stopping with what was found so far; Ctrl-C once more leaves at once"
    )
    assert "No move was found that helps." in out
    assert "WHAT IS COVERED AS IT LIES" in out


def test_a_reader_who_leaves_is_no_fault() -> None:
    with start(MAIN, "needs", "trips/six-days.toml", "--format", "json") as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.stderr is not None
        err = process.stderr.read()
    assert err == b""
    assert process.returncode == 0


def test_a_starter_trip_is_planned_within_seconds(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(make_starter("mine"), encoding="utf-8")
    with start(MAIN, "plan", str(path)) as process:
        _, err = process.communicate(timeout=30)
    assert err == b""
    assert process.returncode == 3
