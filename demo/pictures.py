"""Make the pictures of README and guide from what the program itself shows: `python demo/pictures.py DEMO FOLDER`.

DEMO is a folder that the demo left, FOLDER is where the pictures go (`tracelink/guide/pictures`).
"""

import base64
import html
import io
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from runout import open_ledger
from tracelink.cli.common.screen import show
from tracelink.station.common.outcome import Verdict, Word

COLUMNS, LINES = 96, 24
CELL_W, CELL_H = 7.0, 14.0
SLEEVE_W = 250.0
GAP = 24.0

_LIFE = re.compile(r'<svg[^>]*aria-label="The life of stamper.*?</svg>', re.DOTALL)
_PRINTED = re.compile(r"Records up to entry [^<]*")
_OF_THE_DEMO = "From the demo plant, at a twentieth of its size."
_BLOCK = re.compile("[\u2588\u2580\u2584]")
_COLOUR = re.compile(r"\x1b\[48;2;(\d+);(\d+);(\d+)m")
_INK = re.compile(r"\x1b\[38;2;(\d+);(\d+);(\d+)m")
_ESCAPE = re.compile(r"\x1b\[[0-9;]*[A-Za-z]|\x07")


class _Screen(io.StringIO):
    """A terminal that only keeps what is shown."""

    def isatty(self) -> bool:
        """A screen, so that verdicts are shown large."""
        return True


def stamper_life(demo: Path) -> str:
    """Return the life of the bad stamper as the demo's scope page has it, without when it was printed."""
    found = _LIFE.search((demo / "scope.html").read_text(encoding="utf-8"))
    assert found is not None, "the scope page of the demo shows the life of a stamper"
    return _PRINTED.sub(_OF_THE_DEMO, found[0]) + "\n"


def washed_lot(demo: Path) -> str:
    """Return the family of the lot that was washed in two baths, without when it was printed."""
    return _PRINTED.sub(_OF_THE_DEMO, (demo / "bath.svg").read_text(encoding="utf-8"))


def turntable(demo: Path) -> str:
    """Return all that a turntable of the second hall is built of, without when it was printed."""
    return _PRINTED.sub(_OF_THE_DEMO, (demo / "unit.svg").read_text(encoding="utf-8"))


def bad_reel(demo: Path) -> str:
    """Return where the parts of the bad reel went, without when it was printed."""
    return _PRINTED.sub(_OF_THE_DEMO, (demo / "reel.svg").read_text(encoding="utf-8"))


def verdict_beside_sleeve(demo: Path) -> str:
    """Return the screen that stops the wrong sleeve at line 3, and that sleeve's label beside it."""
    label = demo / "labels" / "live-sleeve-wrong.png"
    rows = list(_screen_rows(_stopped(demo)))
    height = len(rows) * CELL_H + 2 * GAP
    width = COLUMNS * CELL_W + SLEEVE_W + 3 * GAP
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height:g}" '
        f'viewBox="0 0 {width:g} {height:g}" role="img" aria-label="A packing line stops on a wrong sleeve">'
    )
    parts = [
        opening,
        f'<rect width="{width:g}" height="{height:g}" fill="#FFFFFF"/>',
        f'<rect x="{GAP:g}" y="{GAP:g}" width="{COLUMNS * CELL_W:g}" height="{len(rows) * CELL_H:g}" fill="#1E1E1E"/>',
        *(part for place, (paint, ink, text) in enumerate(rows) for part in _row(place, paint, ink, text)),
        *_sleeve(label, height),
        "</svg>\n",
    ]
    return "\n".join(parts)


def _stopped(demo: Path) -> Verdict:
    """What the line says when it scans the disc and then the label of another title."""
    scans = ("]C0P000312O", "]d28006095207770000610101", "]E09520777000016")
    with tempfile.TemporaryDirectory() as folder:
        # The line signs its scans, so its key comes along.
        for file in demo.glob("runout.db*"):
            shutil.copy(file, folder)
        with open_ledger(Path(folder, "runout.db")) as ledger, ledger.stations.live("W0000300") as line:
            *_, last = [line.scan(raw) for raw in scans]
    assert last.word is Word.STOP
    return last


def _screen_rows(verdict: Verdict) -> Iterator[tuple[str | None, str, str]]:
    """Yield the rows of the full screen: their colour, if painted, that of their letters, and their characters."""
    os.environ |= {"COLUMNS": str(COLUMNS), "LINES": str(LINES), "TERM": "xterm", "COLORTERM": "truecolor"}
    os.environ.pop("NO_COLOR", None)
    screen = _Screen()
    show(verdict, screen)
    for line in screen.getvalue().rstrip("\n").split("\n"):
        yield (
            _hexadecimal(_COLOUR.search(line)),
            _hexadecimal(_INK.search(line)) or "#FFFFFF",
            _ESCAPE.sub("", line),
        )


def _hexadecimal(colour: re.Match[str] | None) -> str | None:
    return "#" + "".join(f"{int(part):02X}" for part in colour.groups()) if colour else None


def _row(place: int, paint: str | None, ink: str, text: str) -> Iterator[str]:
    y = GAP + place * CELL_H
    if paint:
        yield f'<rect x="{GAP:g}" y="{y:g}" width="{COLUMNS * CELL_W:g}" height="{CELL_H + 0.5:g}" fill="{paint}"/>'
    for block in re.finditer("\u2588+|\u2580+|\u2584+", text):
        x, width = GAP + block.start() * CELL_W, len(block[0]) * CELL_W
        top = y + CELL_H / 2 if block[0][0] == "\u2584" else y
        high = (CELL_H if block[0][0] == "\u2588" else CELL_H / 2) + 0.5
        yield f'<rect x="{x:g}" y="{top:g}" width="{width:g}" height="{high:g}" fill="{ink}"/>'
    words = _BLOCK.sub(" ", text)
    if words.strip():
        start = len(words) - len(words.lstrip())
        yield (
            f'<text x="{GAP + start * CELL_W:g}" y="{y + 11:g}" fill="{ink}" font-family="monospace" '
            f'font-size="11.6" textLength="{len(words.strip()) * CELL_W:g}">{html.escape(words.strip())}</text>'
        )


def _sleeve(label: Path, height: float) -> Iterator[str]:
    x = COLUMNS * CELL_W + 2 * GAP
    side = SLEEVE_W
    y = (height - side) / 2
    data = base64.b64encode(label.read_bytes()).decode()
    yield f'<rect x="{x:g}" y="{y:g}" width="{side:g}" height="{side:g}" fill="#E4E4E4" stroke="#767676"/>'
    yield (
        f'<image x="{x + 45:g}" y="{y + side - 115:g}" width="160" height="115" '
        f'href="data:image/png;base64,{data}"/>'
    )
    yield (
        f'<text x="{x + side / 2:g}" y="{y + 60:g}" text-anchor="middle" font-family="Helvetica, Arial, sans-serif" '
        'font-size="14">the sleeve that was scanned</text>'
    )


def main() -> None:
    """Write the pictures."""
    demo, folder = map(Path, sys.argv[1:3])
    (folder / "stamper-life.svg").write_text(stamper_life(demo), encoding="utf-8")
    (folder / "verdict.svg").write_text(verdict_beside_sleeve(demo), encoding="utf-8")
    (folder / "washed-lot.svg").write_text(washed_lot(demo), encoding="utf-8")
    (folder / "turntable.svg").write_text(turntable(demo), encoding="utf-8")
    (folder / "bad-reel.svg").write_text(bad_reel(demo), encoding="utf-8")


if __name__ == "__main__":
    main()
