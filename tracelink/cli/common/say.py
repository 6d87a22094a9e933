"""Printing sentences and reports: what they hold is shown and acts on no terminal, and lines break between words."""

import shutil
import sys

import click

from tracelink.report.format.plain import harmless
from tracelink.report.format.screen_lines import broken_between_words


def say(text: str, *, err: bool = False) -> None:
    """Print `text`, which may hold names, reasons or scanned text, with a line feed.

    Args:
        text: one or more sentences.
        err: print on standard error.
    """
    shown = harmless(text)
    click.echo(_fitted(shown) if _is_screen(err=err) else shown, err=err)


def print_report(text: str, fmt: str) -> None:
    """Print a report that ends in a line feed.

    Args:
        text: the report; what it holds is visible already.
        fmt: its format. Only the one for people is broken to the width of a screen.
    """
    click.echo(_fitted(text) if fmt == "table" and _is_screen(err=False) else text, nl=False)


def _is_screen(*, err: bool) -> bool:
    return (sys.stderr if err else sys.stdout).isatty()


def _fitted(text: str) -> str:
    return broken_between_words(text, shutil.get_terminal_size().columns)
