"""An entry taken apart by a pattern, where its canonical bytes are plain.

The pattern describes the canonical form from the outside: the fields in their order, and for each just the texts that are
canonical. So what it matches needs no reading as JSON but for the body, and no writing back. Escapes, letters beyond ASCII
and numbers of more than 15 digits it does not match; those entries are read the long way.
"""

import re
from typing import NamedTuple


class EntryParts(NamedTuple):
    """The texts of an entry's fields, `null` or as JSON has them."""

    body: str
    corrects: str
    event_time: str
    """Without its quotes, like every field that is never null."""
    kind: str
    person: str
    prev: str
    reason: str
    recorded_at: str
    scans: str
    seq: str
    station: str
    station_seq: str


_TEXT = r"[ !#-\[\]-~]*"
_WHOLE = r"0|-?[1-9][0-9]{0,14}"
_ENTRY = re.compile(
    rf'\{{"body":(\{{.*\}}),"corrects":(null|{_WHOLE}),"event_time":"({_TEXT})","kind":"({_TEXT})","person":(null|"{_TEXT}"),'
    rf'"prev":"({_TEXT})","reason":(null|"{_TEXT}"),"recorded_at":"({_TEXT})","scans":(null|"{_TEXT}"),"seq":({_WHOLE}),'
    rf'"station":(null|"{_TEXT}"),"station_seq":(null|{_WHOLE}),"v":1\}}'
)


def parts(data: bytes) -> EntryParts | None:
    """Return the fields of an entry; None if it is not plain, or no entry.

    Args:
        data: canonical bytes, as they lie in the journal.
    """
    if not data.isascii():
        return None
    found = _ENTRY.fullmatch(data.decode("ascii"))
    return None if found is None else EntryParts(*found.groups())


def joined(parts: EntryParts) -> str:
    """Return the canonical text of an entry from the texts of its fields; `parts` of it are these again."""
    return (
        f'{{"body":{parts.body},"corrects":{parts.corrects},"event_time":"{parts.event_time}","kind":"{parts.kind}",'
        f'"person":{parts.person},"prev":"{parts.prev}","reason":{parts.reason},"recorded_at":"{parts.recorded_at}",'
        f'"scans":{parts.scans},"seq":{parts.seq},"station":{parts.station},"station_seq":{parts.station_seq},"v":1}}'
    )


def text_of(part: str) -> str | None:
    """Return a text of a field that may be null."""
    return None if part == "null" else part[1:-1]


def number_of(part: str) -> int | None:
    """Return a number of a field that may be null."""
    return None if part == "null" else int(part)
