"""Every reader of what comes from outside takes what is good, and answers what is damaged with a sentence."""

import pytest
from support_campaign import tries
from support_readers import READERS, inputs

from tracelink.errors import LedgerError
from tracelink.report.bundle.verify_bundle import Fault

FEW = 40


@pytest.mark.parametrize("name", READERS)
def test_good_inputs_are_taken(name, tmp_path):
    reader = READERS[name]
    for data in reader.seeds(tmp_path):
        answer = reader.read(data, tmp_path / f"x{reader.suffix}")
        assert reader.accepted(answer, data)


@pytest.mark.parametrize("name", READERS)
def test_damaged_inputs_are_refused_with_a_sentence_or_deserve_to_be_taken(name, tmp_path):
    reader = READERS[name]
    ended = []
    for data in inputs(reader, reader.seeds(tmp_path), 1, tries(min(FEW, 2 * reader.share))):
        try:
            answer = reader.read(data, tmp_path / f"x{reader.suffix}")
        except (LedgerError, Fault) as refused:
            ended.append(bool(str(refused).strip()))
        else:
            ended.append(reader.accepted(answer, data))
    assert ended
    assert all(ended)
