"""The most or the least of one lot of a certificate: its assignments followed, its prices added up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tracelink.errors import NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.flow.network import Network
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling, stocks


class CertifiedSide:
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
