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
        UsageError: it draws nothing, is of two kinds, or names defects without the inspection that looks for them.
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
    since, inspection, defects = (
        day(section, "since"),
        section.optional("inspection", section.text),
        _defects(section),
    )
    if defects and inspection is None:
        raise UsageError(
            f"{section.where}: defects without inspection: expected what the inspection for them is called"
        )
    return SamplingPlanKept(
        gtin, aql, level, severity, detect, confidence, one_in, since, inspection, defects
    )


def _defects(section: PlantSection) -> tuple[str, ...]:
    found = tuple(str(each).strip().lower() for each in section.many("defects"))
    once = len(set(found)) == len(found) and all(found)
    section.require(once, "defects", f"defects is {list(found)!r}: expected names of defects, each once")
    return found
