"""One lot of a certificate, checked against its movements."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from tracelink.errors import NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.check_side import CertifiedSide
from tracelink.genealogy.certificate.write_certificate import SIDES
from tracelink.genealogy.flow.budget import Budget, NotSolved
from tracelink.genealogy.flow.follow import ordered_movements, pressed_of
from tracelink.genealogy.flow.network import NetworkStep, counted
from tracelink.genealogy.flow.read_network import network_of
from tracelink.genealogy.flow.steps import steps_of
from tracelink.genealogy.flow.touched_layers import Touching, in_layers, touched_in
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace


@dataclass(frozen=True, slots=True)
class LotRecord:
    """What the journal says of one lot, up to the head of the certificate."""

    pressed: StrokeSet
    """Strokes counted by now."""
    steps: tuple[NetworkStep, ...]
    """Its movements up to the head, in order."""
    unsealed: tuple[NetworkStep, ...]
    """Matches that lie in the spool now."""
    grown: bool
    """True if the journal has entries after the head."""


def record_of(records: Records, lot: str, head: int) -> LotRecord:
    """What the records say of a lot up to an entry.

    Args:
        records: the records, which may have grown since.
        lot: the lot's code.
        head: the journal sequence of that entry.
    """
    pressed = pressed_of(records, lot)
    steps = steps_of(records, lot, ordered_movements(records, lot, pressed))
    now = records.head()[0]
    return LotRecord(
        pressed,
        tuple(step for step in steps if step.seq <= head),
        tuple(step for step in steps if step.seq > now),
        grown=now > head,
    )


class CertifiedLot:
    """One lot of a certificate.

    Args:
        data: the lot in the certificate.
        record: the same lot in the journal.
        proven: the strokes that the tiers call proven.
        suspect: those, and the ones they call possible.
        budget: the time there is to check it.

    Raises:
        UsageError: the data are no lot of a certificate.
    """

    def __init__(
        self, data: Any, record: LotRecord, proven: StrokeSet, suspect: StrokeSet, budget: Budget
    ) -> None:
        self.pressed = take.strokes(data, "pressed")
        self.proven, self.suspect = proven, suspect
        self.possible = take.flag(data, "possible")
        self._notes: list[str] = []
        self.steps = record.steps + self._unsealed(data, record)
        self._counts = counted(self.steps)
        self._counts[DiscPlace.COUNTER] = self._counts.get(DiscPlace.COUNTER, 0) + len(self.pressed)
        # Samples that were booked off a place which they may not be from: it may hold more than its count.
        self._unsaid = sum(
            step.quantity or 0
            for step in self.steps
            if step.booked_from is not None and step.target != DiscPlace.CUSTOMERS
        )
        self._touching = _touching(data)
        self._sides: dict[str, CertifiedSide] = {}
        self._wrong = self._pressed_wrong(record)
        if self._wrong is None and self.possible:
            for name, _ in SIDES:
                written = take.member(data, name)
                suspects = suspect if name == "most" else proven
                steps = self.steps
                if self._follows(name) and self._touching is not None:
                    steps = in_layers(self.pressed, steps, self._touching)
                # What was not read for want of time cannot be checked: `_side` says so.
                with suppress(NotSolved):
                    network = network_of(self.pressed, steps, suspects, budget)
                    self._sides[name] = CertifiedSide(written, network)

    def _follows(self, side: str) -> bool:
        return self._touching is not None and side == "most"

    def _pressed_wrong(self, record: LotRecord) -> str | None:
        later = record.pressed - self.pressed
        grew = record.grown and (not later or not self.pressed or later.first > self.pressed.last)
        if self.pressed - record.pressed or (later and not grew):
            return f"the file says strokes {self.pressed} were pressed, the journal {record.pressed}"
        return None

    def _unsealed(self, data: Any, record: LotRecord) -> tuple[NetworkStep, ...]:
        rows = take.items(data, "unsealed")
        if not rows:
            return ()
        found: list[NetworkStep] = []
        for row in rows:
            if not isinstance(row, list) or len(row) != 5:
                raise UsageError("'unsealed': expected rows of entry, line, quantity, source and target")
            seq, line, quantity = take.numbers(row[:3], "unsealed", 3)
            found.append(NetworkStep(str(row[3]), str(row[4]), quantity, None, seq, line))
        same = [(step.line, step.quantity, step.source, step.target) for step in found] == [
            (step.line, step.quantity, step.source, step.target) for step in record.unsealed
        ]
        if not same or record.grown:
            self._notes.append("matches that were not sealed yet are taken from the file")
        return tuple(found)

    def is_in(self, places: frozenset[str]) -> bool:
        """Return whether discs of the lot are in some of the places."""
        return any(self.left_in(place) > 0 for place in places)

    def places(self) -> list[str]:
        """The places in which the movements leave discs."""
        return [place for place, count in self._counts.items() if count > 0]

    def left_in(self, place: str) -> int:
        """Discs that the movements leave in a place."""
        return self._counts.get(place, 0)

    def bound(self, entry: Any, places: frozenset[str], notes: list[str]) -> dict[str, tuple[int, int]]:
        """Check both sides; return for each between which numbers the file shows it to be.

        Args:
            entry: the lot's entry in a bound.
            places: the places that are counted.
            notes: takes sentences on what is not shown.

        Raises:
            NotCertified: a proof does not hold.
            NotSolved: there is not enough time.
        """
        if self._wrong is not None:
            raise NotCertified(self._wrong)
        if not self.possible:
            notes.append(f"movements of lot {take.text(entry, 'lot')} conflict, so nothing is shown of it")
            return {name: (0, take.GREATEST) for name, _ in SIDES}
        notes += self._notes
        open_ones = frozenset(take.texts(entry, "unclaimed"))
        if not open_ones <= places:
            raise NotCertified("it leaves unclaimed what it does not count")
        found = {name: self._side(entry, name, sign, places - open_ones, notes) for name, sign in SIDES}
        if open_ones:
            discs = sum(self.left_in(place) for place in open_ones)
            low, high = (max(most, min(most + discs, len(self.suspect))) for most in found["most"])
            found["most"] = low, high
            notes.append(
                f"{', '.join(sorted(open_ones))} is not claimed: the records give its content only as a range"
            )
        return found

    def _side(
        self, entry: Any, name: str, sign: int, places: frozenset[str], notes: list[str]
    ) -> tuple[int, int]:
        given = entry.get(name)
        if given is None:
            notes.append(f"nothing in the file shows the {name} of lot {take.text(entry, 'lot')}")
            return 0, max(0, sum(self.left_in(one) for one in places)) + self._unsaid
        if name not in self._sides:
            raise NotSolved
        if self._follows(name):
            places = frozenset(touched_in(place) for place in places)
        return self._sides[name].value(given, places, sign, notes)


def _touching(data: Any) -> Touching | None:
    """What the file says touched discs of a lot where they stood; None if nothing did."""
    if "touched" not in data:
        return None
    touched = take.member(data, "touched")
    stood = []
    for row in take.items(touched, "stood"):
        if not isinstance(row, list) or len(row) != 2 or not isinstance(row[1], str):
            raise UsageError("'stood': expected rows of entry and place")
        stood.append((take.whole(row[0], "stood"), row[1]))
    return Touching(take.strokes(touched, "strokes"), tuple(stood))
