"""The page that lies on top of a bundle: what each file is, how to check it, and what no check can show."""

from __future__ import annotations

import hashlib
import textwrap
from collections.abc import Collection, Sequence

from tracelink.facts.bundle_content import BundleFacts, Proven
from tracelink.ledger.count_words import counted
from tracelink.ledger.time_words import moment
from tracelink.report.bundle.bundle_files import verify_program
from tracelink.report.format.plain import visible

_FILES = (
    ("report.html", "for reading: each question that an auditor asks, and where its answer stands"),
    ("report.pdf", "the same for printing"),
    (
        "answer.json",
        "what the case finds, with a certificate for each limit; `runout contain --check` checks them against the ledger",
    ),
    ("genealogy.svg", "what it was made of and where it went, as a picture"),
    ("genealogy.graphml", "the same for graph programs"),
    ("tables.xlsx", "every table, a sheet each; every row names its journal entry"),
    ("tables", "the same tables as CSV; entries.csv has all entries concerned, one a row"),
    ("events.jsonld", "the acts as an EPCIS 2.0 document (GS1)"),
    ("prov.json", "the acts as PROV-JSON (W3C)"),
    ("entries.jsonl", "the entries themselves: the very bytes that were hashed when they were written"),
    ("scans.jsonl", "what the scanners read, character by character, beside the number of its entry"),
    ("proofs.jsonl", "for each entry the proof that it is in the journal"),
    ("checkpoint.txt", "the state of the journal that the proofs lead to, signed if it could be"),
    ("verifier-key.txt", "the key that signed it, as the plant gave it: better ask for it by another way"),
    ("earlier-checkpoint.txt", "a state from before"),
    ("consistency.json", "the proof that the journal only grew since then"),
    ("manifest.sha256", "a SHA-256 for every file; `sha256sum -c manifest.sha256` checks it without Python"),
    ("manifest.note", "the manifest's SHA-256 and its lines, signed with the key of the journal: the seal"),
    ("verify.py", "checks all of it with Python 3.8 or later and nothing else"),
)
"""File or folder -> what it is."""

_WIDTH, _NAME = 100, 24
"""Characters of a line, and of the names on its left."""

_CHECK = """\
    python3 verify.py --key NAME+ID+KEY

Give the key of the plant's journal as you got it from the plant by another way than this bundle.
Without --key the check still finds every change made since somebody signed, but not who that was.
If you kept an earlier checkpoint, give it with --held FILE. Exit code 0: all of it holds; 1: it
holds with reservations, which are printed; 3: it does not verify.

The verify.py in this bundle proves nothing against whoever sent it: they could have changed it, and
this page with it. Take verify.py from a source of your own: from an earlier bundle of this plant,
or from the program itself (`runout audit verifier --out verify.py`; `runout audit check` is the
same check). Every bundle of one version of the program has the same one. When this bundle was made,
its SHA-256 was

    {digest}

Compare that with the SHA-256 of a verify.py that you did not get with this bundle.
"""

_LIMITS = """\
- That the tables, pictures and reports follow from the entries: they are made for reading. Every
  row names its entry; compare what matters.
- That all entries that concern the subject are here. The plant's program chose them by rule. Any
  other entry can be asked for by its number, and proven against the same checkpoint.
- That what was recorded is true. A journal shows what was written, when it was recorded, and that
  it was not changed.
"""

_NAMES = """\
People are shown by the code of their badge instead of their name. Entries that hold a name are
withheld: their hash is proven, their text is not here. What remains: badge codes stand in the
entries and in the raw scans, because changing them would change what was hashed, and whoever has
the plant's list of badges can look them up; parts of a name, nicknames, initials, and a single name
in other letters than enrolled, are not found in free text; the names of firms (consignees, the
plant) stay.
"""


def readme(facts: BundleFacts, names: Collection[str], withheld: Sequence[Proven], *, sealed: bool) -> str:
    """Return README.txt.

    Args:
        facts: what the bundle tells.
        names: the paths of its files.
        sealed: whether the manifest will be signed.
        withheld: the entries given by their hash alone; none unless people are shown by their badges.
    """
    seq, digest, at = facts.head
    parts = [
        (
            f"Audit bundle: {visible(facts.subject)}\n"
            f"{visible(facts.plant)}. Records up to entry {seq}, recorded {moment(at)}.\nJournal head {digest}\n"
        ),
        f"What is in it\n\n{_listed(names, sealed=sealed)}",
        f"How to check it\n\n{_CHECK.format(digest=hashlib.sha256(verify_program()).hexdigest())}",
        f"What no check can show\n\n{_LIMITS}",
    ]
    if any(name == "" for name, _ in facts.people.values()):
        parts.append(f"People\n\n{_NAMES}\n{counted(len(withheld), 'entry is', 'entries are')} withheld.\n")
    return "\n".join(parts)


def _listed(names: Collection[str], *, sealed: bool) -> str:
    there = (
        {name.split("/")[0] for name in names}
        | {"manifest.sha256", "verify.py"}
        | ({"manifest.note"} if sealed else set())
    )
    return "".join(
        textwrap.fill(f"{name:<{_NAME}}{what}", _WIDTH, subsequent_indent=" " * _NAME, break_on_hyphens=False)
        + "\n"
        for name, what in _FILES
        if name in there
    )
