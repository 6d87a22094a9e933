"""How long the document of a wide scope takes in a plant of some size, next to the containment itself.

Run by hand: python tests/bench/scope_document.py [DISCS IN MILLIONS]
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import scale_plant as plant
from containment_scale import build_ledger
from support_asking import contain
from support_plant import Floor

from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.report.format.document_pdf import document_pdf
from tracelink.report.format.page import document_page
from tracelink.report.scope.pictures import scope_pictures
from tracelink.report.scope.sections import scope_sections
from tracelink.report.scope.workbook import scope_workbook
from tracelink.services.scope_document import scope_document
from tracelink.store.records.scope_facts import scope_facts
from tracelink.store.records.sql_records import SqlRecords

T = TypeVar("T")
AT = "2031-03-20T10:00:00+01:00"


def main() -> None:
    discs = int(sys.argv[1] if len(sys.argv) > 1 else 1) * 1_000_000
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "ledger.db"
        floor = Floor.new(str(place))
        build_ledger(floor, place, discs)
        with floor.ledger.reading() as conn:
            records = SqlRecords(conn)
            lot = discs // plant.LOT // 2
            row = conn.exec_driver_sql("SELECT stamper_a, compound, lot FROM run_segment ORDER BY seq").all()[
                lot
            ]
            for cause, shape in ((row[0], Shape.FROM_ONSET), (row[1], Shape.INTERMITTENT)):
                _measure(conn, records, cause, shape)


def _measure(conn: object, records: SqlRecords, cause: str, shape: Shape) -> None:
    scope, base = timed(lambda: contain(records, cause, shape))
    lives = lives_of(scope)
    judged = [one.judgement for life in lives for one in life.judged]
    facts, gathered = timed(lambda: scope_facts(conn, scope, judged))
    document, filled = timed(lambda: scope_document(records, scope, lives, facts, at=AT))
    pictures, drawn = timed(lambda: scope_pictures(records, scope, lives, judged, at=AT))
    sections = scope_sections(document, pictures)
    page, paged = timed(lambda: document_page(sections))
    pdf, printed = timed(lambda: document_pdf(sections))
    book, written = timed(lambda: scope_workbook(document))
    print(f"== {scope.kind} {cause}: {len(scope.co_affected)} lots, {len(document.containers)} containers")
    steps = {
        "facts": gathered,
        "document": filled,
        "pictures": drawn,
        "page": paged,
        "PDF": printed,
        "XLSX": written,
    }
    print(f"containment {base:.2f} s")
    for name, took in steps.items():
        print(f"{name:<10}{took:8.2f} s, {took / base:6.2f} times the containment")
    print(f"page {len(page) / 1e6:.1f} MB, PDF {len(pdf) / 1e6:.1f} MB, workbook {len(book) / 1e6:.1f} MB")


def timed(act: Callable[[], T]) -> tuple[T, float]:
    began = time.perf_counter()
    result = act()
    return result, time.perf_counter() - began


if __name__ == "__main__":
    main()
