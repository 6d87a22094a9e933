"""Who may act by command or by another program: every such act with the roles that it needs."""

from enum import Enum

from tracelink.errors import RefusedByRule
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.time_words import moment
from tracelink.station.common.authority import (
    QUALITY,
    NotAllowed,
    Roles,
    lacks_role,
    may_not_agree,
)
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import Person


class OfficeAct(Enum):
    """An act of a person at a command or in another program."""

    OPEN_CASE = "open a containment case", QUALITY
    CHANGE_SCOPE = "change the scope of a case", QUALITY
    PLACE_HOLDS = "place holds", QUALITY
    LIFT_HOLDS = "lift holds", QUALITY
    SEND_NOTICES = "send notices", QUALITY
    CHOOSE_CHECKS = "decide on effectiveness checks", QUALITY
    NOTE_REPLY = "record what a consignee answered", ()
    NOTE_CHECK = "record an effectiveness check", ()
    ESTIMATE = "give an estimate", QUALITY
    STATE_CAUSE = "state the root cause of a case", QUALITY
    SET_ACTION = "set a corrective action", QUALITY
    LINK_INVESTIGATION = "link an investigation to a case", QUALITY
    CLOSE_CASE = "close a case", QUALITY
    RECORD_DRILL = "record a drill", QUALITY
    OPEN_INVESTIGATION = "open an investigation", ()
    CLOSE_INVESTIGATION = "close an investigation", QUALITY
    HANDLE_LABELS = "handle labels", ("line", "quality")
    ISSUE_PALLET_LABELS = "give out pallet labels", ("line", "dock", "quality")
    DRAW_CARTONS = "draw the cartons of a check", ("dock", "quality")
    FREEZE_BASELINE = "freeze the baseline of a chart", ("lab", "quality")
    HANDLE_ORDERS = "handle orders", ("dock", "quality")
    HANDLE_STATION_KEYS = "enrol or withdraw keys of stations", QUALITY
    ENROL_BROWSERS = "enrol or withdraw browsers", QUALITY
    REPLACE_PIN = "give somebody another PIN", QUALITY
    REPLACE_PIN_KEY = "make a new PIN key", QUALITY
    ADD_TO_PLANT = "add to the plant", ()
    CHANGE_PLANT = "change the plant", QUALITY
    READ_RESULTS = "read in results of instruments", ("lab", "quality")
    READ_IN_DOCUMENTS = "read in partners' documents", ("dock", "press", "quality")

    def __init__(self, deed: str, roles: Roles) -> None:
        """Args: deed: as it follows `may not`. roles: of which one is enough; none if every badge is."""
        self.deed = deed
        self.roles = roles


def person_of(queries: StationQueries, badge: str) -> Person:
    """Return who has a badge.

    Raises:
        RefusedByRule: nobody has.
        IdentifierError: it is not a plant code.
    """
    code = PlantCode.parse(badge)
    person = queries.person(code.text)
    if code.kind is not CodeKind.PERSON or person is None:
        raise RefusedByRule(f"unknown badge {code.text}")
    if person.withdrawn is not None:
        raise RefusedByRule(f"badge {code.text} of {person.name} was withdrawn ({moment(person.withdrawn)})")
    return person


def authorised(queries: StationQueries, badge: str | None, act: OfficeAct) -> Person:
    """Return the person of a badge, who may do this act.

    Args:
        queries: the ledger, in the transaction of the act.
        badge: as given; None is nobody.
        act: what they want to do.

    Raises:
        RefusedByRule: nobody has that badge, or they lack the role.
        IdentifierError: it is not a plant code.
    """
    person = person_of(queries, badge or "")
    _refuse(lacks_role(person, act.roles, f"may not {act.deed}"))
    return person


def second_person(queries: StationQueries, badge: str, first: Person, act: OfficeAct, same: str) -> Person:
    """Return the person of a second badge, who may do the act and is not the first person.

    Args:
        queries: as for `authorised`.
        badge: as given.
        first: who acts.
        act: what both agree to do.
        same: what is said of one person with two badges to scan, as it follows the name.

    Raises:
        RefusedByRule, IdentifierError: as for `authorised`; or it is the same person.
    """
    second = authorised(queries, badge, act)
    _refuse(may_not_agree(second, first.code, act.roles, same))
    return second


def _refuse(found: NotAllowed | None) -> None:
    if found is not None:
        raise RefusedByRule(found.sentence)
