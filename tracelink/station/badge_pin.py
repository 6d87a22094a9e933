"""Badge and PIN: whoever has a PIN keys it before anything follows from their badge.

Theory of operation
-------------------
The badge is judged first as if it were enough, so that a badge that may not do this here is refused before a PIN is
asked for. If its owner has a PIN, an entry says that it was asked for and the state remembers the badge; when the right
PIN comes, the badge is judged again and what it stands for is booked. That holds for signing on and for every second
person alike.

Everything about a PIN that is awaited comes from entries, never from the spool: an entry may be written while older
scans lie there. Meanwhile nothing but a keyed line, another badge or CANCEL is taken.

While a PIN is awaited every line that does not begin as a reader's lines do is taken for it, also one keyed without #;
while nobody is signed on, every keyed number; a number keyed right after a badge was refused; and, where PINs are in use,
4 to 8 digits that come where no number is asked for: a PIN keyed twice, or before the badge. Such a line is *secret*:
`decide` marks its decision, and whoever books it keeps `PIN_MARK` in its place. No sentence repeats it.

Waiting after wrong PINs goes by the time of recording (`ledger/pins.py`).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from tracelink.errors import IdentifierError, InvalidFormat
from tracelink.identity.plantcode import CodeKind
from tracelink.identity.rawlines import is_picture, raw_plant
from tracelink.identity.reading import ActRead, PlantRead, read_scan
from tracelink.identity.symbology import CODE_128
from tracelink.ledger import pins
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.access import BadgePutAway, BadgeRefused, BadgeTurnedAway, PinAsked, PinGiven
from tracelink.ledger.pins import PIN_MARK, Limits, PinFact
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Act, Decision, Refused, Verdict, Word
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import Person
from tracelink.station.line.sealing import seal
from tracelink.station.line.state import LineState
from tracelink.station.sentences import form_sentences
from tracelink.station.sentences import pin_sentences as say

_MAY_BE_A_PIN = re.compile(r"#?[0-9]{4,8}")
_ANY_TEXT = '"x'
"""A keyed text, of which is asked whether it would be refused just as a number is."""

_BADGE = CODE_128 + CodeKind.PERSON.value

StationState = FormState | LineState
Judge = Callable[[StationState, str], Decision]
"""Judges a raw line at a state that waits for no PIN; may raise Refused or IdentifierError."""


@dataclass(frozen=True, slots=True)
class Came:
    """A line that came to a station, and what it is judged by."""

    raw: str
    at: str
    """Local time."""
    number: int
    """Number of the scan at its station, from 1."""
    queries: StationQueries
    judge: Judge


@dataclass(frozen=True, slots=True)
class PinCheck:
    """What came of a keyed PIN."""

    body: PinGiven | BadgeRefused
    sentence: str
    """For the person; of a right PIN empty."""


def limits(queries: StationQueries) -> Limits:
    """Return how wrong PINs make wait in this plant."""
    return Limits(
        free=queries.setting("pin_free_attempts"),
        first_s=queries.setting("pin_wait_seconds"),
        longest_s=queries.setting("pin_longest_wait_seconds"),
        most=queries.setting("pin_most_attempts"),
    )


def is_secret(state: StationState, came: Came) -> bool:
    """Say whether a line is, or may be meant as, a PIN: it must be kept and shown nowhere."""
    if state.pin is not None:
        return came.raw[:1] != "]" and not is_picture(came.raw)
    if came.raw[:1] != "#":
        return False
    return state.turned_away == came.number - 1 or (state.person is None and came.queries.pins_in_use())


def guard(state: StationState, came: Came) -> Decision:
    """Judge a scan, and ask for the PIN of a badge before it counts.

    Raises:
        Refused, IdentifierError: a rule stops the scan, or it cannot be read; nothing said about it repeats a PIN.
    """
    if state.pin is not None:
        return _awaited(state, state.pin, came)
    raw, queries = came.raw, came.queries
    if is_secret(state, came):
        raise say.badge_was_refused() if state.person else form_sentences.nobody_signed_on(PIN_MARK)
    if (raw == PIN_MARK or _MAY_BE_A_PIN.fullmatch(raw)) and queries.pins_in_use():
        return _number(state, came)
    decision = came.judge(state, raw)
    person = _owner(raw, queries)
    if person is None or not queries.setting("badge_pin"):
        return decision
    pin = queries.pin(person.code)
    return decision if pin is None else _ask(state, person, pin, came)


def _number(state: StationState, came: Came) -> Decision:
    """Judge digits that may be a PIN though nobody asks for one: they are kept only where a number is asked for."""
    if came.raw == PIN_MARK:
        raise say.no_number_asked()
    try:
        return came.judge(state, came.raw)
    except IdentifierError:
        raise say.no_number_asked() from None
    except Refused as refused:
        if not _is_asked_for(state, came, refused):
            raise say.no_number_asked() from None
        raise


def _is_asked_for(state: StationState, came: Came, refused: Refused) -> bool:
    """Say whether a number that was refused had been asked for: then a text is refused for another reason."""
    try:
        came.judge(state, _ANY_TEXT)
    except Refused as other:
        return other.finding.code is not refused.finding.code
    return False


def _owner(raw: str, queries: StationQueries) -> Person | None:
    # Looked at by its first characters: reading every disc and sleeve twice would cost the line.
    if not raw.startswith(_BADGE):
        return None
    reading = read_scan(raw)
    assert isinstance(reading, PlantRead)
    return queries.person(reading.code.text)


def _ask(state: StationState, person: Person, pin: PinFact, came: Came) -> Decision:
    require_checkable(person, pin, came.queries)
    until = _next_try(pin, came.queries)
    sentence = say.key_your_pin(person.name)
    if until is not None:
        sentence = say.wait_then_key_your_pin(person.name, pin.failures, until, came.at)
    sealed = seal(state) if isinstance(state, LineState) else ()
    return Decision(Verdict(Word.NEXT, sentence), (*sealed, Act(PinAsked(person.code), takes=0)))


def _next_try(pin: PinFact, queries: StationQueries) -> str | None:
    return pins.next_try(pin, queries.recorded_now(), limits(queries))


def require_checkable(person: Person, pin: PinFact, queries: StationQueries) -> bytes:
    """Return the key with which a PIN is checked, or refuse.

    Raises:
        Refused: the PIN is blocked, or the secret key it was made with is not here.
    """
    if pins.is_blocked(pin.failures, limits(queries)):
        raise say.blocked(person.name, pin.failures, person.code)
    key = queries.pin_key()
    found = None if key is None else pins.key_id(key)
    if key is None or found != pin.verifier.key_id:
        raise say.key_missing(person.name, person.code, pin.verifier.key_id, found)
    return key


def check(person: Person, digits: str, at: str, queries: StationQueries) -> PinCheck:
    """Look at a PIN that was keyed.

    Args:
        person: whose badge it is; they have a PIN.
        digits: what was keyed.
        at: local time, for telling the time in the zone of this place.
        queries: the ledger.

    Raises:
        Refused: it is not looked at: blocked, no key, too early, or no PIN at all.
    """
    pin = queries.pin(person.code)
    assert pin is not None
    key = require_checkable(person, pin, queries)
    until = _next_try(pin, queries)
    if until is not None:
        raise say.too_early(person.name, pin.failures, until, at)
    try:
        pins.require_pin(digits)
    except InvalidFormat:
        raise say.no_pin(person.name) from None
    if pins.fits(key, person.code, digits, pin.verifier):
        return PinCheck(PinGiven(person.code), "")
    return _wrong(person, pin.failures + 1, queries)


def _wrong(person: Person, attempts: int, queries: StationQueries) -> PinCheck:
    wait = pins.wait_s(attempts, limits(queries))
    blocked = pins.is_blocked(attempts, limits(queries))
    sentence = say.wrong_pin(person.name, attempts, wait, blocked=blocked)
    return PinCheck(BadgeRefused(person.code, attempts, wait, sentence), sentence)


def _awaited(state: StationState, badge: str, came: Came) -> Decision:
    person = came.queries.person(badge)
    assert person is not None
    free = replace(state, pin=None)
    if is_picture(came.raw):
        raise say.picture_while_awaited(person.name)
    if came.raw[:1] != "]":
        return _keyed(free, person, came)
    reading = read_scan(came.raw)
    away = Act(BadgePutAway(badge), takes=0)
    if isinstance(reading, ActRead) and reading.word in ("CANCEL", "STOP"):
        return Decision(Verdict(Word.DONE, say.put_away(person.name)), (away,))
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PERSON:
        decision = guard(free, came)
        return replace(decision, acts=(away, *decision.acts))
    raise say.awaited(reading, person.name)


def _keyed(state: StationState, person: Person, came: Came) -> Decision:
    if came.raw == PIN_MARK:
        raise say.not_recorded(person.name)
    found = check(person, came.raw.removeprefix("#"), came.at, came.queries)
    if isinstance(found.body, BadgeRefused):
        verdict = Verdict(Word.STOP, found.sentence, finding=FindingCode.BADGE_REFUSED)
        return Decision(verdict, (Act(found.body, takes=0),))
    decision = came.judge(state, raw_plant(person.code))
    return replace(decision, acts=(Act(found.body, takes=0), *decision.acts))


def turned_away(came: Came) -> tuple[Act, ...]:
    """Return what is written beside the refusal of a scan: whoever has a PIN may key it though nobody asks."""
    if not came.raw.startswith(_BADGE) or not came.queries.setting("badge_pin"):
        return ()
    try:
        person = _owner(came.raw, came.queries)
    except IdentifierError:
        return ()
    if person is None or came.queries.pin(person.code) is None:
        return ()
    return (Act(BadgeTurnedAway(person.code, came.number), takes=0),)
