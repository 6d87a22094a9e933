"""What the methods of a ledger are given, looked at before anything is asked."""

import re
from collections.abc import Sequence
from pathlib import Path

from tracelink.errors import UsageError
from tracelink.ledger.times import require_local_time

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def require_query(query: object) -> None:
    """Raise UsageError unless this is a query."""
    # Imported here: a scan must not pay for containment.
    from tracelink.genealogy.containment.query import ContainmentQuery  # noqa: PLC0415

    if not isinstance(query, ContainmentQuery):
        raise UsageError(
            f"the question is {query!r}: expected a ContainmentQuery, found {type(query).__name__}"
        )


def require_place(place: object) -> str:
    """Return a path or URL as text; raises UsageError if it is neither."""
    if not isinstance(place, str | Path):
        raise UsageError(f"the place is {place!r}: expected a path or a database URL")
    return str(place)


def require_file(name: str, value: object) -> str:
    """Return the path of a file or folder as text, as it was given; raises UsageError if it is none."""
    if not isinstance(value, str | Path):
        raise UsageError(f"{name} is {value!r}: expected text or a path, found {type(value).__name__}")
    return str(value)


def require_path(name: str, value: object) -> Path:
    """Return the path of a file or folder; raises UsageError if it is none."""
    return Path(require_file(name, value))


def optional_file(name: str, value: object) -> str | None:
    """Return the path of a file as text, or None for none; raises UsageError if it is neither."""
    return None if value is None else require_file(name, value)


def require_places(name: str, places: object) -> list[str]:
    """Return paths as text; raises UsageError unless this is a list or tuple of them."""
    if not isinstance(places, list | tuple):
        raise UsageError(f"{name} is {places!r}: expected a list of paths, found {type(places).__name__}")
    return [require_file(f"one of {name}", place) for place in places]


def require_texts(name: str, values: object) -> None:
    """Raise UsageError unless this is a list or tuple of text."""
    if not isinstance(values, list | tuple):
        raise UsageError(f"{name} is {values!r}: expected a list of texts, found {type(values).__name__}")
    for value in values:
        require_text(f"one of {name}", value)


def require_letters(letters: object) -> None:
    """Raise UsageError unless these are letters of a case."""
    # Imported here: templates load slowly.
    from tracelink.services.case_letters import Letter  # noqa: PLC0415

    if not isinstance(letters, list | tuple) or not letters:
        raise UsageError(f"letters is {letters!r}: expected one Letter or more, as `notices.write` gave them")
    for letter in letters:
        require_a("one of letters", letter, Letter)


def require_badge(by: object, name: str = "by") -> None:
    """Raise UsageError unless this says who acts."""
    # Imported here, as below: reading must not pay for acting.
    from tracelink.services.badge_proof import Badge  # noqa: PLC0415

    require_a(name, by, Badge)


def require_signer(signer: object, *, why: bool = False) -> None:
    """Raise UsageError unless this says who writes to a case, and why if that is needed."""
    # Imported here: a scan must not pay for cases.
    from tracelink.services.cases.case_writing import CaseSigner  # noqa: PLC0415

    require_a("signer", signer, CaseSigner)
    if why:
        require_text("CaseSigner.reason", getattr(signer, "reason", None))


def require_a(name: str, value: object, kind: type) -> None:
    """Raise UsageError unless this is of a kind, such as an answer of another method."""
    if not isinstance(value, kind):
        raise UsageError(f"{name} is {value!r}: expected a {kind.__name__}, found {type(value).__name__}")


def require_text(name: str, value: object) -> None:
    """Raise UsageError unless this is text with more than blanks in it."""
    if not isinstance(value, str):
        raise UsageError(f"{name} is {value!r}: expected text, found {type(value).__name__}")
    if not value.strip():
        raise UsageError(f"{name} is empty: expected some text")


def require_line(raw: object) -> None:
    """Raise UsageError unless this is a line as a scanner sends it, which may be empty."""
    if not isinstance(raw, str):
        raise UsageError(f"raw is {raw!r}: expected text, found {type(raw).__name__}")


def require_decided(decided: object) -> None:
    """Raise UsageError unless this says who decides, and if it says when, then with an offset."""
    from tracelink.services.badge_proof import DecidedBy  # noqa: PLC0415

    if not isinstance(decided, DecidedBy):
        raise UsageError(f"decided is {decided!r}: expected a DecidedBy, found {type(decided).__name__}")
    if decided.at is not None:
        require_local_time(decided.at)


def require_count(name: str, value: object) -> None:
    """Raise UsageError unless this is a whole number from 1."""
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise UsageError(f"{name} is {value!r}: expected a whole number from 1")


def require_whole(name: str, value: object) -> None:
    """Raise UsageError unless this is a whole number from 0."""
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise UsageError(f"{name} is {value!r}: expected a whole number from 0")


def require_seconds(name: str, value: object) -> None:
    """Raise UsageError unless this is a time that a question can have."""
    # Imported here, as for `require_query`.
    from tracelink.genealogy.containment.query import MOST_SECONDS, SENSIBLE_SECONDS  # noqa: PLC0415

    sensible = isinstance(value, int | float) and not isinstance(value, bool) and 0 < value <= MOST_SECONDS
    if not sensible:
        raise UsageError(f"{name} is {value!r}: expected {SENSIBLE_SECONDS}")


def require_share(name: str, value: object, least: float, most: float) -> None:
    """Raise UsageError unless this is a number from `least` to `most`."""
    if not isinstance(value, int | float) or isinstance(value, bool) or not least <= value <= most:
        raise UsageError(f"{name} is {value!r}: expected a number from {least:g} to {most:g}")


def require_one_of(name: str, value: object, known: Sequence[str]) -> None:
    """Raise UsageError unless this is one of some words."""
    if value not in known:
        raise UsageError(f"{name} is {value!r}: expected one of {', '.join(known)}")


def require_day(name: str, value: object) -> None:
    """Raise UsageError unless this is a local date."""
    if not isinstance(value, str) or not _DAY.fullmatch(value):
        raise UsageError(f"{name} is {value!r}: expected YYYY-MM-DD, such as 2031-03-04")


def require_seed(value: object) -> None:
    """Raise UsageError unless this is a whole number from 0, or nothing."""
    if value is not None:
        require_whole("seed", value)
