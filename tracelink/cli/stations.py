"""`runout tool|press|lab|line|dock`: a live station on standard input, as a keyboard-wedge scanner drives it."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runout import line_found_away, open_ledger
from tracelink.cli.common import screen
from tracelink.cli.common.echo import hiding
from tracelink.devices import wedge
from tracelink.errors import (
    BookingUnknown,
    ImageDoubtful,
    ImageUnread,
    LedgerBusy,
    LedgerMissing,
    RefusedByRule,
    StationTaken,
    StorageFailed,
    UsageError,
)
from tracelink.identity.rawlines import raw_picture, raw_unread_picture
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Verdict, Word

if TYPE_CHECKING:
    from runout import AwayLine, LiveStation, OpenLedger
    from tracelink.errors import (
        LedgerError,
    )

_HELP = {
    "tool": "Tool room: BLANK, LACQUER, COPPER, GROW, RETIRE.",
    "press": "Press: SETUP, START, TRIAL, STACK, SCRAP, CHANGE, EMPTY, CORRECT, STOP, RESUME, COUNT.",
    "lab": "Lab and quality: SAMPLE, GOOD, BAD, REJUDGE, MEASURE, RELEASE, OVERRULE, REJECT, HOLD, LIFT, COUNT.",
    "line": "Packing line: CLEAR, then sleeve batch, spindle, carton, then disc and sleeve; CLOSE, REJECT, NOREAD, MANUAL, UNDO, STOP, CHECK, RECHECK, TAKEOUT, REOPEN, MERGE, HANDOVER, COUNT.",
    "dock": "Dock: PALLET, CLOSE, ACCEPT, PUT, MOVE, SHIP, PICK, DRIVER, DEPART, ACCEPTLOAD, CORRECTLOAD; RETURN, RETURNLOOSE, RETURNNOMARK, RESTOCK, RESTOCKLOOSE, DESTROY; REOPEN, UNSTACK, UNLOAD, BREAK, REPACK, OPENCHECK, COUNT. Cartons and pallets by their SSCC.",
    "process": "Process steps: BEGIN, TAKE, UNDO, READ, MAKE, END.",
    "assembly": "Assembly hall: RECEIVE, TESTLOT, TAPE, FILL, LEFT, BUILD, SETUP, LOAD, SPLICE, CHECK, DROP, PLACED, UNLOAD, ENDRUN, JOIN, PASS, FAIL, OUT, PACK.",
}


def _station_command(area: str) -> click.Command:
    @click.command(
        name=area,
        help=f"""Run a live station: one scan per line on standard input, a verdict for each.

        {_HELP[area]}

        Scanners must send the AIM symbology identifier (such as ]C1) before each code. What a person keys
        begins with # for a number and with " for a text.
        """,
        epilog=f"Example: runout {area} < scans.txt      Exit codes: 0 fine, 1 something was stopped.",
    )
    @click.option("--station", metavar="CODE", help="Which station this is; needed if there are several.")
    @click.option(
        "--separator",
        metavar="TEXT",
        help="What the scanner sends in place of the GS1 separator (GS, character 29), such as ~.",
    )
    @click.option(
        "--image",
        "images",
        metavar="FILE",
        multiple=True,
        help="Read labels from this PNG or JPEG instead of standard input; may be given several times.",
    )
    @click.option(
        "--serial", "port", metavar="PORT", help="Read a scanner on this serial port, such as /dev/ttyUSB0."
    )
    @click.option(
        "--baud",
        type=click.IntRange(300),
        metavar="N",
        default=9600,
        show_default=True,
        help="Speed of --serial.",
    )
    @click.option(
        "--key",
        metavar="FILE",
        help="The file with the key of a station that signs its scans; beside the ledger unless said.",
    )
    @click.option(
        "--folder",
        metavar="DIR",
        help="Read every new picture that arrives in this folder, and what is scanned or keyed meanwhile.",
    )
    @click.option(
        "--away",
        metavar="DIR",
        help="Pack on while the ledger cannot be reached, by a copy of it in this folder on the line's own disk; only a packing line, "
        "and only where the setting away_hours allows it.",
    )
    @click.argument("more_images", metavar="[FILE]...", nargs=-1)
    @click.pass_context
    def command(
        ctx: click.Context,
        station: str | None,
        separator: str | None,
        images: tuple[str, ...],
        port: str | None,
        baud: int,
        folder: str | None,
        key: str | None,
        away: str | None,
        more_images: tuple[str, ...],
    ) -> None:
        if more_images and not images:
            raise UsageError("files are read with --image: expected --image FILE, found FILE alone")
        if sum(map(bool, (images, port, folder))) > 1:
            raise UsageError("--image, --serial and --folder: expected one of them")
        with _opened(ctx.obj, area, station, key, away) as here:
            stopped = _live(
                here,
                images=(*images, *more_images),
                port=port,
                baud=baud,
                folder=folder,
                separator=separator,
            )
        ctx.exit(1 if stopped else 0)

    return command


@contextmanager
def _opened(
    place: str, area: str, station: str | None, key: str | None, away: str | None
) -> Iterator[LiveStation | AwayLine]:
    with ExitStack() as opened:
        try:
            ledger = opened.enter_context(open_ledger(place))
        except (LedgerMissing, StorageFailed) as problem:
            if away is None or station is None:
                raise
            yield opened.enter_context(line_found_away(place, station, away, why=str(problem), key=key))
            return
        code = _station(ledger, area, station)
        if away is None:
            yield opened.enter_context(ledger.stations.live(code, key=key))
        else:
            yield opened.enter_context(ledger.stations.line_that_packs_on(code, away, key=key))


def _live(
    here: LiveStation | AwayLine,
    *,
    images: tuple[str, ...],
    port: str | None,
    baud: int,
    folder: str | None,
    separator: str | None,
) -> int:
    if images:
        return run(here, _image_lines([Path(file) for file in images]))
    scans = _live_lines(port, baud, folder, separator)
    if sys.stdout.isatty():
        opening = f"{_standing(here)} End with ctrl-{'C' if port or folder else 'D'}."
        screen.show(here.waits_for, sys.stdout, opening)
    return run(here, scans)


def _standing(here: LiveStation | AwayLine) -> str:
    """Say what a station was doing, so that whoever comes back to it need not guess."""
    found = here.standing
    who = f"{found.person} is signed on" if found.person else "nobody is signed on: scan your badge"
    return f"Station {here.code}, {found.name}: {who}. {found.doing[:1].upper()}{found.doing[1:]}."


def _live_lines(port: str | None, baud: int, folder: str | None, separator: str | None) -> Iterator[str]:
    def note(sentence: str) -> None:
        click.echo(sentence, err=True)

    if port is not None:
        from tracelink.devices import serialport  # noqa: PLC0415  an extra, loaded when wanted

        return serialport.lines(serialport.serial_port(port, baud), separator, note, time.sleep)
    if folder is not None:
        from tracelink.devices import folder as pictures  # noqa: PLC0415  image readers are loaded when wanted
        from tracelink.devices.unread_bars import read_picture_file  # noqa: PLC0415

        # Badges, numbers and texts come from a scanner and the keyboard also where a camera sees the pieces.
        wait = wedge.waiter(getattr(sys.stdin.buffer, "raw", sys.stdin.buffer), separator)
        return pictures.lines(Path(folder), read_picture_file, note, wait)
    return wedge.lines(sys.stdin.buffer, separator)


def _image_lines(files: Sequence[Path]) -> Iterator[str]:
    """Yield a line for each picture; one in which nothing can be read is a line that says so, and the next is read.

    Raises:
        UsageError: a file is not there; no scan was yielded.
    """
    from tracelink.devices.unread_bars import read_picture_file  # noqa: PLC0415  image readers are loaded when wanted

    for file in files:
        if not file.is_file():
            raise UsageError(f"There is no file {file}.")
    for file in files:
        try:
            yield raw_picture(file.name, *read_picture_file(file))
        except (ImageDoubtful, ImageUnread) as error:
            yield raw_unread_picture(file.name, str(error))


def run(here: LiveStation | AwayLine, scans: Iterable[str]) -> int:
    """Book `scans` one by one at a station and show each verdict; return how many were stopped.

    Raises:
        StationTaken: another program is or was at the station; the verdict that says so was shown.
    """
    stopped = 0
    left = here.book_what_was_left()
    if left is not None:
        screen.show(left, sys.stdout)
    with hiding() as hide:
        # A station that was closed while it waited for a PIN waits for it still.
        hide(here.awaits_pin)
        for raw in scans:
            try:
                verdict = _booked(here, raw)
            except StationTaken as problem:
                screen.show(_not_booked(problem), sys.stdout)
                raise
            # Before the verdict is shown: a quick hand keys while the screen is drawn.
            hide(verdict.hides)
            screen.show(verdict, sys.stdout)
            stopped += verdict.word is Word.STOP
    return stopped


def _booked(here: LiveStation | AwayLine, raw: str) -> Verdict:
    try:
        return here.scan(raw)
    except StationTaken:
        raise
    except BookingUnknown as problem:
        return Verdict(
            Word.STOP, f"{str(problem)[:1].upper()}{str(problem)[1:]}.", finding=FindingCode.BOOKING_UNKNOWN
        )
    except (LedgerBusy, StorageFailed, RefusedByRule) as problem:
        # The line stops and the scan is not booked; when the cause is gone, the same scan can be made again.
        return _not_booked(problem)


def _not_booked(problem: LedgerError) -> Verdict:
    return Verdict(Word.STOP, f"Not booked: {problem}.", finding=FindingCode.NOT_BOOKED)


def _station(ledger: OpenLedger, area: str, wanted: str | None) -> str:
    known = ledger.stations.of_area(area)
    if wanted is None and len(known) == 1:
        return str(next(iter(known)))
    if wanted in known:
        return str(wanted)
    if not known:
        raise UsageError(
            f"the plant has no {area} station: add one with `runout plan` (`runout guide plant-file`)"
        )
    listed = ", ".join(f"{code} ({name})" for code, name in known.items())
    found = "no --station was given" if wanted is None else f"{wanted} is not one of them"
    raise UsageError(f"which {area} station is this? Known: {listed}; {found}")


tool = _station_command("tool")
press = _station_command("press")
lab = _station_command("lab")
line = _station_command("line")
dock = _station_command("dock")
process = _station_command("process")
assembly = _station_command("assembly")
