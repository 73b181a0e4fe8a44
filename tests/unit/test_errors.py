"""Findings, their order and their words."""

from kitplan.errors import (
    CAUTION,
    NOWHERE,
    Exit,
    Finding,
    Place,
    cap_findings,
    has_errors,
    nearest_word,
    sort_findings,
)

HERON = Finding(
    Place("trips/x.toml", 16, 1),
    "error",
    "wrong-type",
    "boat 'Heron': seats must be a whole number, not \"four\"",
)


def test_text_is_the_gnu_form() -> None:
    # GNU Coding Standards, "Formatting Error Messages": sourcefile:lineno:column: message.
    assert HERON.text() == (
        "trips/x.toml:16:1: error: boat 'Heron': seats must be a whole number, not \"four\""
        " (wrong-type)"
    )


def test_hint_stands_on_a_line_of_its_own() -> None:
    finding = Finding(Place("x.toml", 2, 5), "warning", "odd-word", "odd", "even")
    assert finding.text() == "x.toml:2:5: warning: odd (odd-word)\n  try: even"


def test_what_no_file_holds_is_said_by_the_program() -> None:
    finding = Finding(NOWHERE, "error", "no-trip", "no trip is named")
    assert finding.text() == "kitplan: error: no trip is named (no-trip)"


def test_findings_are_sorted_by_file_line_and_column_as_numbers() -> None:
    places = [Place("b", 1, 1), Place("a", 10, 1), Place("a", 9, 12), Place("a", 9, 2)]
    findings = [Finding(place, "error", "c", "m") for place in places]
    assert [finding.where for finding in sort_findings(findings)] == places[::-1]


def test_equal_findings_are_said_once() -> None:
    assert sort_findings([HERON, HERON]) == [HERON]


def test_of_a_flood_only_the_first_are_kept_errors_before_warnings() -> None:
    flood = [Finding(Place("a", line, 1), "warning", "c", "m") for line in range(1, 301)]
    errors = [Finding(Place("b", line, 1), "error", "c", "m") for line in range(1, 4)]
    kept = cap_findings([*flood, *errors])
    assert len(kept) == 200
    assert kept[-3:] == errors
    assert kept[:196] == flood[:196]
    assert kept[196].text() == (
        "a:197:1: warning: from here on there are more findings, not shown (too-many-findings)\n"
        "  try: put the first ones right"
    )
    assert cap_findings(kept) == kept
    assert cap_findings(reversed(flood[:200])) == flood[:200]


def test_a_warning_is_no_error() -> None:
    warning = Finding(NOWHERE, "warning", "c", "m")
    assert not has_errors([])
    assert not has_errors([warning])
    assert has_errors([warning, HERON])


def test_exit_codes_are_the_documented_numbers() -> None:
    assert {code.name: code.value for code in Exit} == {
        "DONE": 0,
        "INPUT": 1,
        "USAGE": 2,
        "GAPS": 3,
        "REJECTED": 4,
        "NO_PLAN": 5,
    }


def test_nearest_word_overlooks_slips_and_capitals() -> None:
    known = ["throw bag 20 m", "prusik loop 6 mm", "pulley"]
    assert nearest_word("Throw bag 20m", known) == "throw bag 20 m"
    assert nearest_word("pully", known) == "pulley"
    assert nearest_word("kettle", known) is None
    assert nearest_word("pulley", []) is None


def test_nearest_word_does_not_depend_on_order() -> None:
    known = ["bow line", "tow line", "low line"]
    assert nearest_word("now line", known) == nearest_word("now line", known[::-1])


def test_caution_fits_two_lines_of_a_screen_and_names_what_it_must() -> None:
    assert len(CAUTION) <= 200
    assert "\n" not in CAUTION
    for word in ("training", "scout", "leader", "law", "permit"):
        assert word in CAUTION
