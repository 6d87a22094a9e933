"""An act of a person at the desk as a form: which fields it has, and what carries it out."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from runout import Badge, OpenLedger
from tracelink.errors import UsageError
from tracelink.report.format.document import Section

_WHOLE = re.compile(r"[0-9]{1,9}")
_LONGEST = 400

Given = Mapping[str, str]
"""What stands in the fields, by their names; of a field that is empty nothing."""
Choices = tuple[tuple[str, str], ...]
"""Value and what is said of it."""


class FormFieldKind(Enum):
    """What a field takes."""

    TEXT = "text"
    CODE = "code"
    """Shown in the font of codes."""
    WORDS = "words"
    """Several lines."""
    NUMBER = "number"
    """A whole number from 0."""
    DAY = "day"
    CHOICE = "choice"
    YES = "yes"
    """A box to tick."""
    KEPT = "kept"
    """Not shown: what the page knew when it was made."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a form."""

    name: str
    """As it is sent."""
    label: str
    """As it is shown."""
    kind: FormFieldKind = FormFieldKind.TEXT
    is_needed: bool = True
    choices: Choices | Callable[[OpenLedger, Given], Choices] = ()
    """For a choice: what there is to choose, by itself or asked of the ledger."""
    hint: str = ""
    """What is said below it."""
    longest: int = _LONGEST
    """Characters."""
    is_more: bool = False
    """True if few need it: it is folded away until something stands in it."""

    def choices_now(self, ledger: OpenLedger, given: Given) -> Choices:
        """Return what there is to choose, for what is given so far."""
        return self.choices(ledger, given) if callable(self.choices) else self.choices


@dataclass(frozen=True, slots=True)
class Signatures:
    """Who signs an act."""

    by: Badge
    second: Badge | None = None
    """Who agrees, where two people are needed."""

    @property
    def agreed(self) -> Badge:
        """The second person of an act that needs one."""
        assert self.second is not None, "the form asks for them"
        return self.second


@dataclass(frozen=True, slots=True)
class ActDone:
    """What an act came to."""

    title: str
    """In a few words."""
    sentences: tuple[str, ...]
    links: tuple[tuple[str, str], ...] = ()
    """Where to go on: address and words."""
    browser_secret: str | None = None
    """For the browser that was enrolled by it: what it keeps."""


@dataclass(frozen=True, slots=True)
class DeskAct:
    """An act, its form and what carries it out by the public package."""

    name: str
    """In its address."""
    title: str
    """What is done."""
    button: str
    """The words on the button."""
    fields: tuple[FormField, ...]
    do: Callable[[OpenLedger, Signatures, Given], ActDone]
    """Carries it out; every rule is that of the public package."""
    needs_second: bool = False
    """True if a second person signs as well."""
    told: str = ""
    """What a person should know before they do it."""
    kept_now: Callable[[OpenLedger, Given], Mapping[str, str]] | None = None
    """What the page knows now, for the fields that are kept; None if it has none."""
    known_now: Callable[[OpenLedger, Given], tuple[Section, ...]] | None = None
    """What the records say now that whoever signs should have seen, shown above the form; None for nothing."""


REASON = FormField("reason", "Reason", FormFieldKind.WORDS, hint="Kept with the entry.")


def given_of(act: DeskAct, sent: Mapping[str, str]) -> dict[str, str]:
    """Return what stands in the fields of a form, blanks around it taken off; what is empty is left out."""
    found = {field.name: sent.get(field.name, "").strip() for field in act.fields}
    return {name: text for name, text in found.items() if text}


def require_fields(act: DeskAct, given: Given, ledger: OpenLedger) -> None:
    """Look at the fields before anything is asked of the ledger.

    Raises:
        UsageError: one that is needed is empty, or one has the wrong form; the sentence names it as the form does.
    """
    for field in act.fields:
        text = given.get(field.name)
        if text is None:
            if field.is_needed:
                raise UsageError(f"“{field.label}” is empty: fill it in")
            continue
        if len(text) > field.longest:
            raise UsageError(f"“{field.label}” has {len(text)} characters: expected {field.longest} at most")
        if field.kind is FormFieldKind.NUMBER and not _WHOLE.fullmatch(text):
            raise UsageError(f"“{field.label}” is {text!r}: expected a whole number")
        if field.kind is FormFieldKind.CHOICE:
            known = [value for value, _words in field.choices_now(ledger, given)]
            if text not in known:
                raise UsageError(f"“{field.label}” is {text!r}: expected one of those on the page")


def badge_of(text: str, pin: str) -> Badge:
    """Return who signs: a badge as somebody types it, or as a scanner does that works as a keyboard."""
    return Badge(text.strip().upper().removeprefix("]C0"), pin)
