"""Checking a certificate against the movements, without solving anything.

The movements are read into the same network of classes as when the certificate was written (read_network.py); then
each assignment is followed and each list of prices is added up (proof.py). What the scope says is compared with
what that gives, bound by bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tracelink.errors import NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.bound_check import BoundCheck, BoundKey, CheckVerdict
from tracelink.genealogy.certificate.check_lot import CertifiedLot, LotRecord
from tracelink.genealogy.certificate.write_certificate import FORMAT
from tracelink.genealogy.containment.held import TOTAL, UNACCOUNTED
from tracelink.genealogy.flow.budget import Budget, NotSolved, no_limit
from tracelink.genealogy.flow.network import counted
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet

_WAYS = ("stroke", "place", "nothing")
"""How a certificate may be made: over strokes, over whole containers, or not at all for this kind of cause."""


def check(document: Any, records: Mapping[str, LotRecord], budget: Budget | None = None) -> list[BoundCheck]:
    """Check every bound of a scope.

    Args:
        document: what `runout contain --format json` wrote, parsed.
        records: what the journal says of each lot in `lots_in(document)`.
        budget: the time there is; None for as much as it takes.

    Raises:
        UsageError: the document is not a scope with certificates.
    """
    budget = budget or no_limit()
    with budget:
        return _checked(document, records, budget)


def _checked(document: Any, records: Mapping[str, LotRecord], budget: Budget) -> list[BoundCheck]:
    certificate = take.member(document, "certificate")
    if take.number(certificate, "format") != FORMAT:
        raise UsageError(f"the certificate has format {certificate['format']}; this program reads {FORMAT}")
    claims = _claims(document)
    by = take.text(certificate, "by")
    if by not in _WAYS:
        raise UsageError(f"the certificate is made by {by!r}; expected {', '.join(_WAYS)}")
    if by == "nothing":
        return [
            BoundCheck(*key[:2], CheckVerdict.ONE_SIDED, "no certificate is made for this kind of cause")
            for key in claims
        ]
    checker = _Checker(document, certificate, records, budget)
    total = claims.get(("place", TOTAL, None))
    sums = _sums(claims, total)
    outcomes: list[BoundCheck] = []
    for entry in take.items(certificate, "bounds"):
        lot = entry.get("lot") if isinstance(entry, dict) else None
        key = (take.text(entry, "kind"), take.text(entry, "code"), lot if isinstance(lot, str) else None)
        claim = claims.pop(key, None)
        outcomes.append(checker.outcome(key, entry, claim, by_place=by == "place"))
    missing = "the file has no certificate for it"
    outcomes += [
        BoundCheck(kind, code, CheckVerdict.FAILS, missing) for kind, code, _ in claims if code != TOTAL
    ]
    if by == "stroke" and total is not None and ("place", TOTAL, None) in claims:
        outcomes.append(checker.total(total))
    return outcomes + sums


def _sums(claims: Mapping[BoundKey, _Claim], total: _Claim | None) -> list[BoundCheck]:
    """Tell of a total that is missing, or that the places do not add up to; what the count lacks has its sign."""
    if total is None:
        return [BoundCheck("place", TOTAL, CheckVerdict.FAILS, "the scope leaves it out")]
    places = sum(
        claim.pieces for (kind, code, _lot), claim in claims.items() if kind == "place" and code != TOTAL
    )
    if places != total.pieces:
        return [
            BoundCheck("place", UNACCOUNTED, CheckVerdict.FAILS, "discs there do not add up to the total")
        ]
    return []


def lots_in(document: Any) -> list[str]:
    """The lots of which the movements are needed."""
    certificate = take.member(document, "certificate")
    if take.text(certificate, "by") == "place":
        return take.texts(document, "co_affected")
    return [take.text(lot, "lot") for lot in take.items(certificate, "lots")]


@dataclass(frozen=True, slots=True)
class _Claim:
    pieces: int
    least: int
    most: int

    def __str__(self) -> str:
        """Say it in a sentence."""
        return f"{self.least} to {self.most} of {self.pieces} discs"


def _claims(document: Any) -> dict[BoundKey, _Claim]:
    """What the scope says of each container, group, place and set."""
    found: dict[BoundKey, _Claim] = {}
    for key, row in _rows(document):
        if key in found:
            raise UsageError(f"{key[0]} {key[1]} stands in the scope twice; expected one row of each")
        found[key] = _claim(row)
    return found


def _rows(document: Any) -> Iterator[tuple[BoundKey, Any]]:
    for row in take.items(document, "containers"):
        yield ("container", take.text(row, "code"), take.text(row, "lot")), row
    for row in take.items(document, "groups"):
        yield (take.text(row, "kind"), take.text(row, "code"), None), row
    for row in take.items(document, "places"):
        yield ("place", take.text(row, "place"), None), row
    for row in take.items(document, "together") if "together" in document else ():
        yield ("together", ",".join(take.texts(row, "codes")), None), row


def _claim(row: Any) -> _Claim:
    return _Claim(take.number(row, "pieces"), take.number(row, "least"), take.number(row, "most"))


class _Checker:
    """Checks the bounds of one certificate."""

    def __init__(
        self, document: Any, certificate: Any, records: Mapping[str, LotRecord], budget: Budget
    ) -> None:
        self._budget = budget
        tiers = _tiers(document)
        self._lots: dict[str, CertifiedLot] = {}
        for data in take.items(certificate, "lots"):
            lot = take.text(data, "lot")
            proven, possible = (tiers.get((lot, name), NO_STROKES) for name in ("proven", "possible"))
            self._lots[lot] = CertifiedLot(data, records[lot], proven, proven | possible, budget)
        self._counts = {lot: counted(record.steps + record.unsealed) for lot, record in records.items()}
        for lot, one in self._lots.items():
            self._counts[lot] = counted(one.steps)

    def outcome(self, key: BoundKey, entry: Any, claim: _Claim | None, *, by_place: bool) -> BoundCheck:
        """Check one bound."""
        kind, code, lot = key
        if claim is None:
            return BoundCheck(
                kind, code, CheckVerdict.FAILS, "the scope has no such bound, or it is certified twice"
            )
        places = frozenset(take.texts(entry, "places"))
        try:
            self._compare_pieces(key, places, claim)
            self._budget.require()
            notes = self._by_place(claim) if by_place else self._by_stroke(entry, places, lot, claim)
        except NotCertified as problem:
            return BoundCheck(kind, code, CheckVerdict.FAILS, str(problem))
        except NotSolved:
            return BoundCheck(kind, code, CheckVerdict.NOT_LOOKED_AT, "there was no time left for it")
        return BoundCheck(
            kind,
            code,
            CheckVerdict.ONE_SIDED if notes else CheckVerdict.CONFIRMED,
            "; ".join(dict.fromkeys(notes)),
        )

    def total(self, claim: _Claim) -> BoundCheck:
        """Check the line that the places add up to: it counts strokes only."""
        lots = self._lots.values()
        known = _Claim(
            sum(len(lot.pressed) for lot in lots),
            sum(len(lot.proven) for lot in lots),
            sum(len(lot.suspect) for lot in lots),
        )
        if claim != known:
            return BoundCheck(
                "place", TOTAL, CheckVerdict.FAILS, f"the tiers give {known}; the scope says {claim}"
            )
        return BoundCheck("place", TOTAL, CheckVerdict.CONFIRMED, "")

    def _compare_pieces(self, key: BoundKey, places: frozenset[str], claim: _Claim) -> None:
        kind, code, lot = key
        if kind == "container" and places != {code}:
            raise NotCertified(f"it counts {', '.join(sorted(places)) or 'nothing'}, expected {code}")
        if (kind, code) == ("place", UNACCOUNTED):
            # What is missing from the count is not a number of discs that movements leave anywhere.
            return
        if (kind, code) == ("place", TOTAL):
            self._compare_all(places, claim)
            return
        pieces = sum(
            counts.get(place, 0)
            for one, counts in self._counts.items()
            if lot in (None, one)
            for place in places
        )
        if pieces != claim.pieces and all(one.possible for one in self._lots.values()):
            raise NotCertified(f"the movements leave {pieces} discs there, the scope says {claim.pieces}")

    def _compare_all(self, places: frozenset[str], claim: _Claim) -> None:
        """Compare what is said of all discs: those of every lot, wherever the movements leave them."""
        pressed = sum(len(one.pressed) for one in self._lots.values())
        if claim.pieces != pressed:
            raise NotCertified(f"{pressed} discs were pressed, the scope says {claim.pieces}")
        left_out = {place for one in self._lots.values() if one.possible for place in one.places()} - places
        if left_out:
            raise NotCertified(f"it leaves out what is in {', '.join(sorted(left_out))}")

    def _by_place(self, claim: _Claim) -> list[str]:
        if (claim.least, claim.most) != (0, claim.pieces):
            raise NotCertified(
                f"by place any number of {claim.pieces} discs may be affected, the scope says {claim.least} to {claim.most}"
            )
        return []

    def _by_stroke(self, entry: Any, places: frozenset[str], lot: str | None, claim: _Claim) -> list[str]:
        notes: list[str] = []
        given = {take.text(one, "lot"): one for one in take.items(entry, "lots")}
        sure = [name for name, one in self._lots.items() if lot in (None, name) and one.possible]
        wanted = [name for name in sure if self._lots[name].is_in(places)]
        if not set(wanted) <= set(given) <= set(self._lots) or set(given) & set(sure) != set(wanted):
            raise NotCertified(
                f"it adds up lots {', '.join(given) or 'none'}, expected {', '.join(wanted) or 'none'}"
            )
        shown = {"least": (0, 0), "most": (0, 0)}
        for name, one in given.items():
            for side, (low, high) in self._lots[name].bound(one, places, notes).items():
                shown[side] = shown[side][0] + low, shown[side][1] + high
        for side, said in (("least", claim.least), ("most", claim.most)):
            low, high = shown[side]
            if not low <= said <= high:
                between = f"{low}" if low == high else f"{low} to {high}"
                raise NotCertified(f"the file shows {between} for the {side}, the scope says {said}")
            shows = high if side == "most" else low
            if said != shows:
                notes.append(f"the file shows {shows} for the {side}, and not that it is {said}")
        return notes


def _tiers(document: Any) -> dict[tuple[str, str], StrokeSet]:
    found: dict[tuple[str, str], StrokeSet] = {}
    for tier in take.items(document, "tiers"):
        key = take.text(tier, "lot"), take.text(tier, "name")
        found[key] = found.get(key, NO_STROKES) | take.strokes(tier, "strokes")
    return found
