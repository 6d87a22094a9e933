"""The lab and quality: draw samples at a stroke, judge, measure, decide on lots, hold and lift holds."""

import re

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import DiscRead, LogisticRead, PlantRead, Reading, SleeveRead, TextKeyed
from tracelink.ledger.kinds.base import COUNTER, SET_UP, Moved
from tracelink.ledger.kinds.lab import (
    HeldItem,
    HoldLifted,
    HoldPlaced,
    LotDecided,
    SampleDrawn,
    SampleJudged,
    SampleMeasured,
)
from tracelink.station.counting import count_form
from tracelink.station.facts import Lot, Sample
from tracelink.station.forms import (
    Bench,
    Done,
    Form,
    Scene,
    Slot,
    Values,
    keyed_text,
    misplaced,
    number,
    plant_code,
)
from tracelink.station.outcome import Act, Refused, counted
from tracelink.station.press import counter_reading
from tracelink.station.toolroom import reason

_MEASUREMENT = re.compile(r"([a-z][a-z_ ]{0,30})=([+-]?[0-9]{1,9}(?:\.[0-9]{1,6})?) ?([A-Za-z%°µ/]{1,10})")
GOOD = "good"
"""What is keyed instead of a defect's name when a judgement is corrected to good."""

_QUANTITY_FORM = "name=value unit, such as mass=141.2 g"


def _pressed_lot(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.LOT, reading, "a lot card")
    lot = scene.world.lot(code)
    if lot is None:
        raise Refused("unknown-code", f"Lot card {code} is not known to the ledger.", subject=code)
    if lot.segment is None:
        raise Refused("not-pressed", f"Lot {code} is {lot.status}; it has no discs yet.", subject=code)
    return code


def _lot(values: Values, scene: Scene) -> Lot:
    lot = scene.world.lot(values["lot"])
    assert lot is not None
    return lot


def _new_sample(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.SAMPLE, reading, "a new sample tag")
    if scene.world.sample(code) is not None:
        raise Refused("tag-in-use", f"Sample tag {code} is in use already. Take a new tag.", subject=code)
    return code


def _stroke(reading: Reading, values: Values, scene: Scene) -> int:
    stroke = number(reading, "the stroke of the disc")
    lot = _lot(values, scene)
    if stroke < 1 or (lot.status == "pressed" and stroke > lot.counter):
        raise Refused(
            "no-such-stroke",
            f"Lot {lot.code} has strokes 1 to {lot.counter}; there is no disc {stroke}.",
            subject=lot.code,
            expected=f"1 to {lot.counter}",
            found=str(stroke),
        )
    earlier = scene.world.sample_at(lot.code, stroke)
    if earlier is not None:
        raise Refused(
            "already-sampled", f"Disc {stroke} of {lot.code} has sample tag {earlier}.", subject=lot.code
        )
    return stroke


def _draw(values: Values, scene: Scene) -> Done:
    lot, stroke = _lot(values, scene), values["stroke"]
    source = scene.world.spindle_with(lot.code, stroke) or COUNTER
    if source == SET_UP:
        raise Refused(
            "thrown-out",
            f"Stroke {stroke} of {lot.code} was thrown out at set-up. Read the stroke again, or tell quality.",
            subject=lot.code,
        )
    if source != COUNTER:
        spindle = scene.world.spindle(source)
        if spindle is None or spindle.remaining < 1:
            raise Refused(
                "spindle-empty",
                f"Stroke {stroke} of {lot.code} was stacked on {source}, which is empty by the records. "
                "Read the stroke again, or tell quality.",
                subject=source,
            )
    reading = counter_reading(lot, max(stroke, lot.counter))
    moved = Moved(lot.code, 1, source, values["sample"], stroke, stroke)
    body = SampleDrawn(values["sample"], stroke, reading, moved)
    return Done((Act(body),), f"Sample {body.sample} is disc {stroke} of lot {lot.code}.")


def _sample(scene: Scene, code: str) -> Sample:
    sample = scene.world.sample(code)
    if sample is None:
        raise Refused("unknown-code", f"Sample tag {code} is not known to the ledger.", subject=code)
    return sample


def _any_sample(reading: Reading, _values: Values, scene: Scene) -> str:
    return _sample(scene, plant_code(CodeKind.SAMPLE, reading, "a sample tag")).code


def _unjudged_sample(reading: Reading, values: Values, scene: Scene) -> str:
    code = _any_sample(reading, values, scene)
    if _sample(scene, code).judged_seq is not None:
        raise Refused(
            "already-judged",
            f"Sample {code} is judged already. To correct it scan CANCEL, then REJUDGE.",
            subject=code,
        )
    return code


