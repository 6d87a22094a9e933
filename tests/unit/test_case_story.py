"""Every entry of a case as a sentence: no kind is left out, and badges stand beside names."""

import pytest
from support_cases import ADA, BEN

from tracelink.ledger.codec import to_body
from tracelink.ledger.count_words import OF_DISCS
from tracelink.ledger.entry import Entry, Stamp
from tracelink.ledger.kinds import case, case_measures
from tracelink.report.case import history_sentences
from tracelink.report.case.history_sentences import story_rows

NAMES = {ADA: "Ada", BEN: "Ben"}
AT = "2031-03-04T08:00:00+01:00"


def told(body, reason=None, person=ADA):
    entry = Entry(
        7,
        Stamp(AT, "2031-03-04T07:00:00Z", person=person),
        body.kind,
        to_body(body),
        "0" * 64,
        reason,
        None,
        None,
    )
    [row] = story_rows([entry], NAMES, OF_DISCS)
    assert (row["entry"], row["at"]) == (7, AT)
    return row["who"], row["told"]


def test_every_kind_of_a_case_has_a_sentence():
    kinds = {*case.KINDS, *case.EARLIER, *case_measures.KINDS}
    assert kinds == {*history_sentences._TOLD}


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (case.CaseHeld("Q1", ()), "No hold was needed."),
        (case.CaseHeld("Q1", ("H1", "H2")), "Held for it: H1, H2."),
        (
            case.CaseNotified("Q1", "Shop 1", "e-mail", 2, "ab" * 32),
            "Shop 1 was told by e-mail, as scope 2 says. The text has the hash abababababab...",
        ),
        (
            case.CaseReplied("Q1", "Shop 1", 1, None, 0),
            "Shop 1 answered: 1 disc on hand when told, how many were sent back it did not say, 0 destroyed.",
        ),
        (
            case.CaseChecksChosen("Q1", "E", 0, "common practice", 3, "00", ()),
            "Level E of effectiveness checks: 0 % of 3 consignees. Drawn: nobody. The share: common practice.",
        ),
        (case.CaseChecked("Q1", "Shop 1", "not-reached"), "Shop 1 was checked: nobody could be asked."),
        (case.CaseClosed("Q1", BEN, ()), f"Closed; Ben, {BEN} agreed. No point was open that the records show."),
        (case.CaseClosed("Q1", "P9", ("A.", "B.")), "Closed; P9 agreed. Open then: A. B."),
        (case_measures.CaseInvestigationLinked("Q1", 12), "Investigation 12 belongs to it."),
    ],
)  # fmt: skip
def test_what_is_said(body, sentence):
    assert told(body) == (f"Ada, {ADA}", sentence)


def test_a_reason_is_said_behind_it_and_nobody_is_named_as_nobody():
    body = case.CaseEstimated("Q1", "2031-04-01")
    assert told(body, "late again", None) == (
        "nobody signed on",
        "It is expected to be done by 2031-04-01. Reason: late again.",
    )
