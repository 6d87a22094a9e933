"""Scanners on a serial port: whole lines, parts of lines, a cable pulled and plugged in again."""

import builtins
import os
import signal
import sys
import threading
import tty

import pytest
from support_each import each
from support_printing import code

from tracelink.devices import serialport
from tracelink.devices.serialport import LOST_MARK, SILENT_MARK, LineBuffer, serial_port
from tracelink.devices.wedge import CUT_MARK, MAX_LINE_BYTES
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.reading import read_scan

SCAN = f"]C0{code('K', 1427)}"


@each(
    ("pieces", "lines"),
    [
        ([b"]C0A\r"], ["]C0A"]),
        ([b"]C0A\n"], ["]C0A"]),
        ([b"]C0A\r\n"], ["]C0A"]),
        ([b"]C0A\r", b"\n]C0B\r\n"], ["]C0A", "]C0B"]),
        ([b"]C", b"0", b"A", b"\r"], ["]C0A"]),
        ([b"]C0A\r]C0B\r"], ["]C0A", "]C0B"]),
        ([b"\r\r"], ["", ""]),
        ([b"\n\n"], ["", ""]),
        ([b"]C0A"], []),
        ([b"]C110A\x1d21B\r"], ["]C110A\x1d21B"]),
        ([b"]C0\xff\r"], ["]C0\\xff"]),
    ],
)
def test_bytes_become_lines(pieces, lines):
    buffer = LineBuffer(None)
    assert [line for piece in pieces for line in buffer.feed(piece)] == lines


def test_the_stand_in_becomes_the_separator():
    assert list(LineBuffer("~").feed(b"]C110A~21B\rPaper ~ Comet\r")) == [
        "]C110A\x1d21B",
        "Paper ~ Comet",
    ]


def test_a_part_is_marked_and_given_once():
    buffer = LineBuffer(None)
    assert list(buffer.feed(b"]C0K0014")) == []
    assert list(buffer.rest(SILENT_MARK)) == [f"]C0K0014{SILENT_MARK}"]
    assert list(buffer.rest(SILENT_MARK)) == []
    assert list(buffer.feed(b"]C0A\r")) == ["]C0A"]


def test_an_endless_line_is_cut_and_the_next_is_whole():
    buffer = LineBuffer(None)
    long = b"x" * (MAX_LINE_BYTES + 500)
    assert list(buffer.feed(long + b"\r]C0A\r")) == ["x" * MAX_LINE_BYTES + CUT_MARK, "]C0A"]
    assert list(buffer.feed(b"y" * MAX_LINE_BYTES + b"\r")) == ["y" * MAX_LINE_BYTES]


@pytest.mark.parametrize("mark", [SILENT_MARK, LOST_MARK])
def test_no_marked_line_is_taken_for_a_code(mark):
    read_scan(SCAN)
    for line in (SCAN + mark, f"#12{mark}", SCAN[:6] + mark):
        with pytest.raises(IdentifierError):
            read_scan(line)


class Scanner:
    """A pseudo-terminal in place of a scanner; the path stays when it is plugged in again."""

    def __init__(self, path):
        self.path = path
        self.plug_in()

    def plug_in(self):
        self.end, other = os.openpty()
        tty.setraw(other)
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(other))
        self._other = other

    def send(self, content):
        os.write(self.end, content)

    def unplug(self):
        os.close(self._other)
        os.close(self.end)
        self.path.unlink()


class Notes(list):
    def __call__(self, sentence):
        self.append(sentence)


def too_long(_number, _frame):
    raise AssertionError("the port gave nothing for 20 seconds")


@pytest.fixture
def scanner(tmp_path, monkeypatch):
    monkeypatch.setattr(serialport, "READ_TIMEOUT_S", 0.05)
    # A port that gives nothing would be waited for without end.
    signal.signal(signal.SIGALRM, too_long)
    signal.alarm(20)
    it = Scanner(tmp_path / "scanner")
    yield it
    signal.alarm(0)
    if it.path.exists():
        it.unplug()


