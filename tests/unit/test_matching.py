"""Matching on graphs small enough to be worked by hand."""

from kitplan.matching import (
    deficient_set,
    match,
    match_preferring,
    neighbours,
    survives_any_loss,
    unmatched,
)

# Worked example, computed by hand: a, b and c see only 1 and 2, so one of them stays out and the
# largest matching has 7 of 8 (the condition is P. Hall's, 1935).
HAND = {
    "a": [1],
    "b": [1, 2],
    "c": [1, 2],
    "d": [2, 3, 4],
    "e": [3, 4],
    "f": [4, 5, 6],
    "g": [5, 6, 7],
    "h": [8],
}


class TestHandExample:
    def test_seven_of_eight_are_matched(self) -> None:
        matching = match(HAND)
        assert len(matching) == 7
        assert len(set(matching.values())) == 7
        assert all(right in HAND[left] for left, right in matching.items())

    def test_one_of_the_three_stays_out(self) -> None:
        assert len(unmatched(HAND)) == 1
        assert set(unmatched(HAND)) <= {"a", "b", "c"}

    def test_the_three_are_the_deficient_set(self) -> None:
        assert deficient_set(HAND) == ("a", "b", "c")
        assert neighbours(HAND, deficient_set(HAND)) == {1, 2}

    def test_without_one_of_the_three_all_are_matched(self) -> None:
        rest = {left: rights for left, rights in HAND.items() if left != "c"}
        assert len(match(rest)) == 7
        assert deficient_set(rest) == ()


class TestMatch:
    def test_no_vertices(self) -> None:
        assert match({}) == {}
        assert deficient_set({}) == ()
        assert survives_any_loss({})

    def test_a_left_vertex_without_edges_stays_out(self) -> None:
        edges: dict[str, list[int]] = {"a": [], "b": [1]}
        assert match(edges) == {"b": 1}
        assert deficient_set(edges) == ("a",)

    def test_a_chain_is_turned_over(self) -> None:
        # c wants only 1: a and b must both move on, by one augmenting path of five edges.
        edges = {"a": [1, 2], "b": [2, 3], "c": [1]}
        assert match(edges) == {"a": 2, "b": 3, "c": 1}

    def test_a_long_chain_needs_no_deep_recursion(self) -> None:
        chain = {number: [number, number + 1] for number in range(5000)} | {5000: [0]}
        assert len(match(chain)) == 5001

    def test_the_given_order_decides(self) -> None:
        assert match({"a": [2, 1]}) == {"a": 2}
        assert list(match({"b": [1], "a": [2]})) == ["b", "a"]


class TestPreferring:
    def test_cheap_ones_are_used_first(self) -> None:
        assert match_preferring({"a": [1, 2], "b": [1, 2, 3]}, {2, 3}) == {"a": 2, "b": 3}

    def test_size_comes_before_price(self) -> None:
        # Both want the cheap 2; b can have nothing else, so a takes the dear 1.
        matching = match_preferring({"a": [2, 1], "b": [2]}, {2})
        assert matching == {"a": 1, "b": 2}

    def test_none_cheap(self) -> None:
        assert match_preferring({"a": [1]}, set()) == {"a": 1}


class TestSurvivesAnyLoss:
    def test_two_for_one(self) -> None:
        assert survives_any_loss({"a": [1, 2]})
        assert not survives_any_loss({"a": [1]})

    def test_one_spare_for_two(self) -> None:
        assert survives_any_loss({"a": [1, 2], "b": [2, 3]})

    def test_a_spare_that_one_vertex_cannot_use(self) -> None:
        # c sees only 4, so the spare 3 does not help it.
        assert not survives_any_loss({"a": [1, 2], "b": [2, 3], "c": [4]})

    def test_what_has_no_full_matching_survives_nothing(self) -> None:
        assert not survives_any_loss(HAND)
