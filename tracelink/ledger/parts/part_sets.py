"""How far a part lot or a piece is, and where a part goes that is taken out: closed sets, as the tables hold them."""

from enum import StrEnum

AT_PACKING = "packing"
"""In place of a slot, in a line of a bill of material: the part is put beside the unit when that is packed."""


class PartLotStatus(StrEnum):
    """How a lot of parts stands."""

    QUARANTINE = "in quarantine"
    """Not tested yet."""
    ACCEPTED = "accepted"
    REJECTED = "rejected"


class PieceStatus(StrEnum):
    """How a built piece stands by its last test."""

    BUILT = "built"
    """Not tested yet."""
    FAILED = "failed"
    """It is in rework until it passes a test."""
    PASSED = "passed"
    RETURNED = "returned"
    """It came back from a customer and is in quarantine until it is tested."""


class TakenOutTo(StrEnum):
    """Where a part is that was taken out of a piece."""

    SCRAP = "scrap"
    SUPPLIER = "supplier"
    """To be sent back to whoever it was bought from."""
    RETEST = "retest"
