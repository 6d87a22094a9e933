"""Printing a sentence that may hold names, reasons or scanned text: it is shown, and acts on no terminal."""

import click

from tracelink.report.format.plain import harmless


def say(text: str, *, err: bool = False) -> None:
    """Print `text` on standard output, or on standard error, with a line feed."""
    click.echo(harmless(text), err=err)
