"""Holds by hand, away from a station: one thing is held, or a hold is lifted by two people.

What may be held and which hold is meant is asked of the rules of the lab station.
"""

from __future__ import annotations

from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import PlantCode
from tracelink.identity.rawlines import raw_numbered_sleeve, raw_plant, raw_sscc
from tracelink.identity.reading import Reading, read_scan
from tracelink.ledger.kinds.lab import HeldItem, HoldLifted, HoldPlaced
from tracelink.services.badge_proof import Badge, acting, require_pin, stamp_of
from tracelink.services.desks.told_by_rules import of_the_station
from tracelink.services.place_holds import HoldResult
from tracelink.station.lab.decisions import hold_to_lift, thing_to_hold
from tracelink.station.sentences import decision_sentences as say
from tracelink.station.sentences.form_sentences import ONLY_ONE
from tracelink.store.ledger import Ledger
from tracelink.store.office.office_acts import OfficeAct, authorised, second_person
from tracelink.store.stations.holds import held_already


def hold_thing(ledger: Ledger, thing: str, reason: str, by: Badge) -> HoldResult:
    """Put one thing on hold; one that is named by an open hold already is left under that.

    Raises:
        RefusedByRule: the person may not, or it is nothing that can be held.
        IdentifierError: the code is invalid.
    """
    reading = _read(thing)
    with acting(ledger, by) as booking:
        queries = booking.queries
        authorised(queries, by.code, OfficeAct.PLACE_HOLDS)
        with of_the_station():
            subject = thing_to_hold(reading, queries)
        before = held_already(booking.connection, [(subject, None, None)])
        if before:
            [hold] = before.values()
            return HoldResult((hold,), f"{subject} is on hold already (hold {hold}).")
        hold = queries.next_code("H")
        booking.record(HoldPlaced(hold, subject, (HeldItem(subject, None, None),)), stamp_of(by), reason)
    return HoldResult((hold,), say.on_hold_now(subject, hold))


def lift_hold(ledger: Ledger, hold: str, reason: str, by: Badge, second: Badge) -> str:
    """Lift a hold by two people of quality; returns what is said of it.

    Raises:
        RefusedByRule: there is no such open hold, several name the thing, or one of the two may not.
        IdentifierError: the code is invalid.
    """
    reading = _read(hold)
    require_pin(ledger, second.code, second.pin)
    with acting(ledger, by) as booking:
        queries, act = booking.queries, OfficeAct.LIFT_HOLDS
        first = authorised(queries, by.code, act)
        agreed = second_person(queries, second.code, first, act, ONLY_ONE)
        with of_the_station():
            code = hold_to_lift(reading, queries)
        booking.record(HoldLifted(code, agreed.code), stamp_of(by), reason)
    return say.lifted_by_two(code)


def _read(given: str) -> Reading:
    """Return what a station would have read: a raw scan as it is, of a code that was typed its label."""
    text = given.strip()
    if text.startswith("(01)"):
        gtin, _, number = text[4:].partition("(21)")
        text = raw_numbered_sleeve(gtin.removeprefix("0"), number)
    elif text.isdigit():
        text = raw_sscc(str(Sscc.parse(text)))
    elif not text.startswith("]"):
        text = raw_plant(PlantCode.parse(text.upper()).text)
    return read_scan(text)
