"""Acts of a packing line that ask for more scans: checks, hand-over, reasons, keyed entries.

They are the forms of `forms.py`, made anew for the desk at each scan. What lies in the spool is sealed before an
act begins, so that its scans come after those of every match.
"""

from collections.abc import Callable, Mapping

from tracelink.identity.reading import ActRead, Reading
from tracelink.ledger.kinds.packing import LineChecked, ShiftHandedOver
from tracelink.station.common import forms
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import Bench, Done, Form, FormDesk, Given, Scene, Values, misplaced
from tracelink.station.common.outcome import Act, Decision, Refused, Spooled, Verdict, Word, counted
from tracelink.station.line import cartons, opening
from tracelink.station.line.cartons import REASON
from tracelink.station.line.manual import manual
from tracelink.station.line.opening import second_badge_slot
from tracelink.station.line.reject import reject
from tracelink.station.line.sealing import seal
from tracelink.station.line.state import LineDesk
from tracelink.station.line.takeout import takeout

KEEPS_DISC = frozenset({"CLOSE", "MANUAL", "REJECT"})
"""Acts about the disc in hand, or with a sentence of their own for it; others ask to put it away first."""


def begin(form: Form, desk: LineDesk, scene: Scene) -> Decision:
    """Begin an act; one that asks for nothing is finished at once."""
    if desk.pending is not None and form.word not in KEEPS_DISC:
        raise Refused(
            "disc-in-hand",
            f"A disc is waiting for its sleeve; {form.word} cannot begin now. Scan the sleeve, or STOP.",
            subject=form.word,
            expected="a sleeve",
        )
    if form.begin is not None:
        form.begin(scene)
    if not form.slots:
        done = form.finish({}, scene)
        return Decision(Verdict(Word.DONE, done.sentence, done.count), (*seal(desk), *done.acts))
    return Decision(Verdict(Word.NEXT, form.slots[0].asks), seal(desk), Spooled({"form": form.word}))


def fill(desk: LineDesk, given: Given, scene: Scene) -> Decision:
    """Judge what is scanned for an act that is not finished; STOP puts it away before this is asked."""
    assert desk.form is not None
    form = FORMS[desk.form](desk, scene)
    slot = form.slots[len(desk.raws)]
    if given.badge is not None and slot.name != "second_person":
        raise misplaced(given.reading, f'"{slot.asks}"')
    if isinstance(given.reading, ActRead):
        raise Refused(
            "act-not-finished",
            f"{form.word} is not finished: {slot.asks} Or scan STOP.",
            subject=given.reading.word,
            expected=slot.name,
        )
    bench = Bench({form.word: form}, lambda reading, _scene: _never(reading))
    return forms.decide(bench, FormDesk(desk.person, form.word, desk.raws), given, scene)


def _never(reading: Reading) -> Done:
    raise misplaced(reading, "what the act asks for")


def _check(desk: LineDesk, _scene: Scene) -> Form:
    """CHECK: a second person confirms the piece and the line."""

    def finish(values: Values, scene: Scene) -> Done:
        person = scene.world.person(values["second_person"])
        assert person is not None
        units = counted(desk.unchecked, "unit")
        sentence = f"Checked by {scene.person.name} and {person.name}: {units} since the check before."
        return Done((Act(LineChecked(person.code, desk.unchecked)),), sentence)

    asks = "Compare one packed unit with the job. Then a second person scans their badge."
    return Form(
        "CHECK", "line", (second_badge_slot(asks),), finish, lambda _scene: _require_job(desk, "CHECK")
    )


def _require_job(desk: LineDesk, word: str) -> None:
    if desk.job is None:
        raise Refused("not-ready", "No sleeve batch is open. Scan the sleeve batch.", subject=word)


def _handover(desk: LineDesk, scene: Scene) -> Form:
    """HANDOVER: the counts are told and the next person signs on; the line stays as it is."""

    def finish(values: Values, scene: Scene) -> Done:
        person = scene.world.person(values["second_person"])
        assert person is not None
        body = ShiftHandedOver(person.code, desk.carton, desk.units_in_carton)
        return Done((Act(body),), f"{scene.person.name} handed over to {person.name}: {told}")

    told = _told(desk, scene)
    asks = f"{told} Who goes on scans their badge."
    return Form("HANDOVER", "line", (second_badge_slot(asks, ("line",)),), finish)


def _told(desk: LineDesk, scene: Scene) -> str:
    if desk.job is None:
        return "no job is open."
    product = scene.world.product(desk.job.gtin)
    assert product is not None
    parts = [f'"{product.title}"']
    if desk.carton is not None:
        parts.append(f"{desk.units_in_carton} of {desk.job.carton_size} in carton {desk.carton}")
    parts.append(f"{desk.unchecked} since the last good check")
    if desk.half:
        parts.append("one unit unfinished")
    if desk.held is not None:
        parts.append(f"{counted(desk.held.remaining, 'unit')} held back")
    return f"{', '.join(parts)}."


def _close(desk: LineDesk, scene: Scene) -> Form:
    """CLOSE: seal the carton; a part carton needs a reason where the plant asks for reasons."""

    def finish(values: Values, scene: Scene) -> Done:
        return opening.close(desk, scene, values.get("reason"))

    job = desk.job
    part = job is not None and 0 < desk.units_in_carton < job.carton_size
    slots = (REASON,) if part and scene.world.setting("line_reasons") else ()
    return Form("CLOSE", "line", slots, finish, lambda scene: opening.may_close(desk, scene))


FORMS: Mapping[str, Callable[[LineDesk, Scene], Form]] = {
    "CLOSE": _close,
    "CHECK": _check,
    "COUNT": lambda _desk, _scene: count_form("line"),
    "HANDOVER": _handover,
    "MANUAL": manual,
    "MERGE": cartons.merge,
    "REJECT": reject,
    "REOPEN": cartons.reopen,
    "TAKEOUT": takeout,
}
"""Acts that may ask for more scans, by word."""