def _judged_sample(reading: Reading, values: Values, scene: Scene) -> str:
    code = _any_sample(reading, values, scene)
    if _sample(scene, code).judged_seq is None:
        raise Refused(
            "not-judged",
            f"Sample {code} has no judgement to correct. Scan CANCEL, then GOOD or BAD.",
            subject=code,
        )
    return code


def _defect(reading: Reading, _values: Values, _scene: Scene) -> str:
    defect = keyed_text(reading, "the defect's name").strip().lower()
    if defect == GOOD:
        raise Refused(
            "wrong-format",
            "A bad sample has a defect, not the word good. Key the defect's name, or scan CANCEL and GOOD.",
            subject=defect,
            expected="the defect's name",
            found=defect,
        )
    return defect


def _good_or_defect(reading: Reading, _values: Values, _scene: Scene) -> str:
    return keyed_text(reading, "good, or the defect's name").strip().lower()


def _judge(values: Values, scene: Scene) -> Done:
    sample = _sample(scene, values["sample"])
    defect = values.get("defect")
    good = defect in (None, GOOD)
    body = SampleJudged(sample.code, good, None if good else defect)
    word = "good" if good else f"bad: {defect}"
    act = Act(body, values.get("reason"), sample.judged_seq)
    return Done((act,), f"Sample {sample.code} (lot {sample.lot}, disc {sample.stroke}) is {word}.")


def _measurement(reading: Reading, _values: Values, _scene: Scene) -> str:
    text = keyed_text(reading, f"a measured value, {_QUANTITY_FORM}").strip()
    if not _MEASUREMENT.fullmatch(text):
        raise Refused(
            "wrong-format",
            f'"{text}" is no measured value: key it as {_QUANTITY_FORM}.',
            subject=text,
            expected=_QUANTITY_FORM,
            found=text,
        )
    return text


def _measure(values: Values, _scene: Scene) -> Done:
    match = _MEASUREMENT.fullmatch(values["value"])
    assert match is not None
    quantity, value, unit = match.groups()
    body = SampleMeasured(values["sample"], quantity.strip(), value, unit)
    return Done((Act(body),), f"Sample {body.sample}: {body.quantity} {value} {unit}.")


def _second_person(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.PERSON, reading, "the badge of a second person")
    return second_person(code, "quality", scene)


def second_person(code: str, role: str, scene: Scene) -> str:
    """Return the badge of somebody else who may agree to this act."""
    person = scene.world.person(code)
    # `machine` refuses an unknown badge before any slot sees it.
    assert person is not None
    if code == scene.person.code:
        raise Refused(
            "same-person",
            f"{person.name} cannot agree with themselves: a second person is needed.",
            subject=code,
        )
    if role not in person.roles:
        raise Refused(
            "wrong-role", f"{person.name} has not the role {role}. Ask somebody who has it.", subject=code
        )
    return code


def _release(values: Values, scene: Scene) -> Done:
    lot = _lot(values, scene)
    if lot.decision == "rejected":
        raise Refused(
            "lot-rejected",
            f"Lot {lot.code} was rejected. Releasing it takes two people: scan CANCEL, then OVERRULE.",
            subject=lot.code,
        )
    _require_releasable(lot, scene)
    judged, bad = scene.world.judged(lot.code)
    if bad:
        raise Refused(
            "bad-samples",
            f"{bad} of {counted(judged, 'judged sample')} of lot {lot.code} {'is' if bad == 1 else 'are'} bad. "
            "Releasing it all the same takes two people: scan CANCEL, then OVERRULE.",
            subject=lot.code,
            expected="no bad sample",
            found=str(bad),
        )
    body = LotDecided(lot.code, "released", None)
    on = f"{counted(judged, 'sample')} judged, none bad" if judged else "no disc of it was judged"
    return Done((Act(body, values["reason"]),), f"{scene.person.name} released lot {lot.code}: {on}.")


def _require_releasable(lot: Lot, scene: Scene) -> None:
    """Refuse to release what is still being made, or is on hold, however many people agree."""
    if lot.status != "pressed":
        raise Refused(
            "not-pressed",
            f"Lot {lot.code} is {lot.status}: it can be released when it is pressed, and all of it was judged.",
            subject=lot.code,
            expected="pressed",
            found=lot.status,
        )
    notice = scene.world.hold_on(lot.code)
    if notice is not None:
        raise Refused(
            "on-hold",
            f"Lot {lot.code} is on hold {notice.hold}: {notice.reason}. Lift the hold first.",
            subject=lot.code,
        )
    _refuse_investigated(lot.code, scene)


def _refuse_investigated(lot: str, scene: Scene) -> None:
    """A lot whose numbers, or whose labels' numbers, do not add up is not released while that is looked into."""
    found = scene.world.open_investigation(lot)
    if found is None:
        return
    about = "" if found.subject == lot else f" of {found.subject}"
    off = "not known" if found.difference is None else f"{found.difference:+d}"
    raise Refused(
        "under-investigation",
        f"Lot {lot} is not released while investigation {found.number}{about} is open (difference "
        f"{off}: {found.reason}). Close it first: runout investigate close.",
        subject=lot,
        expected="no open investigation",
        found=str(found.number),
    )


