"""The totals of a scope, as rows and as text."""

from __future__ import annotations

from tracelink.genealogy.totals.totals import ScopeTotals
from tracelink.ledger.count_words import grouped, kind_words
from tracelink.report.format.disc_columns import LEAST, MOST, THERE, TIGHT, least_note, worded
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = (
    Column("kind", "kind"),
    Column("name", "who or where", Kind.TEXT),
    THERE,
    LEAST,
    MOST,
    TIGHT,
)


def rows(found: ScopeTotals) -> list[dict[str, Cell]]:
    """Return one row for each kind of place and each recipient, keys of `COLUMNS`."""
    named = [("place", one.place, one.bound) for one in found.places]
    named += [(one.kind, one.code, one.bound) for one in found.recipients]
    return [
        {
            "kind": kind,
            "name": name,
            "pieces": bound.pieces,
            "least": bound.least,
            "most": bound.most,
            "tight": bound.tight,
        }
        for kind, name, bound in named
    ]


def text(found: ScopeTotals) -> str:
    """Return the totals for the screen."""
    numbers = ((found.certain, "affected for certain"), (found.possible, "possibly affected"))
    lines = [
        f"{found.cause}, {kind_words(found.kind)}: {found.defect or 'any defect'}, shape {found.shape.value}",
        "",
    ]
    words = found.words
    lines += [f"{grouped(number):>9} {words.many} {said}" for number, said in numbers]
    lines += [f"{grouped(found.cleared):>9} {words.many} cleared for this shape of the fault", ""]
    said = [*found.reasons, *found.contradictions, *found.gaps]
    end = f"Records up to entry {found.head[0]}; gaps: {len(found.gaps)}; contradictions: {len(found.contradictions)}."
    return (
        "\n".join(
            [*lines, render(rows(found), worded(COLUMNS, words), "table"), least_note(words), *said, end]
        )
        + "\n"
    )
