"""Checkpoints that were pasted into a form, as the files that the ledger is asked about."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def pasted(note: str) -> Iterator[str | None]:
    """Give the path of a file with a pasted checkpoint while a `with` block runs; None if nothing was pasted.

    Args:
        note: as a form sends it, with line ends of its own.
    """
    if not note.strip():
        yield None
        return
    with tempfile.TemporaryDirectory(prefix="runout-") as folder:
        file = Path(folder) / "the checkpoint"
        file.write_text(note.strip().replace("\r\n", "\n") + "\n", encoding="utf-8", newline="")
        yield str(file)
