"""Which sets of slots the model asks about: derived by hand."""

from kitplan.build.hall import Condition, list_conditions, list_joint_conditions


def test_equal_types_are_one() -> None:
    """Two types seeing the same two people ask once for three places."""
    ada = frozenset({"Ada", "Ben"})
    assert list_conditions([(ada, 1), (ada, 2)]) == [Condition(ada, 3)]


def test_nested_types_ask_for_the_inner_and_the_whole() -> None:
    """{Ada} within {Ada, Ben}: the outer set holds the inner type too, so it asks for two."""
    inner, outer = frozenset({"Ada"}), frozenset({"Ada", "Ben"})
    assert list_conditions([(inner, 1), (outer, 1)]) == [Condition(inner, 1), Condition(outer, 2)]


def test_sets_that_do_not_hang_together_are_left_out() -> None:
    """{Ada} and {Ben} ask each for themselves; their union follows."""
    ada, ben = frozenset({"Ada"}), frozenset({"Ben"})
    assert list_conditions([(ada, 1), (ben, 1)]) == [Condition(ada, 1), Condition(ben, 1)]


def test_chained_types_ask_for_the_union() -> None:
    """{1,2} and {2,3} overlap: {1,2,3} must hold both."""
    a, b = frozenset({1, 2}), frozenset({2, 3})
    assert list_conditions([(a, 1), (b, 1)]) == [
        Condition(a, 1),
        Condition(a | b, 2),
        Condition(b, 1),
    ]


def test_a_type_nobody_serves_asks_the_impossible() -> None:
    """One place and nobody for it: 0 >= 1 must be asked."""
    assert list_conditions([(frozenset(), 1)]) == [Condition(frozenset(), 1)]


def test_joint_conditions_add_up() -> None:
    """With hands shared, two separate bulky things and a small one count together."""
    none: frozenset[str] = frozenset()
    small = frozenset({"prusik loop"})
    assert list_joint_conditions([(none, 2), (small, 1)]) == [
        Condition(none, 2),
        Condition(small, 3),
    ]
