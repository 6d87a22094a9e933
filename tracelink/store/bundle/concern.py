"""Does an entry concern a bundle? By the rule of its kind, and by what happened around it at its station.

An entry concerns a bundle when it names one of its things in the place where its kind names what it acts on: the
carton that was put on a pallet, not the pallet that holds a hundred others. That place stands beside each kind
(`ledger/export_rule.py`). A kind that this program does not know concerns it when it names one of its things
anywhere, so that kinds of later versions are not lost.

At a station some entries name nothing and still belong: who was signed on, the line clearance and the sleeves opened
before a run, a no-read, a stop, a refused scan while the lot was on. They are taken while one of the bundle's lots is
on that press or one of its spindles is open at that line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.ledger.export_rule import Taken
from tracelink.ledger.kinds.line import LineCleared, SpindleOpened
from tracelink.ledger.kinds.press import PressSetUp, PressStopped
from tracelink.ledger.kinds.press_corrections import PressResumed
from tracelink.ledger.kinds.registry import KINDS
from tracelink.store.bundle.scope_codes import BundleScope

Body = Mapping[str, Any]


LOOKED_AT_LAST = (Taken.SETTING_UP, Taken.ALWAYS)
"""Entries that say what something is: by then it is known what the other entries name."""


def taken(kind: str) -> Taken:
    """Return when a bundle takes entries of a kind; of an unknown one, when they name a thing of the bundle."""
    return KINDS[kind].export.taken if kind in KINDS else Taken.BY_ITS_THINGS


def acts_on(kind: str, body: Body, scope: BundleScope, own: set[str]) -> bool:
    """Say whether an entry acts on a thing of the bundle; `own` is `scope.own`, made once."""
    if kind not in KINDS:
        return any(each in own for each in texts(body))
    rule = KINDS[kind].export
    if rule.taken is Taken.CASE_SCOPE:
        return _case(body, scope)
    if rule.taken is Taken.ALWAYS:
        return True
    return any(
        text in getattr(scope, things)
        for place in rule.acts_on
        for text in place.texts(body)
        for things in place.things
    )


def _case(body: Body, scope: BundleScope) -> bool:
    """A case concerns its own bundle, and that of each lot in question; a carton's where the case names the carton."""
    if scope.kind == "case":
        return bool(body["case"] == scope.code)
    if scope.whole:
        return not scope.whole.isdisjoint(body["scope"]["lots"])
    return any(each["code"] in scope.cartons for each in body["scope"]["containers"])


def texts(value: Any) -> Iterator[str]:
    """Yield every text in a body."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from texts(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from texts(each)


def people_in(entry: Mapping[str, Any]) -> Iterator[str]:
    """Yield the badges that an entry names, as its person or as a second one."""
    for value in (entry["person"], *(entry["body"].get(name) for name in _SECOND)):
        if isinstance(value, str):
            yield value


_SECOND = ("agreed_by", "person", "second_person", "checked_by", "witness", "by", "second")
"""Fields that hold a badge."""


class Stations:
    """What is on at each station as the journal is read, and what was written before it came on."""

    def __init__(self, scope: BundleScope) -> None:
        self._scope = scope
        self._before: dict[str, dict[str, int]] = {}
        self._on: dict[str, set[str]] = {}

    def see(self, entry: Mapping[str, Any]) -> None:
        """Take note of an entry, in the order of the journal."""
        kind, station, body = entry["kind"], entry["station"], entry["body"]
        if station is None:
            return
        if taken(kind) is Taken.BEFORE_A_RUN:
            self._before.setdefault(station, {})[kind] = entry["seq"]
            if kind == LineCleared.kind:
                self._on.pop(station, None)
        elif kind in (PressSetUp.kind, PressResumed.kind) and body["lot"] in self._scope.lots:
            self._on.setdefault(station, set()).add(body["lot"])
        elif kind == PressStopped.kind:
            self._on.pop(station, None)
        elif kind == SpindleOpened.kind:
            on = self._on.setdefault(station, set())
            on.difference_update([each for each in on if each.startswith(f"{body['piece']} ")])
            if body["spindle"] in self._scope.spindles:
                on.add(f"{body['piece']} {body['spindle']}")

    def is_on(self, entry: Mapping[str, Any]) -> bool:
        """Return whether the entry is of a kind taken while something is on, and something of the bundle is."""
        return taken(entry["kind"]) is Taken.WHILE_ON and bool(self._on.get(entry["station"] or ""))

    def before(self, station: str | None) -> list[int]:
        """The sign-on, clearance and sleeves that stand at a station now."""
        return list(self._before.get(station or "", {}).values())
