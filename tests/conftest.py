"""The two sizes of property tests: small always, large by KITPLAN_HYPOTHESIS=large; an option."""

import os

import pytest
from hypothesis import HealthCheck, settings

# A busy machine is no fault of the program, so nothing here depends on the clock.
settings.register_profile(
    "small",
    max_examples=50,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "large",
    max_examples=2000,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile(os.environ.get("KITPLAN_HYPOTHESIS", "small"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the texts of tests/golden anew, and the plans of trips that have changed",
    )
