"""Plant files: read whole, looked through for everything that is wrong, recorded whole or not at all."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tracelink.clock import local_now, utc_now
from tracelink.errors import IdentifierError, RefusedByRule, UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.measuring.lab_test_entries import LimitSet
from tracelink.ledger.kinds.measuring.plan_entries import SamplingPlanKept
from tracelink.ledger.kinds.setup import PersonEnrolled
from tracelink.ledger.plant.file_lines import FileLines
from tracelink.ledger.plant.plan_words import said
from tracelink.ledger.plant.plantchanges import PlantChange
from tracelink.ledger.plant.plantfile import FileEntry, PlantFileContent, examine_plant_file
from tracelink.ledger.plant.plantsection import FileFault
from tracelink.ledger.times import require_local_time
from tracelink.limited import within_limits
from tracelink.plainfile import plain_text
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, require_pin
from tracelink.services.upkeep.lab_rules import require_for_lab
from tracelink.store.database.storage_errors import plant_file_sentences
from tracelink.store.ledger import Ledger
from tracelink.store.office import plant_people
from tracelink.store.office.changing_plant import ChangeMaker, ReadyChange, changed, joined
from tracelink.store.office.office_acts import OfficeAct, authorised, person_of

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_NAMING = frozenset(
    {"code", "gtin", "piece", "side", "badge", "new_badge", "station", "parts", "lines", "kit"}
)
"""Fields by which a thing is known in the ledger: where one is wrong, what stands in for it is not looked up there."""

_MOST_FAULTS = 200
"""Told of one file; a file of another program has thousands."""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One thing that a plant file adds or changes."""

    line: int | None
    """Line of the file in which it begins; None if that is not known."""
    entry: str
    """Kind of the entry that is made of it."""
    says: str
    """What it adds or changes, in words."""
    reason: str
    """Why; empty for what is only added."""


