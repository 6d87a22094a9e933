"""Record-keeping rules, clause by clause, and what this program keeps for each: data of the page `audit rules`.

A plant that presses records is bound by few of them. The page says which; the others are models of good practice from
trades with stricter rules, and must not be taken for duties. Where the clause itself was not read while this was
written, the row says that it is not checked against the original text.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from tracelink.ledger.kinds.access import BadgeRefused, PinGiven, PinSet
from tracelink.ledger.kinds.balance import InvestigationClosed, InvestigationOpened
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.case import (
    CaseChecked,
    CaseChecksChosen,
    CaseClosed,
    CaseEstimated,
    CaseNotified,
    CaseOpened,
    CaseReplied,
    CaseScoped,
)
from tracelink.ledger.kinds.dock import PalletAccepted, PalletLoaded, ShipmentDeparted
from tracelink.ledger.kinds.drill import DrillHeld
from tracelink.ledger.kinds.kits import ClearanceListed, ItemMade
from tracelink.ledger.kinds.lab import HoldLifted, HoldPlaced, LotDecided, SampleJudged
from tracelink.ledger.kinds.label_stock import LabelsCounted, LabelVoided, NumbersIssued, SsccReturned
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, DiscsSleeved, LineCleared, SleevesOpened
from tracelink.ledger.kinds.packing import HoldBackOpened, ManualEntry, UnitsRechecked
from tracelink.ledger.kinds.packing_changes import MatchUndone
from tracelink.ledger.kinds.partners import PartnerDocument, PartnerEvent
from tracelink.ledger.kinds.press import PressSetUp, RunChanged, StackTaken
from tracelink.ledger.kinds.returns import CartonReturned, Destroyed
from tracelink.ledger.kinds.setup import (
    LotPlanned,
    MaterialReceived,
    PersonEnrolled,
    PlantNamed,
    SleevesReceived,
    SsccIssued,
    StationPlaced,
)
from tracelink.ledger.kinds.station import ScanRefused, SignedOn
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown
from tracelink.ledger.kinds.warehouse import CartonPicked


class Force(Enum):
    """What a clause is to such a plant."""

    CONTRACT = "binds by certificate or contract"
    """Binds a plant that holds the certificate or has agreed to it, and no other."""
    MODEL = "model of good practice"
    """Written for another trade; binds no plant that presses records."""


class SourceRead(Enum):
    """Whether the clause was read while the table was written."""

    CHECKED = "checked"
    PART = "checked in part, the rest not checked against the original text"
    NOT_CHECKED = "not checked against the original text"


@dataclass(frozen=True, slots=True)
class RecordRule:
    """One clause."""

    part: str
    """One of `PARTS`."""
    clause: str
    """Document and clause, such as `ISO 9001:2015, 8.6`."""
    asks: str
    """What it asks for, in our own words."""
    force: Force
    read: SourceRead
    keeps: str
    """What the ledger keeps towards it."""
    entries: tuple[type[EntryBody], ...]
    """Kinds of entries that hold it."""
    commands: tuple[str, ...]
    """Commands that show it, without `runout`."""
    lacks: str
    """What the clause asks for and the ledger does not keep or do."""

    @property
    def kinds(self) -> tuple[str, ...]:
        """The names of those kinds in the journal."""
        return tuple(entry.kind for entry in self.entries)


PARTS = {
    "quality": "Quality systems",
    "recalls": "Recalls: United States, 21 CFR part 7 and part 117",
    "labels": "Labels and packing: United States, 21 CFR part 211 (medicines)",
    "electronic-records": "Electronic records and audit trail",
    "food-tracing": "Tracing of food: United States, 21 CFR part 1",
}
"""Part, as it is given to `--part` -> its heading."""

_C, _M = Force.CONTRACT, Force.MODEL
_CHECKED, _PART, _UNCHECKED = SourceRead.CHECKED, SourceRead.PART, SourceRead.NOT_CHECKED

RULES = (
    RecordRule("quality", "ISO 9001:2015, 8.5.2", "Outputs can be told apart, their inspection status is known all the way, and where tracing is asked for each has a controlled name with records.", _C, _CHECKED,
         "Every tool, lot, stack, sample, carton and pallet has a code with a check character; a lot's decision and every hold are entries, and stations refuse what is on hold or not released.",
         (MasterRegistered, ToolGrown, LotPlanned, StackTaken, CartonOpened, LotDecided, HoldPlaced), ("trace", "hold", "board"),
         "Marks on things that the program did not print."),
    RecordRule("quality", "ISO 9001:2015, 8.6", "Release follows the planned checks; the record names who released.", _C, _UNCHECKED,
         "A lot is released by a named person of quality with a reason; over a bad sample or an earlier rejection only by two; an unreleased lot cannot be accepted or shipped.",
         (LotDecided, SampleJudged, PalletAccepted), ("trace", "findings"),
         "The plan of checks itself: how many samples a lot needs is the plant's own procedure."),
    RecordRule("quality", "ISO 9001:2015, 8.7.1", "What does not conform is kept apart, corrected, taken back or accepted under a concession, also after delivery; what was corrected is checked again.", _C, _UNCHECKED,
         "Holds name the thing, the cause and the reason; units held back are rechecked piece by piece; returns go to quarantine first.",
         (HoldPlaced, HoldBackOpened, UnitsRechecked, CartonReturned, Destroyed), ("hold", "contain", "findings"),
         "The customer's agreement to a concession."),
    RecordRule("quality", "ISO 9001:2015, 8.7.2", "The record tells what was wrong, what was done, any concession, and who decided.", _C, _UNCHECKED,
         "Every hold, lift, release over a bad sample and destruction has a person, a second one where two are needed, a time and a reason.",
         (HoldPlaced, HoldLifted, LotDecided, Destroyed), ("hold", "audit verify"),
         "Papers outside the ledger that a reason refers to."),
    RecordRule("quality", "ISO 13485:2016, 7.5.8 and 7.5.9", "Written procedures say how far tracing reaches and which records are kept.", _M, _UNCHECKED,
         "What is traced is fixed by the kinds of entries, each with its fields.", (PlantNamed,), ("audit rules",),
         "The plant's written procedure."),
    RecordRule("quality", "IATF 16949:2016, 8.5.2.1", "Tracing gives clear start and stop points for suspect product, also at customers; suspect product is kept apart; answers come in time.", _M, _PART,
         "A scope tells for each lot from which stroke to which it is proven, possible or cleared, why, and the least and most in every container and at every consignee.",
         (SampleJudged, StackTaken, ShipmentDeparted, HoldPlaced), ("contain", "cause"),
         "A plan of tracing by risk, and an agreed time to answer."),
    RecordRule("recalls", "21 CFR 7.40", "A recall is begun by the maker or at an agency's request.", _M, _CHECKED,
         "A case is opened by a named person, with its question and its scope.", (CaseOpened, CaseScoped), ("case open", "case show"), "The decision to recall, which is a person's."),
    RecordRule("recalls", "21 CFR 7.41", "The hazard is evaluated and classed.", _M, _UNCHECKED,
         "Whether a person opened the case as a safety matter or as a commercial withdrawal; the program does not choose.", (CaseOpened,), ("case show",), "The evaluation and the class."),
    RecordRule("recalls", "21 CFR 7.42(b)", "How deep a recall goes, how the public is warned, and how many consignees are checked for effect.", _M, _UNCHECKED,
         "Who has how many, by consignee; the level of effectiveness checks that a person chose, whom it drew, and each check.", (ShipmentDeparted, CaseChecksChosen, CaseChecked), ("contain", "case level", "case check", "case status"),
         "How deep it goes beyond the consignee, and warnings to the public."),
    RecordRule("recalls", "21 CFR 7.49(a)", "Direct accounts are told what it is, to stop selling it, to pass it on, and what to do with it.", _M, _CHECKED,
         "A notice for each consignee with the codes they hold; that it was given, how, and the hash of its text.", (CaseNotified,), ("case notice", "case status"), "The sending itself, and the text, which the plant keeps."),
    RecordRule("recalls", "21 CFR 7.49(c)", "A notice is short, names product, lot numbers and codes clearly, gives the reason, and makes it easy to answer.", _M, _PART,
         "Names a stranger can find on the disc and the carton: matrix text, barcode, carton and pallet numbers.", (MasterRegistered, CartonOpened, CaseNotified), ("contain", "case notice"),
         "Brevity: a plant's own wording may be given."),
    RecordRule("recalls", "21 CFR 7.53(b)", "Status reports count who was told, who answered, what was on hand, what came back, and what remains.", _M, _UNCHECKED,
         "Who was told, when and how, who answered what, who did not, what came back and what became of it, and the estimate.", (CaseNotified, CaseReplied, CaseEstimated, CartonReturned, Destroyed), ("case status", "balance"),
         "What consignees do not say."),
    RecordRule("recalls", "21 CFR 107.240", "Status reports every 14 days (infant formula).", _M, _CHECKED, "Nothing that watches a date.", (), (), "The calendar of reports."),
    RecordRule("recalls", "21 CFR 7.55", "It ends when all that is reasonable has been done.", _M, _UNCHECKED, "A case is closed by two people, who see its open points; the program never says that a recall is complete.", (CaseClosed,), ("case close", "case show"), "The judgement that all that is reasonable was done."),
    RecordRule("recalls", "21 CFR 7.59", "Product is coded so that each lot can be told, and records of distribution are kept long enough.", _M, _UNCHECKED,
         "Lots, cartons and pallets are coded; shipments name order, consignee and every pallet and carton. Nothing is ever deleted.", (LotPlanned, CartonPicked, PalletLoaded, ShipmentDeparted), ("trace", "packlist"),
         "A plan for the case of need."),
    RecordRule("recalls", "21 CFR 117.139", "A written recall plan with named people.", _M, _CHECKED, "People and their roles; exercises that were held.", (PersonEnrolled, DrillHeld), ("person list", "drill"), "The plan."),
    RecordRule("labels", "21 CFR 211.122(g)", "Cut labels: a line for itself, or every piece checked by a machine, or by hand by one person and again by a second.", _M, _UNCHECKED,
         "Every disc is compared with its sleeve at the line; what will not read is keyed and compared by two people.", (DiscsSleeved, ManualEntry, ScanRefused), ("line", "findings"),
         "Labels on the disc are compared at set-up and by sample, not one by one."),
    RecordRule("labels", "21 CFR 211.125(a) and (b)", "Labels are given out under control and compared with the batch's papers.", _M, _CHECKED,
         "Numbers are given out once, by a named person; a press refuses label lots that are not the lot's; a line refuses another title's sleeves.", (SsccIssued, NumbersIssued, PressSetUp, SleevesOpened), ("label issue", "findings"),
         "Issue of press labels in counted packs."),
    RecordRule("labels", "21 CFR 211.125(c)", "Issued, used and returned labels are reconciled; what lies outside narrow limits set beforehand from history is investigated.", _M, _CHECKED,
         "Label balances with signed differences and limits; an open investigation bars the release.", (LabelsCounted, SsccReturned, InvestigationOpened, InvestigationClosed), ("balance", "investigate list"),
         "Limits worked out from history: they are settings, with their source."),
    RecordRule("labels", "21 CFR 211.125(d)", "Excess labels that bear lot numbers are destroyed.", _M, _UNCHECKED,
         "Destroyed and voided labels are counted; a void one is refused wherever it turns up.", (LabelsCounted, LabelVoided), ("balance", "label void"),
         "A witness of the destruction of labels."),
    RecordRule("labels", "21 CFR 211.125(e)", "Returned labels are kept so that they cannot be mixed up.", _M, _CHECKED, "Returned blocks are void from then on.", (SsccReturned,), ("label return",), "Where they lie."),
    RecordRule("labels", "21 CFR 211.130(a)", "Operations are kept apart in space.", _M, _CHECKED, "One job at a line at a time; one station in one terminal.", (SleevesOpened, LineCleared), ("board",), "The building."),
    RecordRule("labels", "21 CFR 211.130(b)", "Filled pieces without label that are set aside can be told: here discs that wait for their sleeve.", _M, _CHECKED,
         "Every stack has a card with lot and strokes; the counts of a stack are kept to the last disc.", (StackTaken,), ("trace", "balance"), "Discs taken from a stack and set aside without a scan."),
    RecordRule("labels", "21 CFR 211.130(c)", "A lot number leads to how the lot was made and checked.", _M, _CHECKED, "A lot's genealogy, back to master and materials and forward to consignees.", (PressSetUp, RunChanged, SampleJudged), ("trace",), "Settings and readings of the press itself."),
    RecordRule("labels", "21 CFR 211.130(d)", "Packaging is looked at before the run, and that is recorded.", _M, _CHECKED, "The sleeve batch is scanned and judged before it is opened; superseded, foreign and held ones are refused.", (SleevesOpened, ItemMade), ("findings",), "What people saw when they looked at the print."),
    RecordRule("labels", "21 CFR 211.130(e)", "The line is cleared immediately before use, of product and material of the job before; the result is recorded.", _M, _CHECKED,
         "A clearance by two different people, who see the list of places to look; another product cannot be opened without one.", (LineCleared, ClearanceListed), ("trace", "findings"), "A mark for each place by itself."),
    RecordRule("labels", "21 CFR 211.192", "A discrepancy is investigated, also in other batches that may share its cause, and ends in a written conclusion.", _M, _UNCHECKED,
         "Investigations with reason and conclusion; lots that share a tool, a compound lot or labels are listed.", (InvestigationOpened, InvestigationClosed), ("investigate list", "cause", "contain"), "The inquiry itself."),
    RecordRule("electronic-records", "21 CFR 11.10(a)", "Altered and invalid records can be discerned.", _M, _UNCHECKED, "A hash chain over every entry and its raw scans; tables are compared with a replay.", (), ("audit verify",), "Validation of the program in the plant's own use."),
    RecordRule("electronic-records", "21 CFR 11.10(b)", "Accurate, complete copies can be made, to be read by people and by programs.", _M, _CHECKED, "Pages, tables, CSV and JSON of every answer; a bundle that is checked without this program; backups that are verified.", (), ("audit export", "trace", "backup"), "Papers that were never in the ledger."),
    RecordRule("electronic-records", "21 CFR 11.10(e)", "A trail made by the computer, with times, of every making and change; no change hides what was there; kept as long as the record.", _M, _CHECKED,
         "Every entry has event time and recording time; a correction is a later entry that names the earlier one and a reason; nothing is changed or deleted.", (SampleJudged, MatchUndone, ScanRefused), ("audit verify", "findings"),
         "The time itself: it is that of the station's clock."),
    RecordRule("electronic-records", "21 CFR 11.10(f)", "Steps come in the permitted order.", _M, _CHECKED, "Stations refuse what is not next: a lot that is not set up, a carton that is not closed, a pallet that is not released.", (ScanRefused,), ("findings",), "Steps outside the stations."),
    RecordRule("electronic-records", "21 CFR 11.10(g)", "Only authorised people act.", _M, _CHECKED, "Every act needs a badge with the role, and a PIN where its owner has one; two people where the rule asks for them; wrong PINs are entries and make wait.", (PersonEnrolled, SignedOn, PinSet, PinGiven, BadgeRefused), ("person list", "findings"),
         "That a badge is in its owner's hand, where no PIN is set."),
    RecordRule("electronic-records", "21 CFR 11.10(h)", "The device from which something comes is checked.", _M, _CHECKED, "Every scan has its station and a number; the symbology must be the one its code has; one station runs in one terminal.", (StationPlaced, ScanRefused), ("board", "findings"), "Which machine a station runs on."),
    RecordRule("electronic-records", "21 CFR 11.50 and 11.70", "A signature shows name, time and meaning and cannot be cut off.", _M, _UNCHECKED,
         "Person, time and act stand in one entry of the chain; checkpoints are signed.", (LotDecided, HoldLifted), ("audit checkpoint",), "Signatures of persons in the sense of that rule: a badge with PIN is not offered as one."),
    RecordRule("electronic-records", "ALCOA+ (attributable, legible, contemporaneous, original, accurate; complete, consistent, enduring, available)", "Records say who and when, can be read, were made at the time, are the first ones and right; none is missing, and they last.", _M, _CHECKED,
         "Person and station in every entry, two times, raw scans as they came (but for PINs), reasons for corrections, an unbroken order, backups that were verified.", (ScanRefused, SampleJudged), ("audit verify", "backup"),
         "That what was scanned is what lay there."),
    RecordRule("electronic-records", "EPCIS 2.0, error declaration", "A wrong event is declared wrong and followed by the right one; it is not deleted.", _C, _CHECKED,
         "A partner's declaration is kept beside the event and is a finding; nothing is undone by itself.", (PartnerEvent, PartnerDocument), ("audit import", "findings"), "Sending declarations to partners by itself."),
    RecordRule("food-tracing", "21 CFR 1.1315", "A written plan of tracing: how lot codes are given, whom to ask.", _M, _UNCHECKED, "How codes are built is fixed: letter, number, check character.", (PlantNamed,), (), "The plan."),
    RecordRule("food-tracing", "21 CFR 1.1320", "When a lot code is given, and that it does not change.", _M, _UNCHECKED, "A lot keeps its code for good; a code is used once.", (LotPlanned,), ("trace",), ""),
    RecordRule("food-tracing", "21 CFR 1.1325 to 1.1350", "Key facts of each step: receiving, making, packing, shipping.", _M, _UNCHECKED, "What, how many, where, when, by whom, at every step from material to shipment.", (MaterialReceived, SleevesReceived, PressSetUp, CartonClosed, ShipmentDeparted, PartnerEvent), ("trace", "audit import"), "Quantities of pellets that were used."),
    RecordRule("food-tracing", "21 CFR 1.1455(c)", "Records within 24 hours, in a recall as a table that can be sorted.", _M, _UNCHECKED, "CSV of every answer, and a workbook of a scope.", (), ("contain", "trace"), "The request and the clock."),
    RecordRule("food-tracing", "21 CFR 1.1455, how long", "Records are kept for two years.", _M, _UNCHECKED, "Nothing is ever deleted; old backups go only when newer ones were verified.", (), ("backup",), "Keeping the medium readable."),
    RecordRule("food-tracing", "21 CFR 1.361", "Older rule: as soon as possible, at most 24 hours from the request.", _M, _CHECKED, "Answers in one sitting.", (), ("trace", "contain"), "The request and the clock."),
)  # fmt: skip
"""The clauses in the order of the page."""

BINDING = (
    "Records are general consumer goods. Of the clauses on this page only those of a certificate that the plant holds, or of "
    "a contract that it has signed, bind it; the others are models. What binds such a plant by law (in the United States "
    "16 CFR part 1115, in the European Union Regulation 2023/988) asks for acts of people, such as reports within hours, "
    "and is not on this page. This page is not legal advice, and what is marked as not checked must be read in the original."
)
"""What is said above the table."""
