"""The command that `case status` names next, from what is not done yet."""

from dataclasses import replace
from types import SimpleNamespace

from support_casescope import carton, scope

from tracelink.genealogy.case.next_step import next_step
from tracelink.genealogy.case.standing import CaseRecord, Check, Draw, Notice, Reply, status_of

AT = "2031-03-14T08:00:00.000+01:00"
SENT = scope(containers=[carton("1", consignee="Shop 1", shipped=True)])
NOTHING = CaseRecord((SENT,), (), (), (), None, None, (), 0)


def step(record, *, is_free=False, closed=None):
    facts = SimpleNamespace(case=SimpleNamespace(code="Q000001Z", closed_seq=closed), recorded=record)
    return next_step(facts, status_of(record), is_free=is_free)


def test_each_thing_that_is_done_leads_to_the_next():
    done = NOTHING
    assert step(done, is_free=True).startswith("runout case holds Q000001Z ")
    assert step(done).startswith("runout case notice Q000001Z --all ")
    done = replace(done, notices=(Notice(5, "Shop 1", "letter", 1, "ab", AT),))
    assert step(done).startswith("runout case reply Q000001Z ")
    done = replace(done, replies=(Reply(6, "Shop 1", 5, None, None, AT),))
    assert step(done).startswith("runout case level Q000001Z ")
    done = replace(done, draw=Draw(7, "A", 100, "plant", 1, ("Shop 1",)))
    assert step(done).startswith("runout case check Q000001Z ")
    done = replace(done, checks=(Check(8, "Shop 1", "ok", AT),))
    assert step(done).startswith("runout case root-cause Q000001Z ")
    done = replace(done, root_cause="a burr")
    assert step(done).startswith("runout case close Q000001Z ")
    # Stock that could leave comes first, whatever else is done; a closed case has nothing next.
    assert step(done, is_free=True).startswith("runout case holds Q000001Z ")
    assert step(done, closed=9) == ""


def test_a_case_that_nobody_outside_has_to_be_told_of_goes_on_to_the_root_cause():
    assert step(replace(NOTHING, scopes=(scope(),))).startswith("runout case root-cause Q000001Z ")
