"""Scopes as a case keeps them, made by hand."""

from tracelink.ledger.kinds.case_scope import CaseContainer, CasePlace, CaseSpan, CaseTier, ScopeSummary


def tier(name, lot, *spans, reason="why"):
    return CaseTier(name, lot, tuple(CaseSpan(*span) for span in spans), reason)


def carton(code="1", lot="L1", pieces=10, least=0, most=5, *, parents=(), consignee="", shipped=False):
    return CaseContainer(
        code, "carton", "closed", lot, pieces, least, most, tuple(parents), consignee, shipped
    )


def scope(*tiers, containers=(), head=10, gaps=(), contradictions=(), most=0):
    return ScopeSummary(
        cause="T1",
        head_seq=head,
        head_hash="ab",
        tiers=tiers,
        containers=tuple(containers),
        places=(CasePlace("total", 100, 0, most),),
        consignees=(),
        lots=("L1",),
        gaps=tuple(gaps),
        contradictions=tuple(contradictions),
    )
