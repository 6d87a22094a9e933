"""Reasons as cards: scanned where an act asks why, kept as text and code; and numbers as people key them."""

import pytest
from support_each import each
from support_plant import DOCK, LAB, LINE, PRESS, START, TOOL, Floor, carton_sscc, code, n
from support_plantfile import read_plant_file

from tracelink.clock import utc_now
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.reading import NumberKeyed, read_scan
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.entry import Stamp, read_entry
from tracelink.ledger.kinds.station import ReasonNamed
from tracelink.station.acts_of_areas import ACTS_OF
from tracelink.station.line.acts import FORMS
from tracelink.store.stations.judge_again import judge_again

CRUSHED = {"text": "Corner crushed", "area": "line", "acts": ["REJECT", "CLOSE", "TAKEOUT"]}
SHIFT_END = {"text": "End of shift", "area": "line", "acts": ["CLOSE"]}
SCRATCH = {"text": "Scratch", "area": "lab", "acts": ["BAD"]}
RETEST = {"text": "Tested again", "area": "lab", "acts": ["REJUDGE"]}
WET = {"text": "Wet in transit", "area": "dock", "acts": ["RETURN", "REOPEN"]}
REASONS = [CRUSHED, SHIFT_END, SCRATCH, RETEST, WET]


def with_reasons(**settings):
    """A plant with reason cards R1 ... in the order of `REASONS`."""
    floor = Floor.copy(line_reasons=1, **settings)
    data = {"reason": [{"code": code("R", place), **fields} for place, fields in enumerate(REASONS, 1)]}
    with floor.ledger.writing() as booking:
        for body in read_plant_file(data, new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    return floor


def reasons_of(floor, kind):
    kept = floor.read("journal", "canonical", order="seq", kind=kind)
    return [read_entry(bytes(canonical)).reason for (canonical,) in kept]


def packing(floor):
    floor.press(1, stacks=1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    return floor


def test_a_reason_is_scanned_and_kept_as_text_and_code():
    floor = packing(with_reasons())
    floor.play(
        LINE,
        """
        CLOSE -> NEXT; The carton is not full: 2 of 5 in carton. Scan the reason on the card. If it is not there: type " and then the reason, such as "corner crushed.
        disc 1.1 -> STOP wrong-thing; You scanned a disc of 9520000000011. Scan the reason on the card. If it is not there: type " and then the reason, such as "corner crushed.
        R2 -> DONE
        """,
    )
    assert reasons_of(floor, "carton-closed") == [f"End of shift ({n('R2')})"]


def test_a_text_is_taken_beside_cards_unless_the_plant_takes_cards_only():
    floor = packing(with_reasons())
    floor.play(LINE, 'CLOSE | "box torn -> DONE')
    assert reasons_of(floor, "carton-closed") == ["box torn"]
    strict = packing(with_reasons(typed_reasons=0))
    strict.play(
        LINE,
        """
        CLOSE -> NEXT; The carton is not full: 2 of 5 in carton. Scan the reason on the card.
        "box torn -> STOP wrong-thing; You typed "box torn". Scan "Corner crushed" or "End of shift".
        R1 -> DONE
        """,
    )
    assert reasons_of(strict, "carton-closed") == [f"Corner crushed ({n('R1')})"]


def test_where_a_plant_has_no_card_for_an_act_a_text_is_taken_whatever_the_setting():
    floor = with_reasons(typed_reasons=0)
    floor.play(
        TOOL,
        """
        P1 | RETIRE | T4 -> NEXT; Type " and then why it is retired.
        R1 -> STOP wrong-thing; "Corner crushed" is not a reason for RETIRE. Type " and then the reason.
        "worn -> DONE
        """,
    )


def test_a_card_for_another_act_and_an_unknown_card_are_refused():
    floor = packing(with_reasons())
    floor.play(
        LINE,
        """
        CLOSE -> NEXT
        R3 -> STOP wrong-thing; "Scratch" is not a reason for CLOSE. Scan "Corner crushed" or "End of shift".
        R9 -> STOP unknown-code; Reason card {R9} is not in the system.
        B1 -> STOP wrong-thing
        R1 -> DONE
        R1 -> STOP wrong-thing
        """,
    )


def test_a_defect_and_a_reason_of_the_lab_are_scanned():
    floor = with_reasons()
    floor.press(1, stacks=1)
    floor.play(
        LAB,
        """
        P1 | SAMPLE | L1 | S1 | #5 | K11 -> DONE
        BAD | S1 -> NEXT; Scan the defect on the card. If it is not there: type " and then the name of the defect.
        R3 -> DONE; Sample {S1} (lot {L1}, disc 5) is bad: scratch.
        REJUDGE | S1 -> NEXT
        "good -> NEXT; Scan the reason on the card. If it is not there: type " and then why the judgement is corrected.
        R4 -> DONE
        """,
    )
    assert reasons_of(floor, "sample-judged") == [None, f"Tested again ({n('R4')})"]


def test_entries_with_cards_follow_from_their_scans():
    floor = packing(with_reasons())
    floor.scan(LINE, "CLOSE", "R2", carton_sscc(2))
    floor.match(1, 1)
    floor.scan(LINE, "CLOSE", '"by hand')
    with floor.ledger.reading() as conn:
        judged = judge_again(conn)
    assert judged.unforced is None
    assert (judged.left, judged.not_judged) == (0, 0)


@each("act", ReasonAct)
def test_every_act_with_cards_is_one_of_its_area(act):
    words = {form.word for form in ACTS_OF[act.area].forms.values()} if act.area in ACTS_OF else set(FORMS)
    assert act.word in words


def test_every_act_that_asks_why_may_have_cards():
    asking = {
        f"{area} {form.word}"
        for area, acts in ACTS_OF.items()
        for form in acts.forms.values()
        if any(slot.name == "reason" for slot in form.slots)
    }
    named = {act.value for act in ReasonAct if act.area in ACTS_OF}
    assert named == asking | {ReasonAct.LAB_BAD.value}


def plan(**changed):
    return list(read_plant_file({"reason": [{"code": code("R", 1), **CRUSHED, **changed}]}, new_ledger=False))


def test_a_plant_file_names_reasons():
    assert plan() == [ReasonNamed(code("R", 1), "line", "Corner crushed", ("REJECT", "CLOSE", "TAKEOUT"))]


LINE_ACTS = "CLOSE, REJECT, TAKEOUT, REOPEN, MERGE"


@each(
    ("changed", "told"),
    [
        ({"text": " "}, "text is '': expected one line of 1 to 60 characters"),
        ({"text": "x" * 61}, f"text is '{'x' * 61}': expected one line of 1 to 60 characters"),
        ({"area": "roof"}, "area is 'roof': expected one of tool, press, lab, line, dock, process, assembly"),
        ({"acts": []}, f"acts is []: expected one or more of {LINE_ACTS}, each once"),
        ({"acts": ["COUNT"]}, f"acts is ['COUNT']: expected one or more of {LINE_ACTS}, each once"),
        (
            {"acts": ["CLOSE", "CLOSE"]},
            f"acts is ['CLOSE', 'CLOSE']: expected one or more of {LINE_ACTS}, each once",
        ),
        ({"acts": [1]}, f"acts is [1]: expected one or more of {LINE_ACTS}, each once"),
        ({"code": code("L", 1)}, f"code is {code('L', 1)}: expected a reason card, found a lot card"),
    ],
)
def test_a_faulty_reason_is_named(changed, told):
    with pytest.raises(UsageError) as caught:
        plan(**changed)
    assert str(caught.value) == f"[[reason]] number 1: {told}"


@each("keyed", ["0", "412", "123456789"])
def test_a_number_without_its_sign_is_told_what_to_key(keyed):
    assert read_scan(f"#{keyed}") == NumberKeyed(int(keyed))
    with pytest.raises(IdentifierError) as caught:
        read_scan(keyed)
    assert str(caught.value).startswith(f"{keyed} has no # before it: key #{keyed}. ")


def test_a_number_without_its_sign_stops_an_act_and_does_not_end_it():
    floor = with_reasons()
    floor.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.play(PRESS, "STACK | K11 -> NEXT")
    floor.play(PRESS, "412 -> STOP wrong-symbology; 412 has no # before it: key #412....")
    floor.play(PRESS, "#412 -> DONE")


def measuring(**settings):
    floor = Floor.copy(**settings)
    floor.press(1, stacks=1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#5", "K11", "MEASURE", "S1")
    return floor


def test_a_measured_value_has_a_point_or_where_the_plant_says_so_a_comma():
    floor, comma = measuring(), measuring(decimal_comma=1)
    floor.play(
        LAB,
        """
        "mass=141,2 g -> STOP wrong-format; "mass=141,2 g" is not a measured value. Here a point stands before the decimals. Type it as name=value unit, such as mass=141.2 g.
        "mass=141.2 g -> DONE; Sample {S1}: mass 141.2 g.
        """,
    )
    comma.play(
        LAB,
        """
        "mass=141.2 g -> STOP wrong-format; "mass=141.2 g" is not a measured value. Here a comma stands before the decimals. Type it as name=value unit, such as mass=141,2 g.
        "mass=141,2 g -> DONE; Sample {S1}: mass 141,2 g.
        """,
    )
    for each_floor in (floor, comma):
        assert each_floor.rows("SELECT quantity, value, unit FROM measurement") == [("mass", "141.2", "g")]


def test_what_was_returned_and_reopened_at_the_dock_asks_for_the_card_of_the_dock():
    floor = with_reasons()
    floor.play(DOCK, "P1 | REOPEN -> NEXT; Scan the pallet.")
