"""What the lab is told of built pieces that it draws as samples."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.outcome import Refused


def drawn(piece: PieceFact) -> str:
    """Say that a piece is a sample now."""
    where = "" if piece.parent is None else f", out of carton {piece.parent}"
    return (
        f"{piece.code}, {piece.build.part}, {piece.build.what}, piece {piece.number} of build order {piece.build.code}, is "
        f"with the lab{where}. Its serial label is its sample tag from now on."
    )


def drawn_before(piece: PieceFact) -> Refused:
    """A piece that is a sample."""
    return Refused(
        FindingCode.ALREADY_SAMPLED, f"{piece.code} is with the lab already. Scan CANCEL.", subject=piece.code
    )


def inside_another(piece: PieceFact, parent: str) -> Refused:
    """A piece that is built into another one."""
    return Refused(
        FindingCode.USED_ALREADY,
        f"{piece.code} is in {parent}. Scan the serial label of {parent}: the whole of it goes to the lab.",
        subject=piece.code,
        expected=parent,
        found=piece.code,
    )


def not_drawn(code: str) -> Refused:
    """A piece that the lab did not draw is judged, measured or tested."""
    return Refused(
        FindingCode.UNKNOWN_CODE,
        f"{code} is no sample of the lab. Scan CANCEL, then DRAWUNIT.",
        subject=code,
    )
