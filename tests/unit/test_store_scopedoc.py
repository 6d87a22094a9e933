"""The scope document from a real ledger: people, times, holds, balances and neighbours as they were recorded."""

import json

import pytest
from support_asking import contain
from support_cases import shipped
from support_plant import LAB, LINE, PRESS, START, Floor, n, stamper
from support_sql import set_setting

from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced, SampleJudged
from tracelink.report.scope.document import ScopeDocument
from tracelink.services.scope_document import scope_document
from tracelink.store.journal.journal import NewEntry, append
from tracelink.store.records.scope_facts import scope_facts
from tracelink.store.records.sql_records import SqlRecords

AT = "2031-03-05T09:00:00+01:00"


@pytest.fixture
def floor():
    """Two lots pressed one after the other; stroke 3 of the first good, 15 and 18 bad; three discs in a carton."""
    floor = Floor.copy()
    floor.press(1)
    floor.press(2)
    for tag, stroke, verdict in (("S1", 3, ("GOOD", "S1")), ("S2", 15, ("BAD", "S2", '"scratch')),
                                 ("S3", 18, ("BAD", "S3", '"scratch'))):  # fmt: skip
        floor.at = f"2031-03-03T08:{stroke:02d}:00+01:00"
        floor.scan(LAB, "P1", "SAMPLE", "L1", tag, f"#{stroke}", "K11" if stroke < 11 else "K12", *verdict)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    return floor


def document(floor, cause=None, shape=Shape.FROM_ONSET, at=AT) -> ScopeDocument:
    with floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        scope = contain(records, cause or stamper("EX-101-A"), shape)
        lives = lives_of(scope)
        judgements = [one.judgement for life in lives for one in life.judged]
        return scope_document(records, scope, lives, scope_facts(conn, scope, judgements), at=at)


def test_the_trigger_names_who_found_it_when_and_on_which_disc(floor):
    first = document(floor).trigger.first_bad
    assert (first.sample, first.lot, first.stroke, first.defect) == (n("S2"), n("L1"), 15, "scratch")
    assert (first.judged_by, first.judged_at) == ("Ada", "2031-03-03T08:15:00+01:00")
    assert first.drawn_at == "2031-03-03T08:15:00+01:00"


def test_start_and_stop_say_why_and_what_widens_them(floor):
    (boundary,) = document(floor).boundaries
    assert boundary.last_good.evidence.position == 3
    assert boundary.first_bad.evidence.position == 15
    # Stroke 4 stood on the first spindle, from which three discs went into the carton.
    assert set(boundary.last_good.may_be_in) == {n("K11"), n("carton 1")}
    assert boundary.last_good.stacked_at == "2031-03-03T08:00:00+01:00"
    assert "began after stroke 3, which was good" in boundary.why
    good, bad = f"sample {n('S1')} (lot {n('L1')}, stroke 3)", f"sample {n('S2')} (lot {n('L1')}, stroke 15)"
    assert boundary.widens == (
        f"If {good} is doubted, no earlier disc was judged good: 3 more discs become possible.",
        f"If {bad} is doubted, stroke 18 is the first bad one: 3 discs are possible and not proven.",
        (
            "If the fault comes and goes, no judged disc speaks for another: 2 cleared discs become possible "
            "(ask again with shape intermittent)."
        ),
    )


class WithoutSample(SqlRecords):
    """The records as they would be if one sample had never been judged."""

    def __init__(self, conn, left_out):
        super().__init__(conn)
        self.left_out = left_out

    def judgements_of(self, lot):
        return [fact for fact in super().judgements_of(lot) if fact.sample != self.left_out]


def test_what_widens_is_what_asking_again_gives(floor):
    """The sentences count discs; leaving the doubted judgement out of the evidence must give those counts."""
    with floor.ledger.reading() as conn:

        def possible(left_out):
            records = WithoutSample(conn, left_out)
            scope = contain(records, stamper("EX-101-A"), Shape.FROM_ONSET)
            return sum(len(tier.strokes) for tier in scope.tiers if tier.name.value == "possible")

        before = possible("")
        assert possible(n("S1")) - before == 3
        assert possible(n("S2")) - before == 3


