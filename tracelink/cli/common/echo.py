"""Keeping what is keyed off the screen while a PIN is awaited, and putting the terminal back afterwards."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def hiding() -> Iterator[Callable[[bool], None]]:
    """Give a function that hides (True) or shows (False) what is keyed on standard input.

    Where standard input is not a terminal, nothing is shown by anybody and the function does nothing.
    """
    if not sys.stdin.isatty():
        yield lambda _hide: None
        return
    import termios  # noqa: PLC0415  POSIX only, and only where a person sits

    file = sys.stdin.fileno()
    before = termios.tcgetattr(file)

    def hide(hidden: bool) -> None:
        now = termios.tcgetattr(file)
        now[3] = now[3] & ~termios.ECHO if hidden else now[3] | (before[3] & termios.ECHO)
        termios.tcsetattr(file, termios.TCSADRAIN, now)

    try:
        yield hide
    finally:
        termios.tcsetattr(file, termios.TCSADRAIN, before)
