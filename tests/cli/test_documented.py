"""No command, option, format or exit code without a word in the README."""

import textwrap
from pathlib import Path

import click
import pytest

from kitplan.cli import kitplan
from kitplan.errors import Exit, Finding
from kitplan.load import load_trip
from kitplan.needs import derive_needs, list_lots
from kitplan.starter import make_starter
from kitplan.trip import Trip

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
OPTIONS = sorted(
    {
        (name, option)
        for name, command in kitplan.commands.items()
        for parameter in command.params
        if isinstance(parameter, click.Option)
        for option in parameter.opts
    }
)
CHOICES = sorted(
    {
        (option, str(word))
        for command in kitplan.commands.values()
        for parameter in command.params
        if isinstance(parameter.type, click.Choice)
        for option in parameter.opts
        for word in parameter.type.choices
    }
)


@pytest.mark.parametrize("name", sorted(kitplan.commands))
def test_every_command_is_in_the_readme(name: str) -> None:
    assert f"`kitplan {name} " in README


@pytest.mark.parametrize(("name", "option"), OPTIONS)
def test_every_option_is_in_the_readme_with_its_command(name: str, option: str) -> None:
    rows = [line for line in README.splitlines() if line.startswith(f"| `{option}")]
    assert rows
    assert any(name in row or "all that write" in row for row in rows)


@pytest.mark.parametrize(("option", "word"), CHOICES)
def test_every_word_of_an_option_is_in_the_readme(option: str, word: str) -> None:
    [row] = [line for line in README.splitlines() if line.startswith(f"| `{option} ")]
    assert word in row


@pytest.mark.parametrize("code", list(Exit))
def test_every_exit_code_is_in_the_readme(code: Exit) -> None:
    assert f"\n| {code.value} | " in README


@pytest.mark.parametrize("command", kitplan.commands.values(), ids=lambda one: str(one.name))
def test_every_option_has_its_help(command: click.Command) -> None:
    assert command.help
    options = [one for one in command.params if isinstance(one, click.Option)]
    assert all(option.help for option in options)


def cut_block(start: str) -> list[str]:
    """Return the indented lines of the README that follow the line `start`."""
    lines = README.splitlines()
    block = []
    for line in lines[lines.index(start) + 1 :]:
        if line and not line.startswith("    "):
            break
        block.append(line.removeprefix("    "))
    return block


def test_the_printed_example_is_what_is_printed() -> None:
    printed = (ROOT / "tests/golden/texts/six-days-plan.txt").read_text(encoding="utf-8")
    after = iter(printed.splitlines())
    shown = [line for line in cut_block("From the six-day demo, as printed:") if line.strip()]
    assert len(shown) > 30
    missing = [line for line in shown if line.strip() != "..." and line not in after]
    assert missing == []


def load_starter(folder: Path, catalogs: str, more: str = "") -> tuple[Trip | None, list[Finding]]:
    """Load the starter trip with the catalogues of stores and further ones, and more at its end."""
    text = make_starter("mine")
    named = '"kitplan:boats.toml"'
    assert named in text
    all_named = f'{named}, "kitplan:stores.toml", "kitplan:camp.toml", {catalogs}'
    path = folder / "mine.toml"
    path.write_text(text.replace(named, all_named) + more, encoding="utf-8")
    return load_trip(path)


def test_the_stores_of_the_readme_can_be_used(tmp_path: Path) -> None:
    block = README.split("Without `[stores]` nothing changes.\n\n")[1].split("\n\nA load that")[0]
    more = "\n" + textwrap.dedent(block).replace("day = 4", "day = 1")
    loaded, findings = load_starter(tmp_path, "", more)
    assert {finding.code for finding in findings} <= {"counted-twice"}
    assert loaded is not None
    assert {"food", "guitar", "personal bag"} <= {lot.store for lot in list_lots(loaded)}


def test_the_market_of_the_readme_can_be_used(tmp_path: Path) -> None:
    block = README.split("plans know nothing of it:\n\n")[1].split("\n\nAll prices")[0]
    told = textwrap.dedent(block).replace("static line 30 m", "static line 60 m")
    told = told.replace('["Bram", "Kester"]', '["Helper"]')
    loaded, findings = load_starter(tmp_path, "", "\n" + told)
    assert [finding.text() for finding in findings if finding.severity == "error"] == []
    assert loaded is not None
    market = loaded.market
    assert (market.offers["rescue life jacket"].price_cents, list(market.standbys)) == (
        5500,
        ["Runa"],
    )
    assert [lesson.paddler for lesson in market.lessons] == ["Helper"]


def test_the_catalogue_of_the_readme_can_be_used(tmp_path: Path) -> None:
    block = README.split("    # house.toml\n")[1].split("\n\n`kitplan needs`")[0]
    (tmp_path / "house.toml").write_text(textwrap.dedent(block), encoding="utf-8")
    loaded, findings = load_starter(tmp_path, '"house.toml"')
    assert findings == []
    assert loaded is not None
    assert "house throw bag 22 m" in loaded.catalog.items
    assert loaded.stores is None
    assert "two-thrower-swing" in {key.technique for key in derive_needs(loaded).choices}
