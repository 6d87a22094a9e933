"""When records count as loaded later, and the sentence that says so once."""

import pytest

from tracelink.ledger.loaded_later import LATE_AT_LEAST, LoadedLater, loaded_later
from tracelink.report.format.loading_text import loading_sentence

MONDAY = ("2025-03-03T08:00:00+01:00", "2026-11-28T16:51:06Z")
EARLIER_ELSEWHERE = ("2025-03-03T08:30:00+02:00", "2026-11-28T16:51:09Z")


def test_most_entries_late_are_records_loaded_later():
    late = [MONDAY, EARLIER_ELSEWHERE] * (LATE_AT_LEAST // 2)
    assert loaded_later(11, late) == LoadedLater(
        11, 6, (EARLIER_ELSEWHERE[0], MONDAY[0]), ("2026-11-28T16:51:06Z", "2026-11-28T16:51:09Z")
    )


@pytest.mark.parametrize(("looked_at", "late"), [(0, 0), (20, 0), (5, 5), (12, 6), (1000, 500)], ids=str)
def test_few_late_entries_or_no_more_than_half_are_each_told(looked_at, late):
    assert loaded_later(looked_at, [MONDAY] * late) is None


def test_the_sentence_says_when_and_what_the_journal_cannot_show():
    found = loaded_later(1021, [EARLIER_ELSEWHERE] + 599 * [MONDAY])
    assert found is not None
    assert loading_sentence(found) == (
        "The records were loaded later: 600 of 1\u202f021 entries looked at happened from 2025-03-03 08:30 +02:00 to "
        "2025-03-03 08:00 +01:00 and were recorded at 2026-11-28 16:51 UTC. When they happened is what the stations noted: "
        "the journal can only show changes made since they were loaded."
    )
