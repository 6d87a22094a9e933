"""Checking what a scope lists against the records: which containers there are, what they stand in, who gets them.

A certificate proves the number of a bound, and nothing of the name beside it: with the numbers right, two recipients
might be swapped, or a carton left out. So the lists are made again here, by the same code that made them for the
scope, from the movements and the records alone; no bound is solved for that. It can be done only while the journal
ends where the scope's does, because the records say where things stand now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.bound_check import BoundCheck, BoundKey, CheckVerdict
from tracelink.genealogy.certificate.check_lot import LotRecord
from tracelink.genealogy.certificate.write_certificate import claims_of
from tracelink.genealogy.containment.group_totals import groups_of, places_of
from tracelink.genealogy.containment.held import BACK_LOOSE, ContainerBound, alike_containers
from tracelink.genealogy.containment.scope import places_of_codes
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.network import counted
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.records import Records
from tracelink.ledger.closed_sets import DiscPlace

_NOTHING = Bound(0, 0, 0, None, tight=False)
_NO_CONTAINERS = (DiscPlace.COUNTER, DiscPlace.SCRAP, DiscPlace.CUSTOMERS)


class _Unbounded:
    """Stands where the discs stand when the lists are made again: the numbers are checked elsewhere."""

    def bound(self, places: Iterable[str]) -> Bound:  # noqa: ARG002  the protocol of holdings
        """Return nothing of any places."""
        return _NOTHING


def check_listing(document: Any, records: Records, lots: Mapping[str, LotRecord]) -> list[BoundCheck]:
    """Compare the lists of a scope with those that the records give; return one failure per difference.

    Args:
        document: what `runout contain --format json` wrote, parsed, and checked bound by bound before.
        records: the records; their journal ends at the entry of the scope.
        lots: what the journal says of each lot of the scope.
    """
    certificate = take.member(document, "certificate")
    by = take.text(certificate, "by")
    rows = {
        (take.text(row, "code"), take.text(row, "lot")): row for row in take.items(document, "containers")
    }
    held = sorted(_held(certificate, lots) if by == "stroke" else rows)
    records.look_up(place for place, _lot in held)
    whereabouts = Whereabouts(records)
    containers = [whereabouts.container(place, lot, _NOTHING) for place, lot in held]
    alike = alike_containers(containers)
    groups = list(groups_of(alike, _Unbounded(), whereabouts))
    twice = sum(
        step.quantity or 0
        for lot in lots.values()
        for step in lot.steps + lot.unsealed
        if step.source == DiscPlace.CUSTOMERS
    )
    places = places_of(alike, _Unbounded(), _NOTHING, twice)
    sets = [(",".join(codes), places_of_codes(containers, groups, codes)) for codes in _together(document)]
    found = _of_containers(containers, rows)
    found += _of_groups({(one.kind, one.code): one.shipped for one in groups}, document)
    if by == "nothing":
        return found
    expected = {
        (claim.kind, claim.code, claim.lot): frozenset(claim.places)
        for claim in claims_of(containers, groups, places, sets)
    }
    if by == "place":
        # Only the containers of the cause count; what else became of their lots is not in question.
        known = {one.code for one in containers}
        expected = {key: places & known for key, places in expected.items()}
        expected.pop(("place", BACK_LOOSE, None), None)
    return found + _of_certificate(expected, certificate) + _of_lots(document, certificate, by)


def _held(certificate: Any, lots: Mapping[str, LotRecord]) -> set[tuple[str, str]]:
    """(place, lot) pairs in which the movements of the certified lots leave discs."""
    return {
        (place, lot)
        for lot in (take.text(one, "lot") for one in take.items(certificate, "lots"))
        for place, count in counted(lots[lot].steps + lots[lot].unsealed).items()
        if count > 0 and place not in _NO_CONTAINERS
    }


def _together(document: Any) -> list[list[str]]:
    rows = take.items(document, "together") if "together" in document else []
    return [take.texts(row, "codes") for row in rows]


def _of_containers(
    containers: Iterable[ContainerBound], rows: Mapping[tuple[str, str], Any]
) -> list[BoundCheck]:
    found = []
    expected = {(one.code, one.lot): one for one in containers}
    for (code, lot), one in expected.items():
        row = rows.get((code, lot))
        if row is None:
            found.append(
                _fails("container", code, f"discs of lot {lot} are there, and the scope leaves it out")
            )
            continue
        known = {
            "kind": one.kind,
            "status": one.status,
            "parents": list(one.parents),
            "consignee": one.consignee,
            "shipped": one.shipped,
        }
        found += [
            _fails(
                "container", code, f"{key}: expected {_shown(value)}, the scope says {_shown(row.get(key))}"
            )
            for key, value in known.items()
            if row.get(key) != value
        ]
    strangers = [key for key in rows if key not in expected]
    return found + [
        _fails("container", code, f"the movements leave no disc of lot {lot} there")
        for code, lot in strangers
    ]


def _of_groups(expected: Mapping[tuple[str, str], bool], document: Any) -> list[BoundCheck]:
    rows = {(take.text(row, "kind"), take.text(row, "code")): row for row in take.items(document, "groups")}
    found = [
        _fails(kind, code, "containers of the scope belong to it, and the scope leaves it out")
        for kind, code in expected
        if (kind, code) not in rows
    ]
    for (kind, code), row in rows.items():
        shipped = expected.get((kind, code))
        if shipped is None:
            found.append(_fails(kind, code, "no container of the scope belongs to it"))
        elif row.get("shipped") is not shipped:
            found.append(_fails(kind, code, f"shipped: expected {_shown(shipped)}, the scope says otherwise"))
    return found


def _of_certificate(expected: Mapping[BoundKey, frozenset[str]], certificate: Any) -> list[BoundCheck]:
    found = []
    given = {
        _key(entry): frozenset(take.texts(entry, "places")) for entry in take.items(certificate, "bounds")
    }
    for key, places in expected.items():
        if key not in given:
            found.append(_fails(key[0], key[1], "the records know it, and the certificate leaves it out"))
        elif given[key] != places:
            differing = ", ".join(sorted(given[key] ^ places))
            found.append(
                _fails(key[0], key[1], f"it counts other places than the records have: look at {differing}")
            )
    found += [
        _fails(kind, code, "the records know no such bound")
        for kind, code, lot in given
        if (kind, code, lot) not in expected
    ]
    return found


def _of_lots(document: Any, certificate: Any, by: str) -> list[BoundCheck]:
    """Tell of lots that are named or have suspect strokes and are not followed, and the other way round."""
    if by != "stroke":
        return []
    followed = {take.text(one, "lot") for one in take.items(certificate, "lots")}
    # A lot that was asked about is not named as affected by itself.
    asked = {
        take.text(document, "cause"),
        *(code for clause in take.items(document, "clauses") for code in clause),
    }
    named = set(take.texts(document, "co_affected"))
    suspect = {
        take.text(tier, "lot")
        for tier in take.items(document, "tiers")
        if take.text(tier, "name") != "cleared"
    }
    return [
        _fails("lot", lot, "the scope's lots, its tiers and its certificate are not about the same lots")
        for lot in sorted((named ^ (followed - asked)) | (suspect - followed))
    ]


def _key(entry: Any) -> BoundKey:
    lot = entry.get("lot") if isinstance(entry, dict) else None
    return take.text(entry, "kind"), take.text(entry, "code"), lot if isinstance(lot, str) else None


def _fails(kind: str, code: str, why: str) -> BoundCheck:
    return BoundCheck(kind, code, CheckVerdict.FAILS, why)


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(str(one) for one in value) or "nothing"
    return str(value) or "nothing"
