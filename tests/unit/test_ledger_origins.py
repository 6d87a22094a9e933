"""What a rule leaves on an entry: nothing that stations and commands made lacks it, and a forged entry does."""

import copy
import random
from dataclasses import replace

import pytest
from support_demo import played_demo

from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.origin import ScanRule
from tracelink.ledger.packs import unpack_scans
from tracelink.ledger.plant.change_entries import BadgeWithdrawn
from tracelink.ledger.proof.chain import verify_chain
from tracelink.ledger.proof.known_badges import remember_badge
from tracelink.ledger.proof.origin_check import Lack, OriginCheck, _follows_leaving
from tracelink.ledger.proof.scancount import ScanCount
from tracelink.ledger.times import utc_seconds
from tracelink.store.journal import journal
from tracelink.store.ledger import read_ledger

SEED = 20250310
HAD_LEFT = "a person who had left"


class Seen:
    """A journal looked at to its end."""

    def __init__(self, place):
        self.entries, self.packs = [], {}
        self.check, self.scans, self.faults = OriginCheck(), ScanCount(), []
        with read_ledger(str(place)) as conn:
            rows = list(journal.rows(conn))
        verify_chain(rows, visit=self.entries.append)
        for row, entry in zip(rows, self.entries, strict=True):
            numbers = [] if row.pack is None else [scan.number for scan in unpack_scans(row.pack)]
            self.packs[entry.seq] = numbers
            self.faults += self.check.entry(entry, lambda numbers=numbers: numbers)
            for number in numbers:
                self.scans.seen(entry.stamp.station, number)
        self.last = {code: at.number for code, at in self.check._stations.items()}

    def after(self, forged, numbers=(), left=None):
        """What is found if this entry came next, with the numbers of its scans, and `left` had left by then."""
        check, scans = copy.deepcopy(self.check), copy.deepcopy(self.scans)
        if left is not None:
            remember_badge(
                check._badges, BadgeWithdrawn.kind, {"person": left, "since": "2025-01-01T00:00:00Z"}
            )
        found = [*check.entry(forged, lambda: numbers), *check.finish()]
        for number in numbers:
            scans.seen(forged.stamp.station, number)
        return {fault.lack for fault in found if fault.seq == forged.seq}, scans.doubled()


@pytest.fixture(scope="module")
def seen(tmp_path_factory):
    return Seen(played_demo(tmp_path_factory) / "runout.db")


def test_no_entry_of_the_demo_lacks_anything(seen):
    assert len(seen.entries) > 500
    assert [*seen.faults, *copy.deepcopy(seen.check).finish()] == []


def forgeries(seen):
    """Yield way, origin, a forged entry after the last, and the numbers of its scans; by a seed."""
    rng = random.Random(SEED)
    head = seen.entries[-1].seq
    now = utc_seconds(seen.entries[-1].stamp.event_time)
    roles = {code: badge.roles_at(now) for code, badge in seen.check._badges.items()}
    stations = {code: at.area for code, at in seen.check._stations.items()}
    for kind in sorted({entry.kind for entry in seen.entries}):
        origin = KINDS[kind].origin
        real = rng.choice([entry for entry in seen.entries if entry.kind == kind])
        new = replace(real, seq=head + 1)
        stamp = real.stamp
        if not origin.by_command:
            yield (
                "no station",
                kind,
                replace(new, stamp=replace(stamp, station=None, station_seq=None), scans=None),
                (),
            )
        if origin.second is not None and real.body.get(origin.second.field):
            body = {**real.body, origin.second.field: stamp.person}
            yield "one hand", kind, replace(new, body=body), ()
        if origin.reason:
            yield "no reason", kind, replace(new, reason=None), ()
        if stamp.person is not None and not (stamp.station and _follows_leaving(real, origin)):
            after = (
                stamp if stamp.station is None else replace(stamp, station_seq=seen.last[stamp.station] + 1)
            )
            yield HAD_LEFT, kind, replace(new, stamp=after), ()
        if stamp.station is None:
            if not origin.nobody:
                yield "nobody", kind, replace(new, stamp=replace(stamp, person=None)), ()
                yield "never enrolled", kind, replace(new, stamp=replace(stamp, person="P9999999")), ()
            continue
        last = seen.last[stamp.station]
        after = replace(stamp, station_seq=last + 1)
        if origin.scans is not ScanRule.NONE:
            yield "no scans", kind, replace(new, stamp=after, scans=None), ()
            yield (
                "last scan again",
                kind,
                replace(new, stamp=replace(stamp, station_seq=last), scans=None),
                (),
            )
            yield "older scans", kind, replace(new, stamp=after, scans="00" * 32), (last - 1, last)
        yield "number gone by", kind, replace(new, stamp=replace(stamp, station_seq=last - 1)), (last - 1,)
        others = [code for code, area in stations.items() if area not in origin.areas]
        if others:
            code = rng.choice(others)
            there = replace(stamp, station=code, station_seq=seen.last[code] + 1)
            yield "another area", kind, replace(new, stamp=there), (there.station_seq,)
        if origin.roles:
            lacking = sorted(person for person, held in roles.items() if not held & origin.roles)
            for person in lacking[:1]:
                yield "another role", kind, replace(new, stamp=replace(after, person=person)), (last + 1,)
            yield "nobody", kind, replace(new, stamp=replace(after, person=None)), (last + 1,)


EXPECTED = {
    HAD_LEFT: {Lack.PERSON},
    "no station": {Lack.STATION},
    "one hand": {Lack.SECOND},
    "no reason": {Lack.REASON},
    "nobody": {Lack.PERSON},
    "never enrolled": {Lack.PERSON},
    "no scans": {Lack.SCANS},
    "last scan again": {Lack.SCANS},
    "number gone by": {Lack.NUMBER},
    "another area": {Lack.AREA},
    "another role": {Lack.ROLE, Lack.SIGNED_ON},
}


def test_forged_entries_are_found_each_for_what_it_lacks(seen):
    tried, missed = {}, []
    for way, kind, forged, numbers in forgeries(seen):
        tried[way] = tried.get(way, 0) + 1
        left = forged.stamp.person if way == HAD_LEFT else None
        lacks, doubled = seen.after(forged, numbers, left)
        if way == "older scans":
            # Whether the entry lacks its own scan, or only seals scans that were sealed before.
            if not (Lack.SCANS in lacks or doubled):
                missed.append((way, kind))
        elif not lacks & EXPECTED[way]:
            missed.append((way, kind, lacks))
    assert missed == []
    assert set(tried) == {*EXPECTED, "older scans"}
    assert sum(tried.values()) > 300
