"""Every command of the program, by what is typed behind `runout`."""

from functools import cache

import click

from tracelink.cli import cli


@cache
def commands() -> dict[str, click.Command]:
    found: dict[str, click.Command] = {}
    context = click.Context(cli)

    def collect(prefix: str, group: click.Group) -> None:
        for name in group.list_commands(context):
            command = group.get_command(context, name)
            assert command is not None
            if isinstance(command, click.Group):
                collect(f"{prefix}{name} ", command)
            else:
                found[f"{prefix}{name}"] = command

    collect("", cli)
    return found
