"""Browsers that may open stations."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_badge, require_count, require_text
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import browsers


class Browsers(Area):
    """Browsers, and what was refused in one; `ledger.browsers`."""

    def listed(self) -> browsers.BrowserList:
        """Return the browsers that were enrolled, withdrawn ones as well."""
        with self._ledger.reading() as conn:
            return browsers.listed(conn)

    def enrol(self, name: str, by: Badge, reason: str, *, station: str | None = None) -> browsers.NewBrowser:
        """Enrol a browser, which opens stations from then on; its secret is told once.

        Args:
            name: what people call it, such as the tablet of line 3.
            by: somebody with the role quality.
            reason: why.
            station: the one station that it opens; None for every station.

        Raises:
            UsageError: there is no such station.
            RefusedByRule: the person may not.
        """
        require_text("name", name)
        require_badge(by)
        require_text("reason", reason)
        if station is not None:
            require_text("station", station)
        return browsers.enrol(self._ledger, name, station, by, reason)

    def withdraw(self, number: int, by: Badge, reason: str) -> str:
        """Withdraw a browser, which opens no station any more; returns its name.

        Args:
            number: the entry by which it was enrolled.
            by: somebody with the role quality.
            reason: why.

        Raises:
            UsageError: no browser has that number.
            RefusedByRule: it was withdrawn before, or the person may not.
        """
        require_count("number", number)
        require_badge(by)
        require_text("reason", reason)
        return browsers.withdraw(self._ledger, number, by, reason)

    def opens(self, secret: str, station: str | None = None) -> bool:
        """Say whether the browser with a secret may open a station.

        Args:
            secret: what it was told when it was enrolled.
            station: code of the station; None asks whether it may open any.
        """
        require_text("secret", secret)
        if station is not None:
            require_text("station", station)
        with self._ledger.reading() as conn:
            return browsers.opens(conn, secret, station)

    def note_refusal(self, tried: str, sentence: str, *, person: str | None = None) -> None:
        """Record that somebody was refused in a browser; a wrong PIN is recorded by what it was given for.

        Args:
            tried: what they tried, such as sign in.
            sentence: what they were told; no secret may stand in it.
            person: badge of who was signed in; None for nobody.
        """
        require_text("tried", tried)
        require_text("sentence", sentence)
        browsers.note_refusal(self._ledger, tried, sentence, person)
