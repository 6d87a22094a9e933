"""What a station says about its acts: signing on, beginning an act, what it still asks for, putting it away; and about its clock."""

from collections.abc import Iterable

from tracelink.ledger.count_words import either
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment
from tracelink.station.common.outcome import Finding, Refused
from tracelink.station.common.station_facts import Person

SCAN_YOUR_BADGE = "Scan your badge."
SCAN_AN_ACTION = "Scan an action card."
"""What a station waits for without an act."""

ONLY_ONE = "cannot be both people: two are needed"
CANNOT_BE_SECOND = "cannot be the second person"
MAY_NOT_PACK = "may not do packing"
"""What somebody may not do, as it follows their name."""


def may_not_do(word: str) -> str:
    """Say that an act is not somebody's, as it follows their name."""
    return f"may not do {word}"


def not_allowed(name: str, deed: str, roles: tuple[str, ...]) -> str:
    """Say why somebody may not do something, without a full stop; no roles if another person is needed."""
    return f"{name} {deed}: that needs the role {either(roles)}" if roles else f"{name} {deed}"


def same_person(code: str) -> Refused:
    """Somebody scanned their own badge as that of the second person."""
    return Refused(
        FindingCode.SAME_PERSON,
        "Two people are needed: a second person scans a badge.",
        subject=code,
        expected="another person's badge",
        found=code,
    )


def wrong_role(person: Person, deed: str, roles: tuple[str, ...]) -> Refused:
    """Somebody has none of the roles that an act needs."""
    return Refused(
        FindingCode.WRONG_ROLE,
        f"{not_allowed(person.name, deed, roles)}. Ask someone who has it.",
        subject=person.code,
        expected=either(roles),
        found=", ".join(sorted(person.roles)) or "none",
    )


def nobody_signed_on(subject: str = "badge") -> Refused:
    """Somebody works without having scanned a badge."""
    return Refused(
        FindingCode.NOBODY_SIGNED_ON, "Nobody is signed on here. Scan your badge first.", subject=subject
    )


def signed_on(name: str, unfinished: str | None = None) -> str:
    """Say who works here now, and which act that puts away."""
    away = "" if unfinished is None else f" {cancelled_unfinished(unfinished)}"
    return f"{name} is signed on.{away}"


def signed_off(name: str) -> str:
    """Say that nobody works here now."""
    return f"{name} is signed off. Whoever works here next scans a badge."


def cancelled(word: str) -> str:
    """Say that an act is put away."""
    return f"{word} cancelled."


def cancelled_unfinished(word: str) -> str:
    """Say that an act is put away that was begun."""
    return f"{word} cancelled: it was not finished."


def after_cancelled(word: str | None, then: str) -> str:
    """Say what is asked for now, after an act whose card alone was scanned is put away; None if there was none."""
    return then if word is None else f"{cancelled(word)} {then}"


def nothing_to_cancel(word: str) -> Refused:
    """CANCEL without an act."""
    return Refused(
        FindingCode.NOTHING_TO_CANCEL, "No action is open; there is nothing to cancel.", subject=word
    )


def act_not_finished(form: str, asks: str, other: str, slot: str, way_out: str) -> Refused:
    """Another act's card was scanned while one asks for something.

    Args:
        form: the act that is not finished.
        asks: what its slot tells the person to do.
        other: the act whose card was scanned.
        slot: name of that slot.
        way_out: the act that puts the unfinished one away.
    """
    return Refused(
        FindingCode.ACT_NOT_FINISHED,
        f"{form} is not finished. {asks} Or scan {way_out}.",
        subject=other,
        expected=slot,
    )


def asks_changed(form: str) -> Refused:
    """What an act asks for is another thing by now, because of what another station booked."""
    return Refused(
        FindingCode.ACT_NOT_FINISHED,
        f"What {form} asks for has changed meanwhile. Scan CANCEL and begin again.",
        subject=form,
    )


def act_not_here(word: str, words: Iterable[str]) -> Refused:
    """The card of an act that this station does not have."""
    known = ", ".join(sorted(words))
    return Refused(
        FindingCode.ACT_NOT_HERE,
        f"{word} is not an action of this station. Actions here: {known}.",
        subject=word,
        expected=known,
    )


def begin_again(found: Finding) -> Refused:
    """What was scanned for an act before is no longer so."""
    return Refused(
        found.code,
        f"{found.told} Scan CANCEL and begin again.",
        subject=found.subject,
        expected=found.expected,
        found=found.found,
    )


def read_already(then: str) -> str:
    """Say that a code was read twice in a moment, and what the station still waits for."""
    return f"Read already. {then}"


def unfinished(word: str, asks: str) -> str:
    """Say what an act asks for that was begun; `asks` is the instruction."""
    return f"{asks} {word} is not finished."


def clock_back(before: str, at: str) -> str:
    """Say that the clock of the station was set back.

    Args:
        before: time of the scan before.
        at: time of this scan.
    """
    return (
        f"The clock of this station says {moment(at)}; the scan before was at {moment(before)}. The scan was taken. "
        "Tell the administrator to set the clock."
    )


def clock_ahead(before: str, at: str) -> str:
    """Say that the clock of the station is far ahead of everything; the arguments are those of `clock_back`."""
    return (
        f"The clock of this station says {moment(at)}; the scan before was at {moment(before)}, and nothing was recorded "
        "since. The scan was taken. If the clock is wrong, tell the administrator to set it."
    )


def with_more(told: str, more: str) -> str:
    """Return two things that are told with one scan, such as of the clock and of the scan itself."""
    return f"{told} {more}" if more else told
