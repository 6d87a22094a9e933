"""Scopes that were written to a file or kept in a case."""

from __future__ import annotations

from pathlib import Path

from runout._areas import Area
from runout._arguments import require_file, require_text
from tracelink.services.cases import case_views, scope_check


class Scopes(Area):
    """Scopes that were asked for before; `ledger.scopes`."""

    def check(self, file: str | Path) -> scope_check.CheckedScope:
        """Check every bound of a written scope against the movements, without solving anything again.

        Args:
            file: a scope as `runout contain --format json` or the JSON of `Containment.to_dict` has it.

        Raises:
            UsageError: the file is no scope.
            NotCertified: it was made from another ledger, or holds no certificate.
        """
        return scope_check.check_scope(self._ledger, require_file("file", file))

    def again(self, case: str) -> case_views.ScopeChange:
        """Ask the question of a case of the records now, and compare with the newest scope that the case keeps.

        Args:
            case: its code.

        Raises:
            UsageError, IdentifierError: there is no such case.
        """
        require_text("case", case)
        with self._ledger.reading() as conn:
            return case_views.asked_again(conn, case)
