"""Pictures of symbols, read into the lines that a scanner would have sent.

Two independent readers look at every picture, because one reader's word is not enough: on blurred or shrunk
pictures each now and then gives a wrong text whose check character fits by chance. A linear symbol counts only
if zbar and zxing-cpp read the same bytes. Who says what:

- zxing-cpp alone tells GS1-128 from plain Code 128 (zbar drops the leading function character), so the
  symbology identifier is always its.
- zbar does not read Data Matrix. That symbol and QR Code correct and check themselves with far more redundancy than
  one check character, so zxing-cpp is believed alone. zbar's QR decoder is off: some contents end the process.
- Only the symbols that this plant prints are looked for, and those of GS1 that stand on what comes in: EAN-8, ITF-14, QR
  Code. zxing-cpp's second, downscaled look is off: it finds a false Code 128 beside the right one now and then.
- Interleaved 2 of 5 has no check character of its own, and a part of one reads as a shorter one: only 14 digits with
  their GS1 check digit count, whichever reader sees them.

Two equal symbols close together may come as one, and one symbol torn by a damaged file as several. A picture proves
what is in it, not how often, so a file gives each line once.
"""

import io
import struct
import warnings
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageOps, UnidentifiedImageError

from tracelink.devices.zbar import is_itf14, read_linear
from tracelink.errors import ImageDoubtful, ImageUnread
from tracelink.plainfile import NotPlainError, plain_bytes

if TYPE_CHECKING:
    import zxingcpp

MAX_PIXELS = 50_000_000
"""An A4 page at 600 dpi is 35 million; beyond this a file is not a picture of a label but a trap for the memory."""

MAX_SIDE = 16_384
"""A4 at 1200 dpi is 14,032 pixels long. zxing-cpp takes no more than 65,535, and long strips are slow to look through."""

_BOMB = (Image.DecompressionBombError, Image.DecompressionBombWarning)
_DAMAGE = (OSError, SyntaxError, ValueError, EOFError, IndexError, TypeError, struct.error, zlib.error)
"""What Pillow raises on files that begin like an image and go wrong."""

_LINEAR_NAMES = {"CODE128": "Code 128", "EAN13": "EAN-13", "EAN8": "EAN-8", "I25": "ITF-14"}
_FAMILIES = {"]C": "CODE128", "]E": "EAN13", "]I": "I25"}
_SHORT_EAN = "]E4"


Point = tuple[int, int]
"""A place in a picture: pixels from the left and from the top."""


@dataclass(frozen=True, slots=True)
class SymbolRead:
    """One symbol as zxing-cpp read it."""

    identifier: str
    """Symbology identifier, for example "]C1"."""
    content: bytes
    """What the symbol carries, with byte 29 for a separator."""
    corners: tuple[Point, Point, Point, Point]
    """Of the symbol as it is read: first of the upper edge, last of it, last of the lower edge, first of it."""

    @property
    def top(self) -> int:
        """Highest pixel."""
        return min(y for _, y in self.corners)

    @property
    def bottom(self) -> int:
        """Lowest pixel."""
        return max(y for _, y in self.corners)

    @property
    def left(self) -> int:
        """Leftmost pixel."""
        return min(x for x, _ in self.corners)

    @property
    def family(self) -> str | None:
        """What zbar calls a symbol of this kind; None if it does not read the kind."""
        return "EAN8" if self.identifier == _SHORT_EAN else _FAMILIES.get(self.identifier[:2])

    @property
    def line(self) -> str:
        """What a scanner would have sent."""
        return self.identifier + _shown(self.content)


def read_image(path: Path) -> list[str]:
    """Return the lines a scanner would have sent for the symbols in a picture.

    Args:
        path: a PNG or JPEG file of at most `MAX_PIXELS`.

    Returns:
        At least one line, none twice: symbology identifier and payload, with byte 29 for a separator. In reading
        order, top to bottom and left to right within a row.

    Raises:
        ImageUnread: the file is not there, not a whole image, too large, or shows no symbol.
        UsageError: zbar is missing.
        ImageDoubtful: the two readers do not agree on a linear symbol.
    """
    return read_symbols(path)[0]


def read_symbols(path: Path, name: str = "") -> tuple[list[str], Image.Image, list[SymbolRead]]:
    """Return the lines of a picture, as `read_image` does, the picture, and each symbol that was read in it.

    Args:
        path: as for `read_image`, which says what is raised.
        name: what to call the picture in a sentence; its path unless said.
    """
    name = name or str(path)
    image = open_image(path, name)
    reads, by_zbar = read_each(image)
    found = _agreed(reads, by_zbar, name)
    if not found:
        raise ImageUnread(
            f"{name} shows no symbol that can be read: expected Code 128, GS1-128, EAN-13, EAN-8, ITF-14, Data Matrix or "
            "QR Code, upright or turned by quarters, sharp and with white margins."
        )
    return list(dict.fromkeys(found)), image, reads


def read_pixels(image: Image.Image, name: str) -> list[str]:
    """Return a line for every symbol in an image already in memory; an empty list if it shows none.

    Args:
        image: any Pillow image.
        name: what to call the image in a sentence.

    Raises:
        UsageError: zbar is missing.
        ImageDoubtful: the two readers do not agree on a linear symbol.
    """
    return _agreed(*read_each(image), name)


def _agreed(reads: list[SymbolRead], by_zbar: set[tuple[str, bytes]], name: str) -> list[str]:
    _require_agreement(reads, by_zbar, name)
    return [read.line for row in _rows(reads) for read in row]


