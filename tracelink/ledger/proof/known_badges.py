"""What is known of badges while a journal is read from its first entry on: roles from a time on, and until when they count."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tracelink.ledger.kinds.setup import PersonEnrolled
from tracelink.ledger.plant.change_entries import BadgeWithdrawn, PersonJoined, RolesChanged

OF_BADGES = frozenset({PersonEnrolled.kind, PersonJoined.kind, RolesChanged.kind, BadgeWithdrawn.kind})
"""Kinds of entries that say something about badges and roles."""


@dataclass(slots=True)
class KnownBadge:
    """What is known of a badge so far."""

    roles: list[tuple[str, frozenset[str]]]
    """From when on (UTC; empty for from the first) which roles, in the order of the entries."""
    withdrawn: str | None = None
    """UTC; None if it counts."""

    @property
    def always(self) -> frozenset[str] | None:
        """The roles at any time, of a badge that counts and got them once, from the first on; otherwise None."""
        if self.withdrawn is None and len(self.roles) == 2 and not self.roles[1][0]:
            return self.roles[1][1]
        return None

    def counts_at(self, moment: str) -> bool:
        """Return whether the badge counts at a time (UTC)."""
        return self.withdrawn is None or self.withdrawn > moment

    def roles_at(self, moment: str) -> frozenset[str]:
        """Return the roles at a time (UTC)."""
        holding = [
            (since, place, roles) for place, (since, roles) in enumerate(self.roles) if since <= moment
        ]
        return max(holding, key=lambda one: one[:2])[2]


def remember_badge(badges: dict[str, KnownBadge], kind: str, body: Mapping[str, Any]) -> None:
    """Take notice of an entry about a badge.

    Args:
        badges: those known so far, by code.
        kind: of the entry, one of `OF_BADGES`.
        body: its fields.
    """
    code, roles = str(body.get("person")), frozenset(map(str, body.get("roles") or ()))
    badge = badges.setdefault(code, KnownBadge([("", frozenset())]))
    if kind == BadgeWithdrawn.kind:
        badge.withdrawn = str(body.get("since"))
    else:
        badge.roles.append((str(body.get("since") or ""), roles))
