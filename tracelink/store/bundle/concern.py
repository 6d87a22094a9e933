"""Does an entry concern a bundle? One rule a kind of entry, and what happened around it at its station.

An entry concerns a bundle when it names one of its things in the place where its kind names what it acts on: the
carton that was put on a pallet, not the pallet that holds a hundred others. A kind without a rule here concerns it
when it names one of its things anywhere, so that kinds of later versions are not lost.

At a station some entries name nothing and still belong: who was signed on, the line clearance and the sleeves opened
before a run, a no-read, a stop, a refused scan while the lot was on. They are taken while one of the bundle's lots is
on that press or one of its spindles is open at that line.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from tracelink.store.bundle.bundle_scope import BundleScope

Body = Mapping[str, Any]
Rule = Callable[[Body, BundleScope], bool]

SET_UP = frozenset(
    {
        "plant-named",
        "person-enrolled",
        "station-placed",
        "product-defined",
        "kit-defined",
        "item-made",
        "material-received",
        "sleeves-received",
        "sscc-issued",
        "order-taken",
        "order-lines-taken",
        "location-named",
        "clearance-listed",
        "domain-named",
    }
)
"""Kinds that say what something is; looked at last, when it is known what the other entries name."""

BEFORE_A_RUN = frozenset({"signed-on", "pin-given", "line-cleared", "sleeves-opened"})
"""Kinds that stand until the next of their kind at that station."""

WHILE_ON = frozenset(
    {
        "no-read",
        "line-stopped",
        "scan-refused",
        "line-checked",
        "shift-handed-over",
        "manual-entry",
        "badge-refused",
        "badge-put-away",
        "badge-turned-away",
    }
)
"""Kinds that are taken while a thing of the bundle is on at that station."""


def _field(name: str, *sets: str) -> Rule:
    parts = name.split(".")

    def rule(body: Body, scope: BundleScope) -> bool:
        value: Any = body
        for part in parts:
            value = value.get(part) if isinstance(value, Mapping) else None
        return any(value in getattr(scope, each) for each in sets) if isinstance(value, str) else False

    return rule


def _each(name: str, field: str, *sets: str) -> Rule:
    inner = _field(field, *sets)
    return lambda body, scope: any(inner(each, scope) for each in body.get(name, ()))


def _named(name: str, *sets: str) -> Rule:
    return lambda body, scope: any(
        code in getattr(scope, each) for code in body.get(name, ()) for each in sets
    )


def _case(body: Body, scope: BundleScope) -> bool:
    """A case concerns its own bundle, and that of each lot in question; a carton's where the case names the carton."""
    if scope.kind == "case":
        return bool(body["case"] == scope.code)
    if scope.whole:
        return not scope.whole.isdisjoint(body["scope"]["lots"])
    return any(each["code"] in scope.cartons for each in body["scope"]["containers"])


def _either(*rules: Rule) -> Rule:
    return lambda body, scope: any(rule(body, scope) for rule in rules)


_CARTON = _field("carton", "cartons")
_PALLET = _field("pallet", "pallets")
_SHIPMENT = _field("shipment", "shipments")
_READING = _field("reading.lot", "lots")
_SAMPLE = _field("sample", "samples")
_TOOL = _field("tool", "tools")
_CHILD = _field("left.child", "cartons", "pallets")
_ALLOCATED = _each("items", "subject", "cartons", "pallets")

