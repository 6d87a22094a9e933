"""What stands beside every verdict at a packing line: the product, what is left, the next check, the last code."""

from tracelink.errors import IdentifierError
from tracelink.identity.rawlines import code_in
from tracelink.identity.reading import read_scan
from tracelink.ledger.pins import PIN_MARK
from tracelink.station.common.outcome import LinePanel
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.state import LineState
from tracelink.station.sentences import line_sentences as say
from tracelink.station.sentences.thing_names import named


def line_panel(state: LineState, station: str, queries: StationQueries) -> LinePanel:
    """Return the panel of a line as it stands.

    Args:
        state: what the line has in hand.
        station: its code.
        queries: the ledger, with the last scan booked.
    """
    read = _read(station, queries)
    if state.job is None:
        return LinePanel("", "", "", read)
    product = queries.product(state.job.gtin)
    assert product is not None
    return LinePanel(
        say.product_packed(product.title, product.catalogue_number),
        _left(state, queries),
        _check(state, queries),
        read,
    )


def _left(state: LineState, queries: StationQueries) -> str:
    spindles = [(each.piece, queries.spindle(each.spindle)) for each in state.spindles]
    known = sorted((piece, found.code, found.remaining) for piece, found in spindles if found is not None)
    discs = state.job.discs if state.job is not None else 1
    return say.discs_left([(piece, code, left) for piece, code, left in known], discs=discs)


def _check(state: LineState, queries: StationQueries) -> str:
    due = queries.setting("check_units")
    return say.since_check(state.without_check, due)


def _read(station: str, queries: StationQueries) -> str:
    last = queries.last_scan(station)
    if last is None or last.raw == PIN_MARK:
        return ""
    try:
        return say.last_read(named(read_scan(code_in(last.raw))))
    except IdentifierError:
        return say.last_read_unclear(last.raw)
