"""Lines from a scanner that types like a keyboard, or from a file or pipe of such lines.

Raw first: a line is handed on as it came, whatever is in it, because a refused scan is recorded too. Only the
line end goes. Three repairs are made, each visible in the result: bytes that are not UTF-8 appear as hexadecimal,
the configured stand-in for the GS1 separator becomes byte 29 again, and a line without end is cut and marked.
"""

from collections.abc import Callable, Iterator
from queue import Empty, SimpleQueue
from threading import Thread
from typing import BinaryIO

from tracelink.errors import UsageError
from tracelink.identity.gs1.aitable import CSET_82, SEPARATOR

MAX_LINE_BYTES = 4096
"""Longer than anything this plant prints by far (48 characters in a GS1-128 symbol, 14 in a plant code)."""

CUT_MARK = f" [cut after {MAX_LINE_BYTES} bytes]"
"""Stands at the end of a line that was cut, so that nobody takes the rest for the whole."""


def lines(stream: BinaryIO, separator_stand_in: str | None) -> Iterator[str]:
    """Yield one scan per line, as soon as the line is there.

    Terminals and keyboard wedges often swallow control characters, and with them the separator (byte 29) that
    ends a variable-length GS1 element. Such a scanner is set to send a stand-in instead. It is translated only
    in lines that begin with `]`, that is in scans: a text typed by a person keeps its tilde.

    Args:
        stream: binary standard input, or any other stream of lines ending in LF or CR LF.
        separator_stand_in: what the scanner sends for byte 29, for example "~" or "^]"; None if it sends
            byte 29 itself.

    Yields:
        Every line without its line end, empty lines included; a last line without line end too. A line over
        `MAX_LINE_BYTES` comes cut to that length with `CUT_MARK` behind it, far beyond what any reader of
        codes accepts.

    Raises:
        UsageError: the stand-in could be part of a code.
    """
    if separator_stand_in is not None:
        require_usable(separator_stand_in)
    # A generator would check the stand-in only when the first line is asked for, with the station already open.
    return _lines(stream, separator_stand_in)


def _lines(stream: BinaryIO, stand_in: str | None) -> Iterator[str]:
    longest = MAX_LINE_BYTES + len(b"\r\n")
    while chunk := stream.readline(longest):
        content = chunk.rstrip(b"\r\n")
        goes_on = len(chunk) == longest and not chunk.endswith(b"\n")
        if goes_on:
            _skip_to_line_end(stream)
            yield _cut(content, stand_in)
        else:
            yield one_line(content, stand_in)


def one_line(content: bytes, stand_in: str | None) -> str:
    """Return one line's bytes as text, as `lines` does; a long one is cut and marked."""
    return _cut(content, stand_in) if len(content) > MAX_LINE_BYTES else text_of(content, stand_in)


def _cut(content: bytes, stand_in: str | None) -> str:
    return text_of(content[:MAX_LINE_BYTES], stand_in) + CUT_MARK


def _skip_to_line_end(stream: BinaryIO) -> None:
    """Drop the rest of a line piece by piece, so that an endless one cannot fill the memory."""
    while chunk := stream.readline(MAX_LINE_BYTES):
        if chunk.endswith(b"\n"):
            return


def text_of(content: bytes, stand_in: str | None) -> str:
    """Return a line's bytes as text: what is not UTF-8 in hexadecimal, the stand-in of a scan as byte 29."""
    text = content.decode("utf-8", errors="backslashreplace")
    if stand_in is not None and text.startswith("]"):
        # The identifier's own bracket is not part of a stand-in such as "^]".
        return text[0] + text[1:].replace(stand_in, SEPARATOR)
    return text


def require_usable(stand_in: str) -> None:
    """Raise UsageError if a stand-in for the separator could be part of a code."""
    printable = stand_in.isascii() and stand_in.isprintable() and 1 <= len(stand_in) <= 4
    # "]" opens a symbology identifier, so alone it is taken, and so is everything of character set 82. One
    # other character makes the whole unmistakable.
    if printable and not set(stand_in) <= CSET_82 | {"]"}:
        return
    raise UsageError(
        f"The separator stand-in {stand_in!r} cannot be told from the data of a code: expected one to four "
        "printable ASCII characters, at least one of which no code holds, such as '~' or '^]'."
    )


def waiter(stream: BinaryIO, separator_stand_in: str | None) -> Callable[[float], list[str]]:
    """Return a function that waits so many seconds at most for the next line and returns it, or nothing.

    A station with a camera takes badges, numbers and texts from here. The stream is read in a thread of its own, which
    ends with the program.

    Args:
        stream: as for `lines`; without a buffer, whose lock would be held while the program ends.
        separator_stand_in: as for `lines`.

    Raises:
        UsageError: the stand-in could be part of a code.
    """
    came: SimpleQueue[str] = SimpleQueue()
    reading = lines(stream, separator_stand_in)

    def read() -> None:
        for line in reading:
            came.put(line)

    Thread(target=read, daemon=True).start()

    def wait(seconds: float) -> list[str]:
        try:
            return [came.get(timeout=seconds)]
        except Empty:
            return []

    return wait
