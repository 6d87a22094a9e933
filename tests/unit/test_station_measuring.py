"""Measured values at the bench: tied to side, gauge and the limit of the day; once, unless a cause is recorded."""

import pytest
from support_each import each
from support_lab import add_to, lab_floor
from support_plant import LAB, code, n
from support_plantfile import read_plant_file

from tracelink.errors import UsageError
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.measured_values import is_readable, standing_of
from tracelink.services.desks.lab_results import lab_results
from tracelink.store.stations.judge_again import judge_again


@pytest.fixture
def floor():
    return lab_floor()


COLUMNS = ("sample", "test", "side", "value", "unit", "gauge", "standing", "overdue", "replaced_by")


def results(floor):
    return floor.read("lab_result", *COLUMNS, order="seq")


class TestAMeasuredValue:
    def test_is_tied_to_its_side_gauge_and_limit(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE -> NEXT; Scan the sample tag.
            S1 -> NEXT; Type " and then name=value unit, such as mass=141.2 g. Measured here: mass in g, noise in dB, ticks in ticks.
            "noise=-57.2 dB -> NEXT; Type " and then the side that was measured, A or B.
            "b -> NEXT; Scan the gauge it was measured with.
            G1 -> DONE; Sample {n("S1")}: noise -57.2 dB on side B, within the limit (at most -55.0 dB).
            """,
        )
        assert results(floor) == [(n("S1"), "noise", "B", "-57.2", "dB", n("G1"), "within", 0, None)]
        [(limit,)] = floor.read("lab_result", "limit_seq")
        assert floor.read("lab_limit", "upper", "gtin", seq=limit) == [("-55.0", None)]

    def test_outside_its_limit_proposes_a_defect_and_nobody_calls_the_disc_good(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "noise=-52.1 dB | "A -> NEXT
            G1 -> STOP value-outside; Sample {n("S1")}: noise -52.1 dB on side A, outside the limit (at most -55.0 dB). Judge the disc; "surface noise" is proposed: scan BAD.
            GOOD -> NEXT
            S1 -> STOP value-outside; Sample {n("S1")} has noise -52.1 dB on side A, outside the limit (at most -55.0 dB). Scan CANCEL, then BAD; a value that was measured wrongly is measured again with RETEST.
            CANCEL -> DONE
            BAD | S1 | "surface noise -> DONE
            REJUDGE | S1 -> NEXT
            "good -> STOP value-outside
            """,
        )
        assert floor.read("finding", "finding", "subject", "expected", "found", order="seq")[0] == (
            "value-outside", n("S1"), "at most -55.0 dB", "-52.1 dB",
        )  # fmt: skip

    def test_of_the_whole_disc_asks_for_no_side(self, floor):
        floor.play(
            LAB, 'MEASURE | S1 | "mass=141.2 g -> NEXT; Scan the gauge it was measured with.\nCANCEL -> DONE'
        )

    def test_is_marked_where_the_gauge_is_overdue_and_not_dropped(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "mass=141.2 g -> NEXT
            G2 -> DONE; Sample {n("S1")}: mass 141.2 g, within the limit (138 to 144.5 g). Gauge {n("G2")} was due on 2031-03-02; the value counts and is marked.
            """,
        )
        assert [row[-3:] for row in results(floor)] == [("within", 1, None)]

    def test_under_no_limit_says_neither_good_nor_bad(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "ticks=3 ticks | "A -> NEXT
            G1 -> DONE; Sample {n("S1")}: ticks 3 ticks on side A, and no limit of ticks holds: it says neither good nor bad.
            GOOD | S1 -> DONE
            """,
        )

    def test_is_refused_with_what_was_expected(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 -> NEXT
            "warp=0.6 mm -> STOP unknown-test; "warp" is not measured in this lab. Expected mass, noise or ticks.
            "noise=-57.2 dBA -> STOP wrong-unit; noise is measured in dB, not dBA. Nothing is converted; give it in dB.
            "noise=-57,2 dB -> STOP wrong-format; "noise=-57,2 dB" is not a measured value. Here a point stands before the decimals. Type it as name=value unit, such as mass=141.2 g.
            "noise=-57.25 dB -> NEXT
            "C -> STOP wrong-format; Side "C" of noise: expected A or B, as it is measured on each side.
            "A -> NEXT
            G9 -> STOP unknown-code; Gauge {n("G9")} is not in the system. Expected one of the gauges of the plant file.
            G2 -> STOP wrong-gauge; Gauge {n("G2")} (scale) measures mass, not noise. Scan the gauge that was used.
            G1 -> STOP finer-than-gauge; Gauge {n("G1")} (groove tester) reads in steps of 0.1; it cannot have shown -57.25. Read value and gauge again; if the value was typed wrongly, scan CANCEL first.
            """,
        )
        assert results(floor) == []

    def test_has_the_decimal_sign_of_the_plant_and_is_kept_with_a_point(self):
        floor = lab_floor(decimal_comma=1)
        floor.play(
            LAB,
            f"""
            MEASURE | S1 -> NEXT
            "noise=-57.2 dB -> STOP wrong-format
            "noise=-57,2 dB | "A | G1 -> DONE; Sample {n("S1")}: noise -57,2 dB on side A, within the limit (at most -55.0 dB).
            """,
        )
        assert [row[3] for row in results(floor)] == ["-57.2"]

    def test_goes_by_the_limit_of_its_product_where_there_is_one(self, floor):
        floor.press(4)
        floor.play(
            LAB, 'SAMPLE | L4 | S9 | #3 | K41 -> DONE\nMEASURE | S9 | "noise=-52.1 dB | "A | G1 -> DONE'
        )


class TestALimit:
    def test_set_later_changes_no_value_of_before(self, floor):
        floor.play(LAB, 'MEASURE | S1 | "noise=-56.0 dB | "A | G1 -> DONE')
        before = results(floor)
        add_to(floor, {"limit": [{"test": "noise", "upper": "-58.0", "since": "2031-03-03"}]})
        assert results(floor) == before
        floor.play(LAB, 'MEASURE | S2 | "noise=-56.0 dB | "A | G1 -> STOP value-outside')

    def test_holds_from_its_day_on(self, floor):
        add_to(floor, {"limit": [{"test": "noise", "upper": "-58.0", "since": "2031-03-04"}]})
        floor.play(LAB, 'MEASURE | S1 | "noise=-56.0 dB | "A | G1 -> DONE')
        floor.at = "2031-03-04T00:10:00+01:00"
        floor.play(LAB, 'MEASURE | S2 | "noise=-56.0 dB | "A | G1 -> STOP value-outside')


class TestASecondValue:
    """No testing into compliance: a value is measured once, again only with a cause, and never by one person alone
    where the one before is outside its limit."""

    def test_needs_a_cause(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "noise=-57.2 dB | "A | G1 -> DONE
            MEASURE | S1 | "noise=-58.2 dB -> NEXT
            "A -> STOP measured-already; Sample {n("S1")} has noise -57.2 dB on side A already. A second value needs a cause: scan CANCEL, then RETEST.
            "B | G1 -> DONE
            RETEST | S1 | "noise=-58.2 dB | "A | G1 -> NEXT; Type " and then why the value before does not count.
            "stylus was worn -> DONE
            """,
        )
        assert [(row[2], row[3], row[-1] is None) for row in results(floor)] == [
            ("A", "-57.2", False),
            ("B", "-58.2", True),
            ("A", "-58.2", True),
        ]

    def test_in_place_of_one_outside_its_limit_needs_two_people(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "mass=150.0 g | G2 -> STOP value-outside
            RETEST | S1 | "mass=141.0 g | G2 | "typed wrongly -> NEXT; The value before is outside its limit: scan the badge of the second person who agrees.
            P1 -> STOP same-person
            P2 -> DONE; Sample {n("S1")}: mass 141.0 g, within the limit (138 to 144.5 g). Gauge {n("G2")} was due on 2031-03-02; the value counts and is marked.
            GOOD | S1 -> DONE
            """,
        )
        assert floor.count("lab_result") == 2

    def test_of_what_was_never_measured_is_a_first_one(self, floor):
        floor.play(
            LAB,
            f"""
            RETEST | S1 -> NEXT
            "mass=150.0 g -> STOP not-measured; Sample {n("S1")} has no mass yet. Scan CANCEL, then MEASURE.
            "noise=-57.2 dB | "A -> STOP not-measured; Sample {n("S1")} has no noise on side A yet. Scan CANCEL, then MEASURE.
            """,
        )


def test_every_value_is_forced_by_its_scans_and_rebuilt(floor):
    floor.play(
        LAB,
        """
        MEASURE | S1 | "mass=150.0 g | G2 -> STOP value-outside
        RETEST | S1 | "mass=141.0 g | G2 | "typed wrongly | P2 -> DONE
        """,
    )
    with floor.ledger.reading() as conn:
        found = judge_again(conn)
    assert found.unforced is None
    assert found.forced > 0


PLAN_FAULTS = [
    ("lab_test", {"name": "Noise", "unit": "dB", "measured_on": "side", "method": "m", "defect": "d"},
     "[[lab_test]] number 1: name is 'Noise': expected small letters, such as noise or off centre"),
    ("lab_test", {"name": "noise", "unit": "d B", "measured_on": "side", "method": "m", "defect": "d"},
     "[[lab_test]] number 1: unit is 'd B': expected up to 10 letters, %, °, µ or /"),
    ("lab_test", {"name": "noise", "unit": "dB", "measured_on": "edge", "method": "m", "defect": "d"},
     "[[lab_test]] number 1: measured_on is 'edge': expected one of side, disc"),
    ("limit", {"test": "noise", "since": "2031-01-01"},
     "[[limit]] number 1: the limit is empty: expected lower, upper or both"),
    ("limit", {"test": "noise", "lower": "2", "upper": "1.5", "since": "2031-01-01"},
     "[[limit]] number 1: lower is 2, above upper 1.5: nothing would be within it"),
    ("limit", {"test": "noise", "upper": "-55,0", "since": "2031-01-01"},
     "[[limit]] number 1: upper is '-55,0': expected a number as text with a point, such as \"-55.0\""),
    ("gauge", {"code": code("G", 5), "name": "g", "tests": [], "resolution": "0.1", "calibrated": "2031-01-01", "due": "2031-02-01"},
     "[[gauge]] number 1: tests is (): expected names of lab tests, each once"),
    ("gauge", {"code": code("G", 5), "name": "g", "tests": ["noise"], "resolution": "0", "calibrated": "2031-01-01", "due": "2031-02-01"},
     "[[gauge]] number 1: resolution is 0: expected a step of more than 0"),
    ("calibrated_gauge", {"gauge": code("G", 1), "calibrated": "2031-02-02", "due": "2031-02-01"},
     "[[calibrated_gauge]] number 1: due is 2031-02-01, before 2031-02-02, when it was calibrated"),
]  # fmt: skip


@each(("section", "fields", "sentence"), PLAN_FAULTS)
def test_a_wrong_field_of_the_plant_file_is_named(section, fields, sentence):
    with pytest.raises(UsageError) as raised:
        list(read_plant_file({section: [fields]}, new_ledger=False))
    assert sentence in str(raised.value)


class TestStanding:
    """ISO/IEC Guide 98-4 leaves guard bands to an agreement; here a value on the limit is within it (choice of this program)."""

    @pytest.mark.parametrize(
        ("value", "lower", "upper", "expected"),
        [
            ("-55.0", None, "-55", LimitStanding.WITHIN),
            ("-54.9", None, "-55.0", LimitStanding.OUTSIDE),
            ("138", "138.0", "144.5", LimitStanding.WITHIN),
            ("137.999999", "138", None, LimitStanding.OUTSIDE),
            ("0.1", None, "0.10", LimitStanding.WITHIN),
            ("7", None, None, LimitStanding.NO_LIMIT),
        ],
    )
    def test_by_the_decimals_as_written(self, value, lower, upper, expected):
        assert standing_of(value, lower, upper) is expected

    def test_a_gauge_shows_whole_steps_only(self):
        assert is_readable("-57.3", "0.1")
        assert is_readable("0.15", "0.05")
        assert not is_readable("0.12", "0.05")


def test_results_of_tools_come_by_stroke_and_side(floor):
    floor.play(
        LAB,
        """
        MEASURE | S2 | "noise=-57.0 dB | "A | G1 -> DONE
        MEASURE | S1 | "noise=-58.0 dB | "A | G1 -> DONE
        MEASURE | S1 | "noise=-59.0 dB | "B | G1 -> DONE
        MEASURE | S1 | "mass=141.0 g | G2 -> DONE
        """,
    )
    with floor.ledger.reading() as conn:
        of = {name: lab_results(conn, n(name)) for name in ("T4", "T14", "T3", "W2", "L1", "S2")}
        noise = lab_results(conn, n("T1"), "noise")
    values = {
        name: [(each.life_a, each.side, each.value) for each in got.results] for name, got in of.items()
    }
    both = [(3, "A", "-58.0"), (3, "B", "-59.0"), (3, None, "141.0"), (12, "A", "-57.0")]
    assert values["T4"] == [both[0], both[2], both[3]]
    assert values["T14"] == [both[1], both[2]]
    assert values["T3"] == values["T4"]
    assert values["W2"] == values["L1"] == both
    assert values["S2"] == both[3:]
    assert [each.value for each in noise.results] == ["-58.0", "-57.0"]
    assert of["L1"].results[0].limit_entry is not None
