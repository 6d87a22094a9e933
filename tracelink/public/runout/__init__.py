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
    from runout._files import (
        create_ledger,
        make_signing_key,
        only_reading,
        open_ledger,
        restore_ledger,
        signing_key,
        upgrade_ledger,
    )
    from runout._ledger import OpenLedger
    from runout._people import People
    from runout._upkeep import Upkeep
    from tracelink import errors
    from tracelink.facts.backups_kept import BackupsKept
    from tracelink.facts.badge_owners import BadgeOwner
    from tracelink.genealogy.containment.held import ContainerBound, GroupBound, PlaceTotal
    from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
    from tracelink.genealogy.containment.scope import Scope, Tier
    from tracelink.genealogy.flow.pool_bounds import Bound
    from tracelink.genealogy.model.shapes import Shape, TierName
    from tracelink.services.badge_proof import Badge, DecidedBy
    from tracelink.services.badges import PeopleList, PinChanged
    from tracelink.services.balancing import Balance
    from tracelink.services.containment import Containment
    from tracelink.services.exporting import Exported, ExportOptions
    from tracelink.services.joint_bounds import JointBounds
    from tracelink.services.ledger_files import LedgerCopy, SchemaChange
    from tracelink.services.place_holds import HoldResult
    from tracelink.services.searching import SearchResult
    from tracelink.services.shared_causes import SharedCauses
    from tracelink.services.signing import KeyFile
    from tracelink.services.tracing import Trace
    from tracelink.services.verification import KeptOutside, Verification
    from tracelink.station.common.outcome import Verdict, Word

_WHERE = {
    "BackupsKept": "tracelink.facts.backups_kept",
    "Badge": "tracelink.services.badge_proof",
    "BadgeOwner": "tracelink.facts.badge_owners",
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
    "KeyFile": "tracelink.services.signing",
    "LedgerCopy": "tracelink.services.ledger_files",
    "OpenLedger": "runout._ledger",
    "People": "runout._people",
    "PeopleList": "tracelink.services.badges",
    "PinChanged": "tracelink.services.badges",
    "PlaceTotal": "tracelink.genealogy.containment.held",
    "SchemaChange": "tracelink.services.ledger_files",
    "Scope": "tracelink.genealogy.containment.scope",
    "SearchResult": "tracelink.services.searching",
    "Shape": "tracelink.genealogy.model.shapes",
    "SharedCauses": "tracelink.services.shared_causes",
    "Tier": "tracelink.genealogy.containment.scope",
    "TierName": "tracelink.genealogy.model.shapes",
    "Trace": "tracelink.services.tracing",
    "Upkeep": "runout._upkeep",
    "Verdict": "tracelink.station.common.outcome",
    "Verification": "tracelink.services.verification",
    "Word": "tracelink.station.common.outcome",
    "create_ledger": "runout._files",
    "make_signing_key": "runout._files",
    "only_reading": "runout._files",
    "open_ledger": "runout._files",
    "restore_ledger": "runout._files",
    "signing_key": "runout._files",
    "upgrade_ledger": "runout._files",
}
"""Name -> the module it is taken from when it is first asked for: a scan must not pay for the import of reports."""

__all__ = [
    "BackupsKept",
    "Badge",
    "BadgeOwner",
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
    "KeyFile",
    "LedgerCopy",
    "OpenLedger",
    "People",
    "PeopleList",
    "PinChanged",
    "PlaceTotal",
    "SchemaChange",
    "Scope",
    "SearchResult",
    "Shape",
    "SharedCauses",
    "Tier",
    "TierName",
    "Trace",
    "Upkeep",
    "Verdict",
    "Verification",
    "Word",
    "create_ledger",
    "errors",
    "make_signing_key",
    "only_reading",
    "open_ledger",
    "restore_ledger",
    "signing_key",
    "upgrade_ledger",
]


def __getattr__(name: str) -> object:
    if name == "errors":
        return import_module("tracelink.errors")
    if name in _WHERE:
        return getattr(import_module(_WHERE[name]), name)
    raise AttributeError(f"module 'runout' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
