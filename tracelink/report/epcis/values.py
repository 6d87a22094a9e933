"""Single values of an EPCIS document, judged strictly: addresses, times, words, quantities.

Each check takes a value and yields what is wrong with it as (place below it, expected, found). Pure: nothing here
opens a file or asks a clock, so that exports, imports and tests judge alike.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from ipaddress import IPv6Address
from typing import Any

from tracelink.report.epcis import words

Wrong = tuple[str, str, str]
"""Place below the value (empty for the value itself), expected, found."""

Check = Callable[[Any], Iterator[Wrong]]

_PLAIN = r"A-Za-z0-9._~!$&'()*+,;=\-"
_PATH = rf"(?:[{_PLAIN}:@/]|%[0-9A-Fa-f]{{2}})*"
_QUERY = rf"(?:[{_PLAIN}:@/?]|%[0-9A-Fa-f]{{2}})*"
_HOST = rf"\[(?P<address>[0-9A-Fa-f:.]+|v[0-9A-Fa-f]+\.[{_PLAIN}:]+)\]|(?:[{_PLAIN}]|%[0-9A-Fa-f]{{2}})*"
# RFC 3986, appendix A. A path without an authority cannot begin with two slashes: they would be read as one.
_URI = re.compile(
    r"[A-Za-z][A-Za-z0-9+.-]*:"
    rf"(?://(?:(?:[{_PLAIN}:]|%[0-9A-Fa-f]{{2}})*@)?(?:{_HOST})(?::[0-9]*)?(?:/{_PATH})?|(?!//){_PATH})"
    rf"(?:\?{_QUERY})?(?:#{_QUERY})?",
    re.ASCII,
)
_OFFSET = re.compile(r"[+-](?:(?:0[0-9]|1[0-3]):[0-5][0-9]|14:00)", re.ASCII)
_TIME = re.compile(
    r"(\d{4}-\d{2}-\d{2})[Tt]((?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d)(?:\.\d+)?([Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)",
    re.ASCII,
)
_UNIT = re.compile(r"[A-Z0-9]{2,3}", re.ASCII)
_LEGACY = re.compile(r"urn:epcglobal:cbv|https?://ns\.gs1\.org/cbv/")
_LEGACY_MEASURE = re.compile(r"https?://(?:www\.)?gs1\.org/voc/")
_HEX = re.compile(r"[A-Fa-f0-9]+", re.ASCII)
_SHOWN = 80


def shown(value: object) -> str:
    """Return a value for a sentence, cut to a readable length."""
    text = repr(value)
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 3]}..."


def is_uri(value: object) -> bool:
    """Return whether a value is text with a scheme (RFC 3986), such as a Digital Link, a URN or `prefix:name`."""
    found = _URI.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        return False
    address = found["address"]
    if address is None or address.startswith(("v", "V")):
        return True
    try:
        IPv6Address(address)
    except ValueError:
        return False
    return True


def instant(value: object) -> datetime | None:
    """Return the instant of an RFC 3339 time with offset or Z, None if it is not one.

    A leap second, 60, is refused: the published schema's checkers do not take it, and no clock here can show it.
    """
    found = _TIME.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        return None
    offset = "+00:00" if found[3] in "Zz" else found[3]
    try:
        return datetime.fromisoformat(f"{found[1]}T{found[2]}{offset}")
    except ValueError:
        return None


def uri(value: Any) -> Iterator[Wrong]:
    """An address or name with a scheme."""
    if not is_uri(value):
        yield "", "a URI such as https://id.example.org/lot/1", shown(value)


def time(value: Any) -> Iterator[Wrong]:
    """An RFC 3339 time with its offset."""
    if instant(value) is None:
        yield "", "a time with offset such as 2031-03-04T09:15:00+01:00", shown(value)


def offset(value: Any) -> Iterator[Wrong]:
    """A local offset, never Z."""
    if not (isinstance(value, str) and _OFFSET.fullmatch(value)):
        yield "", "an offset from -14:00 to +14:00 such as +01:00", shown(value)


def number(value: Any) -> Iterator[Wrong]:
    """A finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        yield "", "a number", shown(value)


def text(value: Any) -> Iterator[Wrong]:
    """Any text."""
    if not isinstance(value, str):
        yield "", "text", shown(value)


def one_of(known: frozenset[str], what: str) -> Check:
    """Return the check of a closed list: no other word may stand there."""

    def check(value: Any) -> Iterator[Wrong]:
        if not (isinstance(value, str) and value in known):
            yield "", f"{what}: {', '.join(sorted(known))}", shown(value)

    return check


def word_of(known: frozenset[str], what: str, legacy: re.Pattern[str] = _LEGACY) -> Check:
    """Return the check of one word list, which lets other vocabularies' URIs pass but no old spelling."""

    def check(value: Any) -> Iterator[Wrong]:
        if value in known if isinstance(value, str) else False:
            return
        if not is_uri(value) or legacy.match(value):
            yield "", f"{what} of the published list, or a URI of another vocabulary", shown(value)

    return check


def measurement(value: Any) -> Iterator[Wrong]:
    """What a sensor report is of."""
    yield from word_of(words.MEASUREMENTS, "a measurement", _LEGACY_MEASURE)(value)


def many(check: Check, *, least: int = 0, unique: bool = False) -> Check:
    """Return the check of a list of values."""

    def all_of(value: Any) -> Iterator[Wrong]:
        if not isinstance(value, list):
            yield "", "a list", shown(value)
            return
        if len(value) < least:
            yield "", f"at least {least} in the list", f"{len(value)}"
        if unique and len({json_key(each) for each in value}) < len(value):
            yield "", "each value once", "a value twice"
        for place, each in enumerate(value):
            yield from below(f"[{place}]", check(each))

    return all_of


