"""How the tables are written down: shared metadata, naming of constraints, and short forms for columns."""

from typing import Any

from sqlalchemy import CheckConstraint, Column, Index, Integer, MetaData, Table, Text, text
from sqlalchemy.schema import SchemaItem

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def table(name: str, *items: SchemaItem, rowid: bool = True) -> Table:
    """A STRICT table; `rowid=False` for small rows found by their key only."""
    return Table(name, metadata, *items, sqlite_strict=True, sqlite_with_rowid=rowid)


def text_column(name: str, *items: SchemaItem, key: bool = False, null: bool = False) -> Column[str]:
    """A text column, not null unless said."""
    return Column(name, Text, *items, primary_key=key, nullable=null and not key)


def int_column(name: str, *items: SchemaItem, key: bool = False, null: bool = False) -> Column[int]:
    """A whole-number column, not null unless said."""
    return Column(name, Integer, *items, primary_key=key, nullable=null and not key, autoincrement=False)


def one_of(column: str, *words: str) -> CheckConstraint:
    """A check that a text column holds one of these words."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_known")


_PARTIAL: list[tuple[Index, str]] = []


def partial_index(name: str, column: Column[Any], where: str, *, unique: bool = False) -> Index:
    """An index of the rows that a condition holds for."""
    index = Index(name, column, unique=unique, sqlite_where=text(where))
    _PARTIAL.append((index, where))
    return index


def complete_for_server() -> None:
    """Tell the partial indexes their condition on a server.

    Only when one is opened: loading what SQLAlchemy has for it takes a tenth of the start of a command on a file.
    """
    for index, where in _PARTIAL:
        index.dialect_options["postgresql"]["where"] = text(where)


_MARK = "\ufffe"
"""Is no character, and stands for what follows it."""


def server_text(given: str) -> str:
    """Return a text as every database takes it: a server refuses the zero character. `given_text` gives it back."""
    if "\0" not in given and _MARK not in given:
        return given
    return given.replace(_MARK, f"{_MARK}1").replace("\0", f"{_MARK}0")


def given_text(kept: str) -> str:
    """Return a text as it was given to `server_text`."""
    return kept.replace(f"{_MARK}0", "\0").replace(f"{_MARK}1", _MARK) if _MARK in kept else kept
