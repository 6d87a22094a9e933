"""How far a containment case is: consignee by consignee, and what is still open.

The list is that of a status report in 21 CFR 7.53(b) (not checked against the original text): consignees notified with
date and method, those that answered with what they had on hand, those that did not, what came back or was
destroyed, what is accounted for, effectiveness checks and the estimated end. That rule is for foods, drugs and
devices; for a plant that presses records it is a model. Nothing here says that a case is at an end: two people do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.ledger.count_words import OF_DISCS, PieceWords, words_of_all
from tracelink.ledger.kinds.case_scope import CaseContainer, CasePlace, ScopeSummary


@dataclass(frozen=True, slots=True)
class Notice:
    """A consignee was told."""

    seq: int
    consignee: str
    method: str
    version: int
    """The scope it speaks of."""
    sha256: str
    at: str
    """When, RFC 3339 with offset."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a consignee said."""

    seq: int
    consignee: str
    on_hand: int
    """Discs it had when it was told."""
    returned: int | None
    """Discs it says it sent back since; None if it did not speak of it."""
    destroyed: int | None
    at: str


@dataclass(frozen=True, slots=True)
class Check:
    """What an effectiveness check found."""

    seq: int
    consignee: str
    result: str
    at: str


@dataclass(frozen=True, slots=True)
class Draw:
    """Which consignees are to be checked, as decided."""

    seq: int
    level: str
    percent: int
    source: str
    among: int
    """Consignees that were in the draw."""
    chosen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Back:
    """One booking of the dock about a consignee's carton that could hold an affected disc."""

    consignee: str
    returned: int
    """Discs of the lots concerned that came back in it by this booking."""
    destroyed: int
    """Discs that had come back in it and were destroyed by this booking."""
    at: str
    """When, RFC 3339 with offset."""


@dataclass(frozen=True, slots=True)
class CorrectiveAction:
    """What is done so that it does not happen again."""

    seq: int
    words: str
    owner: str
    """Badge of who does it."""
    due: str
    """YYYY-MM-DD."""


@dataclass(frozen=True, slots=True)
class CaseRecord:
    """All that was recorded of a case, and nothing worked out from it."""

    scopes: tuple[ScopeSummary, ...]
    """Scope 1, 2, ... in order."""
    notices: tuple[Notice, ...]
    replies: tuple[Reply, ...]
    checks: tuple[Check, ...]
    draw: Draw | None
    """The newest; None if nobody decided."""
    estimate: str | None
    """The newest date given by a person."""
    back: tuple[Back, ...]
    loose: int
    """Discs of the lots concerned that came back without a carton since the case was opened: nobody's."""
    root_cause: str | None = None
    """The newest that a person stated; None if nobody did."""
    actions: tuple[CorrectiveAction, ...] = ()
    """Corrective actions, in the order in which they were set."""
    investigations: tuple[int, ...] = ()
    """Numbers of the investigations that belong to the case."""

    @property
    def words(self) -> PieceWords:
        """What its scopes count: discs, parts or built pieces."""
        return words_of_all(lot for scope in self.scopes for lot in scope.lots)


@dataclass(frozen=True, slots=True)
class ConsigneeLine:
    """One consignee in the status of a case."""

    consignee: str
    may_hold: int
    """Discs of the lots concerned in its containers that could hold an affected one, in any scope of the case."""
    delivered: int
    """Discs of the lots concerned that it got, or is to get, at all."""
    least: int
    """Affected ones among them at least, by the newest scope that names the consignee."""
    most: int
    is_joint: bool
    """True if `least` and `most` are just those of all its containers together; else the limits may be wider."""
    notice: Notice | None
    """The first notice."""
    reply: Reply | None
    """The newest reply."""
    returned: int
    """By the dock's own records."""
    destroyed: int
    """By the dock's own records, of what came back."""
    check: Check | None
    """The newest check."""
    to_check: bool
    """True if the draw names it."""

    @property
    def returned_difference(self) -> int | None:
        """What the consignee says it sent back less what the dock booked; None if it said nothing of it."""
        said = self.reply.returned if self.reply else None
        return None if said is None else said - self.returned

    @property
    def accounted(self) -> int:
        """Discs it had when it was told, or that came back or were destroyed there, whichever is more.

        What is returned or destroyed may be of what was on hand, so the two are not added: rather too few
        accounted for than the same disc twice. What came back is the dock's count, not the consignee's word.
        """
        reply = self.reply
        if reply is None:
            return self.returned
        return max(reply.on_hand, self.returned + (reply.destroyed or 0))

    @property
    def unaccounted(self) -> int:
        """Discs in those containers that are not accounted for; negative when more turned up than they held."""
        return self.may_hold - self.accounted


