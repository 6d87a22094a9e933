"""The workbook of a scope, opened again: sorted and filtered by a person, evaluated by nobody."""

import csv
from io import BytesIO, StringIO

import openpyxl
import pytest
from support_report import HEAD
from support_scope import scope_doc, titled

from tracelink.report.format.render import render
from tracelink.report.format.table_csv import csv_file
from tracelink.report.scope.tables_people import CONSIGNEES, consignees_file
from tracelink.report.scope.workbook import scope_workbook


def opened(document):
    return openpyxl.load_workbook(BytesIO(scope_workbook(document)))


@pytest.fixture(scope="module")
def book():
    return opened(scope_doc()[0])


@pytest.fixture(scope="module")
def document():
    return scope_doc()[0]


def rows(book, name):
    head, *found = book[name].iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in found]


def test_the_sheets_are_those_that_were_promised(book):
    assert book.sheetnames[:4] == ["summary", "containers", "consignees", "tiers"]
    assert {"identifiers", "gaps", "in plant", "balance", "holds"} <= set(book.sheetnames)


def test_every_sheet_can_be_sorted_filtered_and_printed(book):
    for sheet in book:
        assert sheet.freeze_panes == "A2"
        assert sheet.auto_filter.ref.startswith("A1:")
        assert sheet.print_title_rows == "$1:$1"
        assert "Records up to entry 12" in sheet.oddFooter.left.text
        assert "Printed 2031-03-14 16:05 +01:00" in sheet.oddFooter.left.text


def test_a_row_a_container_and_a_row_a_consignee_add_up_to_the_document(book, document):
    held = rows(book, "containers")
    assert [row["code"] for row in held] == [one.code for one in document.containers]
    assert sum(row["discs there"] for row in held) == document.containers_together.pieces
    assert [row["consignee"] for row in rows(book, "consignees")] == [one.name for one in document.recipients]
    assert {row["contact"] for row in rows(book, "consignees")} == {"not in the records"}
    tiers = rows(book, "tiers")
    assert sum(row["discs"] for row in tiers if row["tier"] == "proven") == document.totals.proven == 220


def test_numbers_are_numbers_and_codes_are_text(book):
    sheet = book["containers"]
    head = [cell.value for cell in sheet[1]]
    for row in sheet.iter_rows(min_row=2):
        by_name = dict(zip(head, row, strict=True))
        assert by_name["code"].data_type == "s"
        assert by_name["discs there"].data_type == "n"
        assert by_name["discs there"].number_format == "#,##0"
        assert by_name["chance of any, at worst"].number_format == "0.0 %"


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("x")', "'=1", "\x01=1", "a\x00b\x1f"]
)
def test_no_text_is_evaluated(text):
    document, _ = scope_doc(titled(text))
    book = opened(document)
    seen = []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                if isinstance(cell.value, str):
                    assert cell.value[:1] not in tuple("=+-@\t\r"), cell.value
                    assert cell.value.isprintable()
                    seen.append(cell.value)
    shown = render([{"consignee": text}], [CONSIGNEES[0]], "csv")
    assert next(csv.reader(StringIO(shown.partition("\n")[2])))[0] in seen


def test_the_same_document_gives_the_same_bytes(document):
    again, _ = scope_doc()
    assert scope_workbook(document) == scope_workbook(again)
    # Nothing in the file is of the time of writing; the format keeps times in UTC.
    stamps = opened(document).properties
    assert stamps.created.isoformat() == stamps.modified.isoformat() == "2031-03-14T15:05:00"


def test_the_file_names_the_journal_head(book):
    summary = {row["what"]: row["value"] for row in rows(book, "summary")}
    assert (summary["journal entry of the data cut-off"], summary["its hash"]) == HEAD
    assert summary["printed"] == "2031-03-14 16:05 +01:00"


def test_consignees_as_csv(document):
    found = list(csv.DictReader(StringIO(csv_file(consignees_file(document)).decode())))
    assert [(row["consignee"], row["orders"], row["least"], row["most"]) for row in found] == [
        ("Example Shop 3", "O0000003", "0", "99")
    ]
