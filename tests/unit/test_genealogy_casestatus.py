"""How far a case is: consignees, quantities with their signs, the draw of checks, open points."""

from dataclasses import replace

import pytest
from support_casescope import carton, scope

from tracelink.errors import UsageError
from tracelink.genealogy.case.drawn_checks import drawn
from tracelink.genealogy.case.judge_replies import reply_findings
from tracelink.genealogy.case.open_points import open_points
from tracelink.genealogy.case.standing import (
    Back,
    CaseRecord,
    Check,
    Draw,
    Notice,
    Reply,
    consignees_of,
    status_of,
)
from tracelink.ledger.kinds.case_scope import CasePlace

AT = "2031-03-04T09:00:00+01:00"
SENT = [
    carton("1", pieces=25, most=20, consignee="Shop 1", shipped=True),
    carton("2", pieces=25, most=25, consignee="Shop 1", shipped=True),
    carton("3", pieces=10, least=2, most=10, consignee="Shop 2", shipped=True),
    carton("4", pieces=10, most=10, consignee="Shop 3"),
]


def facts(**more):
    empty = CaseRecord((scope(containers=SENT),), (), (), (), None, None, (), 0)
    return replace(empty, **more)


def line(name="Shop 1", **more):
    return next(one for one in status_of(facts(**more)).lines if one.consignee == name)


def test_only_what_left_the_plant_makes_a_consignee():
    assert consignees_of([scope(containers=SENT)]) == ["Shop 1", "Shop 2"]


def test_whoever_an_earlier_scope_named_stays():
    later = scope(containers=SENT[2:])
    status = status_of(facts(scopes=(scope(containers=SENT), later)))
    assert [(one.consignee, one.may_hold, one.least, one.most) for one in status.lines] == [
        ("Shop 1", 50, 0, 45),
        ("Shop 2", 10, 2, 10),
    ]


def test_a_consignee_as_a_whole_binds_closer_than_its_cartons():
    joint = replace(scope(containers=SENT), consignees=(CasePlace("Shop 1", 50, 0, 30),))
    assert line(scopes=(joint,)).most == 30


def test_the_least_is_joint_once_nothing_is_on_its_way():
    # Twelve affected discs are in one of two cartons: neither must hold one, both together hold twelve.
    joint = replace(scope(containers=SENT), consignees=(CasePlace("Shop 1", 50, 12, 30),))
    found = line(scopes=(joint,))
    assert (found.least, found.most, found.is_joint) == (12, 30, True)
    coming = carton("9", pieces=25, most=20, consignee="Shop 1")
    waiting = replace(scope(containers=[*SENT, coming]), consignees=(CasePlace("Shop 1", 75, 12, 30),))
    found = line(scopes=(waiting,))
    # The twelve may be in the carton that is still here.
    assert (found.least, found.most, found.is_joint) == (0, 30, False)
    # Of twenty, eight at most may be: the other twelve are there already; three are surely still here.
    coming = carton("9", pieces=25, least=3, most=8, consignee="Shop 1")
    waiting = replace(scope(containers=[*SENT, coming]), consignees=(CasePlace("Shop 1", 75, 20, 30),))
    found = line(scopes=(waiting,))
    assert (found.least, found.most, found.is_joint) == (12, 27, False)


def test_what_left_is_bounded_by_itself_while_the_rest_is_on_its_way():
    coming = carton("9", pieces=25, least=3, most=8, consignee="Shop 1")
    both = (CasePlace("Shop 1", 75, 20, 30), CasePlace("Shop 1", 50, 15, 24))
    found = line(scopes=(replace(scope(containers=[*SENT, coming]), consignees=both),))
    assert (found.least, found.most, found.is_joint) == (15, 24, True)
    # How much it got or is to get at all is that of the first line.
    assert found.delivered == max(75, found.may_hold)


