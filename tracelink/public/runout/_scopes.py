"""Scopes in numbers only, written to a file, or kept in a case."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from runout._areas import Area
from runout._arguments import require_file, require_query, require_seconds, require_text
from tracelink.genealogy.containment.query import SECONDS, ContainmentQuery
from tracelink.genealogy.totals.totals import ScopeTotals
from tracelink.services import containment
from tracelink.services.cases import case_views, scope_check


class Scopes(Area):
    """Scopes in numbers only, and scopes that were asked for before; `ledger.scopes`."""

    def totals(
        self,
        query: ContainmentQuery,
        *,
        progress: Callable[[float], None] = lambda _seconds: None,
    ) -> ScopeTotals:
        """Count what a cause may have touched, where it is and who has it: the totals of `contain`, and sooner.

        Args:
            query: the question.
            progress: called now and then with how many of the query's seconds were used.

        Raises:
            UnknownCode, IdentifierError, UsageError: the query contradicts itself or the records.
        """
        require_query(query)
        with self._ledger.reading() as conn:
            return containment.totals(conn, query, progress)

    def check(self, file: str | Path, *, seconds: float = SECONDS) -> scope_check.CheckedScope:
        """Check every bound of a written scope against the movements, without solving anything again.

        Args:
            file: a scope as `runout contain --format json` or the JSON of `Containment.to_dict` has it.
            seconds: time for its bounds; those that are left then have the verdict `NOT_LOOKED_AT`.

        Raises:
            UsageError: the file is no scope, or that is no time.
            NotCertified: it was made from another ledger, or holds no certificate.
        """
        require_seconds("seconds", seconds)
        return scope_check.check_scope(self._ledger, require_file("file", file), seconds)

    def again(self, case: str, *, seconds: float = SECONDS) -> case_views.ScopeChange:
        """Ask the question of a case of the records now, and compare with the newest scope that the case keeps.

        Args:
            case: its code.
            seconds: time for the question; past it limits hold, but may be wider, and so differ from those kept.

        Raises:
            UsageError, IdentifierError: there is no such case, or that is no time.
        """
        require_text("case", case)
        require_seconds("seconds", seconds)
        with self._ledger.reading() as conn:
            return case_views.asked_again(conn, case, seconds)
