"""The scope of one cause as a document: what a person must have before them to decide.

Twelve points, in the order in which they are read: what triggered it, which level carries the fault, where it
starts and stops, how much in which tier, where it is, how a stranger knows it, who has it, whether the lots add
up, which other lots share the cause, what is held, how good the records are, and what is to be decided. Every
renderer (page, PDF, workbook, JSON, terminal) prints these facts and adds none.

Source: contents of a recall strategy and its status reports, 21 CFR 7.42, 7.49 and 7.53; start and stop points of
IATF 16949 8.5.2.1 (sections not checked against the original text).
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any

from tracelink.facts.scope_cause import Boundary, FaultLevels, Samples, TierLine, Trigger
from tracelink.facts.scope_discs import (
    Container,
    Group,
    Identifier,
    JointBoundsFacts,
    Place,
    Recipient,
    StoppedLine,
    Totals,
)
from tracelink.facts.scope_figures import ScopeAnswer
from tracelink.facts.scope_records import (
    CaseLine,
    DecisionForm,
    Effect,
    HoldLine,
    LotSums,
    RecordQuality,
    RelatedLot,
)
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.count_words import PieceWords, words_of_all

__all__ = ["Effect", "Imprint", "ScopeDocument", "plain"]


@dataclass(frozen=True, slots=True)
class Imprint:
    """From which records the document was made, and when."""

    head_seq: int
    """Last journal entry looked at: the data cut-off."""
    head_hash: str
    """Its hash."""
    head_at: str
    """When it was recorded, UTC; empty if the records do not say."""
    printed_at: str
    """When the document was made, RFC 3339 with offset."""
    program: str
    """The program and its version."""


@dataclass(frozen=True, slots=True)
class ScopeDocument:
    """Everything that the document says."""

    imprint: Imprint
    """Data cut-off, time and program."""
    answer: ScopeAnswer
    """The answer in a few figures."""
    trigger: Trigger
    """1. What was asked, by whom it was found, on which evidence."""
    levels: FaultLevels
    """2. Which level of the tool's family carries the fault."""
    boundaries: tuple[Boundary, ...]
    """3. Where it starts and stops, why, and what would widen it."""
    tiers: tuple[TierLine, ...]
    """4. Strokes by degree of suspicion, with reasons."""
    samples: Samples
    """4. What the judged discs show about the others, and which to judge next."""
    totals: Totals
    """4 and 5. Discs in each tier, and what the places add up to."""
    places: tuple[Place, ...]
    """5. Where the discs are; they add up to the total with a difference shown."""
    containers: tuple[Container, ...]
    """5. Every container that can hold an affected disc."""
    containers_together: JointBoundsFacts
    """5. All of them together."""
    groups: tuple[Group, ...]
    """5. Pallets, shipments, orders and countries that can."""
    untouched: tuple[int, int]
    """5. How many more containers hold discs of these lots that cannot be affected, and how many discs."""
    identifiers: tuple[Identifier, ...]
    """6. What somebody who does not know the plant can look for."""
    recipients: tuple[Recipient, ...]
    """7. Who has, or is to have, how many."""
    recipients_together: JointBoundsFacts
    """7. All of them together."""
    cases: tuple[CaseLine, ...]
    """7. Containment cases about the cause: who was told, who answered."""
    balances: tuple[LotSums, ...]
    """8. Whether each lot adds up, with signed differences."""
    related: tuple[RelatedLot, ...]
    """9. Other lots that share a set-up, a material, a carton or a kit."""
    holds: tuple[HoldLine, ...]
    """10. Holds on anything in question, open and lifted."""
    in_plant: tuple[InPlant, ...]
    """10. Everything suspect in the plant and what stops it."""
    free_together: JointBoundsFacts
    """10. What nothing stops, together."""
    stopped: tuple[StoppedLine, ...]
    """10. What each hold or rule stops, together."""
    quality: RecordQuality
    """11. Gaps, contradictions, late entries, corrections, no-reads, inferred contents."""
    decision: DecisionForm
    """12. What the named person has to decide; nothing is chosen here."""

    @property
    def words(self) -> PieceWords:
        """What people call the pieces in question; those of the cause where nothing is."""
        lots = [tier.lot for tier in self.tiers] + [held.lot for held in self.containers]
        return words_of_all(lots or [self.trigger.cause])

    @property
    def free(self) -> tuple[InPlant, ...]:
        """Suspect things in the plant that nothing recorded stops."""
        return tuple(row for row in self.in_plant if row.is_free)

    @property
    def version(self) -> str:
        """The version: 16 hexadecimal digits of SHA-256 over the contents and the data cut-off.

        The time of printing is left out, so that two prints of the same answer have the same version.
        """
        data: dict[str, Any] = {one.name: plain(getattr(self, one.name)) for one in fields(self)}
        data["imprint"] = [self.imprint.head_seq, self.imprint.head_hash]
        text = json.dumps(data, sort_keys=True, ensure_ascii=True, allow_nan=False)
        return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]

    def to_json(self) -> dict[str, Any]:
        """Plain data: the fields of these classes as keys, in their order, with `version` and `free_to_ship`."""
        data = {one.name: plain(getattr(self, one.name)) for one in fields(self)}
        free = self.free
        data["free_to_ship"] = {
            "count": len(free),
            "least": self.free_together.least,
            "most": self.free_together.most,
            "rows": plain(free),
        }
        return {"version": self.version, **data}


def plain(value: object) -> Any:
    """Facts as JSON has them: objects by field, strokes as lists of [first, last], enums as their text."""
    if is_dataclass(value) and not isinstance(value, type):
        if isinstance(value, StrokeSet):
            return [[span.first, span.last] for span in value.spans]
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Enum):
        return value.value
    return [plain(one) for one in value] if isinstance(value, tuple | list) else value
