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

from runout._names import WHERE

if TYPE_CHECKING:
    from runout._agreement import compare_inspectors, study_gauge
    from runout._browsers import Browsers
    from runout._cases import Cases
    from runout._codes import picture_line, read_codes, typed_line
    from runout._drills import Drills
    from runout._files import (
        copy_ledger,
        create_ledger,
        line_found_away,
        make_signing_key,
        only_reading,
        open_ledger,
        restore_ledger,
        signing_key,
        upgrade_ledger,
    )
    from runout._group import PlantGroup, publish_journal
    from runout._hall import Hall
    from runout._investigations import Investigations
    from runout._journal import Journal
    from runout._lab import Lab
    from runout._labels import Labels
    from runout._ledger import OpenLedger
    from runout._notices import Notices
    from runout._partners import Partners
    from runout._people import People
    from runout._scopes import Scopes
    from runout._stations import FloorStations
    from runout._upkeep import Upkeep
    from runout._warehouse import Warehouse
    from tracelink.facts.badge_owners import BadgeOwner
    from tracelink.facts.catalogue.part_record import BuildOfPart, LotOfPart, PartRecord, PartUse, ReelOfPart
    from tracelink.facts.catalogue.product_record import (
        ConsigneeRecord,
        LineOfOrder,
        LotOfProduct,
        OrderRecord,
        ProductPiece,
        ProductRecord,
        ShipmentOfOrder,
        SleevesOfProduct,
    )
    from tracelink.facts.day_board import AtStation, Board, DayCount, Looking, OpenHold, Stop, Waiting
    from tracelink.facts.dock_stock import CartonCheck, CheckPlan, KeptStock, StockBarred, ThingFound
    from tracelink.facts.enrolled_browsers import EnrolledBrowser
    from tracelink.facts.entry_stamp import EntryStamp, TimedEntry
    from tracelink.facts.finding_count import FindingCount
    from tracelink.facts.group_plants import FoundInPlant, PlantHead, PlantLink, PlantStanding, PlantTaken
    from tracelink.facts.hall.fault_log import (
        FaultBy,
        FaultCount,
        FaultFound,
        FaultLog,
        FaultRise,
        FaultsAsked,
    )
    from tracelink.facts.hall.line_pace import LinePace, StationPace
    from tracelink.facts.held_drill import Drill, DrillLot, DrillStep, RecordedDrill
    from tracelink.facts.held_things import HeldThing, HoldList
    from tracelink.facts.investigation_list import Investigated
    from tracelink.facts.lab.due_readings import DueReading, DueReadings
    from tracelink.facts.lab.instrument_reading import InstrumentFileResult, ReadValue
    from tracelink.facts.lab.lab_result_list import LabResult, LabResults, LabTestFact
    from tracelink.facts.pack_list import CartonLine, OrderedLine, PackList
    from tracelink.facts.partner_offers import EventOutcome
    from tracelink.facts.plant_reasons import PlantReason
    from tracelink.facts.refused_scan import RefusedScan
    from tracelink.facts.station_key_list import StationKey
    from tracelink.facts.upkeep.backups_kept import BackupsKept
    from tracelink.facts.upkeep.copied_ledger import CopiedLedger
    from tracelink.facts.upkeep.journal_page import EntriesAsked, JournalPage, ListedEntry
    from tracelink.facts.upkeep.ledger_health import HealthLimits, LedgerHealth, Measure, Measured, Severity
    from tracelink.genealogy.case.case_facts import Case, CaseFacts
    from tracelink.genealogy.case.judge_replies import ReplyFinding
    from tracelink.genealogy.certificate.bound_check import BoundCheck, CheckVerdict
    from tracelink.genealogy.charting.charted_discs import ChartedDisc
    from tracelink.genealogy.charting.process_chart import ChangeOnset, FrozenBaseline, ProcessChart
    from tracelink.genealogy.charting.proposed_scope import Proposal
    from tracelink.genealogy.charting.stage_before import StageEvidence
    from tracelink.genealogy.containment.held import ContainerBound, GroupBound, PlaceTotal
    from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
    from tracelink.genealogy.containment.scope import Scope, Tier
    from tracelink.genealogy.flow.pool_bounds import Bound
    from tracelink.genealogy.model.shapes import Shape, TierName
    from tracelink.genealogy.sampling.strokes_to_draw import (
        DrawReason,
        DrawState,
        LabSample,
        ReasonToDraw,
        StrokeToDraw,
    )
    from tracelink.genealogy.totals.totals import ScopeTotals
    from tracelink.identity.anycode.code_parts import CodePart, CodeVerdict, ReadCode
    from tracelink.identity.confusable import ConfusablePair
    from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn
    from tracelink.ledger.kinds.measuring.chart_entries import ChartBaselineFrozen
    from tracelink.ledger.proof.judged import JudgedAgain, Unforced
    from tracelink.ledger.recording_times import ClockStep
    from tracelink.quality.agreement.gauge_study import GaugeStudy, VarianceRow
    from tracelink.quality.agreement.kappa import Kappa
    from tracelink.quality.cannot_tell import CannotTell, Doubt
    from tracelink.quality.capability import Capability, Tolerance
    from tracelink.quality.charts.control_chart import (
        ChartBaseline,
        ChartKind,
        ControlChart,
        ControlLimits,
        Panel,
        Statistic,
    )
    from tracelink.quality.charts.run_rules import RuleSet, RunRule, Signal
    from tracelink.quality.estimate import Estimate
    from tracelink.quality.level_change import ChangeShape
    from tracelink.quality.sampling.attribute_plan import AttributePlan, SampleOutcome, SamplingPlan
    from tracelink.quality.sampling.attribute_tables import InspectionSeverity
    from tracelink.quality.sampling.sampling_asked import SamplingAsked
    from tracelink.quality.sampling.severity_switching import InspectedLot, Switching
    from tracelink.quality.sampling.zero_acceptance import ZeroPlan
    from tracelink.services.badge_proof import Badge, DecidedBy
    from tracelink.services.balancing import Balance
    from tracelink.services.case_letters import Letter
    from tracelink.services.cases.case_notices import CaseLetters
    from tracelink.services.cases.case_summary import CaseSummary
    from tracelink.services.cases.case_views import CaseHistory, CaseList, CaseProgress, ScopeChange
    from tracelink.services.cases.case_writing import (
        CaseHolds,
        CaseSigner,
        ChecksDrawn,
        NextScope,
        OpenedCase,
    )
    from tracelink.services.cases.scope_check import CheckedScope
    from tracelink.services.code_reading import CodesRead
    from tracelink.services.containment import Containment
    from tracelink.services.desks.agreement_files import GaugeAgreement, InspectorAgreement
    from tracelink.services.desks.badges import NewPinKey, PeopleList, PinChanged, PinReplacement
    from tracelink.services.desks.browsers import BrowserList, NewBrowser, SignedInPerson
    from tracelink.services.desks.charts.chart_baselines import BaselineAsked
    from tracelink.services.desks.charts.charted_values import ChartAsked
    from tracelink.services.desks.charts.lab_capability import LabCapability
    from tracelink.services.desks.charts.lab_charts import LabChart
    from tracelink.services.desks.drills import RecordedDrills
    from tracelink.services.desks.instrument_files import InstrumentFile
    from tracelink.services.desks.investigating import InvestigationList
    from tracelink.services.desks.lab_samples import LotSamples
    from tracelink.services.desks.label_numbers import ConfusableCodes, LabelBlock, LabelCount
    from tracelink.services.desks.partner_documents import ReadDocument
    from tracelink.services.desks.typing_values import ResultBooked, TypedResult
    from tracelink.services.desks.warehouse import StockFound, StockKept
    from tracelink.services.exporting import Exported, ExportOptions
    from tracelink.services.floor.away.away_line import AwayLine
    from tracelink.services.floor.live_station import LiveStation
    from tracelink.services.floor.log_replay import CutLog, LogTrial, RenumberedScan, Replayed, TriedStop
    from tracelink.services.floor.scan_keys import StationKeys
    from tracelink.services.floor.station_screen import ScreenBeside, ScreenButton
    from tracelink.services.floor.station_views import LateEntries, Refusals, StopReasons
    from tracelink.services.group.group_asking import GroupScope, GroupStock, GroupTrace
    from tracelink.services.joint_bounds import JointBounds
    from tracelink.services.place_holds import HoldResult
    from tracelink.services.searching import SearchResult
    from tracelink.services.shared_causes import SharedCauses
    from tracelink.services.tracing import Trace
    from tracelink.services.upkeep.checkpointing import EntryProof, JournalCounts, SignedCheckpoint
    from tracelink.services.upkeep.growth import GrowthProof
    from tracelink.services.upkeep.ledger_files import LedgerCopy, SchemaChange
    from tracelink.services.upkeep.plant_files import PlanLine, PlantPlan
    from tracelink.services.upkeep.signing import KeyFile
    from tracelink.services.verification import KeptOutside, Verification
    from tracelink.station.common.outcome import LinePanel, UnitPart, Verdict, Word

