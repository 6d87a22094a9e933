"""`runout trace`: what a thing was made of, and where it went."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from tracelink.cli.common.options import format_option
from tracelink.errors import UsageError
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.tree import Tree, joined
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.printing.output import whole_file
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Column, render
from tracelink.report.pictures.tree_text import TREE_COLUMNS, tree_rows, tree_text
from tracelink.services.codes import resolve
from tracelink.store.ledger import Ledger, local_now
from tracelink.store.records.entry_stamps import EntryStamp
from tracelink.store.records.late_entries import late_about
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.holds import holds_by_thing


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
    with Ledger.open(place, read_only=True).reading() as conn:
        records = SqlRecords(conn)
        root = resolve(records, code)
        trees = {
            name: walk(records, root)
            for name, walk in (("back", trace_back), ("forward", trace_forward))
            if back == forward or (back if name == "back" else forward)
        }
        if picture is not None:
            _write_svg(records, trees, picture)
        if page is not None:
            _write_page(records, root, page)
        head = records.head()
        codes = list(dict.fromkeys(node.code for tree in trees.values() for node in tree.nodes))
        notes = _Notes(holds_by_thing(conn, codes), _judgements(records, trees), late_about(conn, codes))
    click.echo(_printed(root, trees, head, fmt, notes), nl=False)


@dataclass(frozen=True, slots=True)
class _Notes:
    """What is said beside the trees."""

    held: dict[str, str]
    """By thing, the hold on it."""
    judged: list[JudgementFact]
    """Of the lots in the trees."""
    late: list[EntryStamp]
    """Entries on what is in the trees that were recorded late."""


def _printed(root: str, trees: dict[str, Tree], head: tuple[int, str], fmt: str, notes: _Notes) -> str:
    if fmt == "json":
        data: dict[str, Any] = {"code": root, "head": {"seq": head[0], "hash": head[1]}, "holds": notes.held}
        data["judgements"] = [_judged(one) for one in notes.judged]
        data["late"] = [_told_late(one) for one in notes.late]
        for name, tree in trees.items():
            data[name] = {
                "nodes": [{"kind": node.kind, "code": node.code, **dict(node.facts)} for node in tree.nodes],
                "edges": tree_rows(tree),
                "conflicts": list(tree.conflicts),
            }
        return json.dumps(data, ensure_ascii=True, indent=2) + "\n"
    if fmt == "csv":
        rows = [{"direction": name, **row} for name, tree in trees.items() for row in tree_rows(tree)]
        return render(rows, [Column("direction", "direction"), *TREE_COLUMNS], fmt)
    titles = {"back": "Made of", "forward": "Went to"}
    parts = [f"{titles[name]}\n{tree_text(tree)}" for name, tree in trees.items()]
    if notes.judged:
        parts.append("Samples judged\n" + "".join(_judged_line(one) for one in notes.judged))
    if notes.late:
        parts.append("Recorded late\n" + "".join(late_line(one) for one in notes.late))
    if notes.held:
        parts.append("On hold\n" + "".join(f"{code}: hold {hold}\n" for code, hold in notes.held.items()))
    return "\n".join(parts) + f"\nRecords up to entry {head[0]} ({head[1][:16]}...).\n"


def _judged(one: JudgementFact) -> dict[str, Any]:
    verdict = {"good": one.good, "defect": one.defect, "entry": one.seq}
    return {"sample": one.sample, "lot": one.lot, "stroke": one.stroke, **verdict}


def _judged_line(one: JudgementFact) -> str:
    verdict = "good" if one.good else f"BAD, {visible(one.defect or 'no defect named')}"
    return f"{one.sample}, disc {one.stroke} of {one.lot}: {verdict}\n"


def _told_late(one: EntryStamp) -> dict[str, Any]:
    times = {"happened": one.happened, "recorded": one.recorded, "late_s": one.late_s}
    return {"entry": one.seq, "kind": one.kind, **times, "by": one.by}


def late_line(one: EntryStamp) -> str:
    """Say of a late entry when it happened and when it was recorded."""
    return (
        f"entry {one.seq} ({one.kind}): happened {one.happened}, recorded {one.recorded}, "
        f"{one.late_s // 60} minutes later, by {visible(one.by) or 'nobody signed on'}\n"
    )


def _write_svg(records: SqlRecords, trees: dict[str, Tree], file: Path) -> None:
    from tracelink.report.pictures.genealogy_svg import genealogy_svg  # noqa: PLC0415  drawn only when asked for

    tree = joined(trees["back"], trees["forward"]) if len(trees) == 2 else next(iter(trees.values()))
    questions = {"back": "What is {} made of?", "forward": "Where did {} go?"}
    question = "Where does {} come from, and where did it go?"
    title = (question if len(trees) == len(questions) else questions[next(iter(trees))]).format(tree.root)
    judgements = _judgements(records, trees)
    write_text(
        file, genealogy_svg(tree, title=title, head=records.head(), at=local_now(), judgements=judgements)
    )


def _judgements(records: SqlRecords, trees: dict[str, Tree]) -> list[JudgementFact]:
    lots = {node.code for tree in trees.values() for node in tree.nodes if node.kind == "lot"}
    return [judged for lot in sorted(lots) for judged in records.judgements_of(lot)]


def _write_page(records: SqlRecords, root: str, file: Path) -> None:
    from tracelink.report.format.page import lot_page  # noqa: PLC0415  made only when asked for

    if records.lot(root) is None:
        raise UsageError(f"--html is for lots: {root} is none")
    write_text(file, lot_page(records, root, at=local_now()))


def report_file(given: str | None, ending: str) -> Path | None:
    """Return where a report goes, after looking that it can: a report never takes the place of another file.

    Args:
        given: as on the command line; None if no report is wanted.
        ending: what the name must end in, such as ".html". A ledger or a plant file never does.
    """
    if given is None:
        return None
    file = Path(given)
    if file.suffix.lower() != ending:
        raise UsageError(f"{given}: expected a file name that ends in {ending}")
    if not file.parent.is_dir():
        raise UsageError(f"{given}: the folder {file.parent} does not exist")
    return file


def write_text(file: Path, text: str) -> None:
    """Write a report whole or not at all."""
    with whole_file(file, "The report") as part:
        part.write_text(text, encoding="utf-8")
    click.echo(f"Wrote {file}", err=True)
