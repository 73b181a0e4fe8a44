"""No command, option, format or exit code without a word in the README."""

from pathlib import Path

import click
import pytest

from kitplan.cli import kitplan
from kitplan.errors import Exit

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
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
