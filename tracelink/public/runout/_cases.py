"""Containment cases, from the first question to the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runout._areas import Area
from runout._arguments import (
    require_badge,
    require_day,
    require_one_of,
    require_query,
    require_signer,
    require_text,
    require_whole,
)
from tracelink.ledger.kinds.case import CHECK_RESULTS
from tracelink.services.cases import case_measures_writing, case_views, case_writing

if TYPE_CHECKING:
    from tracelink.genealogy.case.judge_replies import ReplyFinding
    from tracelink.genealogy.containment.query import ContainmentQuery
    from tracelink.services.badge_proof import Badge
    from tracelink.services.cases.case_writing import CaseSigner

_LEVELS = ("A", "B", "C", "D", "E")


class Cases(Area):
    """Containment cases; `ledger.cases`.

    Whoever writes to a case may say in `CaseSigner.seen` which entry of it was the last they saw: if somebody wrote to
    it since, nothing is written and RefusedByRule says what changed.
    """

    def listed(self) -> case_views.CaseList:
        """Return the cases, oldest first."""
        with self._ledger.reading() as conn:
            return case_views.listed(conn)

    def history(self, case: str) -> case_views.CaseHistory:
        """Return all that was recorded of a case, and by whom.

        Args:
            case: its code.

        Raises:
            UsageError, IdentifierError: there is no such case.
        """
        require_text("case", case)
        with self._ledger.reading() as conn:
            return case_views.history(conn, case)

    def progress(self, case: str) -> case_views.CaseProgress:
        """Return how far a case is: told, answered, back, checked; and what could still be shipped now.

        Args:
            case: its code.

        Raises:
            UsageError, IdentifierError: there is no such case.
        """
        require_text("case", case)
        with self._ledger.reading() as conn:
            return case_views.progress(conn, case)

    def open(
        self, query: ContainmentQuery, signer: CaseSigner, *, safety: bool = False
    ) -> case_writing.OpenedCase:
        """Open a case: ask what a cause touched, and keep the question with its answer. Nothing is held.

        Args:
            query: the question.
            signer: who opens it, and why.
            safety: whether they mark it as a safety matter; without that it is a commercial withdrawal.

        Raises:
            RefusedByRule: the person may not.
            UnknownCode, IdentifierError, UsageError: as for `ledger.contain`; or no reason is given.
        """
        require_query(query)
        require_signer(signer, why=True)
        return case_writing.open_case(self._ledger, query, signer, safety=safety)

    def scope(
        self, case: str, signer: CaseSigner, query: ContainmentQuery | None = None
    ) -> case_writing.NextScope:
        """Record what the question of a case finds now, as its next scope; earlier scopes stay.

        Args:
            case: its code.
            signer: who asks again, and why.
            query: another question, in the place of the old one.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UnknownCode, IdentifierError, UsageError: as for `ledger.contain`; or there is no such case.
        """
        require_text("case", case)
        require_signer(signer, why=True)
        if query is not None:
            require_query(query)
        return case_writing.next_scope(self._ledger, case, signer, query)

    def place_holds(self, case: str, signer: CaseSigner) -> case_writing.CaseHolds:
        """Place the holds that the question of a case asks for now; holds that were there already join the case.

        Args:
            case: its code.
            signer: who places them, and why.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case, or no reason is given.
        """
        require_text("case", case)
        require_signer(signer, why=True)
        return case_writing.place_holds(self._ledger, case, signer)

    def reply(  # noqa: PLR0913  what a consignee says
        self,
        case: str,
        signer: CaseSigner,
        consignee: str,
        on_hand: int,
        *,
        returned: int | None = None,
        destroyed: int | None = None,
    ) -> tuple[ReplyFinding, ...]:
        """Record what a consignee answered, in discs; returns what the records have against it.

        Args:
            case: its code.
            signer: who writes it down.
            consignee: who answered, as the case names it.
            on_hand: what it had when it was told.
            returned: what it says it sent back; None if it did not say.
            destroyed: what it says it destroyed; None if it did not say.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case, or it names no such consignee.
        """
        require_text("case", case)
        require_signer(signer)
        require_text("consignee", consignee)
        require_whole("on_hand", on_hand)
        for name, value in (("returned", returned), ("destroyed", destroyed)):
            if value is not None:
                require_whole(name, value)
        return case_writing.note_reply(self._ledger, case, signer, consignee, (on_hand, returned, destroyed))

    def draw_checks(
        self, case: str, signer: CaseSigner, level: str, *, share: int | None = None
    ) -> case_writing.ChecksDrawn:
        """Decide how many consignees are asked whether the notice came and was acted on, and draw them.

        Args:
            case: its code.
            signer: who decides.
            level: A all, B a share case by case, C and D by settings of the plant, E none.
            share: for level B, percent over 10 and under 100.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: the share does not go with the level, or there is no such case.
        """
        require_text("case", case)
        require_signer(signer)
        require_one_of("level", level, _LEVELS)
        if share is not None:
            require_whole("share", share)
        return case_writing.draw_checks(self._ledger, case, signer, level, share)

    def check(self, case: str, signer: CaseSigner, consignee: str, result: str) -> None:
        """Record an effectiveness check: whether a consignee got the notice and acted on it.

        Args:
            case: its code.
            signer: who asked.
            consignee: who was asked, as the case names it.
            result: ok, not-received, not-acted or not-reached.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case, or it names no such consignee.
        """
        require_text("case", case)
        require_signer(signer)
        require_text("consignee", consignee)
        require_one_of("result", result, CHECK_RESULTS)
        case_writing.note_check(self._ledger, case, signer, consignee, result)

    def estimate(self, case: str, signer: CaseSigner, day: str) -> None:
        """Record the expected completion date of a case; a person gives it, the program works out none.

        Args:
            case: its code.
            signer: who thinks so.
            day: YYYY-MM-DD.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case.
        """
        require_text("case", case)
        require_signer(signer)
        require_day("day", day)
        case_writing.estimate(self._ledger, case, signer, day)

    def state_cause(self, case: str, signer: CaseSigner, words: str) -> None:
        """Record what a person holds to be the root cause; a later one takes its place, and both stay.

        Args:
            case: its code.
            signer: who says so.
            words: the root cause.

        Raises:
            RefusedByRule: the person may not, the case is closed, or somebody wrote to it since.
            UsageError, IdentifierError: there is no such case, or nothing is said.
        """
        require_text("case", case)
        require_signer(signer)
        require_text("words", words)
        case_measures_writing.state_cause(self._ledger, case, signer, words)

    def set_action(self, case: str, signer: CaseSigner, words: str, owner: str, due: str) -> None:
        """Record a corrective action: what, by whom, until when.

        Args:
            case: its code.
            signer: who gives it.
            words: what is to be done.
            owner: badge of who does it.
            due: YYYY-MM-DD, not before the day of the act.

        Raises:
            RefusedByRule: the person may not, nobody has the owner's badge, or as for `state_cause`.
            UsageError, IdentifierError: as for `state_cause`; or the day or the badge is invalid.
        """
        require_text("case", case)
        require_signer(signer)
        require_text("words", words)
        require_text("owner", owner)
        require_day("due", due)
        case_measures_writing.set_action(self._ledger, case, signer, words, owner, due)

    def link_investigation(self, case: str, signer: CaseSigner, investigation: int) -> None:
        """Record that an investigation belongs to a case.

        Args:
            case: its code.
            signer: who says so.
            investigation: its number.

        Raises:
            RefusedByRule: as for `state_cause`.
            UsageError, IdentifierError: there is no such case or investigation.
        """
        require_text("case", case)
        require_signer(signer)
        require_whole("investigation", investigation)
        case_measures_writing.link_investigation(self._ledger, case, signer, investigation)

    def close(
        self, case: str, signer: CaseSigner, second: Badge, *, despite: bool = False
    ) -> tuple[str, ...]:
        """Close a case by two authorised people; returns the points that were open. Holds stay as they are.

        Args:
            case: its code.
            signer: the first person, and why.
            second: the other one.
            despite: close it in spite of open points, which are kept with it.

        Raises:
            RefusedByRule: one person twice, somebody not authorised, or open points and not `despite`.
            UsageError, IdentifierError: there is no such case, or no reason is given.
        """
        require_text("case", case)
        require_signer(signer, why=True)
        require_badge(second, "second")
        return case_writing.close(self._ledger, case, signer, second, despite=despite)
