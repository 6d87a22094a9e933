"""Tables of many columns: each cell knows its heading, and nothing else of the table changes."""

import re
from xml.etree import ElementTree as ET

from tracelink.report.format.table import Column, Kind, table
from tracelink.report.format.table_page import page_table
from tracelink.web.narrow_tables import stacked

COLUMNS = [
    Column("a", "thing"),
    Column("b", '<how> many & "why"', Kind.COUNT),
    Column("c", "what", Kind.TEXT),
    Column("d", "entry", Kind.ENTRY),
]  # fmt: skip
ROWS = [("L000001B", 1200, '<script> & "x"', 7), ("carton", None, "", None)]


def page(rows=ROWS, columns=COLUMNS, foot=()):
    return str(page_table(table("", "Things", columns, rows, foot=foot)))


def test_each_cell_has_its_heading_and_a_role():
    root = ET.fromstring(stacked(page(foot=[("together", 1200, "", None)])))
    rows = [list(row) for row in root.iter("tr")]
    heads = ["".join(cell.itertext()) for cell in rows[0]]
    assert heads == ["thing", '<how> many & "why"', "what", "entry"]
    assert len(rows) == 4
    for row in rows[1:]:
        assert [cell.get("data-of") for cell in row] == heads
        assert [cell.get("role") for cell in row] == ["rowheader", "cell", "cell", "cell"]
    assert {cell.get("role") for cell in rows[0]} == {"columnheader"}
    assert {row.get("role") for row in root.iter("tr")} == {"row"}
    assert {part.get("role") for tag in ("thead", "tbody", "tfoot") for part in root.iter(tag)} == {
        "rowgroup"
    }
    assert root.find("table").get("class") == "keep stacked"


def test_nothing_else_changes():
    made = stacked(page())
    plain = re.sub(r' (?:role="(?!group)[^"]*"|data-of="[^"]*")', "", made).replace(
        ' class="keep stacked"', ' class="keep"'
    )
    assert plain == page()
    many = [("L000001B", 1, "x", 7)] * 20
    assert 'class="stacked"' in stacked(page(many))


def test_few_columns_stay_side_by_side():
    few = page([row[:3] for row in ROWS], COLUMNS[:3])
    assert stacked(few) == few
    assert stacked("<p>no table</p>") == "<p>no table</p>"
