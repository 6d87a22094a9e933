"""Findings: what was refused and why, with the reasons by how often they occur; and single entries of the journal."""

from __future__ import annotations

import json
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from runout import OpenLedger, open_ledger
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.report.format.document import Block, FramedNote, Picture, TextBlock
from tracelink.report.format.table import Column, Kind, table
from tracelink.report.pictures.pareto_svg import pareto_svg
from tracelink.web.lists.entry_facts import entry_sections
from tracelink.web.lists.page_parts import section, shown
from tracelink.web.page_words import meaning_of
from tracelink.web.whole_numbers import MOST_ENTRY, whole_number

_MOST_REASONS = 12
_LAST = 100
_AROUND = 10
"""Entries after one from which a list around it begins."""
_REASONS = (
    Column("finding", "reason"),
    Column("times", "times", Kind.COUNT),
    Column("meaning", "what it means", Kind.TEXT),
    Column("last", "last", Kind.TIME),
)
_FINDINGS = (
    Column("at", "when", Kind.TIME),
    Column("station", "station"),
    Column("person", "badge"),
    Column("finding", "reason"),
    Column("sentence", "what was said", Kind.TEXT),
    Column("seq", "entry", Kind.ENTRY),
)
_ASKED = ("finding", "station", "since", "until")


class FindingPages:
    """What was refused, and entries one by one."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place

    def findings(self, request: Request) -> Response:
        """Show reasons by how often they occur, and the newest findings."""
        given = {name: text for name in _ASKED if (text := request.query_params.get(name, "").strip())}
        finding, station = given.get("finding"), given.get("station")
        with open_ledger(self._place, read_only=True) as ledger:
            counts = ledger.stations.reasons(
                station=station, since=given.get("since"), until=given.get("until")
            )
            found = ledger.stations.refusals(finding=finding, station=station, last=_LAST)
            rows = [{**row, "meaning": meaning_of(str(row["finding"]))} for row in counts.to_dict()]
            blocks: list[Block] = [table("", "Reasons", _REASONS, rows, "Nothing was refused.")]
            pairs = [(one.finding, one.times) for one in counts.reasons]
            if pairs:
                more = f", the {_MOST_REASONS} most frequent" if len(pairs) > _MOST_REASONS else ""
                svg = pareto_svg(
                    f"Why were things refused{more}?",
                    pairs[:_MOST_REASONS],
                    lambda reason: "/findings?" + urlencode({**given, "finding": reason}),
                )
                blocks = [Picture(svg, "The table below says the same in words."), *blocks]
            listed = table("", "Newest findings", _FINDINGS, found.to_dict(), "None is recorded.")
            left = (FramedNote(f"{counted(found.older, 'older finding')} left out."),) if found.older else ()
            title = "Findings" if finding is None else f"Findings: {finding}"
            told = () if finding is None else (TextBlock(_told(finding)),)
            sections = [
                section("Reasons", *blocks),
                section(f"The newest {_LAST}, whenever they were", *told, listed, *left),
            ]
            return shown(ledger, title, sections, template="findings.html.j2", given=given)

    def entry(self, request: Request) -> Response:
        """Show one entry of the journal as it stands there."""
        text = request.path_params["seq"]
        seq = whole_number(text, MOST_ENTRY)
        if seq is None:
            raise UsageError(f"the entry is {text!r}: expected its number")
        with open_ledger(self._place, read_only=True) as ledger:
            if seq < 1:
                raise UsageError("the entries of a journal begin with 1")
            proof = ledger.journal.prove(seq)
            fields = json.loads(proof.canonical)
            sections = entry_sections(fields, _names(ledger))
            links = [(f"/entry/{seq - 1}", "The one before")] if seq > 1 else []
            links += [(f"/entry/{seq + 1}", "The next")] if seq < proof.size else []
            links.append((f"/journal?from={min(seq + _AROUND, proof.size)}", "Those around it"))
            links.append((f"/audit/proof/{seq}.json", "Proof that it is in the journal"))
            return shown(
                ledger,
                f"Entry {seq}",
                sections,
                links,
                template="entry.html.j2",
                canonical=proof.canonical,
            )


def _names(ledger: OpenLedger) -> dict[str, str]:
    return {owner.person: owner.name for owner in ledger.people.everybody().owners}


def _told(code: str) -> str:
    try:
        found = FindingCode(code)
    except ValueError:
        return meaning_of(code)
    return f"{found.meaning} {found.to_do}"
