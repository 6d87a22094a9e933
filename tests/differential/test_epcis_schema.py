"""Our rules for EPCIS documents against the published schema, on documents with something changed.

A few by default; python tests/bench/epcis_campaign.py COUNT [SEED] takes as many as wished.
"""

from collections import Counter

from support_mutations import documents, judged


def test_our_rules_and_the_schema_refuse_the_same_documents():
    found = Counter()
    for document in documents(seed=7, count=150):
        taken, wrong = judged(document)
        assert not wrong, (wrong, document)
        found[taken] += 1
    # Of both sorts there are enough to mean something.
    assert min(found[True], found[False]) > 20, found
