"""What only the packing line asks of the ledger; a part of `SqlWorld`."""

from sqlalchemy import Connection


class LineAnswers:
    """Answers of the packing line, inside one transaction."""

    _conn: Connection
