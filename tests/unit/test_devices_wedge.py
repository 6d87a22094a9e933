"""Lines from a scanner that types."""

import io
import os

import pytest
from support_each import each

from tracelink.devices.wedge import CUT_MARK, MAX_LINE_BYTES, lines
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.rawlines import raw_carton, raw_plant
from tracelink.identity.reading import read_scan


def read(content, stand_in=None):
    return list(lines(io.BytesIO(content), stand_in))


def test_one_scan_per_line():
    assert read(b"]C0K00014275\n]E09520000012342\n") == ["]C0K00014275", "]E09520000012342"]


def test_the_last_line_needs_no_line_end():
    assert read(b"]C0K00014275\n]E09520000012342") == ["]C0K00014275", "]E09520000012342"]


def test_no_input_gives_no_line():
    assert read(b"") == []


def test_an_empty_line_is_a_line():
    assert read(b"\n\r\n]C0K00014275\n") == ["", "", "]C0K00014275"]


def test_only_the_line_end_is_stripped():
    assert read(b" ]C0 K1 \t\r\n") == [" ]C0 K1 \t"]


def test_a_carriage_return_inside_a_line_stays():
    assert read(b"]d1one\rtwo\n") == ["]d1one\rtwo"]


def test_the_separator_survives():
    assert read(b"]C110ABC\x1d21X1\n") == ["]C110ABC\x1d21X1"]


@pytest.mark.parametrize("stand_in", ["~", "^]", "{GS}", "|"])
def test_the_stand_in_becomes_the_separator(stand_in):
    assert read(f"]C110ABC{stand_in}21X1\n".encode(), stand_in) == ["]C110ABC\x1d21X1"]


def test_without_a_stand_in_a_tilde_stays_a_tilde():
    assert read(b"]C110ABC~21X1\n") == ["]C110ABC~21X1"]


def test_a_typed_text_keeps_its_tilde():
    assert read(b'"about ~ 3 mm\n', "~") == ['"about ~ 3 mm']


def test_the_bracket_of_the_identifier_is_not_part_of_the_stand_in():
    assert read(b"]^21X1\n", "]^") == ["]^21X1"]


@pytest.mark.parametrize("stand_in", ["", "A", "+", "]", "%1", "\x1d", "é", "~~~~~", "\n"])
def test_a_stand_in_that_data_may_hold_is_refused_before_the_first_line(stand_in):
    with pytest.raises(UsageError) as caught:
        lines(io.BytesIO(b"]C0K1\n"), stand_in)
    assert str(caught.value) == (
        f"The separator stand-in {stand_in!r} cannot be told from the data of a code: expected one to four "
        "printable ASCII characters, at least one of which no code holds, such as '~' or '^]'."
    )


def test_utf8_is_read_as_such():
    assert read('"Grüße\n'.encode()) == ['"Grüße']


def test_bytes_that_are_not_utf8_are_shown():
    assert read(b"]d1Gr\xfc\xdfe\n") == [r"]d1Gr\xfc\xdfe"]


@pytest.mark.parametrize("ending", [b"\n", b"\r\n", b""])
def test_a_line_of_the_greatest_length_is_whole(ending):
    assert read(b"A" * MAX_LINE_BYTES + ending) == ["A" * MAX_LINE_BYTES]


@each("extra", [1, 2, 3, MAX_LINE_BYTES, 3 * MAX_LINE_BYTES + 1])
@each("ending", [b"\n", b"\r\n"])
def test_an_over_long_line_is_cut_marked_and_does_not_spill(extra, ending):
    content = b"A" * (MAX_LINE_BYTES + extra) + ending + b"]C0K00014275\n"
    assert read(content) == ["A" * MAX_LINE_BYTES + CUT_MARK, "]C0K00014275"]


def test_carriage_returns_beyond_the_greatest_length_leave_no_empty_line():
    content = b"A" * MAX_LINE_BYTES + b"\r\r\n]C0K00014275\n"
    assert read(content) == ["A" * MAX_LINE_BYTES + CUT_MARK, "]C0K00014275"]


def test_an_over_long_last_line_is_cut_and_ends():
    assert read(b"B" * (3 * MAX_LINE_BYTES)) == ["B" * MAX_LINE_BYTES + CUT_MARK]


def test_a_cut_through_a_character_shows_its_bytes():
    content = b"A" * (MAX_LINE_BYTES - 1) + "é".encode() + b"\n"
    assert read(content) == ["A" * (MAX_LINE_BYTES - 1) + r"\xc3" + CUT_MARK]


def test_a_line_is_there_before_the_next_is_typed():
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as stream, os.fdopen(writing, "wb", buffering=0) as typing:
        scans = lines(stream, None)
        typing.write(b"]C0K00014275\n")
        assert next(scans) == "]C0K00014275"
        typing.write(b"]E09520000012342\n")
        assert next(scans) == "]E09520000012342"


@pytest.mark.parametrize("start", [b"]C0", b'"', b"#", b"]C100"])
def test_no_cut_line_is_ever_accepted(start):
    (cut,) = read(start + b"1" * MAX_LINE_BYTES)
    with pytest.raises(IdentifierError):
        read_scan(cut)


def test_what_a_scanner_types_is_what_the_station_reads():
    sent = [raw_plant("K001427Y"), raw_carton(None, "9520000012342", 25, "L000123S")]
    typed = "".join(f"{line}\r\n" for line in sent).replace("\x1d", "^]").encode("ascii")
    assert [read_scan(line) for line in read(typed, "^]")] == [read_scan(line) for line in sent]
