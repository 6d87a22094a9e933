"""A plan that is kept for a product: the press asks for its discs, and a missing one has a substitute by rule."""

import pytest
from support_each import each
from support_lab import add_to
from support_plant import LAB, PRESS, Floor, gtin, n, stamper
from support_plantfile import read_plant_file

from tracelink.errors import UsageError
from tracelink.ledger.entry import Entry, Stamp
from tracelink.ledger.kinds.registry import project
from tracelink.quality.sampling.draw import drawn_strokes
from tracelink.quality.sampling.sampling_asked import LotToDraw, SamplingAsked, drawn_by
from tracelink.report.pages.samples_text import sentences
from tracelink.services.desks.lab_samples import lot_samples
from tracelink.services.upkeep.lab_rules import require_plan
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.judge_again import judge_again

PLAN = {"gtin": gtin(1), "aql": "1.5", "one_in": 100, "since": "2031-01-01"}
LISTENING = {**PLAN, "inspection": "listening", "defects": ["crackle", "ticks"]}
MEASURING = {
    "gtin": gtin(1),
    "detect": "5",
    "since": "2031-01-01",
    "inspection": "measuring",
    "defects": ["wrong mass"],
}
SEED = "L1 500 II 1.5 normal"


def drawn(missing=(), *, pressed=0, ended=False):
    return list(drawn_strokes(SEED, 500, 50, pressed, ended=ended, missing=missing))


class TestASubstitute:
    """The next disc of the same part stands in for a missing one, after its last the first (choice of this program)."""

    def test_is_of_the_same_part_and_leaves_all_others_as_they_are(self):
        whole = drawn()
        for place, stroke in enumerate(whole):
            found = drawn({stroke})
            first, last = 10 * place + 1, 10 * place + 10
            assert found[place] == (stroke + 1 if stroke < last else first)
            assert found[:place] + found[place + 1 :] == whole[:place] + whole[place + 1 :]

    def test_of_a_part_with_one_disc_left_is_that_disc_and_of_one_with_none_the_drawn_one(self):
        part = set(range(1, 11))
        assert drawn(part - {7})[0] == 7
        assert drawn(part)[0] == drawn()[0]

    def test_never_lies_behind_the_last_disc_of_a_lot_that_ended(self):
        found = drawn({41, 42}, pressed=43, ended=True)
        assert found[-1] == 43

    def test_says_in_place_of_which(self):
        plan = SamplingAsked(aql="1.5").plan(500)
        lot = LotToDraw("L1", 500, 0, ended=False, missing=frozenset())
        before = list(drawn_by(plan, lot))
        after = drawn_by(plan, LotToDraw("L1", 500, 0, ended=False, missing=frozenset({before[3]})))
        assert [was for was in after.values() if was is not None] == [before[3]]


@pytest.fixture
def floor():
    made = Floor.copy()
    add_to(made, {"sampling_plan": [PLAN]})
    return made


def samples(floor):
    with floor.ledger.reading() as conn:
        return lot_samples(conn, n("L1"), SamplingAsked())


def test_the_press_says_which_discs_the_lab_wants_next(floor):
    wanted = sorted(set(drawn_of(floor)) | {100, 200, 300})
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    first = ", ".join(map(str, sorted({1, *wanted[:3]})))
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A')
    told = floor.scan(PRESS, '"EX-101-B').sentence
    assert told.endswith(f" For the lab: discs {first}.")
    later = [stroke for stroke in wanted if stroke > 60][:3]
    told = floor.scan(PRESS, "STACK", "K11", "#60").sentence
    assert told == f"60 discs on spindle {n('K11')}. For the lab: discs {', '.join(map(str, later))}."


