"""Options that several commands share, so that they are named and explained alike."""

from collections.abc import Callable
from typing import Any

import click

Command = Callable[..., Any]

format_option: Callable[[Command], Command] = click.option(
    "--format",
    "fmt",
    type=click.Choice(["table", "json", "csv"]),
    default="table",
    show_default=True,
    help="How to print; json and csv are stable for other programs.",
)
