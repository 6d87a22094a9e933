"""What a station says it takes next, against what it takes when that is scanned."""

import ast
import re
from importlib.resources import files
from pathlib import Path

import pytest
from support_plant import DOCK, LAB, LINE, PRESS, TOOL_2, Floor, n, raw
from support_process import BLENDER, STEPS, process_floor

import tracelink.station
from tracelink.identity.reading import NumberKeyed
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.packs import RawScan
from tracelink.printing.act_meanings import acts_of
from tracelink.station.acts_of_areas import ACTS_OF
from tracelink.station.common.awaited import AWAITED, AwaitedThing, Keyed, awaited_for
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.takes_next import takes_next
from tracelink.store.office.board import waits_at

BEGINS = {"tool": TOOL_2, "press": PRESS, "lab": LAB, "dock": DOCK, "line": LINE}


def asked(floor, area):
    station = STEPS if area == "process" else BEGINS[area]
    with floor.ledger.dry_run() as booking:
        opened = booking._open(station)
        scan = RawScan(opened.last_number + 1, floor.at, "")
        return takes_next(area, opened.state, station, scan, booking.queries)


def tried(floor, area, word):
    """Whether a station takes an act card when it is scanned."""
    station = BEGINS[area]
    with floor.ledger.dry_run() as booking:
        number = booking.last_number(station) + 1
        decision = booking.judged(station, RawScan(number, floor.at, raw(word)))
    return all(act.body.kind != "scan-refused" for act in decision.acts)


