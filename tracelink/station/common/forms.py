"""Stations that work by acts: scan an act card, then scan or key what the act asks for.

Theory of operation
-------------------
An act is a `Form`: a word on a card, the role it needs, and its slots in order. Each slot tells the person
what to scan and judges what came. Slots of an unfinished act wait in the spool; when the last is filled the
act's entry is written with all its raw scans packed beside it. CANCEL puts an unfinished act away; so does the card of
another act while no slot is filled.

Between two slots another station may use the same card, tool or lot. With every scan the slots filled before
are therefore judged again, from their raw scans: what is booked was true in the transaction that books it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from tracelink.identity.reading import (
    ActRead,
    Reading,
    read_scan,
)
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.station import SignedOff, SignedOn
from tracelink.station.common.authority import require_role
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Act, Decision, Refused, Spooled, Verdict, Word
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import Person
from tracelink.station.sentences import form_sentences as say

_SECOND = "second_person"
# The slot that a badge fills, which signs somebody on everywhere else.
SIGN_OFF = "SIGNOFF"
"""The act with which somebody leaves any station."""

Values = Mapping[str, Any]
"""Slot name -> text or whole number, for the slots filled so far."""


@dataclass(frozen=True, slots=True)
class ScanContext:
    """Everything a rule may look at."""

    queries: StationQueries
    station: str
    person: Person
    at: str
    """Local time of the scan, with offset."""


@dataclass(frozen=True, slots=True)
class Given:
    """What was scanned."""

    raw: str
    """The line as it came."""
    reading: Reading
    badge: Person | None
    """The owner of the badge, if it is one."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One thing an act asks for."""

    name: str
    asks: str
    """What the person is told to do, such as "Scan the lot card."."""
    accept: Callable[[Reading, Values, ScanContext], Any]
    """Returns the text or number to keep, or raises Refused."""
    needed: Callable[[Values, ScanContext], bool] | None = None
    """True if it is asked for at all, by the slots before it; None if always."""
    told_before: Callable[[Values, ScanContext], str] | None = None
    """What the person is told before they are asked, with a space behind it."""
    asks_here: Callable[[ScanContext], str] | None = None
    """What the person is told to do, where that depends on the plant; None if it is always `asks`."""

    def asked(self, values: Values, context: ScanContext) -> str:
        """Return all that the person is told when it is asked for."""
        before = "" if self.told_before is None else self.told_before(values, context)
        return before + (self.asks if self.asks_here is None else self.asks_here(context))


@dataclass(frozen=True, slots=True)
class ActResult:
    """What a finished act leads to."""

    acts: tuple[Act, ...]
    sentence: str
    count: str = ""
    finding: FindingCode | None = None
    """Set when what is booked is itself a finding, such as a count that differs: the person must stop and look."""
    begins: str | None = None
    """Word of an act that no card begins, and of which this scan is the first; nothing is booked then."""

    @property
    def verdict(self) -> Verdict:
        """What the person sees."""
        word = Word.DONE if self.finding is None else Word.STOP
        return Verdict(word, self.sentence, self.count, self.finding)


@dataclass(frozen=True, slots=True)
class Form:
    """One act of a station."""

    word: str
    """Word on the act card, in capitals."""
    role: str
    slots: tuple[Slot, ...]
    finish: Callable[[Values, ScanContext], ActResult]
    begin: Callable[[ScanContext], object] | None = None
    """Raises Refused when the act cannot be begun here now, before any slot is asked for."""
    more: Callable[[Values, ScanContext], Slot | None] | None = None
    """The slot behind `slots` and those it returned before; None when the act has all. None if there are none."""


Default = Callable[[Reading, ScanContext], ActResult]
"""What a scan means when no act is open, such as a carton for the open pallet; may raise Refused."""


@dataclass(frozen=True, slots=True)
class StationActs:
    """A kind of station: its acts, and what a bare scan does."""

    forms: Mapping[str, Form]
    default: Default
    former: Mapping[str, str] = field(default_factory=dict)
    """Words of older action cards and what they are now: such cards hang at stations, and recorded logs and acts
    that were begun before an upgrade hold their words."""
    by_scan: Mapping[str, Form] = field(default_factory=dict)
    """Acts that no card begins but the scan of a thing, which is their first slot."""

    def form(self, word: str) -> Form | None:
        """Return the act of a word, today's or a former one; None if this kind of station has no such act."""
        return self.on_card(word) or self.by_scan.get(word)

    def on_card(self, word: str) -> Form | None:
        """Return the act that a card with this word begins; None if there is none."""
        return self.forms.get(self.former.get(word, word))


def decide(
    station_acts: StationActs, state: FormState, given: Given, context: ScanContext | None
) -> Decision:
    """Judge one scan at a form station.

    Args:
        station_acts: the kind of station.
        state: what it has in hand.
        given: the scan.
        context: None while nobody is signed on.

    Raises:
        Refused: a rule stops the scan.
    """
    form = station_acts.form(state.form) if state.form else None
    if given.badge is not None and not (form and _asks_for_second(form, state, context)):
        return _sign_on(given.badge, form)
    if context is None:
        raise say.nobody_signed_on()
    if isinstance(given.reading, ActRead):
        return _act(station_acts, state, form, given.reading.word, context)
    if form is None:
        done = station_acts.default(given.reading, context)
        if done.begins is not None:
            return begun_by_scan(station_acts.by_scan[done.begins], given, context)
        # A scan that only asks something still waits in the spool: every raw scan is kept.
        spooled = None if done.acts else Spooled({"look": True})
        return Decision(done.verdict, done.acts, spooled)
    return _fill(state, form, given, context)


