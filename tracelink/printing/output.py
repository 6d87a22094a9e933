"""Files and folders that are there whole or not at all: made under another name beside their place, then renamed."""

import errno
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tracelink.errors import StorageFailed, UsageError

_NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9]+")


def file_stem(words: str, longest: int) -> str:
    """Return what of some words may stand in the name of a file: letters and digits with hyphens between.

    Args:
        words: such as the name of a consignee.
        longest: characters at most; nothing may be left of words in another script.
    """
    return _NOT_IN_A_NAME.sub("-", words).strip("-")[:longest]


@contextmanager
def whole_file(path: Path, what: str) -> Iterator[Path]:
    """Give a place to write to; when all went well it becomes `path`, replacing what was there.

    Args:
        path: the file wanted.
        what: what it holds, for sentences.

    Raises:
        UsageError: it cannot be written.
        StorageFailed: there is no room for it.
    """
    part = _part(path)
    try:
        yield part
        part.replace(path)
    except OSError as error:
        raise _not_written(path, what, error) from error
    finally:
        # What could not be made cannot be taken away either; the sentence above is what counts.
        with suppress(OSError):
            part.unlink(missing_ok=True)


@contextmanager
def whole_folder(path: Path, what: str) -> Iterator[Path]:
    """Give an empty folder to fill; when all went well it becomes `path`, which must not be there yet.

    Raises:
        UsageError: `path` is there, or cannot be written.
        StorageFailed: there is no room for it.
    """
    if path.exists():
        raise UsageError(f"{path} is there already: expected a folder that is not there yet.")
    part = _part(path)
    try:
        part.mkdir()
        yield part
        part.rename(path)
    except OSError as error:
        raise _not_written(path, what, error) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _part(path: Path) -> Path:
    return path.with_name(f".{path.name}.{os.getpid()}.part")


def _not_written(path: Path, what: str, error: OSError) -> UsageError | StorageFailed:
    said = f"{what} cannot be written to {path}: {error.strerror or error}."
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return StorageFailed(f"{said} Make room and ask again; nothing was written.")
    return UsageError(said)