def test_tiers_places_and_totals_add_up(floor):
    found = document(floor)
    sums = found.totals
    assert (sums.proven, sums.possible, sums.cleared) == (6, 11, 3)
    assert sum(tier.discs for tier in found.tiers) == 20 == sums.pieces
    assert sum(place.pieces for place in found.places) == sums.places == 20
    assert sums.difference == 0


def test_identifiers_are_those_a_stranger_can_see(floor):
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE")
    says = {(one.thing, one.says) for one in document(floor).identifiers}
    assert (f"stamper {stamper('EX-101-A')}", "EX-101-A") in says
    assert ("cartons", n("carton 1")) in says
    assert (f"lot {n('L1')}", "A EX-101-A, B EX-101-B") in says
    assert (f"lot {n('L1')}", "EX 101") in says
    assert ("sleeves", n("B1")) in says


def test_lots_balance_line_by_line(floor):
    (sums,) = document(floor).balances
    assert sums.lot == n("L1")
    assert {line.name: line.difference for line in sums.lines}["stacked"] == 0
    assert any("Counted by hand: 0 discs" in text for text in sums.sentences)


def test_a_neighbour_on_the_press_and_one_of_the_same_compound_are_named(floor):
    related = {(one.lot, one.relation) for one in document(floor).related}
    assert (n("L2"), "same press, set up next to it") in related
    assert (n("L2"), "same compound lot") in related
    assert not any(one.in_scope for one in document(floor).related)


def test_holds_tell_by_whom_and_when_and_lifted_ones_stay(floor):
    at = "2031-03-04T10:00:00+01:00"
    with floor.ledger.writing() as booking:
        items = (HeldItem(n("K11"), None, None), HeldItem(n("L1"), 4, 20))
        booking.record(
            HoldPlaced(n("H1"), n("L1"), items), Stamp(at, "2031-03-04T09:00:01Z", person=n("P2")), "scratch"
        )
    found = document(floor)
    (hold,) = found.holds
    assert (hold.code, hold.placed_by, hold.placed_at, hold.reason) == (n("H1"), "Ben", at, "scratch")
    assert (hold.things, hold.lifted_entry) == (2, None)
    by_code = {one.code: one.hold for one in found.containers}
    assert by_code[n("K11")] == n("H1")
    assert by_code[n("K12")] is None
    assert n("K12") in {row.code for row in found.free}


def test_late_entries_corrections_and_clocks_are_counted(floor):
    late = Stamp("2031-03-03T08:30:00+01:00", "2031-03-05T08:00:00Z", person=n("P2"))
    judged = floor.read("judgement", "seq", order="seq")[0][0]
    with floor.ledger.writing() as booking:
        again = SampleJudged(n("S1"), good=False, defect="scratch")
        append(booking.connection, NewEntry(again, late, "heard again", corrects=judged))
    quality = document(floor).quality
    (correction,) = quality.corrections
    assert (correction.corrects, correction.reason, correction.by) == (judged, "heard again", "Ben")
    (entry,) = quality.late
    assert (entry.entry, entry.by, entry.late_s) == (correction.entry, "Ben", 48 * 3600 + 30 * 60)
    # The shelf clock of these tests runs years ahead of the one that records.
    assert quality.early == quality.entries - 1


def test_no_reads_where_the_carton_was_packed_are_counted(floor):
    assert document(floor).quality.no_reads == 0
    floor.scan(LINE, "NOREAD")
    floor.match(1, 2)
    # What lies in the spool after the no-read counts already.
    assert document(floor).quality.no_reads == 1
    floor.scan(LINE, "CLOSE", "NOREAD")
    assert document(floor).quality.no_reads == 1


def test_nobody_has_it_and_the_reach_says_so(floor):
    found = document(floor)
    assert found.recipients == ()
    assert found.decision.reach == (
        "According to the records no container that can hold an affected disc has left the plant.",
    )
    assert [one.level for one in found.decision.effects] == list("ABCDE")


def test_the_version_is_of_the_answer_and_not_of_the_print(floor):
    first = document(floor)
    assert first.version == document(floor, at="2032-01-01T00:00:00+01:00").version
    assert first.to_json() == document(floor).to_json()
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S4", "#10", "K11", "GOOD", "S4")
    assert document(floor).version != first.version


