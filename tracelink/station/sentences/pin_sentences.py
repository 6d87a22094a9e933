"""What a station says about badges and their PINs. No sentence repeats a PIN."""

from datetime import datetime

from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.pins import PIN_MARK
from tracelink.station.common.outcome import Refused
from tracelink.station.sentences.thing_names import named


def badge_was_refused() -> Refused:
    """A number is keyed right after a badge was refused: it may be a PIN."""
    return Refused(
        FindingCode.NO_PIN_ASKED,
        "The badge before this was refused. Scan your badge first; what you keyed was not saved. If it "
        "was a number, key it again.",
        subject=PIN_MARK,
    )


def no_number_asked() -> Refused:
    """Digits are keyed that may be a PIN, where no number is asked for."""
    return Refused(
        FindingCode.NO_PIN_ASKED,
        "No number is asked for here. What you keyed was not saved, because it may be a PIN: key a PIN only after your "
        "badge, when it is asked for.",
        subject=PIN_MARK,
    )


def key_your_pin(name: str) -> str:
    """Ask for a PIN."""
    return f"{name}, key # and your PIN."


def blocked(name: str, times: int, badge: str) -> Refused:
    """A PIN was wrong too often."""
    return Refused(
        FindingCode.PIN_BLOCKED,
        f"The PIN of {name} was wrong {times} times in a row and is blocked. Quality sets a new one: "
        "runout person pin.",
        subject=badge,
        expected="fewer wrong PINs in a row",
        found=str(times),
    )


def key_missing(name: str, badge: str, wanted: str, found: str | None) -> Refused:
    """The secret key that a PIN is checked with is not here."""
    return Refused(
        FindingCode.PIN_KEY_MISSING,
        f"The PIN of {name} cannot be checked: the secret key it was set with is not on this machine. "
        "Tell the administrator.",
        subject=badge,
        expected=wanted,
        found=found or "no key",
    )


def no_pin(name: str) -> Refused:
    """What was keyed cannot be a PIN."""
    return Refused(
        FindingCode.NO_PIN,
        f"{name}, that cannot be a PIN. Key the 4 to 8 digits of yours and nothing else, at a station with # before them.",
        subject=PIN_MARK,
    )


def put_away(name: str) -> str:
    """Say that a badge no longer waits for its PIN."""
    return f"Cancelled: the badge of {name} no longer waits for its PIN."


def awaited(reading: Reading, name: str) -> Refused:
    """Something else is scanned while a PIN is awaited."""
    return Refused(
        FindingCode.PIN_AWAITED,
        f"You scanned {named(reading)}. Key # and the PIN of {name}, or scan CANCEL.",
        subject=named(reading),
        expected="a PIN",
    )


def picture_while_awaited(name: str) -> Refused:
    """A picture comes while a PIN is awaited."""
    return Refused(
        FindingCode.PIN_AWAITED,
        f"A picture was taken. Key # and the PIN of {name}, or scan CANCEL.",
        subject="picture",
        expected="a PIN",
    )


def not_recorded(name: str) -> Refused:
    """A log is replayed in which a PIN was keyed."""
    return Refused(
        FindingCode.PIN_NOT_RECORDED,
        f"The PIN of {name} was keyed here, and no log keeps a PIN: it cannot be checked again. {name} "
        "signs on at the station itself.",
        subject=PIN_MARK,
    )


def wait_then_key_your_pin(name: str, failures: int, until: str, at: str) -> str:
    """Ask for a PIN that may be tried again at a time only; `until` and `at` as for `_wait`."""
    return f"{_wait(name, failures, until, at)} Then key # and your PIN."


def too_early(name: str, failures: int, until: str, at: str) -> Refused:
    """A PIN was keyed before it may be tried again; `until` and `at` as for `_wait`."""
    return Refused(
        FindingCode.PIN_TOO_EARLY,
        f"{_wait(name, failures, until, at)} Then key it again.",
        subject=PIN_MARK,
    )


def _wait(name: str, failures: int, until: str, at: str) -> str:
    """Say until when to wait, with the day.

    Args:
        name: of the person.
        failures: wrong PINs in a row.
        until: the time, with any offset.
        at: a time of this place, of which the offset is taken.
    """
    times = "1 PIN was wrong" if failures == 1 else f"{failures} PINs were wrong"
    local = datetime.fromisoformat(until).astimezone(datetime.fromisoformat(at).tzinfo)
    return f"{name}, {times}: wait until {local:%Y-%m-%d %H:%M:%S}."


def wrong_pin(name: str, attempts: int, wait_s: int, *, blocked: bool) -> str:
    """Say that a PIN was wrong, how often in a row, and when it may be tried again."""
    nth = "Wrong PIN" if attempts == 1 else f"Wrong PIN, {attempts} in a row"
    then = f"Wait {wait_s} seconds, then key it again." if wait_s else "Key it again."
    if blocked:
        then = "It is blocked now: quality sets a new one."
    return f"{nth} for the badge of {name}. {then}"
