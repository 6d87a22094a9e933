"""EPC URNs: the same numbers as element strings, in the spelling of radio tags and EPCIS documents.

A URN has no check digit and puts a dot where the company prefix ends. An element string does not say where that is,
so whoever writes a URN must know how long the prefix is; whoever reads one need not.

Five schemes have no element string, since what they number is not GS1's: general identifiers, containers, ships, goods
and parts of armed forces and aircraft. They are judged by their form, and by their check digit where there is one.

Source: GS1 EPC Tag Data Standard, sections on the pure identity URIs. Not checked against its text: extension 0
of a location (sgln) means none; the layout of parties (pgln) and of pieces of a set (itip); which characters are
written with a percent sign; company prefixes of 6 to 12 digits; the form of usdod and adi; which schemes have patterns.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tracelink.errors import InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import (
    gs1_check_digit,
    is_digits,
    require_container_check_digit,
    require_ship_check_digit,
)
from tracelink.identity.gs1.aitable import rule_of
from tracelink.identity.gs1.aivalues import require_length, require_value
from tracelink.identity.gs1.charsets import CSET_82
from tracelink.identity.gs1.percent import escape, unescape

# "urn" and what follows it may be written in either case (RFC 8141, section 3.1), the rest may not.
_URN = re.compile(r"(?i:urn:epc):(id|class|idpat):([a-z]+):(.+)", re.ASCII)
_IS_EPC = re.compile(r"(?i:urn:epc:(?:id|class|idpat):)", re.ASCII)
_ESCAPED = frozenset('"#%&/<>?')
_PLAIN = CSET_82 - _ESCAPED
_ANY = "*"
_NO_EXTENSION = "0"
_SHORTEST_PREFIX, _LONGEST_PREFIX = 6, 12


@dataclass(frozen=True, slots=True)
class _Scheme:
    """How one kind of URN lays out its number."""

    name: str
    """The word in the URN."""

    ai: str
    """The application identifier of the key."""

    digits: int = 0
    """Digits of the key, check digit included; 0 if any text follows the company prefix."""

    leading: bool = False
    """The key's first digit, indicator or extension, stands before the reference instead of the prefix."""

    filler: str = ""
    """A digit in front of the key that the URN leaves out."""

    pieces: bool = False
    """Piece and total follow as two fields."""

    serial: str = ""
    """The identifier of the last field; the key's own if the serial is part of its value; empty if there is none."""

    may_lack: str = ""
    """What the last field holds if there is no serial; empty if there must be one."""

    kind: str = "id"
    """"id", or "class" where the URN names a lot and not one item."""

    @property
    def dots(self) -> int:
        """Dots between the fields."""
        return 1 + 2 * self.pieces + bool(self.serial)


_SCHEMES = {
    scheme.name: scheme
    for scheme in (
        _Scheme("sgtin", "01", 14, leading=True, serial="21", may_lack=_ANY),
        _Scheme("lgtin", "01", 14, leading=True, serial="10", kind="class"),
        _Scheme("itip", "8006", 14, leading=True, pieces=True, serial="21", may_lack=_ANY),
        _Scheme("sscc", "00", 18, leading=True),
        _Scheme("sgln", "414", 13, serial="254", may_lack=_NO_EXTENSION),
        _Scheme("pgln", "417", 13),
        _Scheme("grai", "8003", 13, filler="0", serial="8003", may_lack=_ANY),
        _Scheme("gdti", "253", 13, serial="253", may_lack=_ANY),
        _Scheme("giai", "8004"),
        _Scheme("ginc", "401"),
        _Scheme("gsin", "402", 17),
        _Scheme("gsrn", "8018", 18),
        _Scheme("gsrnp", "8017", 18),
        _Scheme("sgcn", "255", 13, serial="255", may_lack=_ANY),
        _Scheme("cpi", "8010", serial="8011", may_lack=_ANY),
        _Scheme("upui", "01", 14, leading=True, serial="235", may_lack=_ANY),
    )
}
_BY_ELEMENTS = {frozenset((scheme.ai, scheme.serial or scheme.ai)): scheme for scheme in _SCHEMES.values()}
_BY_KEY_ALONE = {
    # A GTIN alone is sgtin, the first with its identifier.
    frozenset((scheme.ai,)): scheme
    for scheme in reversed(_SCHEMES.values())
    if scheme.may_lack
}

