"""Every command has help with an example of itself, and stands in a page of the guide."""

import re

import click
from click.testing import CliRunner
from support_commands import commands
from support_each import each

from tracelink.cli import cli
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


@each("words", [*commands(), "label", "code", "person", "investigate", "station-key", "audit", "case", ""])
def test_a_help_names_what_an_option_takes_and_cuts_nothing(words):
    told = CliRunner().invoke(cli, [*words.split(), "--help"], prog_name="runout").stdout
    assert "Usage: runout" in told
    assert not re.search("INTEGER|FLOAT", told), f"{words}: a kind of number is no name of it"
    assert not re.search(r"\w\.\.\.\n", told.split("Options:")[-1]), f"{words}: a sentence is cut"


def test_the_first_help_tells_each_command_in_one_line_under_a_heading():
    told = cli.get_help(click.Context(cli, info_name="runout", terminal_width=80)).splitlines()
    below = told[told.index("Begin:") :]
    lines = [line for line in below if re.match(r"  [a-z-]+  ", line)]
    assert [line.split()[0] for line in lines] == cli.list_commands(click.Context(cli))
    headings = [line for line in below if line.endswith(":")]
    assert len(headings) > 5
    # A text that needs a second line pushes the list apart.
    assert not [line for line in below if line.startswith("   ")]
    assert len({len(line) - len(line.split(maxsplit=1)[1]) for line in lines}) == 1