def station(scanner):
    notes = Notes()
    return serialport.lines(serial_port(str(scanner.path)), None, notes, lambda seconds: None), notes


def test_lines_come_from_a_port(scanner):
    lines, notes = station(scanner)
    scanner.send(b"]C0A\r\n]C0B\r\n")
    assert [next(lines), next(lines)] == ["]C0A", "]C0B"]
    assert notes == []
    lines.close()


def test_a_line_in_two_pieces_is_one(scanner, monkeypatch):
    monkeypatch.setattr(serialport, "READ_TIMEOUT_S", 5.0)
    lines, _notes = station(scanner)
    scanner.send(b"]C0K00")
    rest = threading.Timer(0.1, scanner.send, [b"1427Y\r"])
    rest.start()
    assert next(lines) == "]C0K001427Y"
    rest.join()
    lines.close()


def test_a_scanner_that_falls_silent_ends_its_line_marked(scanner):
    lines, _notes = station(scanner)
    scanner.send(b"]C0K0014")
    assert next(lines) == f"]C0K0014{SILENT_MARK}"
    scanner.send(b"]C0A\r")
    assert next(lines) == "]C0A"
    lines.close()


def test_silence_alone_is_no_line(scanner):
    lines, _notes = station(scanner)
    later = threading.Timer(0.3, scanner.send, [b"]C0A\r"])
    later.start()
    assert next(lines) == "]C0A", "six timeouts have passed by then"
    later.join()
    lines.close()


def test_a_cable_pulled_in_the_middle_of_a_code(scanner, monkeypatch):
    monkeypatch.setattr(serialport, "READ_TIMEOUT_S", 5.0)
    tries = []

    def sleep(seconds):
        tries.append(seconds)
        if len(tries) == 3:
            scanner.plug_in()

    class Sending(Notes):
        def __call__(self, sentence):
            super().__call__(sentence)
            if "is back" in sentence:
                scanner.send(b"]C0K001427Y\r")

    notes = Sending()
    lines = serialport.lines(serial_port(str(scanner.path)), None, notes, sleep)
    scanner.send(b"]C0A\r]C0K0014")
    assert next(lines) == "]C0A"
    pulled = threading.Timer(0.1, scanner.unplug)
    pulled.start()
    assert next(lines) == f"]C0K0014{LOST_MARK}"
    pulled.join()
    assert next(lines) == "]C0K001427Y"
    assert tries == [serialport.RETRY_S] * 3
    assert notes == [
        "The reader is not connected any more. Plug it in again; it goes on by itself.",
        "The reader is back. Scan again what was in hand.",
    ]
    lines.close()


def test_the_port_is_for_one_program_alone(scanner):
    lines, _notes = station(scanner)
    with pytest.raises(UsageError, match="cannot be opened"):
        station(scanner)
    lines.close()
    scanner.send(b"]C0A\r")


def test_a_port_that_is_not_there_is_named(tmp_path):
    with pytest.raises(
        UsageError, match=rf"The serial port {tmp_path}/none cannot be opened: .*No such file"
    ):
        serialport.lines(serial_port(f"{tmp_path}/none"), None, print, lambda seconds: None)


def test_a_stand_in_that_could_be_data_is_refused_before_the_port_is_opened():
    def never():
        pytest.fail("the port was opened")

    with pytest.raises(UsageError, match="cannot be told from the data of a code"):
        serialport.lines(never, "A", print, lambda seconds: None)


def test_without_pyserial_the_sentence_says_what_to_install(monkeypatch):
    real = builtins.__import__

    def without(name, *rest):
        if name == "serial":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.delitem(sys.modules, "serial", raising=False)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(UsageError) as caught:
        serial_port("anything")
    assert str(caught.value) == (
        "Reading a serial port needs the library pyserial, which is not installed: run "
        "'pip install runout[serial]', then try again."
    )
