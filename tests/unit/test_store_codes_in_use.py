"""Which tables are looked through for the plant codes that are in use."""

from tracelink.store.database.tables import SHADOW
from tracelink.store.records.codes_in_use import NUMBERED


def test_every_table_whose_rows_are_known_by_a_code_is_looked_through():
    known_by_code = {
        table.name for table in SHADOW if [column.name for column in table.primary_key] == ["code"]
    }
    assert set(NUMBERED) == known_by_code
