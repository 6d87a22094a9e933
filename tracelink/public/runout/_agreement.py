"""Whether measuring agrees with itself; no ledger is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runout._arguments import require_file
from tracelink.services.desks import agreement_files
from tracelink.services.desks.agreement_files import GaugeAgreement, InspectorAgreement

if TYPE_CHECKING:
    from pathlib import Path


def compare_inspectors(file: str | Path) -> InspectorAgreement:
    """Say how far two inspectors agree on the same discs, beyond chance.

    Args:
        file: CSV or XLSX with the columns disc, person, verdict.

    Raises:
        UsageError: the file cannot be read or says something else than it should; or not two people judged.
    """
    return agreement_files.inspector_agreement(require_file("file", file))


def study_gauge(
    file: str | Path, *, decimal: str = "point", tolerance: float | None = None
) -> GaugeAgreement:
    """Say how much of what was read comes from the gauge and from the people.

    Args:
        file: CSV or XLSX with the columns disc, person, value; everybody reads every disc as often.
        decimal: the decimal mark of its values: point or comma.
        tolerance: width between the limits that the gauge is to judge by; None to leave that out.

    Raises:
        UsageError: the file cannot be read or says something else than it should; or somebody read a disc more or less
            often.
    """
    return agreement_files.gauge_agreement(require_file("file", file), decimal, tolerance)
