"""A code that a station reads twice in a moment: one scan and a slip of the reader, not two scans.

Theory of operation
-------------------
A label that stays before a reader or camera, or a trigger held down, sends its line twice. The second one is put beside the first
and changes nothing. It is the same line as the one before it at this station, that one was taken, and by the times of
the two scans no more than the plant's setting lies between them; a replayed log is therefore judged as it was live.

Where the line would be refused, that is asked instead of refusing it. Where a second read would count, it is asked
before: a badge anywhere (the second person would be signed on), and every card and label at a packing line (UNDO would
take back two matches, STOP would take a set apart). Disc and sleeve never count twice in a row, so that a match costs no
question. A refused line is never "read already": its STOP stays on the screen.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import code_in
from tracelink.identity.symbology import CODE_128, GS1_128
from tracelink.ledger.packs import RawScan
from tracelink.ledger.times import instant
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Decision, Spooled, Verdict
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.state import LineState
from tracelink.station.sentences import form_sentences as say

_CARDS = (CODE_128, GS1_128)
_BADGE = CODE_128 + CodeKind.PERSON.value


def would_count(state: FormState | LineState, raw: str) -> bool:
    """Say whether a second read of a line could be taken for a scan of its own."""
    return raw.startswith(_BADGE) or (isinstance(state, LineState) and code_in(raw).startswith(_CARDS))


def is_again(station: str, scan: RawScan, queries: StationQueries) -> bool:
    """Say whether a scan is the one before it, read once more.

    Args:
        station: its code.
        scan: the raw line with its local time.
        queries: the ledger.
    """
    code = code_in(scan.raw)
    if code[:1] != "]":
        # What a person keys twice is meant twice.
        return False
    within = queries.setting("double_read_seconds")
    before = queries.last_scan(station) if within else None
    if before is None or before.refused or code_in(before.raw) != code:
        return False
    return 0 <= (instant(scan.at) - instant(before.at)).total_seconds() <= within


def told(waiting: Verdict) -> Decision:
    """Return what follows from it: nothing but that the person is told again what the station waits for."""
    verdict = Verdict(waiting.word, say.read_already(waiting.sentence), waiting.count, hides=waiting.hides)
    return Decision(verdict, (), Spooled({"again": True}))
