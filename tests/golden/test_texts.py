"""Whole outputs of every command, as people see them, on the demo trips.

`python -m pytest tests/golden --update-golden` writes them anew and solves the trips whose files
have changed; read the difference. Plans are read from `plans/`, so that a change of words does not
wait for the solver; what is solved is asserted in `test_values`. The standard kit alone is solved
here. Help and schemas are not kept: their layout is that of click and pydantic, and tests/cli asks
for what they must say.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from kitplan.cli import run
from kitplan.errors import CAUTION, Exit
from kitplan.explain import Outcome
from kitplan.plan import Plan
from tests.golden import stored

TEXTS = Path(__file__).with_name("texts")
STYLES = {"txt": "text", "md": "markdown", "csv": "csv"}
OF_PLANS = tuple((name, ending) for name in stored.NAMES for ending in STYLES)
READ = ("txt", "md")
OF_TRIPS = tuple((name, ending) for name in stored.NAMES for ending in READ)
KEPT = sorted(
    [
        *(f"{name}-plan.{ending}" for name, ending in OF_PLANS),
        *(f"{name}-{word}.{ending}" for name, ending in OF_TRIPS for word in ("needs", "check")),
        *(f"{name}-verify.txt" for name in stored.NAMES),
        *("new.txt", "mine.toml", "schema.txt", "fleet-standard.txt"),
    ]
)
Compare = Callable[[str, str], None]
Print = Callable[..., tuple[int, str]]


@pytest.fixture
def updates(request: pytest.FixtureRequest) -> bool:
    """Say whether texts are to be written anew."""
    return bool(request.config.getoption("--update-golden"))


@pytest.fixture
def compare(*, updates: bool) -> Compare:
    """Return a function that holds a text against the one kept under a name."""

    def compare_text(name: str, text: str) -> None:
        path = TEXTS / name
        if updates:
            path.write_text(text, encoding="utf-8")
        assert text == path.read_text(encoding="utf-8")

    return compare_text


@pytest.fixture
def show(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Print:
    """Return a function that runs `kitplan` from the top of the checkout: exit code and stdout."""
    monkeypatch.chdir(stored.ROOT)

    def run_command(*words: str) -> tuple[int, str]:
        code = run(words)
        out, err = capsys.readouterr()
        assert err == ""
        return code, out

    return run_command


@pytest.fixture
def plan(*, name: str, updates: bool, monkeypatch: pytest.MonkeyPatch) -> Plan:
    """Return the stored plan of a demo trip, and let `kitplan plan` find it by looking it up.

    Who and what counts most in it is asked once, not for each format.
    """
    monkeypatch.chdir(stored.ROOT)
    if updates:
        stored.store_anew(name)
    kept = stored.read_stored(name)
    assert kept is not None
    monkeypatch.setattr("kitplan.explain.plan_trip", lambda *_: Outcome("proven", kept))
    count = "kitplan.decide.counts.count_first"
    monkeypatch.setattr(count, lambda *_: stored.count_stored(name))
    return kept


@pytest.mark.parametrize("name", stored.NAMES)
def test_stored_plans_are_of_the_files_as_they_are(name: str, plan: Plan) -> None:
    assert stored.is_fresh(plan, stored.load_demo(name)), "run with --update-golden"


@pytest.mark.parametrize(("name", "ending"), OF_PLANS)
def test_plan(name: str, ending: str, plan: Plan, show: Print, compare: Compare) -> None:
    code, text = show("plan", f"trips/{name}.toml", "--format", STYLES[ending])
    assert code == (Exit.GAPS if plan.gaps else Exit.DONE)
    compare(f"{name}-plan.{ending}", text)


@pytest.mark.parametrize(("name", "ending"), OF_TRIPS)
def test_needs(name: str, ending: str, show: Print, compare: Compare) -> None:
    code, text = show("needs", f"trips/{name}.toml", "--format", STYLES[ending])
    assert code == Exit.DONE
    compare(f"{name}-needs.{ending}", text)


@pytest.mark.parametrize(("name", "ending"), OF_TRIPS)
def test_check(name: str, ending: str, plan: Plan, show: Print, compare: Compare) -> None:
    code, text = show("check", f"trips/{name}.toml", "--format", STYLES[ending])
    # The same question asked by another method: which gaps are impossible alone.
    alone = any(gap.sort == "impossible alone" for gap in plan.gaps)
    assert code == (Exit.GAPS if alone else Exit.DONE)
    compare(f"{name}-check.{ending}", text)


@pytest.mark.parametrize("name", stored.NAMES)
@pytest.mark.usefixtures("plan")
def test_verify(name: str, show: Print, compare: Compare) -> None:
    code, text = show("verify", f"tests/golden/plans/{name}.json")
    assert code == Exit.DONE
    compare(f"{name}-verify.txt", text)


def test_new(tmp_path: Path, show: Print, compare: Compare) -> None:
    code, text = show("new", str(tmp_path / "mine"))
    assert code == Exit.DONE
    compare("new.txt", text.replace(str(tmp_path), "FOLDER"))
    compare("mine.toml", (tmp_path / "mine.toml").read_text(encoding="utf-8"))


def test_schema(tmp_path: Path, show: Print, compare: Compare) -> None:
    code, text = show("schema", "--out", str(tmp_path))
    assert code == Exit.DONE
    compare("schema.txt", text.replace(str(tmp_path), "FOLDER"))


def test_standard(show: Print, compare: Compare) -> None:
    trips = sorted(f"trips/fleet/{path.name}" for path in (stored.ROOT / "trips/fleet").iterdir())
    code, text = show("standard", *trips, "--time-limit", "3600")
    assert code == Exit.DONE
    compare("fleet-standard.txt", text)


# --- what holds for all of them -------------------------------------------------------------------


def test_every_text_that_is_kept_is_asked_for() -> None:
    assert sorted(path.name for path in TEXTS.iterdir()) == KEPT


@pytest.mark.parametrize("name", [name for name in KEPT if name != "mine.toml"])
def test_every_text_carries_the_caution(name: str) -> None:
    text = (TEXTS / name).read_text(encoding="utf-8").replace("\\", "")
    assert CAUTION in " ".join(text.split())


@pytest.mark.parametrize("name", [name for name in KEPT if name.endswith(".txt")])
def test_text_fits_a_hundred_columns(name: str) -> None:
    lines = (TEXTS / name).read_text(encoding="utf-8").splitlines()
    assert max(len(line) for line in lines) <= 100
