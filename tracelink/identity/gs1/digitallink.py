"""GS1 Digital Link: element strings written as a web address, as a QR code on a sleeve may carry them.

The path ends in pairs of identifier and value: a key such as (01), then what narrows it (lot, serial) in the order
GS1 lays down. Everything else stands behind the question mark, among parameters of other programs. Read
strictly, because an address may be read in two ways otherwise: nothing is decoded twice, guessed or passed over that
has an identifier's form. Compressed addresses are not read.

Source: GS1 Digital Link Standard, URI syntax; keys and order from the GS1 Barcode Syntax Dictionary.
"""

import re
from collections.abc import Mapping, Sequence

from tracelink.errors import InvalidFormat
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.aitable import ElementRule, all_rules, rule_of
from tracelink.identity.gs1.aivalues import require_length, require_value
from tracelink.identity.gs1.percent import escape, unescape

# The scheme in letters of either case (RFC 3986, section 3.1); no user name, no brackets in the host.
_ADDRESS = re.compile(
    r"(?P<stem>(?i:https?)://[A-Za-z0-9.-]+(?::[0-9]+)?)(?P<path>/[^?#]*)(?:\?(?P<query>[^#]*))?(?:#.*)?",
    re.ASCII,
)
_STEM = re.compile(r"https?://[A-Za-z0-9.-]+(?::[0-9]+)?(?:/[A-Za-z0-9._~-]+)*", re.ASCII)
_CHARACTERS = re.compile(r"[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=%-]*", re.ASCII)
_UNRESERVED = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~")


def parse_link(uri: str) -> dict[str, str]:
    """Read the elements of a GS1 Digital Link.

    Args:
        uri: a web address, http or https, uncompressed.

    Returns:
        Value by application identifier: key, what narrows it, then the parameters in the order read.

    Raises:
        InvalidFormat: no web address, no key in its path, an identifier in the wrong place, out of order or
            repeated, a character not allowed.
        InvalidLength: a value of another length; a GTIN needs its 14 digits.
        InvalidCheckCharacter: a check digit does not fit.
    """
    path, query = _parts(uri)
    segments = path.split("/")[1:]
    if segments[-1] == "":
        raise InvalidFormat(f"{uri!r} ends its path in a slash: expected a value there")
    at = _key_at(segments)
    if at is None:
        raise InvalidFormat(f"{uri!r} has no key such as 01 and its value at the end of its path")
    key = all_rules()[segments[at]]
    elements: dict[str, str] = {}
    for ai, value in zip(segments[at::2], segments[at + 1 :: 2], strict=True):
        _add(elements, ai, value)
    _require_order(key, segments[at + 2 :: 2])
    for ai, value in _attributes(query):
        _require_attribute(key, ai)
        _add(elements, ai, value)
    return elements


def is_link(text: str) -> bool:
    """Say whether text means to be a GS1 Digital Link: a web address with a key in its path, right or wrong."""
    found = _ADDRESS.fullmatch(text)
    return found is not None and _key_at(found["path"].rstrip("/").split("/")[1:]) is not None


def write_link(elements: Mapping[str, str], *, stem: str = "https://id.gs1.org") -> str:
    """Return the address of an item.

    Args:
        elements: value by application identifier, as `parse_link` returns it. The first that can be a key is the
            key; what may narrow it follows in GS1's order, all else behind the question mark as given.
        stem: the address in front, without a slash at its end.

    Raises:
        InvalidFormat: no element can be the key, one can stand nowhere in an address of that key, or the stem is not a
            web address.
        IdentifierError: a value is not one its identifier allows.
    """
    if not _STEM.fullmatch(stem):
        raise InvalidFormat(f"{stem!r} is not the beginning of a web address without a slash at its end")
    for ai, value in elements.items():
        rule = rule_of(ai, None)
        require_length(rule, value)
        require_value(rule, value)
    key = next((rule_of(ai, None) for ai in elements if rule_of(ai, None).link_paths), None)
    if key is None:
        raise InvalidFormat(
            f"none of {_named(elements)} can be the key of a web address: expected one like (01)"
        )
    narrowing = max(key.link_paths, key=lambda path: len(elements.keys() & set(path)))
    order = [key.ai, *(ai for ai in narrowing if ai in elements)]
    behind = [ai for ai in elements if ai not in order]
    for ai in behind:
        _require_attribute(key, ai)
    path = "".join(f"/{ai}/{escape(elements[ai], _UNRESERVED)}" for ai in order)
    query = "&".join(f"{ai}={escape(elements[ai], _UNRESERVED)}" for ai in behind)
    return f"{stem}{path}?{query}" if query else stem + path


def _named(ais: Mapping[str, str]) -> str:
    return " and ".join(f"({ai})" for ai in ais) or "no elements"


def _parts(uri: str) -> tuple[str, str]:
    """Return path and query of a web address."""
    found = _ADDRESS.fullmatch(uri)
    if found is None or not _CHARACTERS.fullmatch(uri):
        raise InvalidFormat(
            f"{uri!r} is not a web address that begins with http:// or https:// and has a path"
        )
    return found["path"], found["query"] or ""


def _key_at(segments: Sequence[str]) -> int | None:
    """Return where the key stands: pairs are read from the end, so that the stem may look like anything."""
    rules = all_rules()
    for at in range(len(segments) - 2, -1, -2):
        rule = rules.get(segments[at])
        if rule is None:
            return None
        if rule.link_paths:
            return at
    return None


def _add(elements: dict[str, str], ai: str, escaped: str) -> None:
    rule = rule_of(ai, None)
    value = unescape(escaped)
    require_length(rule, value)
    require_value(rule, value)
    if ai in elements:
        raise InvalidFormat(f"{rule.name} stands twice in one web address")
    elements[ai] = value


def _require_order(key: ElementRule, ais: Sequence[str]) -> None:
    """Raise unless identifiers follow a key in the order of one of its paths, some perhaps left out."""
    for path in key.link_paths:
        if list(ais) == [ai for ai in path if ai in ais]:
            return
    paths = " or ".join("".join(f"/{ai}" for ai in path) for path in key.link_paths if path)
    expected = f"{paths}, in this order, any of them left out" if paths else "nothing there"
    raise InvalidFormat(
        f"{key.name} is followed by {''.join(f'/{ai}' for ai in ais)} in the path: expected {expected}"
    )


def _attributes(query: str) -> list[tuple[str, str]]:
    """Return identifiers and escaped values among the parameters; parameters with other names are not ours."""
    found = []
    for parameter in query.split("&"):
        name, _, value = parameter.partition("=")
        if not is_digits(name):
            continue
        if "+" in value or ";" in value:
            # Some read + as a space and ; as the end of a parameter: two readers, two values.
            raise InvalidFormat(
                f"({name}) {value!r} has + or ; behind the question mark: expected %2B or %3B"
            )
        found.append((name, value))
    return found


def _require_attribute(key: ElementRule, ai: str) -> None:
    rule = rule_of(ai, None)
    if any(ai in path for path in key.link_paths):
        raise InvalidFormat(f"{rule.name} narrows {key.name}: expected it in the path, in GS1's order")
    if not rule.link_attribute:
        raise InvalidFormat(f"{rule.name} cannot stand behind the question mark of a web address")
