"""Codes read in full: texts as they are given, the lines of a file, the symbols in a picture."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.devices.wedge import require_usable
from tracelink.errors import UsageError
from tracelink.identity.anycode.code_parts import CodePart, CodeVerdict, ReadCode
from tracelink.identity.anycode.code_reader import judged_together, read_code
from tracelink.identity.gs1.aitable import SEPARATOR
from tracelink.services.given_files import first_bytes

MOST_LINES = 1000
"""Most codes of one file."""

_PICTURES = frozenset({".png", ".jpg", ".jpeg"})
_LARGEST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class CodesRead:
    """What was said of some codes."""

    codes: tuple[ReadCode, ...]
    """In the order given."""
    together: tuple[CodePart, ...]
    """Whether their elements may stand on one item; empty if there are none."""

    @property
    def is_wrong(self) -> bool:
        """Whether something of them is not what it must be."""
        return any(code.is_wrong for code in self.codes) or any(
            part.judged is CodeVerdict.WRONG for part in self.together
        )

    def to_dict(self) -> list[dict[str, Any]]:
        """Return one row per part: of each code by its place from 1, and of all of them with no place."""
        rows = [
            _row(place, code.text, code.source, part)
            for place, code in enumerate(self.codes, 1)
            for part in code.parts
        ]
        return rows + [_row(None, "", "", part) for part in self.together]


def _row(place: int | None, text: str, source: str, part: CodePart) -> dict[str, Any]:
    said = {"what": part.what, "value": part.value, "judged": part.judged.value, "says": part.says}
    return {"place": place, "code": text, "source": source, **said}


def read_codes(given: Sequence[str], current_year: int, separator: str | None = None) -> CodesRead:
    """Say what codes are, one by one and together.

    Args:
        given: texts, or names of files that are there: pictures (PNG, JPEG), or text with a code a line.
        current_year: four digits, for dates on labels.
        separator: what stands for the GS1 separator (byte 29) in texts and lines; None if that byte does.

    Raises:
        UsageError: nothing is given, a picture is not there or shows no code, a file is no text or too long.
        ImageDoubtful: the two readers do not agree on a picture.
    """
    if not given:
        raise UsageError("no code is given: expected a text, or a file with codes")
    if separator is not None:
        require_usable(separator)
    found = [
        read_code(text, current_year, source) for each in given for text, source in _texts(each, separator)
    ]
    return CodesRead(tuple(code for code, _ in found), judged_together(elements for _, elements in found))


def _texts(given: str, separator: str | None) -> Iterator[tuple[str, str]]:
    """Yield each code with the file it stands in."""
    path = Path(given)
    if path.suffix.lower() in _PICTURES:
        from tracelink.devices.images import read_image  # noqa: PLC0415  image readers are loaded when wanted

        yield from ((line, given) for line in read_image(path))
        return
    try:
        is_file = path.is_file()
    except (OSError, ValueError):
        # A text may be longer than any name, or hold what no name may hold.
        is_file = False
    for text in _lines(path) if is_file else [given]:
        yield text if separator is None else text.replace(separator, SEPARATOR), given if is_file else ""


def _lines(path: Path) -> list[str]:
    try:
        text = first_bytes(path, _LARGEST_BYTES + 1).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UsageError(
            f"{path} is not a text file: expected one code per line, or a picture whose name ends in .png or .jpg"
        ) from None
    lines = [line.rstrip("\r") for line in text.split("\n") if line.strip("\r")]
    if not lines or len(lines) > MOST_LINES or len(text) > _LARGEST_BYTES:
        raise UsageError(f"{path} has {len(lines)} lines: expected 1 to {MOST_LINES} codes, one a line")
    return lines
