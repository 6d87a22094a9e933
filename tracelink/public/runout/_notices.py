"""Notices to consignees: written, looked at, recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from runout._areas import Area
from runout._arguments import (
    require_a,
    require_letters,
    require_path,
    require_signer,
    require_text,
    require_texts,
)
from tracelink.clock import local_now
from tracelink.ledger.times import require_local_time
from tracelink.services.case_letters import Letter
from tracelink.services.cases import case_notices, case_summary
from tracelink.services.cases.case_writing import CaseSigner


class Notices(Area):
    """What consignees of a case are told; `ledger.notices`."""

    def write(
        self,
        case: str,
        consignees: Sequence[str] | None = None,
        *,
        items: Mapping[str, str] | None = None,
        at: str | None = None,
        template: str | Path | None = None,
    ) -> case_notices.CaseLetters:
        """Write the notices of a case: text, list of cartons, e-mail file. Nothing is recorded or sent.

        Args:
            case: its code.
            consignees: whom to tell, as the case names them; None for all.
            items: what a person says, by name, as `runout case notice --items` lists them.
            at: when they are written, RFC 3339 with offset; None for now.
            template: file of the plant's own wording; None for that of the program.

        Raises:
            UsageError, IdentifierError: there is no such case or consignee, or an item or the template is wrong.
        """
        require_text("case", case)
        if consignees is not None:
            require_texts("consignees", consignees)
        when = local_now() if at is None else require_local_time(at)
        wording = None if template is None else require_path("template", template)
        with self._ledger.reading() as conn:
            return case_notices.letters_for(conn, case, consignees, items or {}, at=when, template=wording)

    def summarise(
        self,
        case: str,
        *,
        items: Mapping[str, str] | None = None,
        at: str | None = None,
        template: str | Path | None = None,
    ) -> case_summary.CaseSummary:
        """Summarise a case for an authority, by the records as they are now. Nothing is recorded or sent.

        Args:
            case: its code.
            items: what a person says, by name, as `runout case summary --items` lists them.
            at: when it is made, RFC 3339 with offset; None for now.
            template: file of the plant's own wording; None for that of the program.

        Raises:
            UsageError, IdentifierError: there is no such case, or an item or the template is wrong.
        """
        require_text("case", case)
        when = local_now() if at is None else require_local_time(at)
        wording = None if template is None else require_path("template", template)
        with self._ledger.reading() as conn:
            return case_summary.case_summary(conn, case, items or {}, at=when, template=wording)

    def record(
        self,
        case: str,
        signer: CaseSigner,
        letters: Sequence[Letter],
        method: str = "letter",
        *,
        folder: str | Path | None = None,
    ) -> None:
        """Record that consignees were told, with the hash of each text; the program sends nothing.

        Args:
            case: its code.
            signer: who tells them.
            letters: of `write`; a text that was changed by hand goes in with `dataclasses.replace`.
            method: how they are sent, such as letter or e-mail.
            folder: where the files of the letters are written, in the same act; None to write none.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case, a file is there already, or there is no such folder.
        """
        require_text("case", case)
        require_signer(signer)
        require_letters(letters)
        require_a("method", method, str)
        out = None if folder is None else require_path("folder", folder)
        case_notices.record(self._ledger, case, signer, letters, method, out=out)