_NUMBER = "(?:0|[1-9][0-9]*)"
_OFFICE = "[0-9A-HJ-NP-Z]{5,6}"
_PART = "(?:[0-9A-Z-]|%2F)"
_OTHERS = {
    "gid": (re.compile(rf"{_NUMBER}\.{_NUMBER}\.(?:{_NUMBER}|\*)"), "three numbers without leading zeros"),
    "bic": (
        re.compile(r"[A-Z]{3}[JUZ][0-9]{7}"),
        "three letters of an owner, J, U or Z, six digits and a check digit",
    ),
    "imovn": (re.compile(r"[0-9]{7}"), "seven digits"),
    "usdod": (re.compile(rf"{_OFFICE}\.{_NUMBER}"), "a code of 5 or 6 characters and a number"),
    "adi": (
        re.compile(rf"{_OFFICE}\.{_PART}*\.(?:%23)?{_PART}+"),
        "a code of 5 or 6 characters, a part number or nothing, and a serial",
    ),
}
"""Schemes without an element string: form of what follows the scheme, and the form in words."""


def is_epc(text: str) -> bool:
    """Say whether text means to be an EPC URN, right or wrong."""
    return _IS_EPC.match(text) is not None


def parse_epc(urn: str) -> dict[str, str]:
    """Read the elements an EPC URN stands for.

    Args:
        urn: "urn:epc:id:" or "urn:epc:class:lgtin:" and its fields; or "urn:epc:idpat:" with "*" as serial, which
            stands for the class without a serial.

    Returns:
        Value by application identifier, with check digits; nothing for a scheme that has no element string.

    Raises:
        InvalidFormat: another form or scheme, a character not allowed, a wrong number of fields or digits.
        InvalidLength: a serial or number too long or missing.
        InvalidCheckCharacter: the check digit of a container or ship does not fit.
    """
    found = _URN.fullmatch(urn)
    if found is not None and found[2] in _OTHERS:
        _require_other(urn, found[1], found[2], found[3])
        return {}
    scheme = _SCHEMES.get(found[2]) if found else None
    if found is None or scheme is None:
        known = ", ".join((*_SCHEMES, *_OTHERS))
        raise InvalidFormat(f"{urn!r} is not an EPC URN: expected urn:epc:id: and one of {known}")
    fields = found[3].split(".", scheme.dots)
    if len(fields) != scheme.dots + 1:
        raise InvalidFormat(f"{urn!r} has {len(fields)} fields between dots: expected {scheme.dots + 1}")
    prefix, reference = fields[:2]
    if not is_digits(prefix):
        raise InvalidFormat(f"company prefix in {urn!r} must be digits 0-9, found {prefix!r}")
    _require_prefix_length(len(prefix))
    key = _key(scheme, urn, prefix, reference)
    if scheme.pieces:
        key += fields[2] + fields[3]
    elements = {scheme.ai: key} | _serial(scheme, urn, found[1], key, fields[-1])
    _require_values(elements)
    return elements


def write_epc(elements: Mapping[str, str], *, company_prefix_length: int) -> str:
    """Return the EPC URN of elements.

    Args:
        elements: a key and, where its scheme has one, its serial, lot or extension, and nothing else: (01) with (21),
            with (10) or alone; (8006) with (21) or alone; (414) with (254) or alone; (00), (417), (8003), (253),
            (8004), (401), (402), (8017), (8018), (255) alone; (8010) with (8011) or alone; (01) with (235). What has
            serials but comes without gives the pattern of its class.
        company_prefix_length: digits of the GS1 company prefix of the key's owner, 6 to 12.

    Raises:
        InvalidFormat: no URN stands for these elements together.
        InvalidLength: no company prefix has that length.
        IdentifierError: a value is not one its identifier allows.
    """
    _require_prefix_length(company_prefix_length)
    _require_values(elements)
    scheme = _BY_ELEMENTS.get(frozenset(elements)) or _BY_KEY_ALONE.get(frozenset(elements))
    if scheme is None:
        shown = " and ".join(f"({ai})" for ai in elements) or "no elements"
        raise InvalidFormat(f"no EPC URN stands for {shown} together")
    value = elements[scheme.ai]
    fields = _key_fields(scheme, value, company_prefix_length)
    if not scheme.serial:
        return f"urn:epc:{scheme.kind}:{scheme.name}:{'.'.join(fields)}"
    is_joined = scheme.serial == scheme.ai
    serial = value[len(scheme.filler) + scheme.digits :] if is_joined else elements.get(scheme.serial, "")
    if serial == scheme.may_lack == _NO_EXTENSION:
        raise InvalidFormat(f"({scheme.serial}) {serial!r} means no extension in an EPC URN: leave it out")
    kind = "idpat" if not serial and scheme.may_lack == _ANY else scheme.kind
    last = escape(serial, _PLAIN) or scheme.may_lack
    return f"urn:epc:{kind}:{scheme.name}:{'.'.join((*fields, last))}"


