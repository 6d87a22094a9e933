"""Every command has help with an example of itself, and stands in a page of the guide."""

import re

import click
from support_commands import commands
from support_each import each

from tracelink.cli.guide import guide_pages


@each(("name", "command"), commands().items(), ids=commands())
def test_every_command_has_help_with_an_example_of_itself(name, command):
    assert isinstance(command, click.Command)
    assert command.help
    assert f"runout {name}" in (command.epilog or ""), f"{name} shows no example"
    # In a raw docstring click does not see the character that keeps lines apart, and shows it instead.
    assert "\\b" not in command.help, f"{name} shows a backslash"


@each("name", commands())
def test_every_command_stands_in_a_page(name):
    text = "\n".join(page.text for page in guide_pages())
    # Written as `runout case close`, as `case close`, or behind another command in a pipe.
    assert re.search(rf"(?:runout (?:--read-only )?|`){re.escape(name)}\b", text)


@each(("name", "command"), commands().items(), ids=commands())
def test_every_help_fits_a_screen_of_80_characters(name, command):
    told = command.get_help(click.Context(command, info_name=f"runout {name}", terminal_width=80))
    assert max(map(len, told.splitlines())) <= 80
