"""What can be asked about a thing, and done with it, by the kind that its code says."""

from __future__ import annotations

import re
from urllib.parse import quote, urlencode

from tracelink.identity.plantcode import CodeKind

_HAS_A_PAGE = re.compile(r"[A-Z][0-9]{6,10}[0-9A-Z]|[0-9]{18}")
_DIGITS = "0123456789"
_OF_PARTS = frozenset("FMN")
_CAUSES = frozenset(f"TLKBPCEWDVXU{_DIGITS}") | _OF_PARTS
"""First characters of codes that a question can be about: plant codes by kind, and SSCCs."""
_HELD = _CAUSES - frozenset("PWVXN")
_BALANCED = frozenset("LBE") | _OF_PARTS
_BUNDLED = frozenset(f"LTCEBDQXU{_DIGITS}") | _OF_PARTS
_CHARTED = frozenset("TL")
_OF_CARTONS = frozenset({"lot", "pallet"})
_OPENED = "/carton-check?of="
_STATION = CodeKind.STATION.value


def has_a_page(code: str) -> bool:
    """Whether a text is a code of a kind of thing that a page is about."""
    return _HAS_A_PAGE.fullmatch(code) is not None


def thing_links(code: str, kind: str = "") -> tuple[tuple[str, str], ...]:
    """Return addresses and words of what can be asked and done; of a name, which is no code, nothing.

    Args:
        code: of the thing.
        kind: what it is as its family says, such as `pallet`; empty if that is not known.
    """
    code = code.strip().upper()
    if not has_a_page(code):
        return ()
    asked = quote(code, safe="")
    links = tuple((f"{address}{asked}", words) for kinds, address, words in _LINKS if code[0] in kinds)
    return (*links, (f"{_OPENED}{asked}", "Cartons to open")) if kind in _OF_CARTONS else links


_LINKS = (
    (_CAUSES, "/contain?cause=", "What did it touch?"),
    (_BALANCED, "/balance?of=", "Does it add up?"),
    (_CHARTED, f"/chart?{urlencode({'test': 'judged', 'chart': 'p'})}&code=", "Chart of what was judged"),
    (frozenset(_STATION), "/findings?station=", "Findings there"),
    (frozenset(_STATION), "/journal?station=", "Its entries"),
    (frozenset(CodeKind.PERSON.value), "/journal?person=", "Entries under that badge"),
    (frozenset("L"), "/samples?lot=", "Samples to draw"),
    (_CHARTED, "/capability?code=", "Does it keep its limits?"),
    (frozenset("H"), "/act/lift-hold?hold=", "Lift it"),
    (_HELD, "/act/hold?thing=", "Put it on hold"),
    (frozenset("S"), "/act/measure?sample=", "Enter a measured value"),
    (_BUNDLED, "/audit/bundle?code=", "Bundle for an auditor"),
)