def _require_other(urn: str, kind: str, name: str, text: str) -> None:
    """Judge a URN of a scheme that has no element string."""
    form, described = _OTHERS[name]
    is_pattern = text.endswith(f".{_ANY}")
    if form.fullmatch(text) is None:
        raise InvalidFormat(f"{urn!r}: expected {described} behind {name}")
    if kind != ("idpat" if is_pattern else "id"):
        raise InvalidFormat(f"{urn!r}: expected urn:epc:{'idpat' if is_pattern else 'id'}: before {name}")
    if name == "bic":
        require_container_check_digit(text)
    if name == "imovn":
        require_ship_check_digit(text)


def _require_prefix_length(length: int) -> None:
    if not _SHORTEST_PREFIX <= length <= _LONGEST_PREFIX:
        raise InvalidLength(
            f"company prefix in an EPC URN must have {_SHORTEST_PREFIX} to {_LONGEST_PREFIX} digits, found {length}"
        )


def _require_values(elements: Mapping[str, str]) -> None:
    for ai, value in elements.items():
        rule = rule_of(ai, None)
        require_length(rule, value)
        require_value(rule, value)


def _key(scheme: _Scheme, urn: str, prefix: str, reference: str) -> str:
    """Put a key together from its fields, with its check digit."""
    if not scheme.digits:
        if not reference:
            raise InvalidLength(f"{urn!r} must have something behind the company prefix")
        return prefix + _plain_text(reference)
    if len(prefix + reference) != scheme.digits - 1 or not is_digits(prefix + reference):
        raise InvalidFormat(
            f"{urn!r} must have {scheme.digits - 1} digits in its first two fields together, found "
            f"{prefix + reference!r}"
        )
    lead = 1 if scheme.leading else 0
    body = reference[:lead] + prefix + reference[lead:]
    return scheme.filler + body + gs1_check_digit(body)


def _key_fields(scheme: _Scheme, value: str, prefix_length: int) -> list[str]:
    """Part a key into its fields, without its check digit."""
    if not scheme.digits:
        prefix, reference = value[:prefix_length], value[prefix_length:]
        if not is_digits(prefix) or not reference:
            raise InvalidFormat(
                f"({scheme.ai}) {value!r} must be a company prefix of {prefix_length} digits and something behind it"
            )
        return [prefix, escape(reference, _PLAIN)]
    start = len(scheme.filler)
    lead = start + scheme.leading
    end = start + scheme.digits - 1
    fields = [value[lead : lead + prefix_length], value[start:lead] + value[lead + prefix_length : end]]
    return [*fields, value[end + 1 : end + 3], value[end + 3 :]] if scheme.pieces else fields


def _serial(scheme: _Scheme, urn: str, kind: str, key: str, last: str) -> dict[str, str]:
    """Return the element of the last field, or nothing if it stands for none."""
    is_pattern = kind == "idpat"
    if is_pattern and (last != _ANY or scheme.may_lack != _ANY):
        raise InvalidFormat(f"{urn!r}: expected '*' as serial of a pattern, of a scheme that has serials")
    if not is_pattern and kind != scheme.kind:
        raise InvalidFormat(f"{urn!r}: expected urn:epc:{scheme.kind}: before {scheme.name}")
    if is_pattern or not scheme.serial or last == scheme.may_lack == _NO_EXTENSION:
        return {}
    serial = _plain_text(last)
    if not serial:
        raise InvalidLength(f"{urn!r} must have something in its last field")
    return {scheme.serial: key + serial if scheme.serial == scheme.ai else serial}


def _plain_text(escaped: str) -> str:
    """Return a field unescaped."""
    bare = _ESCAPED.intersection(escaped) - {"%"}
    if bare:
        raise InvalidFormat(f"{escaped!r} has {min(bare)!r}: expected %{ord(min(bare)):02X} in an EPC URN")
    return unescape(escaped)
