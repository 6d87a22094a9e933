"""The rules of record keeping as rows, as text and as a document."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence

from tracelink.ledger.count_words import counted
from tracelink.report.format.document import Document, FramedNote, Section
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Cell, Column, Kind, Table, keyed, table
from tracelink.report.pages.rule_table import BINDING, PARTS, Force, RecordRule

COLUMNS = [
    Column("part", "part"),
    Column("clause", "clause", Kind.TEXT),
    Column("asks", "asks for", Kind.TEXT),
    Column("force", "force"),
    Column("read", "source"),
    Column("keeps", "kept here", Kind.TEXT),
    Column("entries", "kinds of entries", Kind.TEXT),
    Column("count", "such entries in this ledger", Kind.COUNT),
    Column("commands", "shown by", Kind.TEXT),
    Column("lacks", "not kept or done here", Kind.TEXT),
]
"""Stable for other programs."""

_WIDTH = 96


def rule_rows(rules: Iterable[RecordRule], counts: Mapping[str, int]) -> list[dict[str, Cell]]:
    """Return one row per clause.

    Args:
        rules: the clauses.
        counts: kind of entry -> how many of it the ledger has.
    """
    return [
        {
            "part": rule.part,
            "clause": rule.clause,
            "asks": rule.asks,
            "force": rule.force.value,
            "read": rule.read.value,
            "keeps": rule.keeps,
            "entries": rule.kinds,
            "count": sum(counts.get(kind, 0) for kind in rule.kinds) if rule.kinds else None,
            "commands": tuple(f"runout {command}" for command in rule.commands),
            "lacks": rule.lacks,
        }
        for rule in rules
    ]


def rules_text(rules: Sequence[RecordRule], counts: Mapping[str, int]) -> str:
    """Return the clauses as paragraphs: eight columns beside one another are read by nobody."""
    lines = [textwrap.fill(BINDING, _WIDTH), ""]
    part = ""
    for rule, row in zip(rules, rule_rows(rules, counts), strict=True):
        if rule.part != part:
            part = rule.part
            lines += [f"{PARTS[part]} (--part {part})", ""]
        lines.append(f"{rule.clause}   [{rule.force.value}; {rule.read.value}]")
        lines += [_said("Asks", rule.asks), _said("Kept", _kept(rule, row["count"]))]
        if rule.commands:
            lines.append(_said("Shown", ", ".join(f"runout {command}" for command in rule.commands)))
        if rule.lacks:
            lines.append(_said("Lacks", rule.lacks))
        lines.append("")
    return "\n".join(lines)


def _kept(rule: RecordRule, count: Cell) -> str:
    if not rule.kinds:
        return rule.keeps
    noun = "entry" if count == 1 else "entries"
    return f"{rule.keeps} ({', '.join(rule.kinds)}: {count} {noun} here)"


def _said(word: str, text: str) -> str:
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent=f"    {word + ':':<7}",
        subsequent_indent=" " * 11,
        break_on_hyphens=False,
    )


def rules_document(
    rules: Sequence[RecordRule], counts: Mapping[str, int], head: tuple[int, str], at: str
) -> Document:
    """Return the page.

    Args:
        rules: the clauses.
        counts: kind of entry -> how many of it the ledger has.
        head: entries of the journal, and its hash.
        at: when it is made, RFC 3339 with offset.
    """
    sections = [Section("What binds, and what does not", (FramedNote(BINDING),))]
    for part, title in PARTS.items():
        chosen = [rule for rule in rules if rule.part == part]
        if chosen:
            sections.append(Section(title, (_sheet(chosen, counts),)))
    return Document(
        kind="Rules of record keeping",
        title="What the ledger keeps for which clause",
        imprint=imprint(head, at),
        footer=imprint(head, at, whole=True),
        sections=tuple(sections),
    )


_SHEET = keyed(
    (
        ("force", Kind.CODE),
        ("clause", Kind.TEXT),
        ("asks for", Kind.TEXT),
        ("kept here, and what shows it", Kind.TEXT),
        ("not kept or done here", Kind.TEXT),
    )
)

_FORCE = {Force.CONTRACT: "binds", Force.MODEL: "model"}
"""First in a row: a plant is bound by few of them."""


def _sheet(rules: Sequence[RecordRule], counts: Mapping[str, int]) -> Table:
    cells = [
        (
            _FORCE[rule.force],
            f"{rule.clause} ({rule.read.value})",
            rule.asks,
            _kept_and_shown(rule, counts),
            rule.lacks,
        )
        for rule in rules
    ]
    return table("", "Clauses, and what is kept", _SHEET, cells)


def _kept_and_shown(rule: RecordRule, counts: Mapping[str, int]) -> str:
    said = rule.keeps
    if rule.kinds:
        said += f" {counted(sum(counts.get(kind, 0) for kind in rule.kinds), 'entry', 'entries')} here."
    if rule.commands:
        said += f" Shown by {', '.join(f'runout {command}' for command in rule.commands)}."
    return said
