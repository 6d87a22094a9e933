"""What SQL texts compare with is a member of the closed set of its column: a status that no row can have finds nothing.

The texts are read as a database reads them, so that nobody needs to look through them when a set changes.
"""

import ast
import re
from pathlib import Path

import pytest
from support_source import nodes_of

import tracelink
from tracelink.ledger.closed_sets import (
    CartonStatus,
    DiscPlace,
    LotDecision,
    LotStatus,
    NumberState,
    PalletStatus,
    PartnerVerdict,
    ReturnStatus,
    ShipmentStatus,
)
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.parts.part_sets import PartLotStatus, PieceStatus
from tracelink.station.acts_of_areas import AREAS

PACKAGE = Path(tracelink.__file__).parent
STATUSES = {
    "carton": CartonStatus,
    "lot": LotStatus,
    "pallet": PalletStatus,
    "part_lot": PartLotStatus,
    "piece": PieceStatus,
    "return_line": ReturnStatus,
    "shipment": ShipmentStatus,
}
"""What the column `status` of each table may hold."""
SETS = {
    "status": {status for each in STATUSES.values() for status in each},
    "decision": {*LotDecision},
    "fate": {*NumberState},
    "source": {*DiscPlace},
    "target": {*DiscPlace},
    "place": {*DiscPlace},
    "kind": {*KINDS},
    "area": {*AREAS},
    "verdict": {*PartnerVerdict},
}
COMPARED = re.compile(
    rf"(?:\b(\w+)\.)?\b({'|'.join(SETS)})\s*(?:=|<>|IN)\s*\(?\s*('[^']*'(?:\s*,\s*'[^']*')*)"
)
TABLE = re.compile(
    r"\b(?:FROM|JOIN)\s+(\w+)(?:\s+(?:AS\s+)?(?!(?:JOIN|LEFT|WHERE|ON|UNION|ORDER|GROUP)\b)(\w+))?"
)


def table_of(sql, alias, at):
    """The table whose column is compared: the one of that alias, or the last one named before; None if none is."""
    named = [(table, short or table) for table, short in TABLE.findall(sql if alias else sql[:at])]
    if alias:
        return {short: table for table, short in named}.get(alias)
    return named[-1][0] if named else None


def strangers(sql):
    """The comparisons of a text with a value that its column never has."""
    found = []
    for each in COMPARED.finditer(sql):
        alias, column, values = each.groups()
        table = table_of(sql, alias, each.start())
        allowed = STATUSES[table] if column == "status" and table in STATUSES else SETS[column]
        found += [
            (table, column, value) for value in re.findall(r"'([^']*)'", values) if value not in {*allowed}
        ]
    return found


def texts(source):
    for node in nodes_of(source):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


@pytest.mark.parametrize(
    ("sql", "found"),
    [
        ("SELECT 1 FROM carton WHERE status = 'shipped'", [("carton", "status", "shipped")]),
        ("SELECT 1 FROM carton c JOIN pallet p ON p.sscc = c.pallet WHERE p.status = 'shipped'", []),
        ("SELECT 1 FROM pallet p WHERE p.status = 'broken'", [("pallet", "status", "broken")]),
        ("... m.source = 'counter' AND m.target IN ('scrap', 'bin')", [(None, "target", "bin")]),
        ("SELECT 1 FROM journal WHERE kind <> 'lot-decided'", []),
        ("SELECT 1 FROM lot WHERE decision = :decision", []),
    ],
)
def test_the_detector_sees_a_value_that_is_in_no_set(sql, found):
    assert strangers(sql) == found


def test_sql_compares_with_members_of_closed_sets():
    compared = [
        (path.relative_to(PACKAGE).as_posix(), text)
        for path in PACKAGE.rglob("*.py")
        for text in texts(path.read_text(encoding="utf-8"))
        if COMPARED.search(text)
    ]
    assert len(compared) > 30
    assert [(path, found) for path, text in compared for found in strangers(text)] == []
