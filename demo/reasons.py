"""The reasons of the demo plant: cards that are scanned where an action asks why."""

from dataclasses import dataclass
from typing import Any

from plantdata import code

from tracelink.identity.rawlines import raw_plant


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason card."""

    number: int
    text: str
    area: str
    acts: tuple[str, ...]

    @property
    def code(self) -> str:
        """Its plant code."""
        return code("R", self.number)

    @property
    def scan(self) -> str:
        """What the reader sends when the card is scanned."""
        return raw_plant(self.code)


LOOKS_WRONG = Reason(1, "Looks wrong", "line", ("REJECT", "TAKEOUT"))
EDGE_CHIP = Reason(2, "Edge chip", "line", ("REJECT", "TAKEOUT"))
END_OF_SHIFT = Reason(3, "No more to pack today", "line", ("CLOSE",))
RECOUNT = Reason(4, "Count it again", "line", ("REOPEN", "MERGE"))
ORDERED_ALONE = Reason(5, "One carton ordered", "dock", ("REOPEN", "UNSTACK"))
DELIVERED_TWICE = Reason(6, "Delivered twice", "dock", ("RETURN",))
SEALED = Reason(7, "Sealed as it left", "dock", ("RESTOCK",))
SPLIT = Reason(8, "Split in the post", "dock", ("DESTROY",))

REASONS = (
    LOOKS_WRONG,
    EDGE_CHIP,
    END_OF_SHIFT,
    RECOUNT,
    ORDERED_ALONE,
    DELIVERED_TWICE,
    SEALED,
    SPLIT,
)


def reason_tables() -> list[dict[str, Any]]:
    """Return the reasons as the plant file has them."""
    return [
        {"code": each.code, "text": each.text, "area": each.area, "acts": list(each.acts)} for each in REASONS
    ]
