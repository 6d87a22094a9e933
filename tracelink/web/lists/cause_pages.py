"""What was found bad and what the bad have in common: faults of built pieces, and the common cause of bad samples."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from runout import FaultBy, FaultsAsked, SharedCauses, open_ledger
from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.compare import STRATA
from tracelink.ledger.count_words import counted
from tracelink.report.format.document import Block, Bullets, FramedNote, Picture, TextBlock
from tracelink.report.format.table import table
from tracelink.report.pages.common_cause_text import (
    SCREEN_COLUMNS,
    common_sentences,
    screen_rows,
    shared_sentence,
)
from tracelink.report.pages.hall_text import (
    COUNT_COLUMNS,
    FAULT_COLUMNS,
    count_rows,
    fault_picture,
    fault_rows,
    fault_sentences,
)
from tracelink.web.lists.page_parts import section, shown
from tracelink.web.lists.thing_links import has_a_page
from tracelink.web.question import day_or_time

_MOST_BARS, _MOST_ROWS, _MOST_CANDIDATES = 12, 100, 30
_FAULTS_ASKED = ("by", "part", "station", "since", "until")
_CAUSE_ASKED = ("defect", "within", "since", "until")
_FROM, _TO = "00:00", "23:59:59"
_MOST_ASKED = 3


class CausePages:
    """The pages that say where to look first."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def faults(self, request: Request) -> Response:
        """Show what tests of built pieces found, the most frequent first, and which fault rose where."""
        given = _given(request, _FAULTS_ASKED)
        since, until = _period(given)
        asked = FaultsAsked(given.get("part"), given.get("station"), since, until)
        with open_ledger(self._place, read_only=True) as ledger:
            found = ledger.hall.faults(_by(given), asked)
            first, *rises = fault_sentences(found)
            counts = table("", "Faults counted", COUNT_COLUMNS, count_rows(found), "No test found a fault.")
            newest = fault_rows(found)[:_MOST_ROWS]
            log = table("", "Failed tests", FAULT_COLUMNS, newest, "No test found a fault.")
            drawn = (Picture(fault_picture(found, _MOST_BARS), _SAME),) if found.counts else ()
            sections = (
                section("How often", TextBlock(first), *drawn, counts),
                section("What rose", _rises(found.by, rises)),
                section("The newest failed tests", log, *_left_out(len(found.faults) - len(newest))),
            )
            choices = [each.value for each in FaultBy]
            return shown(
                ledger,
                "Faults of built pieces",
                sections,
                (
                    ("/cause", "What do bad discs and units have in common?"),
                    ("/pace", "Pace of the line"),
                    ("/chart", "Charts"),
                ),
                template="faults.html.j2",
                given=given,
                choices=choices,
            )

    def cause(self, request: Request) -> Response:
        """Show what bad judged discs and units share that good ones have not."""
        given = _given(request, _CAUSE_ASKED)
        since, until = _period(given)
        with open_ledger(self._place, read_only=True) as ledger:
            answer = ledger.cause(
                defect=given.get("defect"), since=since, until=until, within=given.get("within", STRATA[0])
            )
            rows = screen_rows(answer.found)
            compared = table(
                "", "Compared", SCREEN_COLUMNS, rows[:_MOST_CANDIDATES], "Nothing bad was made with anything."
            )
            first, *more = common_sentences(answer.found, answer.defect)
            shared = shared_sentence(answer.found)
            told: tuple[Block, ...] = (TextBlock(first), *((Bullets(tuple(more)),) if more else ()))
            sections = [
                section("What stands out", *told),
                section("Compared", compared, *_left_out(len(rows) - _MOST_CANDIDATES)),
            ]
            cautions = tuple(filter(None, (shared, *answer.found.cautions)))
            if cautions:
                sections.append(section("How far this can be relied on", Bullets(cautions)))
            return shown(
                ledger,
                "What do the bad ones have in common?",
                sections,
                (
                    *_asked_next(answer),
                    ("/faults", "Faults of built pieces"),
                    ("/contain", "What did it touch?"),
                ),
                template="cause.html.j2",
                given=given,
                choices=STRATA,
            )


_SAME = "The table below says the same in words."
_NOTHING_ROSE = "No fault of one position became more frequent than chance makes it."
_NOT_ASKED = "What rose is asked where faults are counted by position."


def _given(request: Request, names: tuple[str, ...]) -> dict[str, str]:
    return {name: text for name in names if (text := request.query_params.get(name, "").strip())}


def _period(given: Mapping[str, str]) -> tuple[str | None, str | None]:
    since, until = given.get("since"), given.get("until")
    return (
        None if since is None else day_or_time(since, _FROM),
        None if until is None else day_or_time(until, _TO),
    )


def _by(given: Mapping[str, str]) -> FaultBy:
    text = given.get("by", FaultBy.POSITION.value)
    try:
        return FaultBy(text)
    except ValueError:
        known = ", ".join(each.value for each in FaultBy)
        raise UsageError(f"faults are counted by {text!r}: expected one of {known}") from None


def _asked_next(answer: SharedCauses) -> list[tuple[str, str]]:
    """Return the question what it touched for each that stands out by itself, and what cannot be told from it."""
    first = [
        one
        for one in answer.found.candidates
        if one.significant and (one.apart or one is answer.found.candidates[0])
    ]
    codes = [code for one in first[:_MOST_ASKED] for code in (one.code, *one.aliases)]
    defect = {} if answer.defect is None else {"defect": answer.defect}
    return [
        (f"/contain?{urlencode({'cause': code, **defect})}", f"What did {code} touch?")
        for code in dict.fromkeys(codes)
        if has_a_page(code)
    ]


def _rises(by: FaultBy, rises: list[str]) -> Block:
    if by is not FaultBy.POSITION:
        return TextBlock(_NOT_ASKED)
    return Bullets(tuple(rises)) if rises else TextBlock(_NOTHING_ROSE)


def _left_out(count: int) -> tuple[FramedNote, ...]:
    return (FramedNote(f"{counted(count, 'more row')} left out."),) if count > 0 else ()
