"""Measures as OpenMetrics text, which monitors read.

Source: OpenMetrics 1.0 (https://prometheus.io/docs/specs/om/open_metrics_spec/), sections "Text format" and "Metric names": a unit
is the last word of a name, each family stands together, and the text ends in `# EOF`.
"""

from collections.abc import Sequence
from itertools import groupby

from tracelink.facts.upkeep.ledger_health import LedgerHealth, Measure, Measured, Severity

_PREFIX = "runout"


def openmetrics(health: LedgerHealth) -> str:
    """Return the measures of a ledger as OpenMetrics text."""
    lines: list[str] = []
    ordered = sorted(health.measured, key=lambda one: one.measure.key)
    for measure, ones in groupby(ordered, key=lambda one: one.measure):
        lines += _family(
            measure.key, measure.words, measure.unit, [(_labels(one), one.value) for one in ones]
        )
    gravest = list(Severity).index(health.severity)
    lines += _family("severity", "0 within all limits, 1 look, 2 urgent", "", [("", gravest)])
    return "\n".join([*lines, "# EOF", ""])


def _family(key: str, words: str, unit: str, samples: Sequence[tuple[str, int]]) -> list[str]:
    name = "_".join(part for part in (_PREFIX, key, unit) if part)
    units = [f"# UNIT {name} {unit}"] if unit else []
    return [
        f"# TYPE {name} gauge",
        *units,
        f"# HELP {name} {_escaped(words)}",
        *(f"{name}{labels} {value}" for labels, value in samples),
    ]


def _labels(one: Measured) -> str:
    name = "gauge" if one.measure is Measure.CALIBRATION_OVERDUE else "station"
    return f'{{{name}="{_escaped(one.subject)}"}}' if one.subject else ""


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace("\n", "\\n").replace('"', '\\"')
