"""Progress of long work, on standard error and only where a person looks."""

import sys
from contextlib import AbstractContextManager
from typing import Any

import click


def progress(length: int, label: str) -> AbstractContextManager[Any]:
    """Return a progress bar to be used with `with`; `update(n)` moves it by n."""
    bar: AbstractContextManager[Any] = click.progressbar(
        length=length, label=label, file=sys.stderr, show_pos=True, hidden=not sys.stderr.isatty()
    )
    return bar
