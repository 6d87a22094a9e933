"""Enrolling and withdrawing browsers that open stations."""

from __future__ import annotations

from runout import OpenLedger
from tracelink.ledger.work_areas import AREAS
from tracelink.web.acts.act_forms import (
    REASON,
    ActDone,
    Choices,
    DeskAct,
    FormField,
    FormFieldKind,
    Given,
    Signatures,
)

_LIST = (("/browsers", "All browsers"),)
ANY_STATION = "any"
"""Chosen for a browser that opens every station."""


def _stations(ledger: OpenLedger, _given: Given) -> Choices:
    found = [pair for area in AREAS for pair in sorted(ledger.stations.of_area(area).items())]
    return (
        *((code, f"{name} ({code})") for code, name in found),
        (ANY_STATION, "every station of the plant"),
    )


def _enrol(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    station = None if given["station"] == ANY_STATION else given["station"]
    made = ledger.browsers.enrol(given["name"], signed.by, given["reason"], station=station)
    opens = "every station" if station is None else f"station {station}"
    return ActDone(
        f"Browser {made.number} enrolled",
        (
            f"This browser is {made.name}, number {made.number}, and opens {opens} from now on.",
            "Badge out before you leave it to others: the pages of stations need nobody signed in here.",
        ),
        (*(() if station is None else ((f"/station/{station}", f"Station {station}"),)), *_LIST),
        made.secret,
    )


def _withdraw(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    number = int(given["number"])
    name = ledger.browsers.withdraw(number, signed.by, given["reason"])
    return ActDone(f"Browser {number} withdrawn", (f"{name} opens no station any more.",), _LIST)


ACTS = (
    DeskAct(
        "enrol-browser",
        "Enrol this browser",
        "Enrol this browser",
        (
            FormField("name", "What people call it", hint="Such as the tablet of line 3.", longest=60),
            FormField("station", "Which station it opens", FormFieldKind.CHOICE, choices=_stations),
            REASON,
        ),
        _enrol,
        told="The pages of stations open only in a browser that somebody with the role quality enrolled. Do this at the "
        "screen itself: it is this browser that is enrolled.",
    ),
    DeskAct(
        "withdraw-browser",
        "Withdraw a browser",
        "Withdraw",
        (FormField("number", "Number of the browser", FormFieldKind.NUMBER), REASON),
        _withdraw,
        told="It opens no station any more, from its next scan on.",
    ),
)
"""Acts about browsers."""