def slot_names():
    """Every name of a slot that is written out in the stations."""
    for path in Path(tracelink.station.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Slot":
                [name, *_] = node.args
                if isinstance(name, ast.Constant):
                    yield name.value


def test_of_every_slot_is_known_what_comes():
    names = {*slot_names()}
    assert len(names) > 30
    assert {name: awaited_for(name) for name in names}
    numbered = ("piece_3", "sleeve_12", "back-2", "lot 1")
    assert [awaited_for(name) for name in numbered] == [
        AWAITED[name] for name in ("piece", "sleeve", "back", "lot")
    ]


@pytest.mark.parametrize("area", BEGINS)
def test_nobody_can_act_before_a_badge(area):
    found = asked(Floor.copy(), area)
    assert (found.acts, found.awaited.thing) == ((), AwaitedThing.BADGE)


@pytest.mark.parametrize("area", BEGINS)
def test_the_acts_of_now_are_those_that_are_taken_when_scanned(area):
    floor = Floor.copy()
    floor.scan(BEGINS[area], "P1")
    found = asked(floor, area)
    words = [row.word for row in acts_of(area)]
    assert {*found.acts} == {word for word in words if tried(floor, area, word)}
    assert {"SIGNOFF"} < {*found.acts} < {*words}


def test_who_lacks_the_role_is_shown_no_act():
    floor = Floor.copy()
    floor.scan(LAB, "P3")
    assert asked(floor, "lab").acts == ("SIGNOFF",)
    assert not asked(floor, "lab").is_unfinished


def test_a_line_waits_for_one_thing_after_the_other():
    floor = Floor.copy()
    floor.press(2, first_card=21)
    floor.press(3, first_card=31)
    seen = []
    for line in ("P1", "CLEAR", "P2", "B2", "K21", "K31", "carton 1", "disc 2.1", "sleeve 2", "disc 2.2"):
        floor.scan(LINE, line)
        seen.append(asked(floor, "line").awaited.thing.value)
    assert seen == [
        "action",
        "badge",
        "sleeve-batch",
        "spindle",
        "carton",
        "carton",
        "disc",
        "sleeve",
        "disc",
        "sleeve",
    ]
    pending = asked(floor, "line").acts
    assert "STOP" in pending
    assert "HANDOVER" not in pending


def test_a_line_whose_spindle_the_records_show_as_empty_waits_for_the_next_one():
    floor = Floor.copy()
    floor.press(1, strokes=2, stacks=2)
    floor.scan(LINE, "P1", "CLEAR", "P2", "B1", "K11", "carton 1", "disc 1.1")
    assert asked(floor, "line").awaited.thing is AwaitedThing.SLEEVE
    floor.scan(LINE, "sleeve 1")
    assert asked(floor, "line").awaited.thing is AwaitedThing.SPINDLE
    with floor.ledger.reading() as conn:
        waits = waits_at(conn, LINE, floor.at)
    assert waits.sentence == "Scan the card of the next stack: the system shows spindle K000011O as empty."
    # By the same records the next disc is refused, and the next card is taken.
    assert floor.scan(LINE, "disc 1.1").finding is FindingCode.SPINDLE_EMPTY
    floor.scan(LINE, "RECHECK", "disc 1.1", "sleeve 1", "K12")
    assert asked(floor, "line").awaited.thing is AwaitedThing.DISC


def test_an_act_that_asks_for_a_number_has_its_keypad():
    floor = Floor.copy()
    floor.press(1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1")
    found = asked(floor, "lab")
    assert (found.awaited.thing, found.acts) == (AwaitedThing.NUMBER, ("CANCEL",))
    assert found.is_unfinished
    assert Keyed.NUMBER in found.awaited.keyed


def test_a_stopped_line_shows_what_it_takes():
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1)
    floor.scan(LINE, "disc 2.1")
    found = asked(floor, "line")
    words = [row.word for row in acts_of("line")]
    assert {*found.acts} == {word for word in words if tried(floor, "line", word)}
    assert "RECHECK" in found.acts
    assert "CLEAR" not in found.acts


def test_the_page_of_a_station_has_a_picture_of_everything_that_is_awaited():
    page = files("tracelink.web.station").joinpath("templates/station.html.j2").read_text(encoding="utf-8")
    assert {thing for thing in AwaitedThing if f'<symbol id="thing-{thing}"' not in page} == set()


def test_the_page_of_a_station_has_words_for_everything_that_is_awaited():
    drawing = files("tracelink.web.station").joinpath("static/draw.js").read_text(encoding="utf-8")
    words = drawing.partition("const THINGS = {")[2].partition("};")[0]
    told = {first or second for first, second in re.findall(r'(?:"([a-z-]+)"|\b([a-z]+)): "', words)}
    assert told == {*AwaitedThing}


@pytest.mark.parametrize(
    ("area", "act", "thing", "keyed"),
    [
        ("dock", "RETURN", AwaitedThing.CARTON_OR_PALLET, ()),
        ("dock", "PUT", AwaitedThing.CARTON_OR_PALLET, ()),
        ("dock", "DESTROY", AwaitedThing.CARTON, (Keyed.NUMBER,)),
        ("dock", "COUNT", AwaitedThing.ANY, ()),
        ("press", "COUNT", AwaitedThing.ANY, ()),
        ("lab", "SORT", AwaitedThing.SPINDLE, (Keyed.NUMBER,)),
    ],
)
def test_a_keypad_stands_there_only_where_a_number_is_taken(area, act, thing, keyed):
    floor = Floor.copy()
    floor.press(1)
    floor.scan(BEGINS[area], "P1", act)
    found = asked(floor, area).awaited
    assert (found.thing, found.keyed) == (thing, keyed)
    verdict = floor.scan(BEGINS[area], "#1")
    assert (verdict.finding is FindingCode.WRONG_THING) is (not keyed)


def test_no_slot_that_has_a_keypad_says_that_another_thing_belongs_there_when_a_number_is_keyed():
    floor = process_floor()
    with floor.ledger.dry_run() as booking:
        context = ScanContext(booking.queries, STEPS, booking.queries.person(n("P1")), floor.at)
        tried, misled = 0, []
        for area, acts in ACTS_OF.items():
            for form in (*acts.forms.values(), *acts.by_scan.values()):
                for slot in form.slots:
                    if Keyed.NUMBER in awaited_for(slot.name, form.word).keyed:
                        tried += 1
                        misled += [(area, form.word, slot.name)] * _is_another_thing(slot, context)
    assert tried > 40
    assert misled == []


def _is_another_thing(slot, context):
    try:
        slot.accept(NumberKeyed(1), {}, context)
    except Refused as refused:
        return refused.finding.sentence.startswith("You keyed")
    except (KeyError, AssertionError):
        # It looks at what was scanned before, which nobody did here.
        return False
    return False


def test_a_disc_that_is_missed_has_a_stroke_and_no_field_for_a_text():
    floor = Floor.copy()
    floor.press(1)
    floor.scan(LAB, "P1", "MISSED", "L1")
    assert asked(floor, "lab").awaited.keyed == (Keyed.NUMBER,)
    assert floor.scan(LAB, '"unknown').finding is FindingCode.WRONG_THING


def test_an_amount_with_its_unit_is_typed_and_has_no_keypad():
    floor = process_floor()
    floor.scan(STEPS, "P41", "BEGIN", "X1", BLENDER, "TAKE", "X1")
    found = asked(floor, "process").awaited
    assert (found.thing, found.keyed) == (AwaitedThing.ANY, ())
    floor.scan(STEPS, "C1")
    found = asked(floor, "process").awaited
    assert (found.thing, found.keyed) == (AwaitedThing.TEXT, (Keyed.TEXT,))
