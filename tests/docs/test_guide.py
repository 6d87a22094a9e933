"""`runout guide` lists the pages and shows one, with nothing but the program at hand."""

import io
import sys

import click
import pytest
from click.shell_completion import BashComplete
from support_cli import run

from tracelink.cli import cli
from tracelink.cli.guide import FOLDER, guide, guide_pages


def test_without_a_page_it_lists_them_with_their_readers():
    done = run("guide")
    assert done.code == 0
    told = " ".join(done.out.split())
    for page in guide_pages():
        assert f"{page.name} {page.for_whom}" in told
    assert max(map(len, done.out.splitlines())) <= 80
    assert done.out.splitlines()[-1] == "Show one with: runout guide PAGE"


@pytest.mark.parametrize("given", ["packing", "PACKING", "packing.md"])
def test_a_page_is_printed_as_it_is_where_no_terminal_is(given):
    assert run("guide", given).out == (FOLDER / "packing.md").read_text(encoding="utf-8")


def test_an_unknown_page_names_the_closest_and_all_of_them():
    done = run("guide", "packng")
    assert (done.code, done.out) == (2, "")
    names = ", ".join(page.name for page in guide_pages())
    assert done.err == (
        f"runout: There is no guide page 'packng'. Did you mean packing? The pages are: {names}.\n"
    )
    assert "Did you mean" not in run("guide", "zzzzzz").err


def test_an_unknown_command_names_the_closest():
    assert run("gide").err.endswith("Error: No such command 'gide'. Did you mean guide?\n")
    assert run("trase").err.endswith("Error: No such command 'trase'. Did you mean trace?\n")
    assert run("zzzzzz").err.endswith("Error: No such command 'zzzzzz'.\n")


def test_on_a_terminal_it_is_drawn(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    screen = Terminal()
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setenv("TERM", "xterm")
    guide.main(["packing"], standalone_mode=False)
    assert "Packing line" in screen.getvalue()
    assert "```" not in screen.getvalue()


def complete(words, cursor):
    """What bash is offered for `runout WORDS`, the cursor in word number `cursor`."""
    completion = BashComplete(cli, {}, "runout", "_RUNOUT_COMPLETE")
    args, incomplete = words[: cursor - 1], words[cursor - 1] if cursor <= len(words) else ""
    return [item.value for item in completion.get_completions(args, incomplete)]


def test_tab_completes_commands_options_and_pages():
    assert complete(["gui"], 1) == ["guide"]
    assert complete(["guide", "pa"], 2) == ["packing"]
    assert "--shape" in complete(["contain", "--sh"], 2)
    assert complete(["audit", "ver"], 2) == ["verifier", "verify"]


def test_completion_can_be_switched_on_as_the_administrator_page_says(monkeypatch, capsys):
    monkeypatch.setenv("_RUNOUT_COMPLETE", "bash_source")
    with pytest.raises((SystemExit, click.exceptions.Exit)):
        cli.main([], prog_name="runout")
    assert "complete -o nosort -F _runout_completion runout" in capsys.readouterr().out
    assert "_RUNOUT_COMPLETE=bash_source runout" in (FOLDER / "administrator.md").read_text(encoding="utf-8")
