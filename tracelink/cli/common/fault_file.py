"""The details of a fault that nobody foresaw, as a file that can be handed on: where in the program, and no secret.

The program's own lines are there, and none of the values it worked on. Of the words of the command line only the names of
commands and options are kept. What an error says of itself may quote a scan, a PIN or a key: digits and long words
are masked.
"""

import os
import platform
import re
import sys
import tempfile
import traceback
from collections.abc import Container
from importlib.metadata import version

from tracelink.clock import local_now
from tracelink.errors import without_password

_LONG = re.compile(r"[^\s'\"]{32,}")
_OPTION = re.compile(r"--?[a-z][a-z-]*")


def write_details(problem: Exception, commands: Container[str]) -> str:
    """Write where and how a command failed to a new file that only its owner may read; return where it lies.

    Raises:
        OSError: there is no folder for it, or no room.
    """
    handle, place = tempfile.mkstemp(prefix=f"runout-fault-{local_now()[:10]}-", suffix=".txt")
    with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
        file.write(details(problem, sys.argv[1:], commands))
    return place


def details(problem: BaseException, words: list[str], commands: Container[str]) -> str:
    """Return the text of the file.

    Args:
        problem: what was raised, with all that it came from.
        words: of the command line, after the name of the program.
        commands: the names that may be kept.
    """
    about = (
        f"runout {version('runout')}, Python {platform.python_version()}, {platform.platform()}",
        f"command: runout {' '.join(_names(words, commands))}",
        "Masked: every digit and every long word of what an error says. Values are left out.",
    )
    return "\n".join((*about, "", *_frames(problem, set()))) + "\n"


def _names(words: list[str], commands: Container[str]) -> list[str]:
    options = map(_OPTION.match, words)
    return [
        option.group() if option else word
        for word, option in zip(words, options, strict=True)
        if option or word in commands
    ]


def _frames(problem: BaseException, seen: set[int]) -> list[str]:
    """Return where an error came from, the first cause first."""
    seen.add(id(problem))
    earlier = problem.__cause__ or problem.__context__
    lines = _frames(earlier, seen) if earlier is not None and id(earlier) not in seen else []
    for frame in traceback.extract_tb(problem.__traceback__):
        lines.append(f"{frame.filename}:{frame.lineno} in {frame.name}: {frame.line or ''}")
    return [*lines, f"{type(problem).__module__}.{type(problem).__qualname__}: {masked(str(problem))}", ""]


def masked(text: str) -> str:
    """Return what an error says without what may be a secret in it: PINs, keys, passwords."""
    return re.sub(r"\d", "#", _LONG.sub("(long word)", without_password(text)))
