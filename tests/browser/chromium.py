"""The system's Chromium: where it is, how it is started, and how it is installed where asked for.

`python -m tests.browser.chromium` is a step of the test command, before any test is run: without a
Chromium it says that the tests in a browser are skipped. Where CI is true or
KITPLAN_REQUIRE_BROWSER is 1 it installs one, and fails if it can't.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

NAMES = ("chromium", "chromium-browser")
PACKAGES = ("chromium", "fonts-dejavu-core")
MISSING = (
    "no Chromium is found, so the page is not tested in a browser; "
    "KITPLAN_REQUIRE_BROWSER=1 installs it with apt-get"
)
QUIET = (
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)


def find_chromium() -> str | None:
    """Return where the system's Chromium is."""
    return next(filter(None, map(shutil.which, NAMES)), None)


def is_required() -> bool:
    """Say whether tests in a browser must not be skipped."""
    return os.environ.get("CI") == "true" or os.environ.get("KITPLAN_REQUIRE_BROWSER") == "1"


def list_arguments() -> list[str]:
    """Return what Chromium is started with: it asks nobody for anything.

    Root, as in a container, has no sandbox to give.
    """
    return [*QUIET, "--no-sandbox"] if os.geteuid() == 0 else [*QUIET]


def install() -> bool:
    """Install Chromium and a font with apt-get, and return whether that is done."""
    before = [] if os.geteuid() == 0 or not shutil.which("sudo") else ["sudo", "-n"]
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["update"], ["install", "-y", "--no-install-recommends", *PACKAGES]):
        command = [*before, "apt-get", "-q", *words]
        try:
            done = subprocess.run(command, check=False, env=quiet, stdout=subprocess.DEVNULL)
        except FileNotFoundError:
            print(f"{command[0]} is not there", flush=True)
            return False
        if done.returncode:
            print(f"{' '.join(command)}: exit code {done.returncode}", flush=True)
            return False
    return True


def main() -> int:
    """Say whether there is a Chromium; where it must be, install it or return 1."""
    found = find_chromium()
    if found is None and is_required():
        found = find_chromium() if install() else None
        if found is None:
            print("Chromium could not be installed", flush=True)
            return 1
    print(f"Chromium: {found}" if found else MISSING, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
