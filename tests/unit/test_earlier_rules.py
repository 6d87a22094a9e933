"""Journals of programs with other rules are judged to their end, and each entry that only those rules explain is told."""

from dataclasses import replace

import pytest
from support_judged import judged, recorded, turns
from support_lab import lab_floor
from support_plant import LAB, Floor, n

from tracelink.ledger.kinds.lab import LotDecided
from tracelink.ledger.kinds.measuring.chart_entries import ChartSignalled
from tracelink.ledger.proof.judged import ByEarlierRule, EarlierRule, Why
from tracelink.station.lab import measure_acts
from tracelink.station.lab.acts import ACTS


@pytest.fixture
def reject_of_before(monkeypatch):
    """REJECT as it was: the decision alone."""
    form = ACTS.forms["REJECT"]

    def decided(values, context):
        found = form.finish(values, context)
        return replace(found, acts=found.acts[1:])

    def use(floor, *scans):
        with monkeypatch.context() as patched:
            patched.setitem(ACTS.forms, "REJECT", replace(form, finish=decided))
            floor.scan(LAB, *scans)

    return use


def signal(sample):
    lines = {"value": "-40", "unit": "dB", "lower": None, "centre": "-61", "upper": "-59"}
    change = {"begins_after": None, "begins_by": None, "stage": None, "stage_code": None}
    return ChartSignalled(
        sample=sample,
        test="noise",
        subject=n("T4"),
        chart="np",
        baseline=9,
        rules=("beyond-limit",),
        **lines,
        **change,
    )


def test_a_rejection_without_its_hold_is_told_and_all_behind_it_is_judged(reject_of_before):
    floor = Floor.copy()
    floor.press(1)
    floor.scan(LAB, "P1")
    reject_of_before(floor, "REJECT", "L1", '"clicks')
    [entry] = [entry for entry, _scans in recorded(floor) if entry.kind == LotDecided.kind]
    floor.scan(LAB, "SAMPLE", "L1", "S1", "#3", "K11", "HOLD", "L1", '"warped')
    found = judged(floor)
    assert (found.unforced, found.scans) == (None, turns(floor))
    assert found.by_earlier_rules == [ByEarlierRule(EarlierRule.REJECTED_WITHOUT_HOLD, entry.seq)]
    (told,) = found.faults
    assert told.startswith(f"entry {entry.seq} rejects a lot without the hold that REJECT places now: ")
    assert told.endswith(" judge with the program of that time to tell, and see that the lot is on hold")


def test_a_warning_of_before_is_told_and_all_behind_it_is_judged(monkeypatch):
    floor = lab_floor()
    with monkeypatch.context() as patched:
        patched.setattr(measure_acts, "value_signals", lambda sample, _body, _queries: [signal(sample.code)])
        floor.scan(LAB, "MEASURE", "S1", '"noise=-57.0 dB', '"A', "G1")
    warned = floor.ledger.head().seq
    floor.scan(LAB, "GOOD", "S1")
    found = judged(floor)
    assert (found.unforced, found.scans) == (None, turns(floor))
    assert [(one.rule, one.seq) for one in found.by_earlier_rules] == [(EarlierRule.WARNED, warned)]


def test_a_warning_that_was_not_given_then_is_told_and_all_behind_it_is_judged(monkeypatch):
    floor = lab_floor()
    floor.scan(LAB, "MEASURE", "S1", '"noise=-57.0 dB', '"A', "G1")
    measured = floor.ledger.head().seq
    floor.scan(LAB, "GOOD", "S1")
    monkeypatch.setattr(measure_acts, "value_signals", lambda sample, _body, _queries: [signal(sample.code)])
    found = judged(floor)
    assert (found.unforced, found.scans) == (None, turns(floor))
    assert [(one.rule, one.seq) for one in found.by_earlier_rules] == [(EarlierRule.NOT_WARNED, measured)]


def test_by_the_rules_of_now_nothing_is_told():
    floor = lab_floor()
    floor.scan(LAB, "MEASURE", "S1", '"noise=-57.0 dB', '"A', "G1", "REJECT", "L1", '"clicks')
    assert judged(floor).faults == ()


def test_a_decision_that_an_earlier_rule_does_not_explain_still_ends_it(monkeypatch):
    """A release without anything before it, where the scan rejects."""
    floor = Floor.copy()
    floor.press(1)
    floor.scan(LAB, "P1")
    form = ACTS.forms["REJECT"]

    def other(values, context):
        act = form.finish(values, context).acts[1]
        body = LotDecided(values["lot"], "released", None)
        return replace(form.finish(values, context), acts=(replace(act, body=body),))

    with monkeypatch.context() as patched:
        patched.setitem(ACTS.forms, "REJECT", replace(form, finish=other))
        floor.scan(LAB, "REJECT", "L1", '"clicks')
    found = judged(floor)
    assert found.unforced.why is Why.FIELD
