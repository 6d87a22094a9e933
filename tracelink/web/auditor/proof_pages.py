"""Proofs to download: that an entry is in the journal, and that the journal only grew since a checkpoint."""

from __future__ import annotations

import json
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from runout import open_ledger
from tracelink.errors import UsageError
from tracelink.web.auditor.kept_notes import pasted
from tracelink.web.entrance.entrance import Entrance
from tracelink.web.whole_numbers import MOST_ENTRY, whole_number


class ProofPages:
    """The proofs that somebody checks without the ledger."""

    def __init__(self, entrance: Entrance) -> None:
        """Read the ledger behind an entrance.

        Args:
            entrance: who may come in.
        """
        self._entrance = entrance
        self._place = entrance.place

    def of_entry(self, request: Request) -> Response:
        """Give the proof that an entry is among the entries now."""
        return self._proven(request.path_params["seq"], "")

    def asked(self, request: Request) -> Response:
        """Lead from the number in a form to its proof."""
        return RedirectResponse(
            f"/audit/proof/{request.query_params.get('entry', '').strip()}.json", HTTPStatus.SEE_OTHER
        )

    def to_checkpoint(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Give the proof that an entry is among those of a checkpoint that was pasted."""
        self._entrance.require_same_origin(request)
        return self._proven(fields.get("entry", "").strip(), fields.get("checkpoint", ""))

    def of_growth(self, request: Request, fields: Mapping[str, str]) -> Response:
        """Give the proof that the journal only grew since a checkpoint that was pasted."""
        self._entrance.require_same_origin(request)
        with pasted(fields.get("earlier", "")) as earlier, pasted(fields.get("later", "")) as later:
            if earlier is None:
                raise UsageError("the checkpoint is empty: paste the one that you kept, all lines of it")
            with open_ledger(self._place, read_only=True) as ledger:
                found = ledger.journal.prove_growth(earlier, later)
        return _file(f"growth-{found.old_size}-{found.new_size}.json", found.to_dict())

    def _proven(self, seq: str, note: str) -> Response:
        entry = whole_number(seq, MOST_ENTRY, least=1)
        if entry is None:
            raise UsageError(f"the entry is {seq[:20]!r}: expected its number, from 1")
        with pasted(note) as checkpoint, open_ledger(self._place, read_only=True) as ledger:
            found = ledger.journal.prove(entry, checkpoint=checkpoint)
        return _file(f"proof-{seq}.json", found.to_dict())


def _file(name: str, content: dict[str, Any]) -> Response:
    saved = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(json.dumps(content, indent=2), media_type="application/json", headers=saved)