@dataclass(frozen=True, slots=True)
class CaseStatus:
    """The status of a case."""

    lines: tuple[ConsigneeLine, ...]
    draw: Draw | None
    estimate: str | None
    loose: int
    """Discs that came back without a carton and so from nobody known."""
    words: PieceWords = OF_DISCS
    """What is counted: discs, parts or built pieces."""

    @property
    def silent(self) -> tuple[ConsigneeLine, ...]:
        """Those that were told and have not answered."""
        return tuple(line for line in self.lines if line.notice and not line.reply)


def consignees_of(scopes: Iterable[ScopeSummary]) -> list[str]:
    """Everybody to whom a container that could hold an affected disc was shipped, by any scope of the case.

    Whoever was named by an earlier scope stays: the goods were there, whatever a later scope says of them.
    """
    names = {
        held.consignee for scope in scopes for held in scope.containers if held.shipped and held.consignee
    }
    return sorted(names)


def status_of(facts: CaseRecord) -> CaseStatus:
    """Work out how far a case is."""
    told = {notice.consignee for notice in facts.notices}
    names = dict.fromkeys([*consignees_of(facts.scopes), *sorted(told)])
    lines = tuple(_line(name, facts) for name in names)
    return CaseStatus(lines, facts.draw, facts.estimate, facts.loose, facts.words)


def _line(name: str, facts: CaseRecord) -> ConsigneeLine:
    back = [one for one in facts.back if one.consignee == name]
    bounds = _bounds(name, facts.scopes)
    may_hold = _may_hold(name, facts.scopes)
    return ConsigneeLine(
        consignee=name,
        may_hold=may_hold,
        delivered=max(may_hold, *(line.pieces for line in _all_joint(name, facts.scopes)), 0),
        least=bounds.least,
        most=bounds.most,
        is_joint=bounds.is_joint,
        notice=next((one for one in facts.notices if one.consignee == name), None),
        reply=next((one for one in reversed(facts.replies) if one.consignee == name), None),
        returned=sum(one.returned for one in back),
        destroyed=sum(one.destroyed for one in back),
        check=next((one for one in reversed(facts.checks) if one.consignee == name), None),
        to_check=facts.draw is not None and name in facts.draw.chosen,
    )


def _may_hold(name: str, scopes: Iterable[ScopeSummary]) -> int:
    held: dict[tuple[str, str], int] = {}
    for scope in scopes:
        for one in scope.containers:
            if one.shipped and one.consignee == name:
                held[one.code, one.lot] = one.pieces
    return sum(held.values())


@dataclass(frozen=True, slots=True)
class _Bounds:
    least: int
    most: int
    is_joint: bool


def _bounds(name: str, scopes: Sequence[ScopeSummary]) -> _Bounds:
    for scope in reversed(scopes):
        meant = [held for held in scope.containers if held.consignee == name]
        found = [held for held in meant if held.shipped]
        if found:
            return _of_shipped(found, meant, [line for line in scope.consignees if line.place == name])
    return _Bounds(0, 0, is_joint=True)


def _all_joint(name: str, scopes: Sequence[ScopeSummary]) -> list[CasePlace]:
    return [line for scope in scopes if (line := _joint(name, scope)) is not None]


def _joint(name: str, scope: ScopeSummary) -> CasePlace | None:
    return next((line for line in scope.consignees if line.place == name), None)


def _of_shipped(
    found: Sequence[CaseContainer], meant: Sequence[CaseContainer], joints: Sequence[CasePlace]
) -> _Bounds:
    """Bound what a consignee has, of what it has (`found`) and is to have (`meant`), from the joint bounds kept of it."""
    least, most = sum(held.least for held in found), sum(held.most for held in found)
    if not joints:
        return _Bounds(least, most, is_joint=False)
    joint, all_left = joints[-1], len(found) == len(meant)
    if all_left or len(joints) > 1:
        return _Bounds(max(least, joint.least), min(most, joint.most), is_joint=True)
    # A scope of an older program bounds all of it only. What is on its way takes at most its own most away from the least of all, and has its own least of the most.
    coming = [held for held in meant if not held.shipped]
    least = max(least, joint.least - sum(held.most for held in coming))
    most = min(most, joint.most - sum(held.least for held in coming))
    return _Bounds(least, most, is_joint=False)
