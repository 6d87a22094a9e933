"""Random plants of two lots, their scope as a document with its certificate, and its check."""

import json

from support_asking import contain
from support_memory import MemoryRecords

from tracelink.genealogy.certificate.check_certificate import check, lots_in
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.model.facts import JudgementFact, LotFact, SegmentFact, ToolFact
from tracelink.genealogy.model.shapes import Shape


def plant(rng, make):
    """Two lots of one stamper, some judged discs, and its scope as a document."""
    floors = {lot: make(rng, lot) for lot in ("L1", "L2")}
    records = MemoryRecords(
        tools=[ToolFact("T1", "stamper", None, "M1", "A", "")],
        lots=[
            LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", f.discs, "")
            for lot, f in floors.items()
        ],
        movements=[move for floor in floors.values() for move in floor.movements],
        journal_head=(100, "ab" * 32),
    )
    life = 0
    for seq, (lot, floor) in enumerate(floors.items(), 1):
        records.segments.append(
            SegmentFact(lot, 1, floor.discs, "W1", "T1", "T9", life, 0, "C", "E1", "E2", seq)
        )
        life += floor.discs
    onset = rng.randint(1, life)
    for position in rng.sample(range(1, life + 1), 2):
        lot, stroke = (
            ("L1", position) if position <= floors["L1"].discs else ("L2", position - floors["L1"].discs)
        )
        records.judgements.append(JudgementFact(f"S{position}", lot, stroke, position < onset, None, 90))
    return records, contain(records, "T1", Shape.FROM_ONSET)


def document_of(scope, rng):
    codes = sorted({held.code for held in scope.containers})
    asked = rng.sample(codes, min(2, len(codes)))
    bound = bounds_of(scope, asked)
    # Without what the check does not look at, which would only be copied a thousand times.
    wanted = ("tiers", "containers", "groups", "places", "co_affected")
    document = {key: value for key, value in scope.to_json().items() if key in wanted}
    document["together"] = [
        {
            "codes": asked,
            "pieces": bound.pieces,
            "least": bound.least,
            "most": bound.most,
            "tight": bound.tight,
        }
    ]
    document["certificate"] = certificate_of(scope, [(",".join(asked), asked)])
    return json.loads(json.dumps(document))


def checked(document, records, budget=None):
    return check(document, {lot: record_of(records, lot, 100) for lot in lots_in(document)}, budget)
