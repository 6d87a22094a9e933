"""What a camera saw: one thing, or the person is asked to show one.

A picture holds whatever stood before the camera, also what nobody meant: a badge on a shirt, the carton behind. So
several codes are never acted on, but for one case: the station asks for something, one code is of a kind that such a
station ever takes, and every other is not. Two symbols of one label are one thing. A badge in a picture never counts,
because nobody held it to a reader.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracelink.errors import IdentifierError, InvalidCheckCharacter, LostSeparator
from tracelink.identity.gs1.aitable import SEPARATOR
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import PictureRead, read_picture
from tracelink.identity.reading import (
    ActRead,
    DiscRead,
    LogisticRead,
    PlantRead,
    Reading,
    SleeveRead,
    read_scan,
)
from tracelink.identity.symbology import split_identifier
from tracelink.station.common.outcome import Decision
from tracelink.station.sentences import common_sentences as say
from tracelink.station.sentences import form_sentences
from tracelink.station.sentences.thing_names import named

Kind = CodeKind | type

TAKEN: Mapping[str, frozenset[Kind]] = {
    "tool": frozenset({CodeKind.TOOL, SleeveRead}),
    "press": frozenset(
        {
            CodeKind.TOOL,
            CodeKind.LOT,
            CodeKind.COMPOUND,
            CodeKind.LABEL_LOT,
            CodeKind.SPINDLE,
            LogisticRead,
        }
    ),
    # HOLD takes whatever the ledger knows.
    "lab": frozenset({*CodeKind, DiscRead, SleeveRead, LogisticRead}),
    "line": frozenset(
        {
            CodeKind.SLEEVE_BATCH,
            CodeKind.SPINDLE,
            CodeKind.LOT,
            CodeKind.KIT_ITEM,
            DiscRead,
            SleeveRead,
            LogisticRead,
        }
    ),
    "dock": frozenset(
        {
            CodeKind.ORDER,
            CodeKind.SHIPMENT,
            CodeKind.LOCATION,
            CodeKind.SPINDLE,
            CodeKind.LOT,
            SleeveRead,
            LogisticRead,
        }
    ),
    "process": frozenset(
        {
            CodeKind.STEP,
            CodeKind.EQUIPMENT,
            CodeKind.TOOL,
            CodeKind.SPINDLE,
            CodeKind.LOT,
            CodeKind.COMPOUND,
            CodeKind.BUILD,
        }
    ),
    "assembly": frozenset(
        {
            CodeKind.PART_LOT,
            CodeKind.REEL,
            CodeKind.SLOT,
            CodeKind.BUILD,
            CodeKind.PIECE,
            LogisticRead,
        }
    ),
}
"""What the acts of a kind of station take, beside act cards and what stands in `EVERYWHERE`."""

EVERYWHERE = frozenset({CodeKind.PERSON, CodeKind.REASON})
"""What every kind of station takes."""


def one_code(raw: str, area: str, *, waits: bool) -> str:
    """Return the line to judge: of a picture the one that is meant, any other line as it came.

    Args:
        raw: the line.
        area: of the station.
        waits: the station asks for one thing now.

    Raises:
        Refused: the picture shows several codes, or a badge.
    """
    picture = read_picture(raw)
    if picture is None:
        return raw
    lines = _labels_joined(list(dict.fromkeys(picture.lines)))
    if len(lines) == 1:
        return _no_badge(lines[0], picture)
    taken = [line for line in lines if _may_be_taken(line, area)]
    if not waits or len(taken) != 1:
        raise say.several_codes(picture.name, [_shown(line) for line in lines])
    return _no_badge(taken[0], picture)


def with_unread_bars(decision: Decision, raw: str) -> Decision:
    """Add to a verdict that the picture shows bars which no reader read: whoever showed it may have meant those."""
    picture = read_picture(raw)
    if picture is None or not picture.unread:
        return decision
    told = form_sentences.with_more(decision.verdict.sentence, say.bars_unread(picture.name, picture.unread))
    return replace(decision, verdict=replace(decision.verdict, sentence=told))


def _no_badge(line: str, picture: PictureRead) -> str:
    reading = _read(line)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PERSON:
        raise say.badge_in_picture(reading.code.text, picture.name)
    return line


def _read(line: str) -> Reading | IdentifierError:
    try:
        return read_scan(line)
    except IdentifierError as problem:
        return problem


def _may_be_taken(line: str, area: str) -> bool:
    """Say whether stations of an area ever take such a code; one that is only damaged counts as the code it was."""
    reading = _read(line)
    if isinstance(reading, PlantRead):
        return reading.code.kind in EVERYWHERE or reading.code.kind in TAKEN[area]
    if isinstance(reading, IdentifierError):
        return isinstance(reading, InvalidCheckCharacter | LostSeparator)
    return isinstance(reading, ActRead) or type(reading) in TAKEN[area]


def _labels_joined(lines: Sequence[str]) -> list[str]:
    """Return the lines with the two symbols of one carton or pallet label put together, where that is what they are."""
    labels = {line: reading for line in lines if isinstance(reading := _read(line), LogisticRead)}
    with_sscc = [line for line, reading in labels.items() if reading.sscc is not None]
    if len(labels) != 2 or len(with_sscc) != 1:
        return list(lines)
    [without] = labels.keys() - with_sscc
    joined = with_sscc[0] + SEPARATOR + split_identifier(without)[1]
    if isinstance(_read(joined), IdentifierError):
        return list(lines)
    return [joined, *(line for line in lines if line not in labels)]


def _shown(line: str) -> str:
    reading = _read(line)
    if isinstance(reading, IdentifierError):
        return say.strange_code(line)
    return named(reading)