def test_the_json_is_plain(floor):
    data = document(floor).to_json()
    assert json.loads(json.dumps(data)) == data
    assert data["tiers"][0]["strokes"] == [[15, 20]]
    assert data["free_to_ship"]["count"] == len(data["free_to_ship"]["rows"]) == 2
    assert list(data)[:4] == ["version", "imprint", "answer", "trigger"]


@pytest.mark.parametrize(
    ("cause", "shape"),
    [
        (n("T3"), Shape.FROM_ONSET),
        (n("C1"), Shape.INTERMITTENT),
        (n("carton 1"), Shape.WHOLE_LIFE),
        (n("K11"), Shape.INTERMITTENT),
        (PRESS, Shape.FROM_ONSET),
        (n("T21"), Shape.FROM_ONSET),
    ],
)
def test_every_kind_of_cause_fills_the_document(floor, cause, shape):
    found = document(floor, cause, shape)
    assert found.trigger.cause == cause
    assert found.totals.difference == 0
    assert found.decision.depths


def test_shares_of_effectiveness_checks_are_settings_with_their_source(floor):
    effects = document(floor).decision.effects
    assert [(one.level, one.words.partition(",")[0]) for one in effects] == [
        ("A", "every recipient"),
        ("B", "50 % of the recipients"),
        ("C", "10 % of the recipients"),
        ("D", "2 % of the recipients"),
        ("E", "none"),
    ]
    assert all("not checked against the original text" in one.source for one in effects)
    with floor.ledger._engine.begin() as conn:
        set_setting(conn, "effect_c_percent", 20)
    assert document(floor).decision.effects[2].words == "20 % of the recipients"


@pytest.fixture(scope="module")
def found():
    return document(shipped())


class TestShipped:
    """Two shops have cartons of the lot; see support_cases."""

    def test_each_shop_has_its_order_shipment_day_and_bounds(self, found):
        by_name = {one.name: one for one in found.recipients}
        assert set(by_name) == {"Shop 1", "Shop 9"}
        shop = by_name["Shop 9"]
        (delivery,) = shop.deliveries
        assert (delivery.order, delivery.departed_at, delivery.shipped) == (n("O9"), START, True)
        assert (shop.country, shop.containers, shop.pieces) == ("FR", 1, 5)
        assert (shop.contact, shop.onward) == (None, None)
        # Both together hold no more than the suspect strokes that were packed.
        together = found.recipients_together
        assert together.pieces == sum(one.pieces for one in found.recipients)
        assert together.most <= sum(one.most for one in found.recipients)
        assert together.least >= max(one.least for one in found.recipients)

    def test_what_left_is_not_in_the_plant(self, found):
        left = {held.code for held in found.containers if held.shipped}
        assert left == {n("carton 1"), n("carton 2"), n("carton 3")}
        assert not left & {row.code for row in found.in_plant}
        assert {held.shipped_at for held in found.containers if held.shipped} == {START}

    def test_pallets_shipments_orders_and_countries_have_bounds(self, found):
        assert {one.kind for one in found.groups} == {"pallet", "shipment", "order", "country"}

    def test_the_reach_counts_who_has_it(self, found):
        (sentence,) = found.decision.reach
        assert "3 containers that can hold an affected disc left the plant, to 2 consignees." in sentence
        assert [one.recipients for one in found.decision.effects] == [
            "2 of 2",
            "1 of 2",
            "1 of 2",
            "1 of 2",
            "0 of 2",
        ]

    def test_days_of_departure_can_be_looked_for(self, found):
        (line,) = [one for one in found.identifiers if one.thing == "shipments"]
        assert line.says.count(START[:10]) == 2


def test_a_lot_has_its_catalogue_number_and_the_name_of_its_press(floor):
    with floor.ledger.reading() as conn:
        lot = SqlRecords(conn).lot(n("L1"))
        waiting = SqlRecords(conn).lot(n("L3"))
    assert (lot.catalogue_number, lot.press, lot.press_name) == ("EX 101", n(PRESS), "press 2")
    # Planned, and on no press yet.
    assert (waiting.press, waiting.press_name) == ("", "")