def test_the_press_asks_for_the_first_and_last_discs_of_stampers_at_their_counter(floor):
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    planned = set(drawn_of(floor)) | {100, 200, 300, 400, 500}
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')

    def told(*ends, after):
        behind = sorted(stroke for stroke in planned if stroke > after)[:3]
        return f" For the lab: discs {', '.join(map(str, sorted({*behind, *ends})))}."

    assert floor.scan(PRESS, "TRIAL", "#3").sentence.endswith(told(4, after=3))
    other = stamper("EX-101-A", 2)
    assert floor.scan(PRESS, "CHANGE", other, "#60").sentence.endswith(told(60, 61, after=60))
    assert floor.scan(PRESS, "STACK", "K11", "#120").sentence.endswith(told(after=120))
    # Trial discs in the middle of a segment are no first discs.
    assert floor.scan(PRESS, "TRIAL", "#122").sentence.endswith(told(after=122))
    floor.scan(PRESS, "STACK", "K12", "#130")
    assert floor.scan(PRESS, "STOP", "#130").sentence.endswith(" For the lab: disc 130.")
    floor.scan(PRESS, "RESUME", "L1", other, b, "C1", "E1", "E2", '"jammed', "START", '"EX-101-A')
    assert floor.scan(PRESS, '"EX-101-B').sentence.endswith(told(131, after=130))
    reasons = {one.stroke: one.reasons for one in samples(floor).strokes}
    assert [reason.instead_of for reason in reasons[4]] == [1, 1]
    with floor.ledger.reading() as conn:
        assert judge_again(conn).unforced is None


def drawn_of(floor):
    plan = SamplingAsked(aql="1.5").plan(500)
    return drawn_by(plan, LotToDraw(n("L1"), 500, 0, ended=False, missing=frozenset()))


def test_a_press_without_a_plan_says_nothing_of_the_lab():
    floor = Floor.copy()
    floor.press(1)
    assert not any("For the lab" in verdict.sentence for verdict in floor.verdicts)


def test_a_missed_disc_is_told_and_has_its_substitute_on_the_list(floor):
    floor.press(1, strokes=120)
    stroke = min(drawn_of(floor))
    floor.scan(LAB, "P1")
    floor.play(
        LAB,
        f"""
        MISSED | L1 -> NEXT; Key the stroke of the disc that is not to be had, such as #250.
        #121 -> STOP no-such-stroke
        #{stroke} | "fell down -> DONE; Disc {stroke} of lot {n("L1")} is not to be had: where a plan wants it, another disc of its part stands in for it.
        MISSED | L1 -> NEXT
        #{stroke} -> STOP already-sampled
        CANCEL -> DONE
        """,
    )
    found = samples(floor)
    assert found.kept_by is not None
    reasons = [reason for one in found.strokes for reason in one.reasons if reason.instead_of is not None]
    assert [reason.instead_of for reason in reasons] == [stroke]
    assert stroke not in {one.stroke for one in found.strokes if one.by_plan}
    with floor.ledger.reading() as conn:
        assert judge_again(conn).unforced is None


def test_a_later_plan_draws_no_other_discs_of_a_lot_that_was_begun(floor):
    floor.press(1)
    before = samples(floor)
    add_to(floor, {"sampling_plan": [{**PLAN, "aql": "4.0", "since": "2031-03-04"}]})
    assert [one.stroke for one in samples(floor).strokes] == [one.stroke for one in before.strokes]


@each(
    ("changed", "told"),
    [
        ({"aql": "1.4"}, "AQL"),
        ({"level": "IV"}, "level"),
        ({"severity": "harsh"}, "severity 'harsh': expected one of"),
        ({"aql": None, "detect": "5", "confidence": 100}, "100"),
        ({"detect": "5"}, "aql and detect: expected one of them"),
        ({"aql": None, "one_in": None}, "no disc is drawn: expected aql, detect or one_in"),
    ],
)
def test_a_plan_that_there_is_not_is_refused(changed, told):
    fields = {name: value for name, value in {**PLAN, **changed}.items() if value is not None}
    with pytest.raises(UsageError, match=told):
        recorded(fields)


def recorded(fields):
    for body in read_plant_file({"sampling_plan": [fields]}, new_ledger=False):
        require_plan(body)


