"""Answers about badges and holds; a part of `SqlWorld`."""

from collections.abc import Sequence

from sqlalchemy import Connection, text

_HOLDS = text(
    "SELECT h.code FROM hold h WHERE h.lifted_seq IS NULL AND (h.cause = :subject OR EXISTS "
    "(SELECT 1 FROM hold_item i WHERE i.hold = h.code AND i.subject = :subject)) ORDER BY h.seq"
)


class AccessAnswers:
    """Answers about badges and holds, inside one transaction."""

    _conn: Connection

    def holds_naming(self, subject: str) -> Sequence[str]:
        """The open holds that name this thing, or strokes of it, oldest first."""
        return [str(code) for code in self._conn.execute(_HOLDS, {"subject": subject}).scalars()]
