"""What a monitor asks of a ledger: measures of it, and which of them are past their limit."""

from dataclasses import asdict, dataclass
from enum import Enum, StrEnum
from typing import Any


class Severity(StrEnum):
    """How soon somebody must see to a measure, in rising order."""

    WITHIN = "within"
    """Within its limit, or it has none."""
    LOOK = "look"
    """Somebody looks at it in the next days."""
    URGENT = "urgent"
    """Somebody sees to it now."""


class Measure(Enum):
    """What is measured: its name for programs, its words, its unit."""

    ENTRIES = "entries", "entries in the journal", ""
    LAST_ENTRY_AGE = "last_entry_age", "since the last entry", "seconds"
    LAST_SCAN_AGE = "last_scan_age", "since the last scan", "seconds"
    SPOOLED = "spooled_scans", "scans not closed into an entry", ""
    SPOOLED_AGE = "spooled_age", "since the oldest of those scans", "seconds"
    SINCE_CHECK = "units_since_check", "units since the line was checked", ""
    LEDGER_SIZE = "ledger_size", "of the ledger's file or database", "bytes"
    LOG_SIZE = "log_size", "of the write-ahead log", "bytes"
    FREE_ROOM = "free_room", "free on its disk", "bytes"
    CHECKPOINT_AGE = "checkpoint_age", "since the last checkpoint was signed", "seconds"
    CHECKPOINT_BEHIND = "checkpoint_behind", "entries since that checkpoint", ""
    SLOWEST_ANSWER = "slowest_answer", "for the slowest answer to a station", "milliseconds"
    RUNNING_STATEMENT = "running_statement_age", "since the longest statement on the server began", "seconds"
    CALIBRATION_OVERDUE = "calibration_overdue", "since the calibration of a gauge ended", "days"
    READINGS_LATE = "readings_late", "readings of slow tests not taken on their day", ""

    def __init__(self, key: str, words: str, unit: str) -> None:
        self.key = key
        self.words = words
        self.unit = unit


@dataclass(frozen=True, slots=True)
class HealthLimits:
    """From when on somebody is to look at a measure."""

    quiet_minutes: int | None = None
    """Longest time without a scan at a station where somebody is signed on; None for no limit."""
    spooled_hours: int = 24
    """Longest time that a scan may wait to be closed into an entry, as those of an open carton do."""
    free_mib: int = 1024
    """Least room on the disk, in MiB; a tenth of it is urgent."""
    checkpoint_days: int = 7
    """Longest time without a signed checkpoint."""
    answer_ms: int = 1000
    """Longest time that an answer to a station may take, in milliseconds."""
    statement_s: int = 300
    """Longest time that a statement may run on a database server."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One measure of the ledger or of a station."""

    measure: Measure
    subject: str
    """Code of the station or gauge; empty for the ledger as a whole."""
    value: int
    severity: Severity = Severity.WITHIN
    sentence: str = ""
    """Why somebody is to look, and what is expected; empty within the limit."""

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            **asdict(self),
            "measure": self.measure.key,
            "unit": self.measure.unit,
            "severity": self.severity.value,
        }


@dataclass(frozen=True, slots=True)
class LedgerHealth:
    """The measures of a ledger at one moment."""

    at: str
    """UTC, RFC 3339, whole seconds."""
    measured: tuple[Measured, ...]

    @property
    def severity(self) -> Severity:
        """The gravest of all measures."""
        return max((one.severity for one in self.measured), key=list(Severity).index, default=Severity.WITHIN)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is past its limit, the gravest first."""
        past = sorted(self.measured, key=lambda one: -list(Severity).index(one.severity))
        return tuple(one.sentence for one in past if one.sentence)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout health --format json`."""
        return {
            "at": self.at,
            "severity": self.severity.value,
            "measured": [one.to_dict() for one in self.measured],
        }
