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
    from runout._codes import read_codes
    from runout._drills import Drills
    from runout._files import (
        create_ledger,
        make_signing_key,
        only_reading,
        open_ledger,
        restore_ledger,
        signing_key,
        upgrade_ledger,
    )
    from runout._investigations import Investigations
    from runout._journal import Journal
    from runout._labels import Labels
    from runout._ledger import OpenLedger
    from runout._partners import Partners
    from runout._people import People
    from runout._stations import FloorStations
    from runout._upkeep import Upkeep
    from runout._warehouse import Warehouse
    from tracelink import errors
    from tracelink.facts.backups_kept import BackupsKept
    from tracelink.facts.badge_owners import BadgeOwner
    from tracelink.facts.day_board import AtStation, Board, DayCount, Looking, OpenHold, Stop, Waiting
    from tracelink.facts.dock_stock import CartonCheck, CheckPlan, KeptStock, ThingFound
    from tracelink.facts.entry_stamp import EntryStamp, TimedEntry
    from tracelink.facts.held_drill import Drill, DrillLot, DrillStep, RecordedDrill
    from tracelink.facts.investigation_list import Investigated
    from tracelink.facts.pack_list import CartonLine, OrderedLine, PackList
    from tracelink.facts.partner_offers import EventOutcome
    from tracelink.facts.refused_scan import RefusedScan
    from tracelink.genealogy.containment.held import ContainerBound, GroupBound, PlaceTotal
    from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
    from tracelink.genealogy.containment.scope import Scope, Tier
    from tracelink.genealogy.flow.pool_bounds import Bound
    from tracelink.genealogy.model.shapes import Shape, TierName
    from tracelink.identity.anycode.code_parts import CodePart, CodeVerdict, ReadCode
    from tracelink.identity.confusable import ConfusablePair
    from tracelink.ledger.proof.judged import JudgedAgain, Unforced
    from tracelink.ledger.recording_times import ClockStep
    from tracelink.services.badge_proof import Badge, DecidedBy
    from tracelink.services.balancing import Balance
    from tracelink.services.code_reading import CodesRead
    from tracelink.services.containment import Containment
    from tracelink.services.desks.badges import PeopleList, PinChanged
    from tracelink.services.desks.drills import RecordedDrills
    from tracelink.services.desks.investigating import InvestigationList
    from tracelink.services.desks.label_numbers import ConfusableCodes, LabelBlock, LabelCount
    from tracelink.services.desks.partner_documents import ReadDocument
    from tracelink.services.desks.warehouse import StockFound, StockKept
    from tracelink.services.exporting import Exported, ExportOptions
    from tracelink.services.floor.live_station import LiveStation
    from tracelink.services.floor.log_replay import CutLog, LogTrial, RenumberedScan, Replayed, TriedStop
    from tracelink.services.floor.station_views import LateEntries, Refusals
    from tracelink.services.joint_bounds import JointBounds
    from tracelink.services.place_holds import HoldResult
    from tracelink.services.searching import SearchResult
    from tracelink.services.shared_causes import SharedCauses
    from tracelink.services.tracing import Trace
    from tracelink.services.upkeep.checkpointing import EntryProof, JournalCounts, SignedCheckpoint
    from tracelink.services.upkeep.ledger_files import LedgerCopy, SchemaChange
    from tracelink.services.upkeep.signing import KeyFile
    from tracelink.services.verification import KeptOutside, Verification
    from tracelink.station.common.outcome import Verdict, Word