@dataclass(frozen=True, slots=True)
class PlantPlan:
    """What a plant file would add and change."""

    lines: tuple[PlanLine, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout plan --dry-run --format json`."""
        return [asdict(line) for line in self.lines]


@dataclass(frozen=True, slots=True)
class PlannedBy:
    """Who hands in a plant file."""

    by: Badge | None = None
    """Their badge; None is nobody, as long as nobody has a badge."""
    second: Badge | None = None
    """Another person, who agrees to what two people decide."""
    reason: str | None = None
    """Why, for every change that does not say it itself."""
    at: str | None = None
    """Since when it is so, RFC 3339 with offset; None for now."""


@dataclass(frozen=True, slots=True)
class PlantFile:
    """A plant file that was read."""

    file: str
    content: PlantFileContent
    lines: FileLines


def read_file(file: str | Path, *, new_ledger: bool) -> PlantFile:
    """Read what a plant file says, and all that is wrong in it.

    Args:
        file: path of the plant file.
        new_ledger: whether it must describe a whole plant.

    Raises:
        UsageError: it cannot be read at all.
    """
    text = _text(file)
    try:
        # A key of very many parts costs the reader of TOML minutes.
        data = within_limits(lambda: tomllib.loads(text), f"plant file {file}")
    except tomllib.TOMLDecodeError as problem:
        raise UsageError(f"plant file {file} is not TOML: {problem}") from None
    except RecursionError:
        raise UsageError(f"plant file {file} is nested too deeply") from None
    return PlantFile(str(file), examine_plant_file(data, new_ledger=new_ledger), FileLines(text))


def record_all(booking: Booking, plant_file: PlantFile, planned: PlannedBy) -> list[PlanLine]:
    """Record what a plant file says, in the transaction of `booking`; the caller undoes it if this raises.

    Args:
        booking: inside a write transaction.
        plant_file: as it was read.
        planned: by whom; their PINs were checked before.

    Raises:
        UsageError: names everything that is wrong, by line: in the file, or against what is in the ledger.
        RefusedByRule: whoever plans may not.
    """
    planning = _Planning(booking, plant_file, planned)
    for entry in plant_file.content.entries:
        planning.take(entry)
    planning.refuse_faults()
    return planning.done


def add(ledger: Ledger, file: str | Path, planned: PlannedBy) -> PlantPlan:
    """Add to a ledger, and change in it, what a plant file says.

    Raises:
        UsageError, RefusedByRule: as `read_file` and `record_all`; nothing of the file was taken.
    """
    plant_file = _proven(ledger, file, planned)
    with ledger.writing() as booking:
        return PlantPlan(tuple(record_all(booking, plant_file, planned)))


def try_out(ledger: Ledger, file: str | Path, planned: PlannedBy) -> PlantPlan:
    """Say what a plant file would add and change; nothing is recorded.

    Raises:
        UsageError, RefusedByRule: as `add`.
    """
    plant_file = _proven(ledger, file, planned)
    with ledger.dry_run() as booking:
        return PlantPlan(tuple(record_all(booking, plant_file, planned)))


def _proven(ledger: Ledger, file: str | Path, planned: PlannedBy) -> PlantFile:
    plant_file = read_file(file, new_ledger=False)
    for badge in (planned.second, planned.by):
        if badge is not None:
            require_pin(ledger, badge.code, badge.pin)
    return plant_file


class _Planning:
    """Takes the things of a file one after the other, and keeps what is wrong with them."""

    def __init__(self, booking: Booking, plant_file: PlantFile, planned: PlannedBy) -> None:
        self.booking = booking
        self.plant_file = plant_file
        self.planned = planned
        self.done: list[PlanLine] = []
        self._faults: list[FileFault] = list(self.plant_file.content.faults)
        by = self.planned.by
        since = local_now() if self.planned.at is None else require_local_time(self.planned.at)
        self._stamp = Stamp(since, utc_now(), person=None if by is None else self._person(by))
        self._has_people = bool(plant_people.badges(self.booking.connection))
        if self._has_people and self._stamp.person is None:
            raise UsageError("people of this plant have badges: expected who hands in the file, --by BADGE")
        if self._stamp.person is not None:
            authorised(self.booking.queries, self._stamp.person, OfficeAct.ADD_TO_PLANT)

    def _person(self, badge: Badge) -> str:
        return person_of(self.booking.queries, badge.code).code

    def take(self, entry: FileEntry) -> None:
        """Record one thing, or keep why not."""
        try:
            # What is refused leaves no trace; what comes after it is looked at all the same.
            with self.booking.attempt():
                lines = list(self._take(entry))
        except (UsageError, RefusedByRule, IdentifierError) as problem:
            if not any(
                (fault.place.section, fault.place.number) == (entry.place.section, entry.place.number)
                and fault.place.field in _NAMING
                for fault in self.plant_file.content.faults
            ):
                self._faults.append(FileFault(entry.place, f"{entry.where}: {problem}"))
        else:
            self.done += lines

    def _take(self, entry: FileEntry) -> Iterator[PlanLine]:
        body = entry.body
        if isinstance(body, PlantChange) or (isinstance(body, PersonEnrolled) and self._has_people):
            ready = self._ready(body)
            reason = self._reason(body)
        else:
            if isinstance(body, PersonEnrolled):
                plant_people.require_free_name(self.booking.connection, body.name, body.person)
            if isinstance(body, LimitSet | SamplingPlanKept):
                require_for_lab(body, self.booking.queries, self._stamp, has_people=self._has_people)
            ready, reason = [ReadyChange(body, said(body))], None
        for one in ready:
            self._record(one.body, reason)
            yield PlanLine(self.plant_file.lines.line_of(entry.place), one.body.kind, one.says, reason or "")
        if isinstance(body, PlantChange):
            plant_people.require_quality_left(self.booking.connection, self._stamp.recorded_at)

    def _ready(self, body: PlantChange | PersonEnrolled) -> list[ReadyChange]:
        if self.planned.at is not None:
            raise UsageError(
                "a change holds from now or from a day to come: expected no time for the file as a whole"
            )
        queries = self.booking.queries
        by = authorised(queries, self._stamp.person, OfficeAct.CHANGE_PLANT)
        second = self.planned.second
        maker = ChangeMaker(
            self.booking, self._stamp, by, None if second is None else person_of(queries, second.code)
        )
        if isinstance(body, PersonEnrolled):
            return [joined(maker, body.person, body.name, body.roles)]
        return changed(maker, body)

    def _reason(self, body: PlantChange | PersonEnrolled) -> str:
        given = body.reason if isinstance(body, PlantChange) else None
        reason = (given or self.planned.reason or "").strip()
        if not reason:
            raise UsageError("reason is missing: expected why, here or with --reason")
        return reason

    def _record(self, body: EntryBody, reason: str | None) -> None:
        with plant_file_sentences(body):
            self.booking.record(body, self._stamp, reason)

    def refuse_faults(self) -> None:
        """Raise UsageError if anything is wrong."""
        if not self._faults:
            return
        lines = self.plant_file.lines
        ordered = sorted(self._faults, key=lambda fault: lines.line_of(fault.place) or 0)
        shown = [_shown(fault, lines.line_of(fault.place)) for fault in ordered[:_MOST_FAULTS]]
        if len(ordered) > len(shown):
            shown.append(f"{counted(len(ordered) - len(shown), 'more fault')} not told one by one")
        many = (
            ""
            if len(ordered) == 1
            else f"{counted(len(ordered), 'fault')} in plant file {self.plant_file.file}:\n"
        )
        raise UsageError(many + "\n".join(shown) + "\nNothing of the file was taken.")


def _shown(fault: FileFault, line: int | None) -> str:
    return fault.sentence if line is None else f"line {line}: {fault.sentence}"


def _text(file: str | Path) -> str:
    try:
        # Some editors begin a file with a byte order mark.
        return plain_text(file)
    except UnicodeDecodeError as problem:
        raise UsageError(
            f"plant file {file} is not UTF-8 text: byte {problem.start} cannot be read"
        ) from None
    except OSError as problem:
        raise UsageError(f"plant file {file} cannot be read: {problem.strerror}") from None