def _overrule(values: Values, scene: Scene) -> Done:
    _require_releasable(_lot(values, scene), scene)
    body = LotDecided(values["lot"], "released", values["second_person"])
    return Done((Act(body, values["reason"]),), f"Lot {body.lot} is released by two people.")


def _reject(values: Values, scene: Scene) -> Done:
    body = LotDecided(values["lot"], "rejected", None)
    return Done((Act(body, values["reason"]),), f"{scene.person.name} rejected lot {body.lot}.")


def _anything(reading: Reading, _values: Values, scene: Scene) -> str:
    code = _subject(reading)
    if not scene.world.is_known(code):
        raise Refused("unknown-code", f"{code} is not known to the ledger; it cannot be held.", subject=code)
    return code


def _subject(reading: Reading) -> str:
    if isinstance(reading, PlantRead) and reading.code.kind not in (CodeKind.PERSON, CodeKind.HOLD):
        return reading.code.text
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return str(reading.sscc)
    if isinstance(reading, SleeveRead) and reading.serial is not None:
        return numbered_subject(reading.gtin.gtin13, reading.serial)
    if isinstance(reading, DiscRead | SleeveRead):
        raise misplaced(reading, "one thing (a lot, tool, spindle, carton, pallet, batch or numbered sleeve)")
    raise misplaced(reading, "the thing to hold")


def numbered_subject(gtin: str, number_text: str) -> str:
    """Return the text by which a numbered sleeve is held: its GS1 elements (01) and (21)."""
    return f"(01){gtin:0>14}(21){number_text}"


def _hold(values: Values, scene: Scene) -> Done:
    subject = values["subject"]
    code = scene.world.next_code("H")
    body = HoldPlaced(code, subject, (HeldItem(subject, None, None),))
    return Done((Act(body, values["reason"]),), f"{subject} is on hold {code}.")


def _open_hold(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.HOLD, reading, "a hold")
    if scene.world.open_hold(code) is None:
        raise Refused("unknown-code", f"There is no open hold {code}.", subject=code)
    return code


def _lift(values: Values, _scene: Scene) -> Done:
    body = HoldLifted(values["hold"], values["second_person"])
    return Done((Act(body, values["reason"]),), f"Hold {body.hold} is lifted by two people.")


_LOT = Slot("lot", "Scan the lot card.", _pressed_lot)
_REASON = Slot("reason", "Key a quote sign and the reason.", reason)
_SECOND = Slot("second_person", "Scan the badge of the second person.", _second_person)

FORMS = (
    Form(
        "SAMPLE",
        "lab",
        (
            _LOT,
            Slot("sample", "Scan a new sample tag.", _new_sample),
            Slot("stroke", "Key the stroke of the disc, such as #250.", _stroke),
        ),
        _draw,
    ),
    Form("GOOD", "lab", (Slot("sample", "Scan the sample tag.", _unjudged_sample),), _judge),
    Form(
        "BAD",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _unjudged_sample),
            Slot("defect", "Key the defect's name.", _defect),
        ),
        _judge,
    ),
    Form(
        "REJUDGE",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _judged_sample),
            Slot("defect", "Key good, or the defect's name.", _good_or_defect),
            Slot("reason", "Key why the judgement is corrected.", reason),
        ),
        _judge,
    ),
    Form(
        "MEASURE",
        "lab",
        (
            Slot("sample", "Scan the sample tag.", _any_sample),
            Slot("value", f"Key {_QUANTITY_FORM}.", _measurement),
        ),
        _measure,
    ),
    Form("RELEASE", "quality", (_LOT, _REASON), _release),
    Form("OVERRULE", "quality", (_LOT, _REASON, _SECOND), _overrule),
    Form("REJECT", "quality", (_LOT, _REASON), _reject),
    Form("HOLD", "quality", (Slot("subject", "Scan what is to be held.", _anything), _REASON), _hold),
    count_form("lab"),
    Form("LIFT", "quality", (Slot("hold", "Scan the hold.", _open_hold), _REASON, _SECOND), _lift),
)


def _default(reading: Reading, scene: Scene) -> Done:
    if isinstance(reading, TextKeyed):
        raise misplaced(reading, "an act card or a sample tag")
    sample = _sample(scene, plant_code(CodeKind.SAMPLE, reading, "an act card or a sample tag"))
    judged = "judged" if sample.judged_seq is not None else "not judged yet"
    return Done((), f"Sample {sample.code} is disc {sample.stroke} of lot {sample.lot}, {judged}.")


BENCH = Bench({form.word: form for form in FORMS}, _default)
