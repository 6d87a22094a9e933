"""Progress of long work, on standard error and only where a person looks."""

import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from math import ceil
from typing import Any

import click


def progress(length: int, label: str) -> AbstractContextManager[Any]:
    """Return a progress bar to be used with `with`; `update(n)` moves it by n."""
    bar: AbstractContextManager[Any] = click.progressbar(
        length=length, label=label, file=sys.stderr, show_pos=True, hidden=not sys.stderr.isatty()
    )
    return bar


@contextmanager
def steps(label: str) -> Iterator[Callable[[int, int], None]]:
    """Give a function that moves a bar, called with how many more are done, and of how many."""
    with progress(1, label) as bar:

        def step(more: int, of: int) -> None:
            bar.length = of
            bar.update(more)

        yield step


_SHOWN_AFTER = 1.0
"""Seconds: what is done by then needs no bar."""


@contextmanager
def seconds_used(most: float, label: str) -> Iterator[Callable[[float], None]]:
    """Give a function that shows how many of some seconds are used; nothing is shown of work that is done at once."""
    with ExitStack() as shown:
        bars: list[Any] = []

        def watch(used: float) -> None:
            if not bars and used >= _SHOWN_AFTER:
                bars.append(shown.enter_context(progress(ceil(most), label)))
            for bar in bars:
                bar.update(int(used) - bar.pos)

        yield watch