class TestKindsOfInspection:
    """A product has a plan for each kind; the lots before count by the defects of that kind."""

    @pytest.fixture
    def two(self):
        """Lot 1 was judged bad for crackle and rejected; lot 5 is of the same disc."""
        floor = Floor.copy(sampling_reduced_after=1)
        add_to(floor, {"sampling_plan": [LISTENING, MEASURING]})
        floor.press(1, strokes=20, stacks=1)
        floor.play(
            LAB, 'P1 | SAMPLE | L1 | S1 | #3 | K11 | BAD | S1 | "crackle | REJECT | L1 | "crackle -> DONE'
        )
        floor.press(5, strokes=20, stacks=1)
        return floor

    def asked(self, floor, lot, kind, **plan):
        with floor.ledger.reading() as conn:
            return lot_samples(conn, n(lot), SamplingAsked(inspection=kind, **plan))

    def test_switch_each_by_its_own_defects(self, two):
        due = {kind: self.asked(two, "L5", kind).before.severity.value for kind in ("listening", "measuring")}
        assert due == {"listening": "normal", "measuring": "reduced"}
        assert self.asked(two, "L5", "measuring", aql="4.0").before.severity.value == "reduced"
        assert self.asked(two, "L5", None, aql="4.0").before.severity.value == "normal"

    def test_reject_in_all_of_them_where_no_disc_was_bad(self, two):
        two.play(LAB, 'REJUDGE | S1 | "good | "dust | REJECT | L1 | "label upside down -> DONE')
        due = {kind: self.asked(two, "L5", kind).before.severity.value for kind in ("listening", "measuring")}
        assert due == {"listening": "normal", "measuring": "normal"}

    def test_count_only_their_own_defects_against_their_numbers(self, two):
        draw = next(one.stroke for one in self.asked(two, "L5", "measuring").strokes if one.by_plan)
        two.scan(LAB, "SAMPLE", "L5", "S9", f"#{draw}", "K51")
        two.scan(LAB, "BAD", "S9", '"crackle')
        found = self.asked(two, "L5", "measuring")
        assert (found.judged, found.bad, found.bad_apart) == (1, 0, 1)
        assert (found.inspection, found.defects) == ("measuring", {"wrong mass"})
        told = " ".join(sentences(found))
        assert f"(entry {found.kept_by}), inspection measuring: wrong mass." in told

    def test_must_be_named_and_known(self, two):
        with pytest.raises(
            UsageError, match=r"is inspected by 2 plans: expected the inspection, listening or measuring"
        ):
            self.asked(two, "L5", None)
        with pytest.raises(
            UsageError, match=r"inspection 'sniffing' of lot .*: expected listening or measuring"
        ):
            self.asked(two, "L5", "sniffing")
        with pytest.raises(UsageError, match="defects without inspection"):
            recorded({**PLAN, "defects": ["crackle"]})

    def test_press_is_asked_for_the_discs_of_all(self, two):
        with two.ledger.reading() as conn:
            wanted = SqlStationQueries(conn).wanted_samples(n("L5"), 0, 3)
        drawn = {
            one.stroke
            for kind in ("listening", "measuring")
            for one in self.asked(two, "L5", kind).strokes
            if one.by_plan
        }
        assert wanted == sorted(drawn)[:3]


def test_a_plan_of_an_older_program_stays_readable():
    body = {
        "gtin": gtin(1), "aql": "1.5", "level": "II", "severity": "normal", "detect": None, "confidence": 95, "one_in": None,
        "since": "2031-01-01",
    }  # fmt: skip
    entry = Entry(
        7, Stamp("2031-01-01T08:00:00+01:00", "2031-01-01T07:00:00Z"), "sampling-plan-kept", body, "0" * 64
    )
    [row] = project(entry)
    assert (row.table, row.row) == ("sampling_plan", {**body, "seq": 7, "inspection": None})
