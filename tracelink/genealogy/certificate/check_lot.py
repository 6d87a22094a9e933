"""One lot of a certificate, checked against its movements."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from tracelink.errors import NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.write_certificate import SIDES
from tracelink.genealogy.flow.budget import Budget, NotSolved
from tracelink.genealogy.flow.follow import ordered_movements, pressed_of
from tracelink.genealogy.flow.network import Network, NetworkStep, counted
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling, stocks
from tracelink.genealogy.flow.read_network import network_of
from tracelink.genealogy.flow.steps import steps_of
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
        self._sides: dict[str, _Side] = {}
        self._wrong = self._pressed_wrong(record)
        if self._wrong is None and self.possible:
            for name, _ in SIDES:
                written = take.member(data, name)
                suspects = suspect if name == "most" else proven
                # What was not read for want of time cannot be checked: `_side` says so.
                with suppress(NotSolved):
                    network = network_of(self.pressed, self.steps, suspects, budget)
                    self._sides[name] = _Side(written, network)

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
        return self._sides[name].value(given, places, sign, notes)


class _Side:
    """The assignments and prices of one side of a lot."""

    def __init__(self, data: Any, network: Network) -> None:
        self._data = data
        self._network = network
        self._step = {(step.seq, step.line): number for number, step in enumerate(network.steps)}
        self._assignments = [self._moved(one) for one in take.items(data, "assignments")]
        self._prices = [self._priced(one) for one in take.items(data, "prices")]
        self._followed: dict[tuple[int, int], dict[str, int]] = {}
        self._wrong = self._classes_wrong()

    def _classes_wrong(self) -> str | None:
        if self._network.wrong is not None:
            return f"entry {self._network.steps[self._network.wrong].seq} cannot be true"
        given = [(take.strokes(one, "strokes"), one.get("part")) for one in take.items(self._data, "classes")]
        known = [(one.strokes, one.part) for one in self._network.classes]
        if given != known:
            return "its classes of strokes are not those that the movements and tiers make"
        return None

    def _moved(self, data: Any) -> tuple[int, Moved]:
        moved: dict[tuple[int, int], int] = {}
        for row in take.items(data, "went"):
            seq, line, number, count = take.numbers(row, "went", 4)
            # What names no movement is kept under an impossible number, and fails where it is used.
            moved[self._step.get((seq, line), -1), number] = count
        return take.number(data, "part"), moved

    def _priced(self, data: Any) -> tuple[int, int, Prices]:
        prices: dict[int, int] = {}
        for row in take.items(data, "each"):
            seq, line, price = take.numbers(row, "each", 3)
            prices[self._step.get((seq, line), -1)] = price
        return take.number(data, "part"), take.number(data, "per"), prices

    def value(self, given: Any, places: frozenset[str], sign: int, notes: list[str]) -> tuple[int, int]:
        """Check the parts of one side; return between which numbers they show it to be."""
        if self._wrong is not None:
            raise NotCertified(self._wrong)
        settled = self._network.settled(places)
        total = settled
        unreached = 0
        parts = []
        for row in take.items(given, "parts"):
            if not isinstance(row, list) or len(row) != 4:
                raise UsageError("'parts': expected rows of part, value, assignment and prices")
            part, value = take.numbers(row[:2], "parts", 2)
            parts.append(part)
            self._check_part(part, value, (row[2], row[3]), places, sign, notes)
            total += value
            if row[2] is None:
                # Prices alone bound the part; the scope may know better by other means.
                unreached += value if sign > 0 else self._discs(part)
        wanted = [part for part in self._network.touching(places) if self._network.counts(part)]
        if parts != wanted:
            raise NotCertified(f"it adds up parts {parts}, expected {wanted}")
        if (total, settled) != (take.number(given, "bound"), take.number(given, "settled")):
            raise NotCertified(
                f"the parts add up to {total} with {settled} settled, expected {given['bound']}"
            )
        return (total - unreached, total) if sign > 0 else (total, total + unreached)

    def _discs(self, part: int) -> int:
        return sum(len(self._network.classes[number].strokes) for number in self._network.parts[part].classes)

    def _check_part(  # noqa: PLR0913, PLR0917 - one row of the file and what it is about
        self,
        part: int,
        value: int,
        proof: tuple[Any, Any],
        places: frozenset[str],
        sign: int,
        notes: list[str],
    ) -> None:
        if not 0 <= part < len(self._network.parts):
            raise NotCertified(f"there is no part {part}")
        word = "most" if sign > 0 else "least"
        if proof[0] is None:
            notes.append(f"no assignment in the file reaches the {word}")
        else:
            of, moved = _chosen(self._assignments, proof[0], "assignments")
            found = sum(
                count for place, count in self._left(part, proof[0], moved).items() if place in places
            )
            if of != part or found != value:
                raise NotCertified(
                    f"its assignment for the {word} leaves {found} affected discs, expected {value}"
                )
        if proof[1] is None:
            notes.append(f"that nothing goes beyond the {word} was exhausted by the solver and is not shown")
        else:
            priced, per, prices = _chosen(self._prices, proof[1], "prices")
            self._check_prices((part, priced, value), per, prices, places, sign)

    def _left(self, part: int, number: int, moved: Moved) -> dict[str, int]:
        """Where an assignment leaves the suspects; followed once for all bounds that share it."""
        if (part, number) not in self._followed:
            self._followed[part, number] = stocks(self._network, part, moved)
        return self._followed[part, number]

    def _check_prices(
        self, of: tuple[int, int, int], per: int, prices: Prices, places: frozenset[str], sign: int
    ) -> None:
        part, priced, value = of
        word = "most" if sign > 0 else "least"
        foreign = set(prices) - set(self._network.parts[part].steps)
        if priced != part or per < 1 or foreign:
            raise NotCertified(f"its prices for the {word} are not about the movements of part {part}")
        allowed = sign * ceiling(self._network, part, prices, per, places, sign)
        if allowed != value:
            raise NotCertified(f"its prices for the {word} allow {allowed} affected discs, expected {value}")


def _chosen(kept: Sequence[Any], number: Any, what: str) -> Any:
    at = take.whole(number, what)
    if not 0 <= at < len(kept):
        raise NotCertified(f"there are no {what} {at}")
    return kept[at]
