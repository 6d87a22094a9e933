"""Any code, said in full: what a reader sent, what a person typed, what stands on somebody else's label.

What a text means to be is told from its beginning: `]` a symbology identifier, `urn:epc:` an EPC URN, `http` a web address,
`(` elements as they are printed below a symbol. A text without any of these is held against every kind of code that
this plant or its partners write down, and against every scheme of check characters.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import fields

from tracelink.errors import IdentifierError, InvalidFormat
from tracelink.identity.anycode.check_schemes import code128_symbol_check, scheme_fits
from tracelink.identity.anycode.code_parts import CodePart, CodeVerdict, ReadCode
from tracelink.identity.anycode.element_parts import element_parts, together
from tracelink.identity.checkdigit import is_digits, require_ship_check_digit
from tracelink.identity.foreign import read_foreign
from tracelink.identity.gs1.aitable import SEPARATOR, all_rules
from tracelink.identity.gs1.digitallink import is_link, parse_link
from tracelink.identity.gs1.elements import parse_elements, write_elements
from tracelink.identity.gs1.epc import is_epc, parse_epc, write_epc
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.gs1.partner_values import require_account
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.isrc import Isrc
from tracelink.identity.plantcode import PlantCode, is_act, parse_act
from tracelink.identity.reading import (
    ActRead,
    DiscRead,
    LogisticRead,
    NumberKeyed,
    PlantRead,
    SleeveRead,
    TextKeyed,
    read_scan,
)
from tracelink.identity.symbology import name_of, split_identifier

LONGEST = 500
"""Most characters of a code: a QR Code of GS1 elements has some hundred."""

_BRACKET = re.compile(r"\(([0-9]{2,4})\)", re.ASCII)
_WEB = re.compile(r"https?://", re.IGNORECASE | re.ASCII)
_READINGS: Mapping[type, str] = {
    PlantRead: "plant code",
    ActRead: "action card",
    DiscRead: "disc",
    SleeveRead: "sleeve",
    LogisticRead: "carton or pallet label",
    NumberKeyed: "number typed",
    TextKeyed: "text typed",
}
_SHIP = "number of a ship"
_ONLY_IF_RIGHT = frozenset({_SHIP})
"""What so many texts have the shape of that a wrong one is hardly meant."""

_SHAPES: tuple[tuple[str, re.Pattern[str], Callable[[str], object]], ...] = (
    ("plant code", re.compile(r"[A-Z][0-9]{6,9}[0-9A-Z]", re.ASCII), PlantCode.parse),
    ("GTIN", re.compile(r"[0-9]{8}|[0-9]{12,14}", re.ASCII), Gtin.parse),
    ("SSCC", re.compile(r"[0-9]{18}", re.ASCII), Sscc.parse),
    (
        "ISRC of a recording",
        re.compile(r"(?:ISRC )?[A-Z]{2}-?[A-Z0-9]{3}-?[0-9]{2}-?[0-9]{5}", re.ASCII),
        Isrc.parse,
    ),
    ("bank account (IBAN)", re.compile(r"[A-Z]{2}[0-9]{2}[A-Z0-9]{11,30}", re.ASCII), require_account),
    (_SHIP, re.compile(r"[0-9]{7}", re.ASCII), require_ship_check_digit),
)
"""What a text may be by its shape: its name, its shape, and what raises IdentifierError unless it is one."""


def read_code(text: str, current_year: int, source: str = "") -> tuple[ReadCode, Mapping[str, str]]:
    """Say what one code is.

    Args:
        text: as read or typed, byte 29 as separator.
        current_year: four digits, for dates on labels.
        source: the picture or file that it stands in, if it does.

    Returns:
        What is said of it, and its elements by application identifier; nothing if it has none. What must stand beside
        them is for `judged_together`, since other symbols may be on the same item.
    """
    if not text or len(text) > LONGEST:
        says = f"expected 1 to {LONGEST} characters, found {len(text)}"
        return ReadCode(text[:LONGEST], source, (CodePart("text", "", CodeVerdict.WRONG, says),)), {}
    elements: dict[str, str] = {}
    parts = list(_parts(text, elements))
    if elements:
        parts += element_parts(elements, current_year)
    return ReadCode(text, source, tuple(parts)), elements


def judged_together(symbols: Iterable[Mapping[str, str]]) -> tuple[CodePart, ...]:
    """Say whether the elements of all codes may stand on one item.

    Args:
        symbols: the elements of each code.
    """
    elements: dict[str, str] = {}
    differing = []
    for symbol in symbols:
        for ai, value in symbol.items():
            if elements.setdefault(ai, value) != value:
                says = f"stands with different values: {elements[ai]!r} and {value!r}; these codes are of two items"
                differing.append(CodePart(f"({ai})", value, CodeVerdict.WRONG, says))
    return tuple(differing) or tuple(together(elements))


def _parts(text: str, elements: dict[str, str]) -> Iterator[CodePart]:
    """Yield what is said of a text; the elements found in it are put into `elements`."""
    if text.startswith("]"):
        yield from _scanned(text, elements)
    elif text[0] in '#"':
        yield _at_a_station(text)
    elif is_epc(text):
        yield _read("EPC URN", text, parse_epc, elements)
        yield from _respelled(text, elements)
    elif _WEB.match(text):
        yield _web_address(text, elements)
    elif _BRACKET.match(text):
        yield _read("GS1 elements", text, _bracketed, elements)
    else:
        yield from _plain(text)


def _read(
    what: str, text: str, read: Callable[[str], Mapping[str, str]], elements: dict[str, str]
) -> CodePart:
    try:
        elements |= read(text)
    except IdentifierError as problem:
        return CodePart(what, text, CodeVerdict.WRONG, str(problem))
    return CodePart(what, text, CodeVerdict.RIGHT, "as it should be written")


def _respelled(urn: str, elements: Mapping[str, str]) -> Iterator[CodePart]:
    """How long the company prefix of an EPC URN is, and the URN in its one spelling; nothing if it has no elements."""
    if elements:
        prefix = urn.rsplit(":", maxsplit=1)[-1].partition(".")[0]
        spelled = write_epc(elements, company_prefix_length=len(prefix))
        yield CodePart("company prefix", prefix, CodeVerdict.TOLD, f"{len(prefix)} digits; spelled {spelled}")


def _scanned(text: str, elements: dict[str, str]) -> Iterator[CodePart]:
    try:
        identifier, payload = split_identifier(text)
    except IdentifierError as problem:
        yield CodePart("symbology", text[:3], CodeVerdict.WRONG, str(problem))
        return
    try:
        found = read_foreign(text)
    except IdentifierError as problem:
        yield CodePart("symbology", name_of(identifier), CodeVerdict.WRONG, str(problem))
    else:
        carries = "GS1 elements" if found.elements is not None else "text of any kind"
        yield CodePart("symbology", name_of(identifier), CodeVerdict.RIGHT, f"carries {carries}")
        elements |= found.elements or {}
        if found.elements is None and payload:
            yield from _plain(payload)
    yield _at_a_station(text)


def _at_a_station(text: str) -> CodePart:
    """What a station of this plant makes of a line; refusing what others print is its duty and no fault of theirs."""
    try:
        found = read_scan(text)
    except IdentifierError as problem:
        return CodePart("at a station", "refused", CodeVerdict.TOLD, str(problem))
    told = ((each.name, getattr(found, each.name)) for each in fields(found))
    says = ", ".join(f"{name} {value}" for name, value in told if value is not None)
    return CodePart("at a station", _READINGS[type(found)], CodeVerdict.TOLD, says)


def _web_address(text: str, elements: dict[str, str]) -> CodePart:
    if is_link(text):
        return _read("GS1 web address", text, parse_link, elements)
    return CodePart("web address", text, CodeVerdict.NOT_JUDGED, "no GS1 key stands at the end of its path")


def _bracketed(text: str) -> dict[str, str]:
    """Read elements as they are printed below a symbol: an identifier in brackets begins each.

    Raises:
        IdentifierError: as for `parse_elements`.
    """
    # A value may hold brackets too: only those round an assigned identifier begin an element.
    starts = [found for found in _BRACKET.finditer(text) if found[1] in all_rules()]
    if not starts or starts[0].start():
        raise InvalidFormat(f"{text!r} begins with no application identifier that GS1 has assigned")
    ends = [found.start() for found in starts[1:]] + [len(text)]
    pairs = [(found[1], text[found.end() : end]) for found, end in zip(starts, ends, strict=True)]
    return parse_elements(write_elements(pairs, used=None), used=None)


def _plain(text: str) -> Iterator[CodePart]:
    shown = text.replace(SEPARATOR, "<GS>")
    if is_epc(text) or _WEB.match(text):
        # Behind a plain symbology these are text, and read as what they are when given alone.
        yield CodePart(
            "text", shown, CodeVerdict.TOLD, "an EPC URN or a web address: read it without its symbology"
        )
        return
    claims = list(_claims(text))
    yield from claims
    if not claims:
        says = "no kind of code that is known here is written so"
        yield CodePart("text", shown, CodeVerdict.NOT_JUDGED, says)
    yield from _checks(text)


def _claims(text: str) -> Iterator[CodePart]:
    """Yield every kind of code whose shape a text has, and whether it is one."""
    if is_act(text):
        # Many texts begin with A and a letter; a few of them are action cards.
        with suppress(IdentifierError):
            yield CodePart("action card", text, CodeVerdict.RIGHT, f"the action {parse_act(text)}")
    for what, shape, read in _SHAPES:
        if shape.fullmatch(text) is None:
            continue
        try:
            found = read(text)
        except IdentifierError as problem:
            if what not in _ONLY_IF_RIGHT:
                yield CodePart(what, text, CodeVerdict.WRONG, str(problem))
        else:
            yield CodePart(what, text, CodeVerdict.RIGHT, _meaning(found))


def _meaning(found: object) -> str:
    if isinstance(found, PlantCode):
        return f"{found.kind.noun} number {found.number}; its check character fits"
    if isinstance(found, Isrc):
        return "has no check character: only a list of the recordings can tell"
    if isinstance(found, Gtin) and found.gtin8 is not None:
        return "a GTIN-8; its check digit fits"
    return "its check digits fit"


def _checks(text: str) -> Iterator[CodePart]:
    for fit in scheme_fits(text):
        fits = "fits" if fit.fits else f"would be {fit.expected}, found {fit.found}"
        judged = CodeVerdict.RIGHT if fit.fits else CodeVerdict.TOLD
        yield CodePart(f"check: {fit.scheme.name}", fit.found, judged, f"{fits} ({fit.scheme.used_for})")
    value = code128_symbol_check(text)
    if value is not None and not is_digits(text):
        says = "inside a Code 128 of this text in code set B; no scanner sends it"
        yield CodePart("check: Code 128 symbol", str(value), CodeVerdict.TOLD, says)
