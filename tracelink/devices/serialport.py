"""Lines from a scanner on a serial port.

A port is not a file: bytes come when they come, a cable is pulled in the middle of a code, and a scanner that is
plugged in again has to be opened again. What follows from that:

- A line ends with CR, LF or both. Bytes behind the last line end are kept over any number of timeouts while more may
  follow at once, and handed on, marked, when the scanner has fallen silent: two scans never become one line.
- When the port is lost, what was read of a line is handed on, marked. No reader of codes accepts a marked line, so
  half a code is never taken for a whole one, and the raw scan is kept like any other.
- Then the port is tried again and again until it is back. The person is told, once, both times.
"""

from collections.abc import Callable, Iterator
from typing import Protocol

from tracelink.devices.wedge import CUT_MARK, MAX_LINE_BYTES, require_usable, text_of
from tracelink.errors import UsageError

SILENT_MARK = " [no line end]"
"""Stands behind bytes after which the scanner fell silent."""

LOST_MARK = " [reader lost]"
"""Stands behind what was read of a line when the port was lost."""

READ_TIMEOUT_S = 0.5
"""A code of 48 characters takes 0.05 s at 9600 baud, so a scanner silent for this long has sent all it will."""

RETRY_S = 1.0


class Port(Protocol):
    """A serial port that is open; pyserial's, or a test's."""

    @property
    def in_waiting(self) -> int:
        """Bytes that are there to be read."""

    def read(self, size: int, /) -> bytes:
        """Return up to size bytes, at least one unless the timeout passes; OSError if the port is lost."""

    def close(self) -> None:
        """Close the port."""


class LineBuffer:
    """Bytes that have come, cut into lines."""

    def __init__(self, separator_stand_in: str | None) -> None:
        self._stand_in = separator_stand_in
        self._part = bytearray()
        self._after_cr = False
        self._skipping = False

    def feed(self, content: bytes) -> Iterator[str]:
        """Take bytes as they came and yield the lines that are whole with them."""
        for byte in content:
            ends, second = byte in b"\r\n", byte == 0x0A and self._after_cr
            self._after_cr = byte == 0x0D
            if second:
                continue
            if ends:
                if not self._skipping:
                    yield self._taken("")
                self._skipping = False
            elif not self._skipping:
                self._part.append(byte)
                if len(self._part) > MAX_LINE_BYTES:
                    self._part.pop()
                    self._skipping = True
                    yield self._taken(CUT_MARK)

    def rest(self, mark: str) -> Iterator[str]:
        """Yield what came behind the last line end, marked; nothing if there is none."""
        self._skipping = False
        if self._part:
            yield self._taken(mark)

    def _taken(self, mark: str) -> str:
        content = bytes(self._part)
        self._part.clear()
        return text_of(content, self._stand_in) + mark


def lines(
    open_port: Callable[[], Port],
    separator_stand_in: str | None,
    note: Callable[[str], None],
    sleep: Callable[[float], None],
) -> Iterator[str]:
    """Yield one scan per line, for as long as somebody asks.

    Args:
        open_port: opens the port; see `serial_port`. Called again when the port was lost.
        separator_stand_in: what the scanner sends for byte 29; None if it sends byte 29 itself. See `wedge.lines`.
        note: is told when the port is lost and when it is back.
        sleep: waits so many seconds.

    Raises:
        UsageError: the port cannot be opened at the start, or the stand-in could be part of a code.
    """
    if separator_stand_in is not None:
        require_usable(separator_stand_in)
    # A generator would open the port only when the first line is asked for, with the station already shown ready.
    return _lines(open_port, open_port(), LineBuffer(separator_stand_in), note, sleep)


def _lines(
    open_port: Callable[[], Port],
    port: Port,
    buffer: LineBuffer,
    note: Callable[[str], None],
    sleep: Callable[[float], None],
) -> Iterator[str]:
    try:
        while True:
            try:
                content = port.read(max(1, port.in_waiting))
            except OSError:
                port.close()
                yield from buffer.rest(LOST_MARK)
                note("The reader is not connected any more. Plug it in again; it goes on by itself.")
                port = _opened_again(open_port, sleep)
                note("The reader is back. Scan again what was in hand.")
                continue
            if content:
                yield from buffer.feed(content)
            else:
                yield from buffer.rest(SILENT_MARK)
    finally:
        port.close()


def _opened_again(open_port: Callable[[], Port], sleep: Callable[[float], None]) -> Port:
    while True:
        sleep(RETRY_S)
        try:
            return open_port()
        except UsageError:
            continue


def serial_port(name: str, baud: int = 9600) -> Callable[[], Port]:
    """Return what opens a serial port for `lines`: 8 data bits, no parity, 1 stop bit, for this program alone.

    Args:
        name: such as "/dev/ttyACM0" or "COM3".
        baud: bits per second; without meaning for most readers on USB.

    Raises:
        UsageError: pyserial is not installed; or, when called, the port cannot be opened.
    """
    try:
        import serial  # noqa: PLC0415  # an extra that only serial readers need
    except ImportError as error:
        raise UsageError(
            "Reading a serial port needs the library pyserial, which is not installed: run "
            "'pip install runout[serial]', then try again."
        ) from error

    def open_port() -> Port:
        try:
            port: Port = serial.Serial(name, baud, timeout=READ_TIMEOUT_S, exclusive=True)
        except (OSError, ValueError) as error:
            raise UsageError(f"The serial port {name} cannot be opened: {error}.") from error
        return port

    return open_port
