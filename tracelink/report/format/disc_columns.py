"""How many discs, by what is meant: each meaning has one heading, on screens, pages, sheets and in letters alike.

- *discs there*: discs of the lots in question in a place, affected or not.
- *discs sent*: those that left the plant for a consignee, affected or not.
- *discs in cartons that may hold one*: only those in containers that can hold an affected disc.
- *affected at least, at most*: of all of it taken together, never added up from its parts.
"""

from tracelink.report.format.table import Column, Kind

THERE = Column("pieces", "discs there", Kind.COUNT)
SENT = Column("sent", "discs sent", Kind.COUNT)
MAY_HOLD = Column("may_hold", "discs in cartons that may hold one", Kind.COUNT)
LEAST = Column("least", "affected at least", Kind.COUNT)
MOST = Column("most", "at most", Kind.COUNT)
CHANCE = Column("chance", "chance of any, at worst", Kind.SHARE)
TIGHT = Column("tight", "exact", Kind.YES_NO)
TOGETHER = (Column("codes", "taken together", Kind.TEXT), THERE, LEAST, MOST, Column("tight", "exact"))
"""Of sets of things that were asked about together."""

LEAST_NOTE = "At least counts only discs that are proven affected; at most counts the possible ones as well."
CHANCE_NOTE = (
    "The chance of any is one at worst: as if every possible disc were affected and discs were taken from their stack in "
    "random order. It says where to look first and does not justify a release."
)
