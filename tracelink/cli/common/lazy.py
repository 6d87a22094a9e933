"""A click group whose commands are imported when they run, so that `runout --help` starts fast."""

import difflib
import importlib
from typing import Any

import click


class LazyGroup(click.Group):
    """Knows each command's place and its one help line without importing it."""

    def __init__(self, *args: Any, lazy: dict[str, tuple[str, str]], **kwargs: Any) -> None:
        """Args: lazy: command name -> ("package.module:attribute", help line)."""
        super().__init__(*args, **kwargs)
        self._lazy = lazy

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  click's signature
        """Return the names in the order of the work."""
        return list(self._lazy)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one command."""
        if cmd_name not in self._lazy:
            return None
        module, _, attribute = self._lazy[cmd_name][0].partition(":")
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that the words name; of an unknown one say which is closest."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as problem:
            near = difflib.get_close_matches(args[0], self._lazy, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            raise click.UsageError(f"{problem.message}{hint}", ctx) from None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the command list without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_place, text) in self._lazy.items()])
