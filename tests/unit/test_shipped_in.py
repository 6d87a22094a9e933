"""Unit, carton and pallet are told apart however deep a container of a case stands."""

import pytest

from tracelink.genealogy.case.shipped_in import ShippedIn, shipped_in
from tracelink.ledger.kinds.case_scope import CaseContainer

CARTON, PALLET = "095200000000000011", "195200000000000018"
BOARD, UNIT = "U310013V", "U3900130"


@pytest.mark.parametrize(
    ("code", "parents", "expected"),
    [
        (CARTON, (PALLET, "D0000010"), ShippedIn("", CARTON, PALLET)),
        (CARTON, ("D0000010",), ShippedIn("", CARTON, "")),
        (BOARD, (UNIT, CARTON, PALLET, "D0000010"), ShippedIn(UNIT, CARTON, PALLET)),
        (BOARD, (UNIT, CARTON, "D0000010"), ShippedIn(UNIT, CARTON, "")),
        (UNIT, (CARTON, PALLET, "D0000010"), ShippedIn(UNIT, CARTON, PALLET)),
        (UNIT, ("D0000010",), ShippedIn(UNIT, "", "")),
    ],
)
def test_each_by_what_it_is(code, parents, expected):
    kind = "carton" if code == CARTON else "piece"
    assert shipped_in(CaseContainer(code, kind, "", "F0008062", 2, 0, 2, parents, "Shop 1", True)) == expected