def json_key(value: object) -> str:
    """Return text that is equal for equal JSON values: keys in any order, 1 like 1.0, true unlike 1."""
    if isinstance(value, dict):
        return repr(sorted((name, json_key(item)) for name, item in value.items()))
    if isinstance(value, list):
        return repr([json_key(item) for item in value])
    if isinstance(value, int | float) and not isinstance(value, bool):
        return repr(int(value)) if value == int(value) else repr(float(value))
    return repr(value)


def below(place: str, found: Iterable[Wrong]) -> Iterator[Wrong]:
    """Move what was found under a place."""
    for where, expected, what in found:
        yield place + where, expected, what


def fields(
    checks: Mapping[str, Check],
    required: Iterable[str] = (),
    *,
    others: str = "no other key",
    one_needed: bool = False,
) -> Check:
    """Return the check of an object.

    Args:
        checks: key -> check of its value.
        required: the keys that must be there.
        others: "no other key", "URI keys" (keys of other vocabularies may stand there) or "any key".
        one_needed: at least one of `checks` must be there.
    """
    needed = tuple(required)

    def check(value: Any) -> Iterator[Wrong]:
        if not isinstance(value, dict):
            yield "", "an object", shown(value)
            return
        for name in needed:
            if name not in value:
                yield f".{name}", "to be there", "nothing"
        if one_needed and not value.keys() & checks.keys():
            yield "", f"one of {', '.join(checks)}", "none of them"
        for name, item in value.items():
            if name in checks:
                yield from below(f".{name}", checks[name](item))
            elif others == "no other key" or (others == "URI keys" and not is_uri(name)):
                yield f".{name}", "no such key", shown(item)

    return check


def _unit(value: Any) -> Iterator[Wrong]:
    if not (isinstance(value, str) and _UNIT.fullmatch(value)):
        yield "", "a unit of two or three capitals or digits such as KGM", shown(value)


def _hex(value: Any) -> Iterator[Wrong]:
    if not (isinstance(value, str) and _HEX.fullmatch(value)):
        yield "", "hexadecimal digits", shown(value)


def anything(_value: Any) -> Iterator[Wrong]:
    """What is not judged."""
    yield from ()


def context(value: Any) -> Iterator[Wrong]:
    """The context of a document or an event: where its words are declared."""
    for place, each in enumerate(value) if isinstance(value, list) else [("", value)]:
        if not (isinstance(each, dict) or is_uri(each)):
            yield f"[{place}]" if place != "" else "", "a URI or an object", shown(each)
    if isinstance(value, list) and len({json_key(each) for each in value}) < len(value):
        yield "", "each context once", "one twice"


def certification(value: Any) -> Iterator[Wrong]:
    """Where a certificate is found, or a list of such places."""
    yield from many(uri)(value) if isinstance(value, list) else uri(value)


def _boolean(value: Any) -> Iterator[Wrong]:
    if not isinstance(value, bool):
        yield "", "true or false", shown(value)


PLACE = fields({"id": uri}, ["id"], others="any key")
QUANTITY = fields({"epcClass": uri, "quantity": number, "uom": _unit}, ["epcClass"])
TRANSACTION = fields(
    {"type": word_of(words.TRANSACTION_TYPES, "a type of document"), "bizTransaction": uri},
    ["bizTransaction"],
)
_PARTY = word_of(words.PARTY_TYPES, "a type of party")
SOURCE = fields({"type": _PARTY, "source": uri}, ["type", "source"])
DESTINATION = fields({"type": _PARTY, "destination": uri}, ["type", "destination"])
_DISPOSITIONS = many(word_of(words.DISPOSITIONS, "a disposition"), least=1, unique=True)
PERSISTENT = fields({"set": _DISPOSITIONS, "unset": _DISPOSITIONS}, one_needed=True)
ERROR = fields(
    {
        "declarationTime": time,
        "reason": word_of(words.ERROR_REASONS, "a reason"),
        "correctiveEventIDs": many(uri),
    },
    ["declarationTime"],
    others="URI keys",
)
_DEVICE: dict[str, Check] = dict.fromkeys(
    ("deviceID", "deviceMetadata", "rawData", "dataProcessingMethod", "bizRules"), uri
)
_REPORT = fields(
    {
        **_DEVICE,
        "type": measurement,
        "exception": word_of(words.ALERTS, "an alert", _LEGACY_MEASURE),
        "time": time,
        **dict.fromkeys(("microorganism", "chemicalSubstance", "coordinateReferenceSystem", "uriValue"), uri),
        **dict.fromkeys(
            ("value", "minValue", "maxValue", "meanValue", "sDev", "percRank", "percValue"), number
        ),
        "component": word_of(words.COMPONENTS, "a component"),
        "stringValue": text,
        "booleanValue": _boolean,
        "hexBinaryValue": _hex,
        "uom": text,
    },
    ["type"],
    others="URI keys",
)
SENSOR = fields(
    {
        "sensorMetadata": fields(
            {**_DEVICE, **dict.fromkeys(("time", "startTime", "endTime"), time)}, others="URI keys"
        ),
        "sensorReport": many(_REPORT, least=1),
    },
    ["sensorReport"],
    others="URI keys",
)
ILMD = fields({}, others="URI keys")
