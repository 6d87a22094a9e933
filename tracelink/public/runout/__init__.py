"""runout for other programs: open a ledger, ask it typed questions, get frozen answers.

    from runout import ContainmentQuery, Shape, open_ledger

    with open_ledger("runout.db") as ledger:
        answer = ledger.contain(ContainmentQuery("T001030Y", Shape.FROM_ONSET))
        for held in answer.scope.containers:
            print(held.code, held.least, held.most)

What is listed in `__all__` stays as it is within a major version; what begins with an underscore, and whatever lies
in other packages, may change. Every answer is a report from the records: an authorised person decides.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from runout._ledger import OpenLedger, open_ledger
    from tracelink import errors
    from tracelink.genealogy.containment.held import ContainerBound, GroupBound, PlaceTotal
    from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
    from tracelink.genealogy.containment.scope import Scope, Tier
    from tracelink.genealogy.flow.pool_bounds import Bound
    from tracelink.genealogy.model.shapes import Shape, TierName
    from tracelink.services.badge_proof import DecidedBy
    from tracelink.services.balancing import Balance
    from tracelink.services.containment import Containment
    from tracelink.services.exporting import Exported, ExportOptions
    from tracelink.services.joint_bounds import JointBounds
    from tracelink.services.place_holds import HoldResult
    from tracelink.services.searching import SearchResult
    from tracelink.services.shared_causes import SharedCauses
    from tracelink.services.tracing import Trace
    from tracelink.services.verification import KeptOutside, Verification
    from tracelink.station.common.outcome import Verdict, Word

_WHERE = {
    "Balance": "tracelink.services.balancing",
    "Bound": "tracelink.genealogy.flow.pool_bounds",
    "ContainerBound": "tracelink.genealogy.containment.held",
    "Containment": "tracelink.services.containment",
    "ContainmentQuery": "tracelink.genealogy.containment.query",
    "DecidedBy": "tracelink.services.badge_proof",
    "Evidence": "tracelink.genealogy.containment.query",
    "ExportOptions": "tracelink.services.exporting",
    "Exported": "tracelink.services.exporting",
    "GroupBound": "tracelink.genealogy.containment.held",
    "HoldResult": "tracelink.services.place_holds",
    "JointBounds": "tracelink.services.joint_bounds",
    "KeptOutside": "tracelink.services.verification",
    "OpenLedger": "runout._ledger",
    "PlaceTotal": "tracelink.genealogy.containment.held",
    "Scope": "tracelink.genealogy.containment.scope",
    "SearchResult": "tracelink.services.searching",
    "Shape": "tracelink.genealogy.model.shapes",
    "SharedCauses": "tracelink.services.shared_causes",
    "Tier": "tracelink.genealogy.containment.scope",
    "TierName": "tracelink.genealogy.model.shapes",
    "Trace": "tracelink.services.tracing",
    "Verdict": "tracelink.station.common.outcome",
    "Verification": "tracelink.services.verification",
    "Word": "tracelink.station.common.outcome",
    "open_ledger": "runout._ledger",
}
"""Name -> the module it is taken from when it is first asked for: a scan must not pay for the import of reports."""

__all__ = [
    "Balance",
    "Bound",
    "ContainerBound",
    "Containment",
    "ContainmentQuery",
    "DecidedBy",
    "Evidence",
    "ExportOptions",
    "Exported",
    "GroupBound",
    "HoldResult",
    "JointBounds",
    "KeptOutside",
    "OpenLedger",
    "PlaceTotal",
    "Scope",
    "SearchResult",
    "Shape",
    "SharedCauses",
    "Tier",
    "TierName",
    "Trace",
    "Verdict",
    "Verification",
    "Word",
    "errors",
    "open_ledger",
]


def __getattr__(name: str) -> object:
    if name == "errors":
        return import_module("tracelink.errors")
    if name in _WHERE:
        return getattr(import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'runout' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
