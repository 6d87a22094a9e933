"""What a reader sends for each label of the plant: the writing side of `reading`, for labels and recorded logs."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.errors import InvalidFormat
from tracelink.identity import symbology
from tracelink.identity.gs1.elements import write_elements
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, act_code


def write_disc(gtin: Gtin, piece: int, total: int) -> str:
    """Return the element string of a disc's centre label, without symbology identifier.

    Args:
        gtin: the set's product number.
        piece: which piece, 1 to total.
        total: pieces of the set, 1 to 99.

    Raises:
        InvalidFormat: piece or total does not fit.

    Source:
        GS1 General Specifications, (8006): GTIN, two digits piece, two digits total.
    """
    if not 1 <= piece <= total <= 99:
        raise InvalidFormat(f"disc must be piece 1 to total and total at most 99, found {piece} of {total}")
    return write_elements([("8006", f"{gtin.digits}{piece:02d}{total:02d}")])


def raw_disc(gtin13: str, piece: int, total: int) -> str:
    """Return the scan of a disc's centre label (GS1 DataMatrix)."""
    return symbology.GS1_DATA_MATRIX + write_disc(Gtin.parse(gtin13), piece, total)


def raw_sleeve(gtin13: str) -> str:
    """Return the scan of a sleeve without a number of its own: an EAN-13, of a GTIN-8 an EAN-8."""
    gtin = Gtin.parse(gtin13)
    return symbology.EAN_13 + gtin.gtin13 if gtin.gtin8 is None else symbology.EAN_8 + gtin.gtin8


def raw_numbered_sleeve(gtin13: str, serial: str) -> str:
    """Return the scan of a numbered sleeve (GS1 DataMatrix); serial is 1 to 20 characters of GS1 set 82."""
    return symbology.GS1_DATA_MATRIX + write_elements([("01", Gtin.parse(gtin13).digits), ("21", serial)])


def raw_plant(code_text: str) -> str:
    """Return the scan of a plant code: tool tags are Data Matrix, all other cards Code 128."""
    is_tool = code_text[:1] == CodeKind.TOOL.value
    return (symbology.DATA_MATRIX if is_tool else symbology.CODE_128) + code_text


def raw_act(word: str) -> str:
    """Return the scan of an act card (Code 128)."""
    return symbology.CODE_128 + act_code(word)


def raw_sscc(digits: str) -> str:
    """Return the scan of a carton's or pallet's SSCC symbol (GS1-128); digits are its 18 digits."""
    return symbology.GS1_128 + write_elements([("00", digits)])


def raw_carton(sscc: str | None, gtin: str, count: int, lot: str | None) -> str:
    """Return the scan of a carton label's symbol (GS1-128).

    Args:
        sscc: 18 digits, or None for the second symbol of a label whose SSCC has a symbol of its own. GS1 allows
            48 data characters in one GS1-128 symbol: SSCC, content, count and a lot beyond 5 characters are more.
        gtin: product contained, 13 or 14 digits.
        count: pieces contained, 0 to 99,999,999.
        lot: 1 to 20 characters of GS1 set 82, or None to leave it out.

    Raises:
        IdentifierError: a value does not fit its element.
    """
    pairs = [("00", sscc)] if sscc is not None else []
    pairs += [("02", Gtin.parse(gtin).digits), ("37", str(count))]
    if lot is not None:
        pairs.append(("10", lot))
    return symbology.GS1_128 + write_elements(pairs)


_PICTURE = "picture "


def raw_unread_picture(name: str, reason: str) -> str:
    """Return the line that stands for a picture in which nothing could be read.

    Args:
        name: of the file.
        reason: a sentence.
    """
    return f"{_PICTURE}{name}: {reason}"


def unread_picture(raw: str) -> tuple[str, str] | None:
    """Return name and reason if a line stands for a picture in which nothing could be read; None for any other."""
    if not raw.startswith(_PICTURE):
        return None
    name, _colon, reason = raw.removeprefix(_PICTURE).partition(": ")
    return name, reason.removesuffix(".")


_READ = "pictured "


@dataclass(frozen=True, slots=True)
class PictureRead:
    """A picture in which something was read."""

    name: str
    """Of the file."""
    lines: tuple[str, ...]
    """What a reader would have sent for each symbol in it, one or more."""
    unread: int = 0
    """Places in it with bars that no reader read, 0 or more."""


def raw_picture(name: str, lines: Sequence[str], unread: int = 0) -> str:
    """Return the one line that stands for a picture and everything that was read in it.

    Args:
        name: of the file.
        lines: what a reader would have sent for each symbol, at least one.
        unread: places in it with bars that no reader read.
    """
    return _READ + json.dumps([name, *lines, *([unread] if unread else [])], separators=(",", ":"))


def read_picture(raw: str) -> PictureRead | None:
    """Return what was read in a picture, if a line stands for one; None for any other line."""
    if not raw.startswith(_READ):
        return None
    try:
        found = json.loads(raw.removeprefix(_READ))
    except (ValueError, RecursionError):
        return None
    unread = found.pop() if isinstance(found, list) and found and type(found[-1]) is int else 0
    if not isinstance(found, list) or len(found) < 2 or not all(isinstance(each, str) for each in found):
        return None
    return PictureRead(found[0], tuple(found[1:]), unread)


_AWAY = "away "


@dataclass(frozen=True, slots=True)
class AwayRead:
    """A scan that was made while the ledger was away, and judged by an earlier copy of it."""

    raw: str
    """The line as it came."""
    word: str
    """The big word that was shown for it."""


def raw_away(raw: str, word: str) -> str:
    """Return the line that stands for a scan made while the ledger was away.

    Args:
        raw: the line as it came.
        word: the big word that was shown for it.
    """
    return _AWAY + json.dumps([word, raw], separators=(",", ":"))


def read_away(raw: str) -> AwayRead | None:
    """Return what was scanned and shown while the ledger was away, if a line stands for that; None for any other."""
    if not raw.startswith(_AWAY):
        return None
    try:
        found = json.loads(raw.removeprefix(_AWAY))
    except (ValueError, RecursionError):
        return None
    if not isinstance(found, list) or len(found) != 2 or not all(isinstance(each, str) for each in found):
        return None
    return AwayRead(found[1], found[0])


def code_in(raw: str) -> str:
    """Return what a reader would have sent: of a picture with one code that code, any other line as it came."""
    away = read_away(raw)
    if away is not None:
        raw = away.raw
    found = read_picture(raw)
    return raw if found is None or len(found.lines) > 1 else found.lines[0]


def is_picture(raw: str) -> bool:
    """Say whether a line stands for a picture, read or not."""
    return raw.startswith(_PICTURE) or read_picture(raw) is not None