@pytest.mark.parametrize(
    ("reply", "back", "accounted", "unaccounted", "difference"),
    [
        (None, None, 0, 50, None),
        (Reply(1, "Shop 1", 40, None, None, AT), None, 40, 10, None),
        # What came back may be of what was on hand: not counted twice.
        (Reply(1, "Shop 1", 40, 25, None, AT), Back("Shop 1", 25, 0, AT), 40, 10, 0),
        (Reply(1, "Shop 1", 40, 45, None, AT), Back("Shop 1", 45, 0, AT), 45, 5, 0),
        (Reply(1, "Shop 1", 10, 25, 5, AT), Back("Shop 1", 20, 20, AT), 25, 25, 5),
        (Reply(1, "Shop 1", 0, 20, None, AT), Back("Shop 1", 25, 0, AT), 25, 25, -5),
        (Reply(1, "Shop 1", 60, None, None, AT), None, 60, -10, None),
        (None, Back("Shop 1", 25, 0, AT), 25, 25, None),
    ],
)
def test_quantities_keep_their_signs(reply, back, accounted, unaccounted, difference):
    found = line(replies=(reply,) if reply else (), back=(back,) if back else ())
    assert (found.accounted, found.unaccounted) == (accounted, unaccounted)
    assert found.returned_difference == difference


def test_the_first_notice_and_the_newest_answer_count():
    notices = tuple(Notice(seq, "Shop 1", "letter", 1, "ab", AT) for seq in (5, 9))
    replies = tuple(Reply(seq, "Shop 1", seq, None, None, AT) for seq in (6, 8))
    checks = (Check(7, "Shop 1", "not-received", AT), Check(9, "Shop 1", "ok", AT))
    found = line(notices=notices, replies=replies, checks=checks)
    assert (found.notice.seq, found.reply.seq, found.check.result) == (5, 8, "ok")


def test_who_was_told_and_is_silent():
    status = status_of(facts(notices=(Notice(5, "Shop 2", "letter", 1, "ab", AT),)))
    assert [one.consignee for one in status.silent] == ["Shop 2"]


def test_open_points_name_each_thing_that_is_not_done():
    told = tuple(Notice(5, name, "letter", 1, "ab", AT) for name in ("Shop 1", "Shop 2"))
    replies = (Reply(6, "Shop 1", 20, 25, None, AT), Reply(7, "Shop 2", 10, None, None, AT))
    draw = Draw(8, "A", 100, "x", 1, ("Shop 1",))
    check = (Check(9, "Shop 2", "not-acted", AT),)
    status = status_of(facts(notices=told, replies=replies, draw=draw, checks=check, loose=3))
    assert open_points(status) == [
        "Shop 1: of 50 discs in cartons that may hold one, 30 not accounted for.",
        "Shop 1: says it returned 25 discs more than the 0 booked here.",
        "Shop 1: is drawn for an effectiveness check; none is recorded.",
        "Shop 2: the effectiveness check found: not-acted.",
        "3 discs came back without a carton, in no consignee's line.",
        "The draw for effectiveness checks was made among 1 consignee; now there are 2.",
    ]


def test_a_reply_of_more_than_was_sent_is_to_be_checked():
    status = status_of(facts(replies=(Reply(6, "Shop 1", 60, None, None, AT),)))
    assert (
        "Shop 1: 10 more discs are accounted for than the 50 in cartons that may hold one: check the reply."
        in open_points(status)
    )


LATER = "2031-03-05T09:00:00+01:00"
TOLD = Notice(5, "Shop 1", "letter", 1, "ab", LATER)


@pytest.mark.parametrize(
    ("reply", "more", "codes"),
    [
        (Reply(6, "Shop 1", 50, 25, 25, LATER), {}, []),
        (Reply(6, "Shop 1", 51, None, None, LATER), {}, ["reply-of-more-than-sent"]),
        (Reply(6, "Shop 1", 0, 51, None, LATER), {}, ["reply-of-more-than-sent"]),
        (Reply(6, "Shop 1", 0, 26, 25, LATER), {}, ["reply-of-more-than-sent"]),
        (Reply(6, "Shop 1", 51, 51, None, LATER), {}, ["reply-of-more-than-sent"] * 2),
        # Told on the 5th, answered on the 4th; the same moment in another zone is not before it.
        (Reply(6, "Shop 1", 5, None, None, AT), {"notices": (TOLD,)}, ["reply-before-notice"]),
        (Reply(6, "Shop 1", 5, None, None, "2031-03-05T08:00:00Z"), {"notices": (TOLD,)}, []),
        (Reply(6, "Shop 1", 5, None, None, AT), {}, []),
        # What they sent may be on its way; what the dock has, they must have sent.
        (Reply(6, "Shop 1", 25, 25, None, LATER), {"back": (Back("Shop 1", 20, 0, AT),)}, []),
        (
            Reply(6, "Shop 1", 25, 20, None, LATER),
            {"back": (Back("Shop 1", 25, 0, AT),)},
            ["reply-contradicts-dock"],
        ),
        (Reply(6, "Shop 1", 25, None, None, LATER), {"back": (Back("Shop 1", 25, 0, AT),)}, []),
    ],
)
def test_an_answer_that_cannot_be_is_a_finding(reply, more, codes):
    found = reply_findings(status_of(facts(replies=(reply,), **more)))
    assert [one.code for one in found] == codes
    assert all(one.consignee == "Shop 1" and 6 in one.entries for one in found)


