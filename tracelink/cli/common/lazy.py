"""Groups of commands: one whose commands are imported when they run, so that `runout --help` starts fast; one for few."""

import difflib
import importlib
from typing import Any

import click


class LazyGroup(click.Group):
    """Knows each command's place and its one help line without importing it."""

    def __init__(
        self, *args: Any, home: str, areas: dict[str, dict[str, tuple[str, str]]], **kwargs: Any
    ) -> None:
        """Keep what is known of the commands.

        Args:
            args: as of click's group.
            home: the package that holds the commands' modules.
            areas: heading of the help -> command name -> ("module:attribute", help line).
            kwargs: as of click's group.
        """
        super().__init__(*args, **kwargs)
        self._home = home
        self._areas = areas
        self._places = {name: place for area in areas.values() for name, (place, _text) in area.items()}

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  click's signature
        """Return the names in the order of the help."""
        return list(self._places)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one command."""
        if cmd_name not in self._places:
            return None
        module, _, attribute = self._places[cmd_name].partition(":")
        command: click.Command = getattr(importlib.import_module(f"{self._home}.{module}"), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the words name; of an unknown one say which is closest."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as problem:
            near = difflib.get_close_matches(args[0], self._places, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            raise click.UsageError(f"{problem.message}{hint}", ctx) from None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the commands under their headings, in one column throughout, without importing any of them."""
        width = max(len(name) for name in self._places)
        for heading, area in self._areas.items():
            with formatter.section(heading):
                formatter.write_dl([(name.ljust(width), text) for name, (_place, text) in area.items()])


class SpelledGroup(click.Group):
    """Tells the first sentence of each command's help to its end, where click would cut it."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the command list."""
        with formatter.section("Commands"):
            formatter.write_dl(
                [(name, command.get_short_help_str(limit=500)) for name, command in self.commands.items()]
            )