def read_each(image: Image.Image) -> tuple[list[SymbolRead], set[tuple[str, bytes]]]:
    """Return what each of the two readers read in an image, whether they agree or not.

    Returns:
        The symbols that zxing-cpp read; and name and content of the linear symbols that zbar read.

    Raises:
        UsageError: zbar is missing.
    """
    flat = grey(image)
    return _zxing(flat), read_linear(flat)


def open_image(path: Path, name: str = "") -> Image.Image:
    """Return the picture in a file, the way up that a person sees it.

    Args:
        path: a PNG or JPEG file of at most `MAX_PIXELS`.
        name: what to call it in a sentence; its path unless said.

    Raises:
        ImageUnread: the file is not there, not a whole image, or too large.
    """
    name = name or str(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            # In memory a reader sets aside what is there; of a file, what a damaged length says: gigabytes.
            with Image.open(io.BytesIO(plain_bytes(path)), formats=("PNG", "JPEG")) as opened:
                _require_size(opened, name)
                # Telephones note how they were held; the order of symbols is that which a person sees.
                return ImageOps.exif_transpose(opened)
    except FileNotFoundError as error:
        raise ImageUnread(f"There is no file {name}.") from error
    except (IsADirectoryError, PermissionError, NotPlainError) as error:
        raise ImageUnread(f"{name} cannot be read as a file: {error.strerror}.") from error
    except _BOMB as error:
        raise ImageUnread(
            f"{name} is larger than {MAX_PIXELS:,} pixels; cut out the label and read that."
        ) from error
    except UnidentifiedImageError as error:
        raise ImageUnread(f"{name} is not an image: expected a PNG or JPEG file.") from error
    except _DAMAGE as error:
        raise ImageUnread(
            f"{name} is a damaged or incomplete image ({error}); take or copy it again."
        ) from error


def _require_size(image: Image.Image, name: str) -> None:
    width, height = image.size
    if max(width, height) > MAX_SIDE:
        raise ImageUnread(
            f"{name} has {width} x {height} pixels: expected at most {MAX_SIDE:,} a side; cut out the label and read that."
        )
    if width * height > MAX_PIXELS:
        raise ImageUnread(
            f"{name} has {width} x {height} pixels: expected at most {MAX_PIXELS:,}; cut out the label and read that."
        )


def grey(image: Image.Image) -> Image.Image:
    """Flatten to 256 greys. Pillow alone would turn clear paper black and 16-bit grey white."""
    if image.has_transparency_data:
        over = image.convert("RGBA")
        paper = Image.new("RGBA", over.size, "white")
        return Image.alpha_composite(paper, over).convert("L")
    if image.mode.startswith("I"):
        return image.point(lambda value: value * (1 / 256) + 0).convert("L")
    return image.convert("L")


def _zxing(flat: Image.Image) -> list[SymbolRead]:
    import zxingcpp  # noqa: PLC0415  # 13 ms that only pictures need

    formats = zxingcpp.BarcodeFormat
    linear = [formats.Code128, formats.EAN13, formats.EAN8, formats.ITF]
    wanted = zxingcpp.BarcodeFormats([*linear, formats.DataMatrix, formats.QRCode])
    found = zxingcpp.read_barcodes(flat, formats=wanted, try_downscale=False)
    return [
        SymbolRead(symbol.symbology_identifier, symbol.bytes, _corners(symbol.position))
        for symbol in found
        if symbol.format != formats.ITF or is_itf14(symbol.bytes)
    ]


def _corners(place: "zxingcpp.Position") -> tuple[Point, Point, Point, Point]:
    return (
        (place.top_left.x, place.top_left.y),
        (place.top_right.x, place.top_right.y),
        (place.bottom_right.x, place.bottom_right.y),
        (place.bottom_left.x, place.bottom_left.y),
    )


def _require_agreement(reads: Sequence[SymbolRead], by_zbar: set[tuple[str, bytes]], name: str) -> None:
    by_zxing = {(read.family, read.content) for read in reads if read.family is not None}
    if by_zxing == by_zbar:
        return
    raise ImageDoubtful(
        f"{name}: the two readers do not agree. zxing-cpp read {_listed(by_zxing - by_zbar)}, zbar read "
        f"{_listed(by_zbar - by_zxing)}. Nothing in this picture counts; scan the piece itself or take a "
        "sharper picture."
    )


def _listed(found: set[tuple[str, bytes]]) -> str:
    if not found:
        return "nothing there"
    return " and ".join(sorted(f"{_LINEAR_NAMES[family]} {_shown(content)!r}" for family, content in found))


def _shown(content: bytes) -> str:
    """Bytes as text. What is not UTF-8 is shown in hexadecimal, as in a scanner's line."""
    return content.decode("utf-8", errors="backslashreplace")


def _rows(reads: Sequence[SymbolRead]) -> list[list[SymbolRead]]:
    """Group symbols into rows as a person reads them: side by side means half of the lower one is level."""
    rows: list[list[SymbolRead]] = []
    for read in sorted(reads, key=lambda read: (read.top, read.left)):
        if rows and _level(rows[-1][0], read):
            rows[-1].append(read)
        else:
            rows.append([read])
    return [sorted(row, key=lambda read: read.left) for row in rows]


def _level(first: SymbolRead, second: SymbolRead) -> bool:
    shared = min(first.bottom, second.bottom) - max(first.top, second.top)
    return shared > min(first.bottom - first.top, second.bottom - second.top) / 2