def begun_by_scan(form: Form, given: Given, context: ScanContext) -> Decision:
    """Begin an act with the scan that fills its first slot.

    Raises:
        Refused: the act does not take it.
    """
    decision = _fill(FormState(context.person.code, form.word), form, given, context)
    return replace(decision, spooled=Spooled({"form": form.word, "slot": given.raw}))


def _asks_for_second(form: Form, state: FormState, context: ScanContext | None) -> bool:
    if context is None or not any(slot.name == _SECOND for slot in form.slots):
        return False
    try:
        return _waiting(state, form, context)[1].name == _SECOND
    except Refused:
        # What was true when it was scanned is no longer: the badge is taken for what its place asks for.
        return any(slot.name == _SECOND for slot in form.slots[len(state.raws) : len(state.raws) + 1])


def waits_for(station_acts: StationActs, state: FormState, context: ScanContext) -> Verdict:
    """Return what a station with somebody signed on waits for: what its act asks for, or an act."""
    form = station_acts.form(state.form) if state.form else None
    if form is None:
        return Verdict(Word.NEXT, say.SCAN_AN_ACTION)
    try:
        values, slot = _waiting(state, form, context)
    except Refused as refused:
        return Verdict(Word.STOP, refused.finding.sentence, finding=refused.finding.code)
    return Verdict(Word.NEXT, say.unfinished(form.word, slot.asked(values, context)))


def waiting_slot(station_acts: StationActs, state: FormState, context: ScanContext) -> Slot | None:
    """Return the slot that an unfinished act asks for next; None if no act is open.

    Raises:
        Refused: what was scanned for it before is true no longer.
    """
    form = station_acts.form(state.form) if state.form else None
    return None if form is None else _waiting(state, form, context)[1]


def _sign_on(person: Person, form: Form | None) -> Decision:
    sentence = say.signed_on(person.name, form.word if form else None)
    return Decision(Verdict(Word.DONE, f"{sentence} {say.SCAN_AN_ACTION}"), (Act(SignedOn(person.code)),))


def _act(
    station_acts: StationActs, state: FormState, form: Form | None, word: str, context: ScanContext
) -> Decision:
    if word == "CANCEL":
        if form is None:
            raise say.nothing_to_cancel(word)
        return Decision(Verdict(Word.DONE, say.cancelled(form.word)), (), Spooled({"cancel": form.word}))
    if word == SIGN_OFF and not state.raws:
        body = SignedOff(context.person.code, by_itself=False)
        return Decision(Verdict(Word.DONE, say.signed_off(context.person.name)), (Act(body),))
    # Nothing is lost with an act of which only the card was scanned: who took the wrong card takes the right one.
    if form is not None and state.raws:
        values, waiting = _waiting(state, form, context)
        asks = waiting.asked(values, context)
        raise say.act_not_finished(form.word, asks, word, waiting.name, "CANCEL")
    wanted = station_acts.on_card(word)
    if wanted is None:
        raise say.act_not_here(word, [*station_acts.forms, SIGN_OFF])
    require_role(context.person, (wanted.role,), say.may_not_do(wanted.word))
    if wanted.begin is not None:
        wanted.begin(context)
    away = form.word if form is not None and form.word != wanted.word else None
    if not wanted.slots:
        done = wanted.finish({}, context)
        return Decision(replace(done.verdict, sentence=say.after_cancelled(away, done.sentence)), done.acts)
    return Decision(
        Verdict(Word.NEXT, say.after_cancelled(away, wanted.slots[0].asked({}, context))),
        (),
        Spooled({"form": wanted.word}),
    )


def _waiting(state: FormState, form: Form, context: ScanContext) -> tuple[dict[str, Any], Slot]:
    """The slots filled so far and the one that is asked for next."""
    values = _judged_again(state, form, context)
    slot = _next(form, values, context)
    if slot is None:
        raise say.asks_changed(form.word)
    return values, slot


def _next(form: Form, values: Values, context: ScanContext) -> Slot | None:
    """The slot that is asked for next; None if all are filled that are needed."""
    left = (slot for slot in form.slots if slot.name not in values)
    found = next((slot for slot in left if slot.needed is None or slot.needed(values, context)), None)
    return form.more(values, context) if found is None and form.more is not None else found


def _fill(state: FormState, form: Form, given: Given, context: ScanContext) -> Decision:
    values, slot = _waiting(state, form, context)
    values[slot.name] = slot.accept(given.reading, values, context)
    following = _next(form, values, context)
    if following is not None:
        return Decision(
            Verdict(Word.NEXT, following.asked(values, context)), (), Spooled({"slot": given.raw})
        )
    done = form.finish(values, context)
    return Decision(done.verdict, done.acts)


def _judged_again(state: FormState, form: Form, context: ScanContext) -> dict[str, Any]:
    """Return the values of the slots filled so far, or refuse what was true and is no longer."""
    values: dict[str, Any] = {}
    for raw in state.raws:
        slot = _next(form, values, context)
        if slot is None:
            raise say.asks_changed(form.word)
        try:
            values[slot.name] = slot.accept(read_scan(raw), values, context)
        except Refused as refused:
            found = refused.finding
            if found.aside is not None:
                # At a line STOP, which a wrong piece asks for, puts the act away as well.
                raise
            raise say.begin_again(found) from None
    return values
