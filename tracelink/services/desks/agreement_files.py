"""Two inspectors, and a gauge in several hands, from a file or the bench: which disc, who, and what they said or read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.count_words import counted
from tracelink.quality.agreement.gauge_study import GaugeStudy, gauge_study
from tracelink.quality.agreement.kappa import Kappa, cohen_kappa
from tracelink.quality.cannot_tell import CannotTell
from tracelink.services.table_files import read_table
from tracelink.store.lab.study_rows import compared_verdicts, study_readings

VERDICT_COLUMNS = ("disc", "person", "verdict")
READING_COLUMNS = ("disc", "person", "value")
_MARKS = {"point": ".", "comma": ","}
"""Decimal marks, by name."""

Line = tuple[int, dict[str, str]]


@dataclass(frozen=True, slots=True)
class InspectorAgreement:
    """How far two inspectors agree on the same discs."""

    people: tuple[str, ...]
    """The two of them."""
    verdicts: tuple[str, ...]
    """What they said, in the order of the table."""
    table: tuple[tuple[int, ...], ...]
    """Discs by the verdict of the first (rows) and of the second (columns)."""
    alone: int
    """Discs that only one of them judged; left out."""
    found: Kappa | CannotTell
    """The agreement, or why the data cannot tell."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout agreement --format json`."""
        told = not isinstance(self.found, CannotTell)
        return {
            "people": list(self.people),
            "verdicts": list(self.verdicts),
            "table": [list(row) for row in self.table],
            "alone": self.alone,
            "found": asdict(self.found) if told else None,
            "cannot_tell": None if told else asdict(self.found),
        }


@dataclass(frozen=True, slots=True)
class GaugeAgreement:
    """How much of what was read comes from the gauge and from the people."""

    tolerance: float | None
    """Width between the limits that the gauge is to judge by; None if not said."""
    found: GaugeStudy | CannotTell
    """The study, or why the data cannot tell."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout gauge-study --format json`."""
        study = self.found
        if isinstance(study, CannotTell):
            return {"tolerance": self.tolerance, "study": None, "cannot_tell": asdict(study)}
        told: dict[str, Any] = {**asdict(study), "share_of_spread": study.share_of_spread}
        told["categories"] = study.categories
        told["share_of_tolerance"] = self.tolerance and study.share_of_tolerance(self.tolerance)
        return {"tolerance": self.tolerance, "study": told, "cannot_tell": None}


def inspector_agreement(file: str) -> InspectorAgreement:
    """Compare the verdicts of two inspectors.

    Args:
        file: CSV or XLSX with columns disc, person, verdict.

    Raises:
        UsageError: the file cannot be read, or names every line with what is wrong in it; or not two people judged.
    """
    return read_table(file, "verdict file", VERDICT_COLUMNS, _agreement)


def gauge_agreement(file: str, decimal: str = "point", tolerance: float | None = None) -> GaugeAgreement:
    """Analyse the readings of a study of a gauge.

    Args:
        file: CSV or XLSX with columns disc, person, value.
        decimal: the decimal mark of values in it: point or comma.
        tolerance: width between the limits that the gauge is to judge by; None if none is to be compared with.

    Raises:
        UsageError: the file cannot be read, or names every line with what is wrong in it; or somebody did not read a
            disc as often as others.
    """
    if decimal not in _MARKS:
        raise UsageError(f"decimal mark {decimal!r}: expected {' or '.join(_MARKS)}")
    _require_width(tolerance)
    found = read_table(file, "file of readings", READING_COLUMNS, lambda lines: _readings(lines, decimal))
    return GaugeAgreement(tolerance, gauge_study(found))


def _require_width(tolerance: float | None) -> None:
    if tolerance is not None and not tolerance > 0:
        raise UsageError(f"a tolerance of {tolerance:g}: expected a width above 0")


def inspectors_compared(conn: Connection, people: Sequence[str] = ()) -> InspectorAgreement:
    """Compare what two inspectors said at the bench with COMPARE.

    Args:
        conn: a connection inside a transaction.
        people: badges of the two; none if only two took part.

    Raises:
        UsageError: not two people compared discs, or one of those named did not.
    """
    wanted = [PlantCode.parse(each).text for each in people]
    lines = [line for line in compared_verdicts(conn) if not wanted or line[1]["person"] in wanted]
    return _agreement(lines)


def gauge_studied(conn: Connection, gauge: str, test: str, tolerance: float | None = None) -> GaugeAgreement:
    """Analyse what people read at the bench with STUDY.

    Args:
        conn: a connection inside a transaction.
        gauge: its code.
        test: the lab test.
        tolerance: as for `gauge_agreement`.

    Raises:
        UsageError: nobody read anything for it, or somebody did not read a disc as often as others.
    """
    _require_width(tolerance)
    code = PlantCode.parse(gauge).text
    lines = study_readings(conn, code, test)
    if not lines:
        raise UsageError(
            f"no reading of {test} with gauge {code} was taken for a study: scan STUDY at the bench"
        )
    return GaugeAgreement(tolerance, gauge_study(_readings(lines, "point")))


def _agreement(lines: Sequence[Line]) -> InspectorAgreement:
    said: dict[str, dict[str, str]] = {}
    problems = [f"line {line}: {problem}" for line, cells in lines for problem in _empty(cells)]
    for line, cells in lines:
        verdict = said.setdefault(cells["person"], {}).setdefault(cells["disc"], cells["verdict"])
        if verdict != cells["verdict"]:
            problems.append(
                f"line {line}: {cells['person']} said {verdict!r} of disc {cells['disc']} before: expected one verdict"
            )
    if problems:
        raise UsageError("no verdict was taken\n" + "\n".join(problems))
    if len(said) != 2:
        many = counted(len(said), "person", "people")
        raise UsageError(f"{many} judged these discs: expected two, to be compared")
    (first, one), (second, other) = said.items()
    both = one.keys() & other.keys()
    verdicts = sorted({*(one[disc] for disc in both), *(other[disc] for disc in both)})
    table = tuple(
        tuple(sum(one[disc] == row and other[disc] == column for disc in both) for column in verdicts)
        for row in verdicts
    )
    alone = len(one.keys() ^ other.keys())
    return InspectorAgreement((first, second), tuple(verdicts), table, alone, cohen_kappa(table))


def _readings(lines: Sequence[Line], decimal: str) -> dict[tuple[str, str], list[float]]:
    found: dict[tuple[str, str], list[float]] = {}
    problems = []
    for line, cells in lines:
        wrong = [*_empty(cells)]
        value = _value(cells["value"], decimal)
        if value is None and not wrong:
            wrong.append(f"value is {cells['value']!r}: expected a number with a decimal {decimal}")
        problems += [f"line {line}: {problem}" for problem in wrong]
        if value is not None:
            found.setdefault((cells["disc"], cells["person"]), []).append(value)
    if problems:
        raise UsageError("no reading was taken\n" + "\n".join(problems))
    return found


def _empty(cells: dict[str, str]) -> list[str]:
    return [
        f"{name} is {text!r}: expected printable text"
        for name, text in cells.items()
        if not text or not text.isprintable()
    ]


def _value(text: str, decimal: str) -> float | None:
    """The number that a text is, with that decimal mark; None if it is none, or has the other mark."""
    other = "," if decimal == "point" else "."
    if other in text:
        return None
    try:
        value = Decimal(text.replace(_MARKS[decimal], "."))
    except InvalidOperation:
        return None
    return float(value) if value.is_finite() else None
