"""The report of an audit bundle: each question that an auditor asks of a lot's genealogy, and where its answer stands.

Written for somebody who has never seen the plant. Every table is also a CSV file of the same name; what is too long to
read is cut in the report, says so, and is whole there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracelink.facts.bundle_content import BundleFacts
from tracelink.ledger.count_words import counted, piece_words
from tracelink.ledger.lateness import Lateness
from tracelink.ledger.loaded_later import LoadedLater, loaded_later
from tracelink.ledger.time_words import moment
from tracelink.report.bundle import tables_answer, tables_parts
from tracelink.report.bundle.answer_to_question import answer_to
from tracelink.report.bundle.audit_questions import OF_PARTS, QUESTIONS, AuditQuestion
from tracelink.report.format.document import (
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Picture,
    Section,
    TextBlock,
)
from tracelink.report.format.loading_text import loading_sentence
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Cell, Kind, Table, keyed, table

_MOST_ROWS = 100
_MORE_ROWS = {"cartons": 300, "late-entries": 20, "settings": 40}
"""How many rows of a table the report prints; the file has them all."""

_PRESSED = frozenset({"lots", "segments", "press-acts", "samples", "measurements", "decisions", "stacks"})
"""Tables of what is pressed."""

_NOT_PRINTED = {"cartons": ("product", "to"), "packing-runs": ("first_match",), "segments": ("by",)}
"""Columns that the report leaves out for want of room; the file has them."""


_SECTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Back: what it was made with", ("lots", "segments", "tools", "materials", "press-acts")),
    ("Parts, boards and units", tables_parts.KEYS),
    ("How it was judged", ("samples", "measurements", "decisions")),
    ("Forward: where it went", ("consignees", "shipments", "pallets", "cartons", "returns")),
    ("On the way: stacks and packing", ("stacks", "packing-runs", "line-clearance")),
    ("Does it add up?", ("balance", "label-balance")),
    (
        "Holds, deviations, corrections",
        ("holds", "cases", "deviations", "investigations", "corrections", "late-entries"),
    ),
    ("People, stations, rules", ("people", "stations", "settings")),
)


def bundle_document(
    facts: BundleFacts, tables: Sequence[Table], pictures: Mapping[str, str], signer: str
) -> Document:
    """Return the report.

    Args:
        facts: what the bundle tells.
        tables: all its tables.
        pictures: "back" and "forward" -> SVG.
        signer: who signed the checkpoint; empty if nobody did.
    """
    known = {each.key: each for each in tables}
    seq, digest, at = facts.head
    titles = dict.fromkeys(note.title for note in facts.products.values())
    sections = [
        Section("What this is", tuple(_opening(facts, known, signer))),
        *_case(facts, known),
        Section(
            "The auditor's questions",
            (_answers(facts, known),),
        ),
    ]
    for number, (title, keys) in enumerate(_SECTIONS):
        # A bundle without parts has no tables of them, and one about parts alone none of what is pressed.
        tables_ = [
            known[key]
            for key in keys
            if key in known and not (facts.parts and not facts.lots and key in _PRESSED)
        ]
        if not tables_:
            continue
        blocks = [block for each in tables_ for block in _printed(facts, each)]
        if title.startswith(("Back", "Forward")):
            blocks.append(Picture(pictures["back" if title.startswith("Back") else "forward"], _TOLD))
        sections.append(Section(title, tuple(blocks), fresh=number == 0))
    sections.append(Section("What is missing", tuple(_missing(facts))))
    sections.append(Section("How to check this bundle", tuple(_checking(facts))))
    when = f" Last entry recorded {moment(at)}."
    return Document(
        kind="Audit bundle",
        title=f"{facts.kind.capitalize()} {facts.code}: {', '.join(titles)}",
        imprint=imprint((seq, digest), "") + when,
        footer=imprint((seq, digest), "", whole=True) + when,
        sections=tuple(sections),
    )


_TOLD = "Boxes from left to right, one for each item or group of items; the tables of this section list every one."


def _case(facts: BundleFacts, known: Mapping[str, Table]) -> Iterator[Section]:
    """What the case found, before anything else."""
    if facts.case is not None:
        tables_ = (block for key in tables_answer.KEYS for block in _printed(facts, known[key]))
        yield Section("The answer of the case", (*tables_answer.case_opening(facts.case), *tables_))


def _opening(facts: BundleFacts, known: Mapping[str, Table], signer: str) -> Iterator[Block]:
    seq, digest, at = facts.head
    yield FactList(
        (
            ("About", facts.subject),
            ("Plant", facts.plant),
            ("Product", "; ".join(f"{note.title} ({note.catalogue_number}), GTIN {gtin}" for gtin, note in facts.products.items())),
            ("Entries in this bundle", counted(len(facts.entries), "entry", "entries") + f" of {seq}"),
            ("Journal head", digest),
            ("Last entry recorded", moment(at)),
            ("Signed by", signer or "nobody: the checkpoint bears no signature"),
            ("People", "by name and badge" if any(name for name, _ in facts.people.values()) else "by badge only"),
        )
    )  # fmt: skip
    open_holds = sum("STILL HELD" in row for row in known["holds"].rows)
    open_looks = sum("STILL OPEN" in row for row in known["investigations"].rows)
    yield FramedNote(
        f"Open holds: {open_holds}. Open investigations: {open_looks}. Gaps noticed in the records: {len(facts.gaps)}. "
        f"Movements that cannot all be true: {len(facts.conflicts)}. Corrections: {len(known['corrections'].rows)}. "
        f"Entries flagged late or before their time: {len(known['late-entries'].rows)}"
        f"{', most of them loaded later' if _loaded(facts) else ''}. "
        f"Nothing further was found in the records up to entry {seq}.",
        loud=bool(open_holds or open_looks or facts.conflicts),
    )
    if facts.spooled:
        yield FramedNote(
            f"{counted(facts.spooled, 'match', 'matches')} of disc and sleeve at a packing line were not closed into an "
            "entry yet: they count in the balance, and cannot be proven by this bundle.",
            loud=True,
        )
    if facts.parts:
        yield TextBlock(
            "Parts come in as lots and are taped on reels, by position, or lie in trays. A placing machine counts pieces of a "
            "build order: pieces a to b took positions p to q of a reel. What was thrown away in between is counted, and which "
            "positions that were is not known. Sub-assemblies and parts are joined into units by scan, and each piece that is "
            "handled by itself has a serial label. Every row names the journal entry it was made from; the entries lie in "
            "entries.jsonl, and verify.py shows that they are unchanged."
        )
    if facts.parts and not facts.lots:
        return
    yield TextBlock(
        "A press counts strokes; strokes 1, 2, 3 ... of a lot are its discs. A run segment is a stretch of strokes pressed "
        "without a change of stamper, compound or label. Discs go from the press onto spindles (stacks), from there into "
        "sleeves and cartons, cartons onto pallets, pallets onto vehicles. Every row names the journal entry it was made "
        "from; the entries lie in entries.jsonl, and verify.py shows that they are unchanged."
    )


def _asked(facts: BundleFacts) -> Sequence[AuditQuestion]:
    """The questions about what a bundle has."""
    asked = [*OF_PARTS, *QUESTIONS] if facts.parts else list(QUESTIONS)
    if not facts.parts or facts.lots:
        return asked
    return [question for question in asked if not question.tables or not _PRESSED.issuperset(question.tables)]


def _answers(facts: BundleFacts, known: Mapping[str, Table]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for number, question in enumerate(_asked(facts), 1):
        where = ", ".join(f"tables/{key}.csv" for key in question.tables)
        rows.append((number, question.text, answer_to(question, facts, known), question.lacks or "", where))
    columns = (
        ("number", Kind.NUMBER),
        ("question", Kind.TEXT),
        ("answer", Kind.TEXT),
        ("not kept by this ledger", Kind.TEXT),
        ("also in", Kind.TEXT),
    )
    return table("", "Each question, its answer, and where it stands in full", keyed(columns), rows)


def _printed(facts: BundleFacts, whole: Table) -> Iterator[Block]:
    most = _MORE_ROWS.get(whole.key, _MOST_ROWS)
    more = len(whole.rows) - most
    if whole.key == "late-entries" and whole.rows:
        yield TextBlock(_late_sentence(facts))
        loaded = _loaded(facts)
        if loaded is not None:
            yield TextBlock(f"{loading_sentence(loaded)} tables/late-entries.csv lists every one.")
            return
    yield _for_reading(whole.first(most))
    if more > 0:
        yield TextBlock(f"{counted(more, 'more row')} in tables/{whole.key}.csv and in tables.xlsx.")


def _for_reading(whole: Table) -> Table:
    """Leave out columns that say nothing here."""
    left_out = _NOT_PRINTED.get(whole.key, ())
    kept = (
        column.key
        for place, column in enumerate(whole.columns)
        if column.key not in left_out and any(row[place] not in ("", None) for row in whole.rows)
    )
    return whole.select(*kept)


def _late_sentence(facts: BundleFacts) -> str:
    found = [facts.lateness(entry) for entry in facts.entries]
    late, early = found.count(Lateness.LATE), found.count(Lateness.EARLY)
    said = (
        f"Of {counted(len(found), 'entry', 'entries')}, {late} were recorded more than {facts.late_minutes} minutes after they "
        f"say they happened (setting late_entry_minutes), and {early} before they say they happened."
    )
    if early:
        said += " The clock of a station was ahead, or that of the ledger behind."
    return said


def _loaded(facts: BundleFacts) -> LoadedLater | None:
    late = [entry for entry in facts.entries if facts.lateness(entry) is Lateness.LATE]
    return loaded_later(len(facts.entries), [(entry["event_time"], entry["recorded_at"]) for entry in late])


def _missing(facts: BundleFacts) -> Iterator[Block]:
    if facts.gaps:
        yield TextBlock("The records themselves have these gaps:")
        yield Bullets(facts.gaps)
    else:
        yield TextBlock("No gap was noticed in the records. What nobody recorded cannot be noticed here.")
    if facts.conflicts:
        yield TextBlock("These movements cannot all be true:")
        yield Bullets(facts.conflicts)
    yield TextBlock("This ledger does not keep the following; ask the plant for it:")
    yield Bullets(tuple(f"{question.lacks}." for question in _asked(facts) if question.lacks))
    if not facts.whole:
        words = piece_words(facts.code)
        yield TextBlock(
            f"This bundle follows {facts.subject} and what it was made of. Other {words.many} of the same {words.wholes} are not "
            "followed."
        )


def _checking(facts: BundleFacts) -> Iterator[Block]:
    seq, _, _ = facts.head
    yield TextBlock(
        f"verify.py, run with any Python from 3.8 on, shows that these {counted(len(facts.entries), 'entry', 'entries')} stand "
        f"in a journal of {seq} under a checkpoint, unchanged, each at its number. Give it the plant's key as you got it by "
        "another way: python3 verify.py --key NAME+ID+KEY."
    )
    yield TextBlock(
        "It cannot show that the tables and pictures follow from the entries (compare what matters: every row names its "
        "entry), that the plant chose all entries that matter (any other can be asked for by its number), nor that what was "
        "recorded is true."
    )
