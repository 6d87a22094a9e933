"""What only the warehouse and dock asks of the ledger; a part of `SqlWorld`."""

from sqlalchemy import Connection


class DockAnswers:
    """Answers of the warehouse and dock, inside one transaction."""

    _conn: Connection