RULES: Mapping[str, Rule] = {
    **dict.fromkeys(("master-registered", "tool-grown", "tool-retired"), _TOOL),
    **dict.fromkeys(("press-set-up", "press-started", "press-resumed", "counter-corrected", "lot-planned", "lot-decided"), _field("lot", "lots")),
    **dict.fromkeys(("run-changed", "press-stopped", "hopper-emptied"), _READING),
    "trial-thrown": _field("reading.lot", "whole"),
    "stack-taken": _field("spindle", "spindles"),
    **dict.fromkeys(("discs-scrapped", "disc-rejected"), _field("moved.lot", "whole")),
    **dict.fromkeys(("sample-drawn", "sample-judged", "sample-measured"), _SAMPLE),
    "spindle-opened": _field("spindle", "spindles"),
    **dict.fromkeys(
        (
            "carton-opened",
            "discs-sleeved",
            "items-inserted",
            "hold-back-opened",
            "units-rechecked",
            "hold-back-closed",
            "unit-taken-out",
            "match-undone",
            "carton-unopened",
            "carton-closed",
            "carton-reopened",
            "carton-palletised",
            "carton-broken",
            "carton-repacked",
            "carton-open-checked",
            "carton-picked",
            "carton-restocked",
        ),
        _CARTON,
    ),
    "cartons-merged": _either(_CARTON, _field("source", "cartons")),
    **dict.fromkeys(
        ("pallet-opened", "pallet-closed", "pallet-accepted", "pallet-loaded", "pallet-reopened"), _PALLET
    ),
    **dict.fromkeys(
        ("shipment-opened", "shipment-reordered", "shipment-departed", "driver-checked", "load-agreed"), _SHIPMENT
    ),
    **dict.fromkeys(("place-left", "carton-unstacked", "unloaded", "carton-returned"), _CHILD),
    "put-away": _field("thing", "cartons", "pallets"),
    **dict.fromkeys(("allocation-made", "allocation-released"), _ALLOCATED),
    **dict.fromkeys(("case-opened", "case-scoped"), _case),
    "drill-held": _field("subject", "things"),
    "reject-undone": _field("moved.lot", "whole"),
    "mixed-counted": _either(_each("lots", "lot", "whole"), _field("place", "cartons")),
    "discs-came-back": _either(_field("lot", "whole"), _named("candidates", "whole")),
    "discs-restocked": _either(_field("moved.lot", "whole"), _field("spindle", "spindles")),
    **dict.fromkeys(("number-came-back", "numbers-restocked", "numbers-destroyed"), _field("gtin", "gtins")),
    "partner-event": _each("things", "code", "cartons", "pallets", "materials", "batches"),
    "discs-returned": _field("lot", "whole"),
    "discs-destroyed": _either(_CARTON, _each("moves", "lot", "whole")),
    "hold-placed": _either(_field("cause", "things"), _each("items", "subject", "things")),
    "investigation-opened": _field("subject", "things"),
    "stock-counted": _either(_each("lots", "lot", "whole"), _field("place", "cartons", "spindles")),
    "labels-counted": _field("subject", "batches", "materials"),
    "numbers-issued": _field("batch", "batches"),
    "label-voided": _either(_field("subject", "cartons", "pallets"), _field("replaced_by", "cartons", "pallets")),
    "product-defined": _field("gtin", "gtins"),
    "kit-defined": _field("gtin", "gtins"),
    "item-made": _field("gtin", "gtins"),
    "material-received": _field("material", "materials"),
    "sleeves-received": _field("batch", "batches"),
    **dict.fromkeys(("order-taken", "order-lines-taken"), _field("order", "orders")),
    "location-named": _field("location", "locations"),
    **dict.fromkeys(("plant-named", "clearance-listed", "domain-named"), lambda _body, _scope: True),
    # Decided elsewhere: by what other entries name, or by what is on at the station.
    **dict.fromkeys(
        (*BEFORE_A_RUN, *WHILE_ON, "person-enrolled", "station-placed", "sscc-issued", "sscc-returned",
         "hold-lifted", "investigation-closed", "partner-document", "case-held", "case-notified", "case-replied",
         "case-checks-chosen", "case-checked", "case-estimated", "case-closed",
         # Whether somebody has a PIN concerns no lot, and what is kept of it is nobody's to carry away.
         "pin-set", "pin-asked"),
        lambda _body, _scope: False,
    ),
}  # fmt: skip
"""Kind -> whether an entry of it acts on a thing of the bundle."""


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


def acts_on(kind: str, body: Body, scope: BundleScope, own: set[str]) -> bool:
    """Say whether an entry acts on a thing of the bundle; `own` is `scope.own`, made once."""
    rule = RULES.get(kind)
    return rule(body, scope) if rule is not None else any(each in own for each in texts(body))


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
        if kind in BEFORE_A_RUN:
            self._before.setdefault(station, {})[kind] = entry["seq"]
            if kind == "line-cleared":
                self._on.pop(station, None)
        elif kind in ("press-set-up", "press-resumed") and body["lot"] in self._scope.lots:
            self._on.setdefault(station, set()).add(body["lot"])
        elif kind == "press-stopped":
            self._on.pop(station, None)
        elif kind == "spindle-opened":
            on = self._on.setdefault(station, set())
            on.difference_update([each for each in on if each.startswith(f"{body['piece']} ")])
            if body["spindle"] in self._scope.spindles:
                on.add(f"{body['piece']} {body['spindle']}")

    def is_on(self, entry: Mapping[str, Any]) -> bool:
        """Whether the entry is of a kind taken while something is on, and something of the bundle is."""
        return entry["kind"] in WHILE_ON and bool(self._on.get(entry["station"] or ""))

    def before(self, station: str | None) -> list[int]:
        """The sign-on, clearance and sleeves that stand at a station now."""
        return list(self._before.get(station or "", {}).values())