def test_a_finding_says_what_was_said_what_is_recorded_and_what_to_do():
    reply = Reply(6, "Shop 1", 25, 20, None, LATER)
    [found] = reply_findings(status_of(facts(replies=(reply,), back=(Back("Shop 1", 25, 0, AT),))))
    assert found.sentence == (
        "Shop 1: says it sent back 20 discs; the dock booked 25. Count what came back, and ask the consignee."
    )


def test_a_finding_tells_times_as_tables_do():
    reply = Reply(6, "Shop 1", 5, None, None, "2031-03-04T08:00:40.966+00:00")
    [found] = reply_findings(status_of(facts(notices=(TOLD,), replies=(reply,))))
    assert (found.said, found.recorded) == (
        "answered at 2031-03-04 08:00 +00:00",
        "the notice went out at 2031-03-05 09:00 +01:00",
    )


def test_all_that_was_delivered_counts_and_not_only_what_may_be_affected():
    """Of 80 discs 50 lay in cartons that may hold an affected one: 70 sent back is no contradiction."""
    joint = replace(scope(containers=SENT), consignees=(CasePlace("Shop 1", 80, 0, 45),))
    assert (
        reply_findings(status_of(facts(scopes=(joint,), replies=(Reply(6, "Shop 1", 70, 70, None, AT),))))
        == ()
    )
    [found] = reply_findings(
        status_of(facts(scopes=(joint,), replies=(Reply(6, "Shop 1", 81, 0, None, AT),)))
    )
    assert (found.said, found.recorded) == ("says it had 81 discs on hand", "80 were delivered to it")


def test_the_newest_answer_is_judged():
    replies = (Reply(6, "Shop 1", 99, None, None, AT), Reply(7, "Shop 1", 9, None, None, AT))
    assert reply_findings(status_of(facts(replies=replies))) == ()


def test_nothing_told_and_nothing_decided_is_open_for_everybody():
    assert len(open_points(status_of(facts()))) == 2 * 3 + 1
    assert open_points(status_of(facts(scopes=(scope(),)))) == []


class TestDraw:
    """The shares are those of 21 CFR 7.42(b)(3): A 100 %, C 10 %, D 2 %, E none (not checked against the original text)."""

    NAMES = tuple(f"Shop {number}" for number in range(1, 51))

    @pytest.mark.parametrize(
        ("percent", "count"), [(100, 50), (50, 25), (10, 5), (2, 1), (1, 1), (0, 0), (11, 6)]
    )
    def test_a_share_is_rounded_up_to_whole_consignees(self, percent, count):
        assert len(drawn(self.NAMES, percent, "seed")) == count

    def test_the_draw_does_not_hang_on_the_order_of_the_list(self):
        assert drawn(self.NAMES, 10, "seed") == drawn(self.NAMES[::-1], 10, "seed")

    def test_another_seed_draws_others_and_every_consignee_can_be_drawn(self):
        draws = [drawn(self.NAMES, 10, str(seed)) for seed in range(200)]
        assert len(set(draws)) > 190
        assert {name for draw in draws for name in draw} == set(self.NAMES)

    def test_a_draw_worked_by_hand(self):
        """By the rule with the standard library alone: the two lowest SHA-256 of "seed\\n" and the name."""
        import hashlib  # noqa: PLC0415  the oracle of this test only

        lowest = sorted(self.NAMES, key=lambda name: hashlib.sha256(f"seed\n{name}".encode()).hexdigest())[:2]
        assert drawn(self.NAMES, 4, "seed") == tuple(sorted(lowest))

    @pytest.mark.parametrize("percent", [-1, 101])
    def test_a_share_that_is_none_is_refused(self, percent):
        with pytest.raises(UsageError, match="expected 0 to 100"):
            drawn(self.NAMES, percent, "seed")
