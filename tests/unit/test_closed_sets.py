"""Places and statuses are closed sets: each named once, and what the tables take is what the sets hold."""

import ast
from pathlib import Path

import pytest
from support_source import nodes_of

import tracelink
from tracelink.ledger import closed_sets
from tracelink.store.database import tables

PACKAGE = Path(tracelink.__file__).parent
TABLES = {
    "lot": ("status", closed_sets.LotStatus),
    "carton": ("status", closed_sets.CartonStatus),
    "pallet": ("status", closed_sets.PalletStatus),
    "shipment": ("status", closed_sets.ShipmentStatus),
    "tool": ("status", closed_sets.ToolStatus),
    "kit_item": ("status", closed_sets.PrintStatus),
    "return_line": ("status", closed_sets.ReturnStatus),
    "number_fate": ("fate", closed_sets.NumberState),
}


@pytest.mark.parametrize("name", TABLES)
def test_a_table_takes_what_its_set_holds(name):
    column, members = TABLES[name]
    checks = [
        str(each.sqltext) for each in tables.metadata.tables[name].constraints if hasattr(each, "sqltext")
    ]
    listed = ", ".join(f"'{member.value}'" for member in members)
    assert f"{column} IN ({listed})" in checks


def compared_to_literals(source, words):
    """Lines of a source that compare `.status`, `.decision` or a place with a text that is in one of the sets."""
    lines = []
    for node in nodes_of(source):
        if not isinstance(node, ast.Compare):
            continue
        sides = [node.left, *node.comparators]
        texts = [each for side in sides for each in (side.elts if isinstance(side, ast.Tuple) else [side])]
        named = {each.attr for each in sides if isinstance(each, ast.Attribute)}
        if named & {"status", "decision", "source", "target", "place"} and any(
            isinstance(each, ast.Constant) and each.value in words for each in texts
        ):
            lines.append(node.lineno)
    return lines


def test_the_detector_sees_a_literal():
    assert compared_to_literals('if lot.status == "pressed":\n    pass', {"pressed"}) == [1]
    assert compared_to_literals('x = carton.status in ("open", "closed")', {"open"}) == [1]
    assert compared_to_literals("x = lot.status == LotStatus.PRESSED", {"pressed"}) == []


def test_no_rule_compares_a_status_or_place_with_a_text_of_its_own():
    sets = [
        one
        for one in vars(closed_sets).values()
        if isinstance(one, type) and one.__module__ == closed_sets.__name__
    ]
    words = {member.value for one in sets for member in one}
    found = {
        str(path.relative_to(PACKAGE)): lines
        for room in ("station", "ledger", "genealogy", "balance", "quality", "store", "services")
        for path in (PACKAGE / room).rglob("*.py")
        if (lines := compared_to_literals(path.read_text(encoding="utf-8"), words))
    }
    assert found == {}
