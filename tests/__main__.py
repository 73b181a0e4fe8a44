"""Runs format, lint, types, import contracts and tests, in this order, all of them.

Before the tests it looks for the browser they use, and installs it where it must not be missing.
`python -m tests` is what CI runs. What follows goes to pytest: `python -m tests -k river`.
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
# Not resolved: in a virtual environment the interpreter is a link out of it.
SCRIPTS = Path(sys.executable).parent


def list_steps(pytest_arguments: list[str]) -> list[tuple[str, list[str]]]:
    """Return name and command of every step, in running order."""
    python = [sys.executable, "-m"]
    return [
        ("format", [*python, "ruff", "format", "--check", "."]),
        ("lint", [*python, "ruff", "check", "."]),
        ("types", [*python, "mypy", "--strict"]),
        ("import contracts", [str(SCRIPTS / "lint-imports")]),
        ("browser", [*python, "tests.browser.chromium"]),
        ("tests", [*python, "pytest", "-q", "-n", "2", "--dist", "worksteal", *pytest_arguments]),
    ]


def run_step(name: str, command: list[str]) -> bool:
    """Run one step from the top of the checkout and return whether it passed."""
    print(f"== {name}", flush=True)
    try:
        passed = subprocess.run(command, cwd=ROOT, check=False).returncode == 0
    except FileNotFoundError:
        print(f"{command[0]} is not installed", flush=True)
        passed = False
    print(f"== {name}: {'passed' if passed else 'FAILED'}\n", flush=True)
    return passed


def main() -> int:
    """Run every step and return 1 if any failed."""
    steps = list_steps([word for word in sys.argv[1:] if word != "--"])
    failed = [name for name, command in steps if not run_step(name, command)]
    print(f"failed: {', '.join(failed)}" if failed else "all passed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
