"""The verifier, which shares nothing with the builder, accepts every plan of the solver."""

import pytest

from tests.agree import compare
from tests.generator import SIZES, is_full_run

CHUNK = 25
CHUNKS = (1000 if is_full_run() else 100) // CHUNK


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_verifier_and_solver_disagree_on_no_trip(chunk: int) -> None:
    tally = compare(SIZES["tiny"], CHUNK, seed=1 + chunk * CHUNK)
    assert tally.complaints == {}
    assert tally.trips == CHUNK
    # Trips on which nothing can go wrong would prove nothing.
    assert 0 < tally.met < tally.demands
    assert 0 < tally.covered < tally.cases
    assert tally.gaps > 0
