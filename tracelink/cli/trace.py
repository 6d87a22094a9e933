"""`runout trace`: what a thing was made of, and where it went."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.files import report_file, write_text
from tracelink.cli.common.options import format_option
from tracelink.clock import local_now
from tracelink.genealogy.model.facts import UnreadJudgement
from tracelink.ledger.count_words import counted, grouped, piece_words
from tracelink.ledger.time_words import moment
from tracelink.report.format.loading_text import loading_sentence
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Column
from tracelink.report.format.table_csv import csv_lines
from tracelink.report.pages.trace_document import MOST_HELD, things_by_hold
from tracelink.report.pictures.tree_text import TREE_COLUMNS, edge_rows, tree_text

if TYPE_CHECKING:
    from runout import Trace
    from tracelink.facts.entry_stamp import EntryStamp
    from tracelink.facts.lot_stops import CaseOfLot
    from tracelink.genealogy.model.facts import JudgementFact

_PARTS_AT_A_TIME = 10_000
"""Of the pieces of JSON, a few characters each, that are written at once."""


@click.command(
    epilog="Example: runout trace K0001422 --back      runout trace T000004H --forward --svg tree.svg"
)
@click.argument("code")
@click.option("--back", is_flag=True, help="Only what it was made of.")
@click.option("--forward", is_flag=True, help="Only where it went.")
@format_option
@click.option("--svg", metavar="FILE", help="Write the family tree as a picture as well.")
@click.option("--html", metavar="FILE", help="For a lot: write its genealogy as a page that opens anywhere.")
@click.pass_obj
def trace(
    place: str, code: str, back: bool, forward: bool, fmt: str, svg: str | None, html: str | None
) -> None:
    """Show the genealogy of CODE: back to the master, forward to the shipments.

    CODE is a tool, lot, spindle card, sample, compound or label lot, press, sleeve batch, carton or pallet
    (SSCC), shipment, a numbered sleeve as (01)GTIN(21)number, or a raw scan of any of these.
    """
    picture, page = report_file(svg, ".svg"), report_file(html, ".html")
    both = back == forward
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.trace(code, back=both or back, forward=both or forward, page=page is not None)
    if picture is not None:
        write_text(picture, found.to_svg(local_now()))
    if page is not None and found.page is not None:
        write_text(page, found.page)
    for part in _printed(found, fmt):
        click.echo(part, nl=False)


def _printed(found: Trace, fmt: str) -> Iterator[str]:
    """Yield what is printed, part by part: a trace of a press has a hundred thousand edges for a million discs."""
    if fmt == "json":
        encoder = json.JSONEncoder(ensure_ascii=True, indent=2)
        yield from ("".join(some) for some in _groups(encoder.iterencode(found.to_dict())))
        yield "\n"
    elif fmt == "csv":
        columns = [Column("direction", "direction"), *TREE_COLUMNS]
        rows = ({"direction": name, **row} for name, tree in found.trees.items() for row in edge_rows(tree))
        yield from csv_lines(rows, columns)
    else:
        yield trace_text(found)
        yield f"\nRecords up to entry {found.head[0]} ({found.head[1][:16]}...).\n"


def _groups(parts: Iterable[str]) -> Iterator[list[str]]:
    left = iter(parts)
    while some := list(islice(left, _PARTS_AT_A_TIME)):
        yield some


def trace_text(found: Trace) -> str:
    """Return a trace as text, without the line on what was looked at."""
    titles = {"back": "Made of", "forward": "Went to"}
    # What stops it comes first: nobody scrolls past a tree to learn that it is on hold.
    parts = _part("Cases", map(_case_line, found.cases))
    parts += _part("On hold", _hold_lines(found.holds))
    parts += [f"{titles[name]}\n{tree_text(tree)}" for name, tree in found.trees.items()]
    judged = sorted(found.judgements, key=lambda one: (one.lot, one.stroke))
    parts += _part("Samples judged", [*map(_judged_line, judged), *map(_judged_line, found.unread)])
    if found.loaded_later is not None:
        parts.append(f"{loading_sentence(found.loaded_later)} List them with --format json.\n")
    else:
        parts += _part("Recorded late", (late_line(one) for one in found.late))
    return "\n".join(parts)


def _part(title: str, lines: Iterable[str]) -> list[str]:
    text = "".join(lines)
    return [f"{title}\n{text}"] if text else []


def _hold_lines(holds: Mapping[str, str]) -> Iterator[str]:
    """One line per thing while they are few; else one per hold that counts the rest."""
    for hold, held in things_by_hold(holds).items():
        yield from (f"{thing}: hold {hold}\n" for thing in held[:MOST_HELD])
        if len(held) > MOST_HELD:
            yield f"{grouped(len(held) - MOST_HELD)} more: hold {hold}; --format json lists each\n"


def _case_line(case: CaseOfLot) -> str:
    state = "open" if case.closed_entry is None else f"closed by entry {case.closed_entry}"
    return (
        f"{case.code}, {state}, about {case.cause}: {visible(case.reason)}; {counted(case.proven, piece_words(case.cause).one)} affected for certain, "
        f"{grouped(case.possible)} possibly\n"
    )


_COUNTED = {"F": "position", "N": "piece"}
"""What the number of a judged thing counts, of reels and build orders by the letter of their codes; else discs of a lot."""


def _judged_line(one: JudgementFact | UnreadJudgement) -> str:
    if isinstance(one, UnreadJudgement):
        disc = "parts of unknown position" if one.lot[:1] in _COUNTED else "a disc of unknown stroke"
    else:
        disc = f"{_COUNTED.get(one.lot[:1], 'disc')} {one.stroke}"
    verdict = "good" if one.good else f"BAD, {visible(one.defect or 'no defect named')}"
    return f"{one.sample}, {disc} of {one.lot}: {verdict}\n"


def late_line(one: EntryStamp) -> str:
    """Say of a late entry when it happened and when it was recorded."""
    return (
        f"entry {one.seq} ({one.kind}): happened {moment(one.happened)}, recorded {moment(one.recorded)}, "
        f"{one.late_s // 60} minutes later, by {visible(one.by) or 'nobody signed on'}\n"
    )
