"""Who may do what: one rule for stations, commands and other programs.

Whoever acts has one of the roles of the act. Whoever agrees to an act of somebody else has one of the roles that may
agree, and is another person. That a badge is whose it says is asked before: by its PIN, at the door.
"""

from dataclasses import dataclass

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.station_facts import Person
from tracelink.station.sentences import form_sentences

Roles = tuple[str, ...]
"""Roles of which one is enough; empty if everybody with a badge may."""

QUALITY: Roles = ("quality",)
WITNESSES: Roles = ("line", "quality")
"""Roles of which a second person who looks at a line must have one."""


@dataclass(frozen=True, slots=True)
class NotAllowed:
    """Why somebody may not do something."""

    person: Person
    code: FindingCode
    """`wrong-role` or `same-person`."""
    deed: str
    """What they may not do, as it follows their name: `may not do GROW`."""
    roles: Roles = ()
    """For `wrong-role`: the roles of which one is needed."""

    @property
    def sentence(self) -> str:
        """The reason without a full stop; what to do now depends on where it is said."""
        return form_sentences.not_allowed(self.person.name, self.deed, self.roles)


def lacks_role(person: Person, roles: Roles, deed: str) -> NotAllowed | None:
    """Return why somebody may not act, or None if they may.

    Args:
        person: who wants to.
        roles: of the act.
        deed: as it follows their name, such as `may not place holds`.
    """
    if not roles or person.roles & set(roles):
        return None
    return NotAllowed(person, FindingCode.WRONG_ROLE, deed, roles)


def may_not_agree(
    person: Person, first: str, roles: Roles, same: str = form_sentences.ONLY_ONE
) -> NotAllowed | None:
    """Return why somebody may not agree to what another person does, or None if they may.

    Args:
        person: who agrees.
        first: badge of who acts.
        roles: of those who may agree.
        same: what is said of somebody who would agree with themselves, as it follows their name.
    """
    if person.is_badge_of(first):
        return NotAllowed(person, FindingCode.SAME_PERSON, same)
    return lacks_role(person, roles, form_sentences.CANNOT_BE_SECOND)


def require_role(person: Person, roles: Roles, deed: str) -> None:
    """Stop a station at somebody whose work this is not; `deed` as for `lacks_role`."""
    _refuse(lacks_role(person, roles, deed))


def require_second(person: Person, first: str, roles: Roles) -> None:
    """Stop a station at a second person who may not agree; the arguments are those of `may_not_agree`."""
    _refuse(may_not_agree(person, first, roles))


def _refuse(found: NotAllowed | None) -> None:
    if found is None:
        return
    if found.code is FindingCode.SAME_PERSON:
        raise form_sentences.same_person(found.person.code)
    raise form_sentences.wrong_role(found.person, found.deed, found.roles)
