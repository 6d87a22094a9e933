"""Sets of containers that somebody wants bounded together."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tracelink.errors import LedgerError, UsageError
from tracelink.genealogy.containment.scope import Scope, places_of_codes
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.report.format.table import Cell
from tracelink.services.codes import resolve
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class JointBounds:
    """Some containers, pallets, shipments, consignees, orders or countries, and what they can hold together."""

    codes: tuple[str, ...]
    """Codes or names, as the records write them."""
    places: frozenset[str]
    """The containers they stand for."""
    bound: Bound
    """The bounds of all of them together."""

    @property
    def name(self) -> str:
        """The codes with commas between, as a certificate names the set."""
        return ",".join(self.codes)

    def to_dict(self) -> dict[str, Any]:
        """Return the codes with the numbers of the bound."""
        numbers = {"pieces": self.bound.pieces, "least": self.bound.least, "most": self.bound.most}
        return {"codes": list(self.codes), **numbers, "tight": self.bound.tight}

    def row(self) -> dict[str, Cell]:
        """A row of `disc_columns.TOGETHER`."""
        return {
            "codes": " + ".join(self.codes),
            "pieces": self.bound.pieces,
            "least": self.bound.least,
            "most": self.bound.most,
            "tight": "yes" if self.bound.tight else "no",
        }


def joint_bounds(records: SqlRecords, scope: Scope, given: Sequence[str]) -> list[JointBounds]:
    """Bound each set that was given.

    Args:
        records: the records.
        scope: the scope.
        given: sets, each a list of codes with commas between; the name of a consignee counts as a code.

    Raises:
        UsageError: a code is not in the records of this scope.
    """
    found: dict[tuple[str, ...], JointBounds] = {}
    for words in given:
        codes = tuple(dict.fromkeys(_known(records, scope, word.strip()) for word in _split(scope, words)))
        places = frozenset(places_of_codes(scope.containers, scope.groups, codes))
        found[codes] = JointBounds(codes, places, scope.holdings.bound(places))
    return list(found.values())


def _split(scope: Scope, words: str) -> list[str]:
    # A consignee's name may have a comma in it.
    return [words] if any(group.code == words for group in scope.groups) else words.split(",")


def _known(records: SqlRecords, scope: Scope, word: str) -> str:
    if not word:
        raise UsageError("--together: expected codes with commas between, found an empty one")
    named = {group.code for group in scope.groups} | {held.code for held in scope.containers}
    if word in named:
        return word
    try:
        code = resolve(records, word)
    except LedgerError as problem:
        raise UsageError(
            f"--together: {word!r} is not a consignee, order or country that the scope reaches, and no code: {problem}"
        ) from None
    if code not in named and records.container(code) is None and records.shipment(code) is None:
        raise UsageError(f"--together: {code} is not a container, pallet or shipment in the system")
    return code