__all__ = [
    "AtStation",
    "AttributePlan",
    "AwayLine",
    "BackupsKept",
    "Badge",
    "BadgeOwner",
    "Balance",
    "BaselineAsked",
    "Board",
    "Bound",
    "BoundCheck",
    "BrowserList",
    "Browsers",
    "BuildOfPart",
    "CannotTell",
    "Capability",
    "CartonCheck",
    "CartonLine",
    "Case",
    "CaseFacts",
    "CaseHistory",
    "CaseHolds",
    "CaseLetters",
    "CaseList",
    "CaseProgress",
    "CaseSigner",
    "CaseSummary",
    "Cases",
    "ChangeOnset",
    "ChangeShape",
    "ChartAsked",
    "ChartBaseline",
    "ChartBaselineFrozen",
    "ChartKind",
    "ChartedDisc",
    "CheckPlan",
    "CheckVerdict",
    "CheckedScope",
    "ChecksDrawn",
    "ClockStep",
    "CodePart",
    "CodeVerdict",
    "CodesRead",
    "ConfusableCodes",
    "ConfusablePair",
    "ConsigneeRecord",
    "ContainerBound",
    "Containment",
    "ContainmentQuery",
    "ControlChart",
    "ControlLimits",
    "CopiedLedger",
    "CutLog",
    "DayCount",
    "DecidedBy",
    "Doubt",
    "DrawReason",
    "DrawState",
    "Drill",
    "DrillLot",
    "DrillStep",
    "Drills",
    "DueReading",
    "DueReadings",
    "EnrolledBrowser",
    "EntriesAsked",
    "EntryProof",
    "EntryStamp",
    "Estimate",
    "EventOutcome",
    "Evidence",
    "ExportOptions",
    "Exported",
    "FaultBy",
    "FaultCount",
    "FaultFound",
    "FaultLog",
    "FaultRise",
    "FaultsAsked",
    "FindingCount",
    "FloorStations",
    "FoundInPlant",
    "FrozenBaseline",
    "GaugeAgreement",
    "GaugeStudy",
    "GroupBound",
    "GroupScope",
    "GroupStock",
    "GroupTrace",
    "GrowthProof",
    "Hall",
    "HealthLimits",
    "HeldThing",
    "HoldList",
    "HoldResult",
    "InspectedLot",
    "InspectionSeverity",
    "InspectorAgreement",
    "InstrumentFile",
    "InstrumentFileResult",
    "Investigated",
    "InvestigationList",
    "Investigations",
    "JointBounds",
    "Journal",
    "JournalCounts",
    "JournalPage",
    "JudgedAgain",
    "Kappa",
    "KeptOutside",
    "KeptStock",
    "KeyFile",
    "Lab",
    "LabCapability",
    "LabChart",
    "LabResult",
    "LabResults",
    "LabSample",
    "LabTestFact",
    "LabelBlock",
    "LabelCount",
    "Labels",
    "LateEntries",
    "LedgerCopy",
    "LedgerHealth",
    "Letter",
    "LimitStanding",
    "LineOfOrder",
    "LinePace",
    "LinePanel",
    "ListedEntry",
    "LiveStation",
    "LogTrial",
    "Looking",
    "LotOfPart",
    "LotOfProduct",
    "LotSamples",
    "Measure",
    "Measured",
    "MeasuredOn",
    "NewBrowser",
    "NewPinKey",
    "NextScope",
    "Notices",
    "OpenHold",
    "OpenLedger",
    "OpenedCase",
    "OrderRecord",
    "OrderedLine",
    "PackList",
    "Panel",
    "PartRecord",
    "PartUse",
    "Partners",
    "People",
    "PeopleList",
    "PinChanged",
    "PinReplacement",
    "PlaceTotal",
    "PlanLine",
    "PlantGroup",
    "PlantHead",
    "PlantLink",
    "PlantPlan",
    "PlantReason",
    "PlantStanding",
    "PlantTaken",
    "ProcessChart",
    "ProductPiece",
    "ProductRecord",
    "Proposal",
    "ReadCode",
    "ReadDocument",
    "ReadValue",
    "ReasonToDraw",
    "RecordedDrill",
    "RecordedDrills",
    "ReelOfPart",
    "Refusals",
    "RefusedScan",
    "RenumberedScan",
    "Replayed",
    "ReplyFinding",
    "ResultBooked",
    "RuleSet",
    "RunRule",
    "SampleOutcome",
    "SamplingAsked",
    "SamplingPlan",
    "SchemaChange",
    "Scope",
    "ScopeChange",
    "ScopeTotals",
    "Scopes",
    "ScreenBeside",
    "ScreenButton",
    "SearchResult",
    "Severity",
    "Shape",
    "SharedCauses",
    "ShipmentOfOrder",
    "Signal",
    "SignedCheckpoint",
    "SignedInPerson",
    "SleevesOfProduct",
    "StageEvidence",
    "StationKey",
    "StationKeys",
    "StationPace",
    "Statistic",
    "StockBarred",
    "StockFound",
    "StockKept",
    "Stop",
    "StopReasons",
    "StrokeToDraw",
    "Switching",
    "ThingFound",
    "Tier",
    "TierName",
    "TimedEntry",
    "Tolerance",
    "Trace",
    "TriedStop",
    "TypedResult",
    "Unforced",
    "UnitPart",
    "Upkeep",
    "VarianceRow",
    "Verdict",
    "Verification",
    "Waiting",
    "Warehouse",
    "Word",
    "ZeroPlan",
    "compare_inspectors",
    "copy_ledger",
    "create_ledger",
    "errors",
    "line_found_away",
    "make_signing_key",
    "only_reading",
    "open_ledger",
    "picture_line",
    "publish_journal",
    "read_codes",
    "restore_ledger",
    "signing_key",
    "study_gauge",
    "typed_line",
    "upgrade_ledger",
]


def __getattr__(name: str) -> object:
    # A name is taken from its module when it is first asked for: a scan must not pay for the import of reports.
    if name == "errors":
        return import_module("tracelink.errors")
    if name in WHERE:
        return getattr(import_module(WHERE[name]), name)
    raise AttributeError(f"module 'runout' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
