"""Badges, roles and PINs."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_text
from tracelink.services.badge_proof import Badge, Pin, require_pin_or_asker
from tracelink.services.desks import badges, browsers


class People(Area):
    """Everybody with a badge; `ledger.people`."""

    def everybody(self) -> badges.PeopleList:
        """Return everybody with a badge, by code."""
        with self._ledger.reading() as conn:
            return badges.everybody(conn)

    def set_pin(
        self,
        badge: str,
        pin: Pin,
        by: Badge,
        *,
        new_key: badges.NewPinKey | None = None,
        agreed: badges.PinReplacement | None = None,
    ) -> badges.PinChanged:
        """Give the owner of a badge a PIN, or another one.

        Args:
            badge: whose PIN it is.
            pin: 4 to 8 digits, or what asks for them once it is known who sets them.
            by: the owner with the old PIN, or somebody with the role quality.
            new_key: the file of the PIN key is lost: who of quality agrees to make a new one, and why; every PIN must be
                set anew, and a finding tells everybody.
            agreed: the owner has a PIN and forgot it: who of quality agrees to set another one, and why; a finding tells
                everybody.

        Raises:
            RefusedByRule: the badge is unknown, the old PIN is wrong, or it is not theirs to set.
            InvalidFormat: the digits may not be a PIN.
            UsageError: the PIN key is not where it must be, or is there and `new_key` was said.
        """
        require_text("badge", badge)
        require_pin_or_asker("pin", pin)
        require_badge(by)
        if agreed is not None:
            require_a("agreed", agreed, badges.PinReplacement)
        return badges.change_pin(self._ledger, badge, pin, by, agreed if new_key is None else new_key)

    def sign_in(self, by: Badge) -> browsers.SignedInPerson:
        """Look at badge and PIN of somebody who signs in away from a station; a badge without a PIN signs nobody in.

        Args:
            by: the badge with its PIN.

        Raises:
            PinRefused: the PIN is wrong.
            RefusedByRule: nobody has that badge, its owner has no PIN, or a wait is not over.
            IdentifierError: the badge is not a plant code.
        """
        require_badge(by)
        return browsers.sign_in(self._ledger, by)
