"""What is on hold, and the holds that `runout contain --hold` places."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from tracelink.clock import utc_now
from tracelink.facts.held_things import HoldList
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.containment.wanted_holds import holds_for, shipped_with
from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.records.hold_list import held_things
from tracelink.store.stations.holds import held_already

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


@dataclass(frozen=True, slots=True)
class HoldResult:
    """What placing the holds of a scope has done."""

    holds: tuple[str, ...]
    """The new hold, if one was needed, and those that held some of it already."""
    sentence: str
    """Sentence for the person who placed them."""


def things_held(conn: Connection, *, lifted: bool) -> HoldList:
    """Return everything that is held, oldest hold first.

    Args:
        conn: a connection inside a transaction.
        lifted: lifted holds as well.
    """
    return HoldList(tuple(held_things(conn, lifted=lifted)))


def place_holds_of(booking: Booking, scope: Scope, by: str, reason: str, at: str) -> HoldResult:
    """Place what a scope says must be held, in the transaction of `booking`.

    Raises:
        RefusedByRule: the badge is unknown, or its owner has not the role quality.
    """
    from tracelink.store.stations.answers import SqlStationQueries  # noqa: PLC0415  a list of holds asks no rule

    world = SqlStationQueries(booking.connection)
    person = authorised(world, by, OfficeAct.PLACE_HOLDS)
    wanted = tuple(HeldItem(item.subject, item.first, item.last) for item in holds_for(scope))
    if not wanted:
        return HoldResult((), "Nothing to hold.")
    held = held_already(booking.connection, [(item.subject, item.first, item.last) for item in wanted])
    items = tuple(item for item in wanted if (item.subject, item.first, item.last) not in held)
    before = tuple(sorted(set(held.values())))
    if not items:
        return HoldResult(before, f"On hold already, {counted(len(wanted), 'thing')}: {', '.join(before)}.")
    hold = world.next_code("H")
    stamp = Stamp(at, utc_now(), person=person.code)
    booking.record(HoldPlaced(hold, scope.cause, items), stamp, reason)
    gone = len(shipped_with(scope))
    left = (
        f" {gone} containers have left the plant and cannot be held: write to their consignees."
        if gone
        else ""
    )
    more = f" {len(held)} more were on hold already." if held else ""
    noun = "thing" if len(items) == 1 else "things"
    sentence = f"Hold {hold} placed on {len(items)} {noun} by {person.name}.{more}{left}"
    return HoldResult((hold, *before), sentence)