_FROM = {
    "runout._codes": ("read_codes",),
    "runout._drills": ("Drills",),
    "runout._files": (
        "create_ledger",
        "make_signing_key",
        "only_reading",
        "open_ledger",
        "restore_ledger",
        "signing_key",
        "upgrade_ledger",
    ),
    "runout._investigations": ("Investigations",),
    "runout._journal": ("Journal",),
    "runout._labels": ("Labels",),
    "runout._ledger": ("OpenLedger",),
    "runout._partners": ("Partners",),
    "runout._people": ("People",),
    "runout._stations": ("FloorStations",),
    "runout._upkeep": ("Upkeep",),
    "runout._warehouse": ("Warehouse",),
    "tracelink.facts.backups_kept": ("BackupsKept",),
    "tracelink.facts.badge_owners": ("BadgeOwner",),
    "tracelink.facts.day_board": ("AtStation", "Board", "DayCount", "Looking", "OpenHold", "Stop", "Waiting"),
    "tracelink.facts.dock_stock": ("CartonCheck", "CheckPlan", "KeptStock", "ThingFound"),
    "tracelink.facts.entry_stamp": ("EntryStamp", "TimedEntry"),
    "tracelink.facts.held_drill": ("Drill", "DrillLot", "DrillStep", "RecordedDrill"),
    "tracelink.facts.investigation_list": ("Investigated",),
    "tracelink.facts.pack_list": ("CartonLine", "OrderedLine", "PackList"),
    "tracelink.facts.partner_offers": ("EventOutcome",),
    "tracelink.facts.refused_scan": ("RefusedScan",),
    "tracelink.genealogy.containment.held": ("ContainerBound", "GroupBound", "PlaceTotal"),
    "tracelink.genealogy.containment.query": ("ContainmentQuery", "Evidence"),
    "tracelink.genealogy.containment.scope": ("Scope", "Tier"),
    "tracelink.genealogy.flow.pool_bounds": ("Bound",),
    "tracelink.genealogy.model.shapes": ("Shape", "TierName"),
    "tracelink.identity.confusable": ("ConfusablePair",),
    "tracelink.ledger.proof.judged": ("JudgedAgain", "Unforced"),
    "tracelink.ledger.recording_times": ("ClockStep",),
    "tracelink.services.badge_proof": ("Badge", "DecidedBy"),
    "tracelink.services.balancing": ("Balance",),
    "tracelink.identity.anycode.code_parts": ("CodePart", "CodeVerdict", "ReadCode"),
    "tracelink.services.code_reading": ("CodesRead",),
    "tracelink.services.containment": ("Containment",),
    "tracelink.services.desks.badges": ("PeopleList", "PinChanged"),
    "tracelink.services.desks.drills": ("RecordedDrills",),
    "tracelink.services.desks.investigating": ("InvestigationList",),
    "tracelink.services.desks.label_numbers": ("ConfusableCodes", "LabelBlock", "LabelCount"),
    "tracelink.services.desks.partner_documents": ("ReadDocument",),
    "tracelink.services.desks.warehouse": ("StockFound", "StockKept"),
    "tracelink.services.exporting": ("ExportOptions", "Exported"),
    "tracelink.services.floor.live_station": ("LiveStation",),
    "tracelink.services.floor.log_replay": ("CutLog", "LogTrial", "RenumberedScan", "Replayed", "TriedStop"),
    "tracelink.services.floor.station_views": ("LateEntries", "Refusals"),
    "tracelink.services.joint_bounds": ("JointBounds",),
    "tracelink.services.place_holds": ("HoldResult",),
    "tracelink.services.searching": ("SearchResult",),
    "tracelink.services.shared_causes": ("SharedCauses",),
    "tracelink.services.tracing": ("Trace",),
    "tracelink.services.upkeep.checkpointing": ("EntryProof", "JournalCounts", "SignedCheckpoint"),
    "tracelink.services.upkeep.ledger_files": ("LedgerCopy", "SchemaChange"),
    "tracelink.services.upkeep.signing": ("KeyFile",),
    "tracelink.services.verification": ("KeptOutside", "Verification"),
    "tracelink.station.common.outcome": ("Verdict", "Word"),
}
"""Module -> names that are taken from it when they are first asked for: a scan must not pay for the import of reports."""

_WHERE = {name: module for module, names in _FROM.items() for name in names}

__all__ = [
    "AtStation",
    "BackupsKept",
    "Badge",
    "BadgeOwner",
    "Balance",
    "Board",
    "Bound",
    "CartonCheck",
    "CartonLine",
    "CheckPlan",
    "ClockStep",
    "CodePart",
    "CodeVerdict",
    "CodesRead",
    "ConfusableCodes",
    "ConfusablePair",
    "ContainerBound",
    "Containment",
    "ContainmentQuery",
    "CutLog",
    "DayCount",
    "DecidedBy",
    "Drill",
    "DrillLot",
    "DrillStep",
    "Drills",
    "EntryProof",
    "EntryStamp",
    "EventOutcome",
    "Evidence",
    "ExportOptions",
    "Exported",
    "FloorStations",
    "GroupBound",
    "HoldResult",
    "Investigated",
    "InvestigationList",
    "Investigations",
    "JointBounds",
    "Journal",
    "JournalCounts",
    "JudgedAgain",
    "KeptOutside",
    "KeptStock",
    "KeyFile",
    "LabelBlock",
    "LabelCount",
    "Labels",
    "LateEntries",
    "LedgerCopy",
    "LiveStation",
    "LogTrial",
    "Looking",
    "OpenHold",
    "OpenLedger",
    "OrderedLine",
    "PackList",
    "Partners",
    "People",
    "PeopleList",
    "PinChanged",
    "PlaceTotal",
    "ReadCode",
    "ReadDocument",
    "RecordedDrill",
    "RecordedDrills",
    "Refusals",
    "RefusedScan",
    "RenumberedScan",
    "Replayed",
    "SchemaChange",
    "Scope",
    "SearchResult",
    "Shape",
    "SharedCauses",
    "SignedCheckpoint",
    "StockFound",
    "StockKept",
    "Stop",
    "ThingFound",
    "Tier",
    "TierName",
    "TimedEntry",
    "Trace",
    "TriedStop",
    "Unforced",
    "Upkeep",
    "Verdict",
    "Verification",
    "Waiting",
    "Warehouse",
    "Word",
    "create_ledger",
    "errors",
    "make_signing_key",
    "only_reading",
    "open_ledger",
    "read_codes",
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
