"""Questions about many codes at once."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import BindParameter, Connection, Text, TextClause, bindparam, text

_CHUNK = 500
"""Codes to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""


def text_list(name: str) -> BindParameter[Any]:
    """Return what stands for a list of texts in a question: a server must know that they are texts, though there be none."""
    return bindparam(name, type_=Text(), expanding=True)


def of_codes(query: str) -> TextClause:
    """Make a question that asks about `codes` in the form `column IN :codes`."""
    return text(query).bindparams(text_list("codes"))


def rows_of(conn: Connection, query: TextClause, codes: Iterable[str]) -> list[Any]:
    """Ask a question made by `of_codes`, in pieces: an order holds within a piece, whose codes are sorted."""
    wanted = sorted(set(codes))
    found: list[Any] = []
    for start in range(0, len(wanted), _CHUNK):
        found += conn.execute(query, {"codes": wanted[start : start + _CHUNK]}).all()
    return found
