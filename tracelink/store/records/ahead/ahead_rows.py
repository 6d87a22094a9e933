"""Rows of one kind for many codes, read in hundreds at a time before they are asked for one by one.

The statements, not the rows, are what thousands of questions cost. Whoever asks says beforehand which codes will come;
the answers are the same with and without.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, TextClause, text

from tracelink.store.statements import short_reads

_MANY = 250
"""Codes to one statement: many more are slow to prepare, and SQLite binds at most 32,766 values."""
_NAMES = [f"code_{place}" for place in range(_MANY)]

Asking = Mapping[int, TextClause]
"""A statement for one code and for many, so that both are prepared once."""
Fact = TypeVar("Fact")


def asking(statement: str, **names: str) -> Asking:
    """Prepare a statement with `IN ({codes})`; its rows begin with the code that they are of.

    Args:
        statement: the statement.
        names: what stands for other names in curly brackets.
    """
    return {
        number: text(statement.format(codes=", ".join(f":code_{place}" for place in range(number)), **names))
        for number in (1, _MANY)
    }


def rows_of(conn: Connection, statements: Asking, codes: Sequence[str]) -> Iterator[Any]:
    """Yield the rows of some codes, each code given once."""
    for start in range(0, len(codes), _MANY):
        chunk = codes[start : start + _MANY]
        number = 1 if len(chunk) == 1 else _MANY
        # A short list is filled up with its last code: a code asked for twice is answered once.
        filled = [*chunk, *[chunk[-1]] * (number - len(chunk))]
        yield from short_reads.tuples(conn, statements[number], dict(zip(_NAMES, filled, strict=False)))


class AheadRows(Generic[Fact]):
    """The rows of one statement, by code.

    Args:
        conn: a connection inside one transaction, so that what was read stays true.
        statements: the statement, from `asking`.
        make: makes a fact of a row without its first column.
    """

    def __init__(self, conn: Connection, statements: Asking, make: Callable[..., Fact]) -> None:
        self._conn = conn
        self._statements = statements
        self._make = make
        self._found: dict[str, list[Fact]] = {}

    def read(self, codes: Iterable[str]) -> None:
        """Read the rows of codes that will be asked for."""
        new = [code for code in dict.fromkeys(codes) if code not in self._found]
        self._found.update((code, []) for code in new)
        for row in rows_of(self._conn, self._statements, new):
            self._found[row[0]].append(self._make(*row[1:]))

    def of(self, code: str) -> list[Fact]:
        """The facts of one code, in the order of the statement."""
        if code not in self._found:
            self.read([code])
        return self._found[code]
