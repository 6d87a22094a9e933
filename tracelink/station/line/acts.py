"""Acts of a packing line that ask for more scans: checks, hand-over, reasons, keyed entries.

They are the forms of `forms.py`, made anew for the state at each scan. What lies in the spool is sealed before an
act begins, so that its scans come after those of every match.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from tracelink.identity.reading import ActRead, LogisticRead, Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.packing import LineChecked, ShiftHandedOver
from tracelink.station.common import forms
from tracelink.station.common.counting import count_form
from tracelink.station.common.form_state import FormState
from tracelink.station.common.forms import ActResult, Form, Given, ScanContext, Slot, StationActs, Values
from tracelink.station.common.label_content import BOTH, both_symbols
from tracelink.station.common.outcome import Act, Decision, Spooled, Verdict, Word
from tracelink.station.line import cartons, opening
from tracelink.station.line.cartons import reason
from tracelink.station.line.manual import manual
from tracelink.station.line.opening import second_badge_slot
from tracelink.station.line.reject import reject
from tracelink.station.line.sealing import seal
from tracelink.station.line.state import LineState
from tracelink.station.line.takeout import takeout
from tracelink.station.sentences import form_sentences
from tracelink.station.sentences import line_sentences as say
from tracelink.station.sentences.common_sentences import act_asks_for, misplaced

KEEPS_DISC = frozenset({"CLOSE", "MANUAL", "REJECT"})
"""Acts about the disc in hand, or with a sentence of their own for it; others ask to put it away first."""


def begin(form: Form, state: LineState, context: ScanContext) -> Decision:
    """Begin an act; one that asks for nothing is finished at once."""
    if state.pending is not None and form.word not in KEEPS_DISC:
        raise say.disc_waits_before(form.word)
    if form.begin is not None:
        form.begin(context)
    if not form.slots:
        done = form.finish({}, context)
        return Decision(Verdict(Word.DONE, done.sentence, done.count), (*seal(state), *done.acts))
    return Decision(
        Verdict(Word.NEXT, form.slots[0].asked({}, context)), seal(state), Spooled({"form": form.word})
    )


def begin_by_scan(form: Form, state: LineState, given: Given, context: ScanContext) -> Decision:
    """Begin an act with the scan that is its first slot."""
    return replace(forms.begun_by_scan(form, given, context), acts=seal(state))


def fill(state: LineState, given: Given, context: ScanContext) -> Decision:
    """Judge what is scanned for an act that is not finished; STOP puts it away before this is asked."""
    assert state.form is not None
    form = _form(state.form, state, context)
    slot = form.slots[len(state.raws)]
    asks = slot.asked({}, context)
    if given.badge is not None and slot.name != "second_person":
        raise act_asks_for(given.reading, asks, slot.name)
    if isinstance(given.reading, ActRead):
        raise form_sentences.act_not_finished(form.word, asks, given.reading.word, slot.name, "STOP")
    return forms.decide(*_as_at_a_bench(form, state), given, context)


def waits_for(state: LineState, context: ScanContext) -> Verdict:
    """Return what an act that is not finished asks for."""
    assert state.form is not None
    form = _form(state.form, state, context)
    return forms.waits_for(*_as_at_a_bench(form, state), context)


def waiting_slot(state: LineState, context: ScanContext) -> Slot | None:
    """Return the slot that an unfinished act asks for next; None if no act is open.

    Raises:
        Refused: what was scanned for it before is true no longer.
    """
    if state.form is None:
        return None
    form = _form(state.form, state, context)
    return forms.waiting_slot(*_as_at_a_bench(form, state), context)


def _form(word: str, state: LineState, context: ScanContext) -> Form:
    make = FORMS.get(word) or BY_SCAN[word]
    return make(state, context)


def _as_at_a_bench(form: Form, state: LineState) -> tuple[StationActs, FormState]:
    """Return an act of a line as that of a station with no other, which judges what is scanned for it."""
    return StationActs({form.word: form}, _never), FormState(state.person, form.word, state.raws)


def _never(reading: Reading, _scene: ScanContext) -> ActResult:
    raise misplaced(reading, say.WHAT_THE_ACT_ASKS_FOR)


def _check(state: LineState, _scene: ScanContext) -> Form:
    """CHECK: a second person confirms the piece and the line."""

    def finish(values: Values, context: ScanContext) -> ActResult:
        person = context.queries.person(values["second_person"])
        assert person is not None
        sentence = say.checked(context.person.name, person.name, state.unchecked)
        return ActResult((Act(LineChecked(person.code, state.unchecked)),), sentence)

    asks = say.COMPARE_ONE_UNIT
    return Form(
        "CHECK", "line", (second_badge_slot(asks),), finish, lambda _scene: _require_job(state, "CHECK")
    )


def _require_job(state: LineState, word: str) -> None:
    if state.job is None:
        raise say.no_sleeves(word)


def _handover(state: LineState, context: ScanContext) -> Form:
    """HANDOVER: the counts are told and the next person signs on; the line stays as it is."""

    def finish(values: Values, context: ScanContext) -> ActResult:
        person = context.queries.person(values["second_person"])
        assert person is not None
        body = ShiftHandedOver(person.code, state.carton, state.units_in_carton)
        return ActResult((Act(body),), say.handed_over(context.person.name, person.name, told))

    told = _told(state, context)
    asks = say.who_takes_over(told)
    return Form("HANDOVER", "line", (second_badge_slot(asks, ("line",)),), finish)


def _told(state: LineState, context: ScanContext) -> str:
    if state.job is None:
        return say.NO_JOB
    product = context.queries.product(state.job.gtin)
    assert product is not None
    carton = state.carton and say.units_in_carton(state.units_in_carton, state.job.carton_size, state.carton)
    return say.line_now(
        product.title,
        carton,
        state.unchecked,
        unfinished=bool(state.half),
        held_back=state.held.remaining if state.held else None,
    )


def _close(state: LineState, context: ScanContext) -> Form:
    """CLOSE: seal the carton; a part carton needs a reason where the plant asks for reasons."""

    def finish(values: Values, context: ScanContext) -> ActResult:
        return opening.close(state, context, values.get("reason"))

    job = state.job
    part = job is not None and 0 < state.units_in_carton < job.carton_size
    part_told = replace(reason(ReasonAct.LINE_CLOSE), told_before=lambda _values, _context: _part_told(state))
    slots = (part_told,) if part and context.queries.setting("line_reasons") else ()
    return Form("CLOSE", "line", slots, finish, lambda context: opening.may_close(state, context))


def _part_told(state: LineState) -> str:
    assert state.job is not None
    return say.part_carton(state.units_in_carton, state.job.carton_size)


FORMS: Mapping[str, Callable[[LineState, ScanContext], Form]] = {
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


def _label(state: LineState, _scene: ScanContext) -> Form:
    """The other symbol of the label under which a carton is opened."""

    def judge(label: LogisticRead, context: ScanContext) -> ActResult:
        return opening.carton(state, label, context)

    return both_symbols("line", "STOP", judge)


BY_SCAN: Mapping[str, Callable[[LineState, ScanContext], Form]] = {BOTH: _label}
"""Acts that no card begins but the scan of a thing."""
