"""The notices of a case: each as text, with its list of cartons and as an e-mail file. Nothing is recorded or sent."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from sqlalchemy import Connection

from tracelink.facts.notice_content import NoticeFacts
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.printing.output import file_stem
from tracelink.report.case.notice import notice_text
from tracelink.report.case.notice_email import lacks_of, notice_email
from tracelink.report.case.notice_items import words_that_play_down
from tracelink.report.case.notice_list import notice_list
from tracelink.store.office.notice_facts import notice_facts


@dataclass(frozen=True, slots=True)
class Letter:
    """One notice, ready to be looked at."""

    consignee: str
    """Name, as in the order."""
    name: str
    """Name of its files, without ending."""
    text: str
    """The notice."""
    enclosed: bytes
    """The list of its cartons, CSV."""
    email: bytes
    """Text and list as an e-mail file."""
    gaps: tuple[str, ...]
    """Items that nobody gave."""
    unnamed: tuple[str, ...]
    """Sentences on what the plant's template leaves out, and without which the goods cannot be found."""
    lacks: tuple[str, ...]
    """Sentences on addresses that no record gives."""
    played_down: tuple[tuple[int, str], ...]
    """Line and word that makes a risk look small; only looked for in safety notices."""

    @property
    def files(self) -> dict[str, bytes]:
        """What is written, by ending."""
        return {".txt": self.text.encode(), ".csv": self.enclosed, ".eml": self.email}

    @property
    def sha256(self) -> str:
        """Hash of the text: what the entry of the case keeps."""
        return sha256(self.text.encode()).hexdigest()


def letters_of(  # noqa: PLR0913  what is told, to whom, when and in which words
    conn: Connection,
    facts: CaseFacts,
    names: Iterable[str],
    given: Mapping[str, str],
    *,
    at: str,
    template: Path | None = None,
) -> list[Letter]:
    """Write the notices of a case.

    Args:
        conn: a connection inside a transaction.
        facts: the case.
        names: consignees that the case names.
        given: items by name, as a person gave them.
        at: when they are written, RFC 3339 with offset.
        template: the plant's own wording; None for that of the program.

    Raises:
        UsageError: an item is unknown, or the template cannot be read or filled.
    """
    return [_letter(conn, facts, name, given, at, template) for name in names]


def _letter(  # noqa: PLR0913, PLR0917  see letters_of
    conn: Connection,
    facts: CaseFacts,
    consignee: str,
    given: Mapping[str, str],
    at: str,
    template: Path | None,
) -> Letter:
    name = _name(facts, consignee)
    found = notice_facts(conn, facts, consignee, at, f"{name}.csv")
    text, gaps = notice_text(found, given, template)
    enclosed = notice_list(found)
    played_down = words_that_play_down(text) if facts.case.safety else []
    email = notice_email(found, text, enclosed, at)
    unnamed = tuple(_unnamed(found, text))
    return Letter(
        consignee, name, text, enclosed, email, tuple(gaps), unnamed, lacks_of(found), tuple(played_down)
    )


def _unnamed(facts: NoticeFacts, text: str) -> Iterator[str]:
    if not all(lot.lot in text for lot in facts.lots):
        yield "its text does not name every lot: the template lacks {{ lot.lot }} for each of notice.lots"
    if facts.units and facts.list_file not in text and not all(unit.serial in text for unit in facts.units):
        yield (
            "its text names neither every unit nor the list of them: the template lacks {{ product.labels }} for each of "
            "notice.products, or {{ notice.list_file }}"
        )
    codes = {held.code for each in facts.shipments for pallet in each.pallets for held in pallet.cartons}
    if facts.list_file not in text and not all(code in text for code in codes):
        yield (
            "its text names neither every carton nor the list of them: the template lacks {{ notice.list_file }}"
        )


def _name(facts: CaseFacts, consignee: str) -> str:
    told = sum(one.consignee == consignee for one in facts.recorded.notices)
    short = file_stem(consignee, 40).lower() or "consignee"
    # Two names may be alike when they are shortened; their hash is not.
    mark = sha256(consignee.encode()).hexdigest()[:6]
    return f"{facts.case.code}-{short}-{mark}-{told + 1}"
