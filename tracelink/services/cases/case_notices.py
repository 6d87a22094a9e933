"""The notices of a case: written for its consignees, then recorded and kept as files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import consignees_of
from tracelink.printing.output import whole_file
from tracelink.services.case_letters import Letter, letters_of
from tracelink.services.cases.case_writing import CaseSigner, writing
from tracelink.store.ledger import Ledger
from tracelink.store.office import case_acts
from tracelink.store.office.cases import case_facts


@dataclass(frozen=True, slots=True)
class CaseLetters:
    """Notices that were written and not recorded yet."""

    facts: CaseFacts
    """The case, as it was when they were written."""
    letters: tuple[Letter, ...]
    """One per consignee."""


def letters_for(  # noqa: PLR0913  what is told, to whom, when and in which words
    conn: Connection,
    case: str,
    consignees: Sequence[str] | None,
    items: Mapping[str, str],
    *,
    at: str,
    template: Path | None,
) -> CaseLetters:
    """Write the notices of a case; nothing is recorded or sent.

    Args:
        conn: a connection inside a transaction.
        case: its code.
        consignees: whom to tell; None for all that the case names.
        items: what a person says, by name.
        at: when they are written, RFC 3339 with offset.
        template: the plant's own wording; None for that of the program.

    Raises:
        UsageError: there is no such case, it names no such consignee, an item is unknown, or the template is wrong.
    """
    facts = case_facts(conn, case)
    chosen = _chosen(facts, consignees)
    return CaseLetters(facts, tuple(letters_of(conn, facts, chosen, items, at=at, template=template)))


def _chosen(facts: CaseFacts, names: Sequence[str] | None) -> list[str]:
    known = consignees_of(facts.recorded.scopes)
    for name in names or ():
        if name not in known:
            listed = ", ".join(known) or "nobody"
            raise UsageError(f"case {facts.case.code} names no consignee {name!r}; it names {listed}")
    if not known:
        raise UsageError(
            f"case {facts.case.code} names no consignee: nothing that may be affected has left the plant"
        )
    return known if names is None else list(dict.fromkeys(names))


def record(  # noqa: PLR0913  what was told to whom, by whom, and where it is kept
    ledger: Ledger, case: str, signer: CaseSigner, letters: Sequence[Letter], method: str, *, out: Path | None
) -> None:
    """Record that consignees were told, and keep the notices as files: all of it or nothing.

    Args:
        ledger: the ledger.
        case: its code.
        signer: who tells them.
        letters: the notices.
        method: how they are sent.
        out: a folder for the files; None to write none.

    Raises:
        RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
        UsageError: a file is there already, or there is no such folder.
    """
    with writing(ledger, signer) as hand:
        for place, letter in enumerate(letters):
            # What the person saw was the case before the first of these letters.
            own = hand if place == 0 else case_acts.CaseAuthor(hand.booking, hand.stamp)
            case_acts.notify(own, case, letter.consignee, method, letter.sha256)
        # Before the commit: a letter that cannot be written is not recorded as sent.
        if out is not None:
            _write(out, letters)


def _write(out: Path, letters: Sequence[Letter]) -> None:
    files = {out / f"{letter.name}{end}": data for letter in letters for end, data in letter.files.items()}
    # All are looked at first: a folder that holds some of the letters would stop the next try.
    for file in files:
        _require_room(file)
    for file, data in files.items():
        with whole_file(file, "The notice") as part:
            part.write_bytes(data)


def _require_room(file: Path) -> None:
    if not file.parent.is_dir():
        raise UsageError(
            f"The notice cannot be written: there is no folder {file.parent}. Make it, or give another with --out."
        )
    if file.exists():
        raise UsageError(f"{file} is there already: a notice is never overwritten")
