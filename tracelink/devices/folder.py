"""A folder that a camera or a telephone puts pictures into: each new picture becomes one line, in order of arrival.

The folder is looked at again and again, because only that works on every kind of drive and share. A file counts as
whole when it has not changed from one look to the next; if it then still cannot be read as a picture it is waited for a
while longer, since some programs write in bursts. Later pictures wait for earlier ones: the order of scans is what
they mean. Nothing in the folder is moved, changed or deleted: the pictures are the raw record.

A picture that cannot be read becomes one line that says so. No reader of codes accepts it: a packing line takes it for
a no-read, any other station stops, and what happened is recorded like any other refused scan.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tracelink.errors import ImageDoubtful, ImageUnread, UsageError
from tracelink.identity.rawlines import raw_picture, raw_unread_picture

LOOK_S = 0.5
"""Seconds from one look to the next."""

PATIENCE_LOOKS = 20
"""Looks for which a file that does not change may be no whole picture, until it is given up: 10 seconds."""

Reader = Callable[[Path], tuple[list[str], int]]
"""Reads a picture: what a reader would have sent for each symbol, and the places with bars that were not read."""

_ENDINGS = frozenset({".png", ".jpg", ".jpeg"})


@dataclass(frozen=True, slots=True)
class _Seen:
    """A file as it was at one look. Written anew under an old name it is another one."""

    changed_ns: int
    """Time of its last change."""
    name: str
    size: int
    node: int
    """Number that the drive gives the file, whatever it is called."""

    @property
    def order(self) -> tuple[int, str]:
        """What files that came between two looks are sorted by."""
        return self.changed_ns, self.name


@dataclass(slots=True)
class _Waiting:
    """A file that has come and is not read yet."""

    seen: _Seen
    looks: int = 0
    """Looks at which it was the same as before."""


class FolderWatch:
    """The state between two looks at a folder."""

    def __init__(self, folder: Path, read: Reader) -> None:
        self._folder = folder
        self._read = read
        self._done = {(seen.name, seen.node): seen for seen in _look(folder)}
        self._waiting: list[_Waiting] = []

    @property
    def passed_over(self) -> int:
        """Files that are done with; right after the start, those that were there before."""
        return len(self._done)

    def look(self) -> Iterator[str]:
        """Look once; yield the line of each picture that is whole now."""
        self._notice(_look(self._folder))
        while self._waiting:
            first = self._waiting[0]
            line = self._line(first)
            if line is None:
                return
            self._waiting.pop(0)
            self._done[first.seen.name, first.seen.node] = first.seen
            yield line

    def _notice(self, there: list[_Seen]) -> None:
        """Take in what has come, changed or gone since the look before."""
        now = {(seen.name, seen.node): seen for seen in there}
        for waiting in list(self._waiting):
            seen = now.pop((waiting.seen.name, waiting.seen.node), None)
            if seen is None:
                self._waiting.remove(waiting)
            elif seen == waiting.seen:
                waiting.looks += 1
            else:
                waiting.seen, waiting.looks = seen, 0
        new = [seen for key, seen in now.items() if self._done.get(key) != seen]
        self._waiting += [_Waiting(seen) for seen in sorted(new, key=lambda seen: seen.order)]

    def _line(self, waiting: _Waiting) -> str | None:
        """Return the line of a file, or None while it may still be under way."""
        if waiting.looks == 0:
            return None
        try:
            return raw_picture(waiting.seen.name, *self._read(self._folder / waiting.seen.name))
        except ImageDoubtful as error:
            return raw_unread_picture(waiting.seen.name, str(error))
        except ImageUnread as error:
            # Half a picture and a picture without a symbol look alike until time has passed.
            if waiting.looks < PATIENCE_LOOKS:
                return None
            return raw_unread_picture(waiting.seen.name, str(error))


def lines(
    folder: Path,
    read: Reader,
    note: Callable[[str], None],
    wait: Callable[[float], Iterable[str]],
) -> Iterator[str]:
    """Yield one line for every new picture, and what is scanned or keyed meanwhile, for as long as somebody asks.

    Args:
        folder: where pictures (PNG, JPEG) arrive. Hidden files, other files and those already there are passed over.
        read: reads one picture, such as `unread_bars.read_picture_file`.
        note: is told what a person should know.
        wait: waits so many seconds for a scanner or a keyboard, and returns what came from there.

    Raises:
        UsageError: there is no such folder.
    """
    if not folder.is_dir():
        raise UsageError(f"There is no folder {folder}.")
    watch = FolderWatch(folder, read)
    if watch.passed_over:
        note(f"{watch.passed_over} pictures were in {folder} before and are not read.")
    return _lines(watch, wait)


def _lines(watch: FolderWatch, wait: Callable[[float], Iterable[str]]) -> Iterator[str]:
    while True:
        yield from watch.look()
        yield from wait(LOOK_S)


def _look(folder: Path) -> list[_Seen]:
    """Return the pictures that are there. A share that is away for a moment is an empty folder."""
    found = []
    try:
        paths = [path for path in folder.iterdir() if path.suffix.lower() in _ENDINGS]
    except OSError:
        return []
    for path in paths:
        try:
            facts = path.stat()
        except OSError:
            continue
        if not path.name.startswith(".") and path.is_file():
            found.append(_Seen(facts.st_mtime_ns, path.name, facts.st_size, facts.st_ino))
    return found
