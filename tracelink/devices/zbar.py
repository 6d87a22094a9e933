"""zbar, asked to look along rows only, and at no row more often than it needs.

zbar looks at every row and every column of a picture. Of a drawn label most are the same as the one before: 400
rows through the same bars, white paper. zbar believes a Code 128 that one line shows and an EAN that three show,
so four equal rows say as much as 400 and the rest can be left out: first among the rows, then, with the picture turned
over its diagonal, among the columns. What it can find stays the same, in half of the time or less. In a photograph
hardly two rows are equal, and nothing is left out.
"""

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from PIL import Image

from tracelink.errors import UsageError
from tracelink.identity.checkdigit import gs1_check_digit, is_digits

ENOUGH_ROWS = 4
"""One more than the lines that must show an EAN-13 before zbar believes it; measured, see the tests."""

_INTERLEAVED = "I25"
_GREY = int.from_bytes(b"Y800", "little")


def read_linear(flat: Image.Image) -> set[tuple[str, bytes]]:
    """Return name and content of the Code 128, EAN-13, EAN-8 and ITF-14 symbols in a picture.

    Args:
        flat: 256 greys.

    Raises:
        UsageError: zbar is missing.
    """
    rows = without_repeats(flat)
    if rows.height <= ENOUGH_ROWS and _is_one_row(rows):
        # Every column is of one colour from end to end: there is nothing to read along it.
        return _along_rows(rows)
    turned = flat.transpose(Image.Transpose.TRANSPOSE)
    return _along_rows(rows) | _along_rows(without_repeats(turned))


def is_itf14(content: bytes) -> bool:
    """Say whether the digits of an Interleaved 2 of 5 are 14 with their GS1 check digit."""
    digits = content.decode("ascii", errors="replace")
    return len(digits) == 14 and is_digits(digits) and gs1_check_digit(digits[:-1]) == digits[-1]


def _is_one_row(flat: Image.Image) -> bool:
    pixels = flat.tobytes()
    return pixels == pixels[: flat.width] * flat.height


def without_repeats(flat: Image.Image) -> Image.Image:
    """Return a picture without the rows that repeat the `ENOUGH_ROWS` rows above them."""
    wide, high = flat.size
    pixels = flat.tobytes()
    kept: list[bytes] = []
    last, repeats = b"", 0
    for start in range(0, wide * high, wide):
        row = pixels[start : start + wide]
        repeats = repeats + 1 if row == last else 0
        last = row
        if repeats < ENOUGH_ROWS:
            kept.append(row)
    return Image.frombytes("L", (wide, len(kept)), b"".join(kept))


def _along_rows(flat: Image.Image) -> set[tuple[str, bytes]]:
    try:
        # The import itself loads the shared library, and fails without it.
        from pyzbar import wrapper  # noqa: PLC0415
    except ImportError as error:
        raise UsageError(
            "Reading pictures needs the zbar library, which is not installed: on Debian run "
            "'apt-get install libzbar0', then try again."
        ) from error
    pixels = flat.tobytes()
    # zbar is told where these bytes are; they must stay until the picture is gone.
    with _scanner(wrapper) as scanner, _picture(wrapper, pixels, flat.size) as picture:
        if wrapper.zbar_scan_image(scanner, picture) < 0:
            raise UsageError("zbar cannot read a picture of this size; cut out the label and read that.")
        return set(_found(wrapper, picture))


@contextmanager
def _scanner(wrapper: Any) -> Iterator[Any]:
    scanner = wrapper.zbar_image_scanner_create()
    try:
        kinds = wrapper.ZBarSymbol
        wanted = {kinds.CODE128, kinds.EAN13, kinds.EAN8, kinds.I25}
        configs = wrapper.ZBarConfig
        for kind in wrapper.ZBarSymbol:
            wrapper.zbar_image_scanner_set_config(scanner, kind, configs.CFG_ENABLE, int(kind in wanted))
        wrapper.zbar_image_scanner_set_config(scanner, 0, configs.CFG_X_DENSITY, 0)  # looks at no column
        wrapper.zbar_image_scanner_set_config(scanner, 0, configs.CFG_Y_DENSITY, 1)  # looks at every row
        yield scanner
    finally:
        wrapper.zbar_image_scanner_destroy(scanner)


@contextmanager
def _picture(wrapper: Any, pixels: bytes, size: tuple[int, int]) -> Iterator[Any]:
    picture = wrapper.zbar_image_create()
    try:
        wrapper.zbar_image_set_format(picture, _GREY)
        wrapper.zbar_image_set_size(picture, *size)
        place = ctypes.cast(ctypes.c_char_p(pixels), ctypes.c_void_p)
        # No function to free the pixels: they are Python's.
        wrapper.zbar_image_set_data(picture, place, len(pixels), None)
        yield picture
    finally:
        wrapper.zbar_image_destroy(picture)


def _found(wrapper: Any, picture: Any) -> Iterator[tuple[str, bytes]]:
    symbol = wrapper.zbar_image_first_symbol(picture)
    while symbol:
        content = ctypes.string_at(
            wrapper.zbar_symbol_get_data(symbol), wrapper.zbar_symbol_get_data_length(symbol)
        )
        name = wrapper.ZBarSymbol(symbol.contents.type).name
        if name != _INTERLEAVED or is_itf14(content):
            yield name, content
        symbol = wrapper.zbar_symbol_next(symbol)
