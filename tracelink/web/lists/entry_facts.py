"""One entry of the journal: who did what when, then what else it says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.ledger.count_words import counted
from tracelink.ledger.time_words import moment
from tracelink.report.format.document import Block, FactList, Section, TextBlock

_MOST = 60
"""Lines of what an entry says: one that keeps a scope has thousands."""


def entry_sections(fields: Mapping[str, Any], names: Mapping[str, str]) -> tuple[Section, ...]:
    """Return what a page says of an entry.

    Args:
        fields: the entry as plain data.
        names: name by badge.
    """
    said = list(_flat(fields.get("body", {})))
    told: tuple[Block, ...] = (FactList(tuple(said[:_MOST])) if said else TextBlock("Nothing more."),)
    if len(said) > _MOST:
        told = (*told, TextBlock(f"{counted(len(said) - _MOST, 'more line')} in the text below."))
    return (
        Section("Who did what", (FactList(tuple(_head(fields, names))),)),
        Section("What it says", told),
    )


def _head(fields: Mapping[str, Any], names: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    yield "what", str(fields["kind"]).replace("-", " ")
    yield "when", moment(fields["event_time"])
    yield "recorded", moment(fields["recorded_at"])
    person = fields.get("person")
    yield "by", "nobody signed on" if person is None else f"{names.get(person, 'badge')}, {person}"
    station, number = fields.get("station"), fields.get("station_seq")
    yield "at", "a desk or a command" if station is None else f"station {station}, its scan {number}"
    for name, words in _MAY_BE:
        if fields.get(name) is not None:
            yield words, str(fields[name])


_MAY_BE = (
    ("reason", "reason"),
    ("corrects", "corrects entry"),
    ("scans", "hash of its raw scans"),
    ("prev", "hash of the entry before"),
)


def _flat(value: object, name: str = "") -> Iterator[tuple[str, str]]:
    """Give every text and number in an entry with where it stands."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield from _flat(each, f"{name}, {_words(key)}" if name else _words(key))
    elif isinstance(value, list):
        for place, each in enumerate(value, start=1):
            yield from _flat(each, f"{name} {place}")
    else:
        yield name, _shown(value)


def _words(key: object) -> str:
    return str(key).replace("_", " ")


def _shown(value: object) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
