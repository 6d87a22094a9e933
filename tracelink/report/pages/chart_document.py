"""A control chart as a document: the picture, what it says, and its table."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.genealogy.charting.process_chart import ProcessChart
from tracelink.report.format.document import Bullets, Document, Picture, Section
from tracelink.report.format.table import table
from tracelink.report.pages import chart_text


def chart_document(
    found: ProcessChart, name: str, said: Sequence[str], drawn: str, imprints: tuple[str, str]
) -> Document:
    """Return a chart for a page and for paper.

    Args:
        found: the chart.
        name: the tool or press, and what is charted.
        said: what it says, sentence by sentence.
        drawn: its picture.
        imprints: the records and the time that it was made from, in short and in full.
    """
    sections = (
        Section("The chart", (Picture(drawn, "The points are in the table below."),)),
        Section("What it says", (Bullets(tuple(said)),)),
        Section(
            "The points",
            (table("points", "Points", chart_text.COLUMNS, chart_text.rows(found), "Nothing was measured."),),
        ),
    )
    return Document("Control chart", name, *imprints, sections)
