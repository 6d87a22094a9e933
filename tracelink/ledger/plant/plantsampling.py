"""The section `[[sampling_plan]]` of a plant file: how the lots of a product are sampled.

Whether the tables have such a plan is asked when it is recorded: they belong to another room.
"""

from tracelink.errors import UsageError
from tracelink.ledger.kinds.measuring.plan_entries import SamplingPlanKept
from tracelink.ledger.plant.plantchanges import day
from tracelink.ledger.plant.plantsection import PlantSection


def sampling_plan(section: PlantSection) -> SamplingPlanKept:
    """Read the plan of a product.

    Raises:
        UsageError: it draws nothing, or is of two kinds.
    """
    gtin = section.gtin("gtin")
    aql, detect = (section.optional(name, section.text) for name in ("aql", "detect"))
    one_in = section.optional("one_in", lambda name: section.number(name, 1))
    if aql is not None and detect is not None:
        raise UsageError(f"{section.where}: aql and detect: expected one of them, a lot has one plan")
    if aql is None and detect is None and one_in is None:
        raise UsageError(f"{section.where}: no disc is drawn: expected aql, detect or one_in")
    level = section.optional("level", section.text) or "II"
    severity = section.optional("severity", section.text) or "normal"
    confidence = section.optional("confidence", lambda name: section.number(name, 1)) or 95
    return SamplingPlanKept(gtin, aql, level, severity, detect, confidence, one_in, day(section, "since"))
