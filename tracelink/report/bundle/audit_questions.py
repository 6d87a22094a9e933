"""What an auditor asks of the genealogy of a lot, where the answer stands, and what the ledger does not keep of it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AuditQuestion:
    """What an auditor asks."""

    text: str
    tables: tuple[str, ...]
    """Names of the tables that answer it."""
    lacks: str = ""
    """What the ledger does not keep of it."""
    answer: str = ""
    """Name of its answer, where that is not simply what its tables say."""


QUESTIONS = (
    AuditQuestion("Which lot, which product, how many were planned and pressed?", ("lots",)),
    AuditQuestion("Which strokes were pressed with which stampers, compound and labels?", ("segments",)),
    AuditQuestion(
        "Which mother, father and master do the stampers come from, with which matrix numbers, made when and by whom?",
        ("tools",),
        "plating batch, bath and current of each tool",
    ),
    AuditQuestion(
        "How many strokes had each stamper made at the start and at the end of each run?",
        ("segments",),
        answer="stroke-counts",
    ),
    AuditQuestion(
        "Which compound, labels and sleeves went in, received when?",
        ("materials",),
        "share of regrind in the compound; drying batch of the labels",
    ),
    AuditQuestion(
        "Which press, which operator, who approved set-up and first-off, on which reading?",
        ("press-acts",),
        "settings of the press (temperatures, pressure, cycle); a second person at set-up",
    ),
    AuditQuestion("Onto which stacks did the discs go?", ("stacks",)),
    AuditQuestion(
        "From which stack into which sleeves and carton, at which line, by whom?", ("packing-runs",)
    ),
    AuditQuestion("In which cartons and on which pallets are they, standing where?", ("cartons", "pallets")),
    AuditQuestion(
        "Which orders, shipments and consignees, when did they leave, how many?", ("shipments", "consignees")
    ),
    AuditQuestion("What came back or was destroyed, before which witness?", ("returns",)),
    AuditQuestion(
        "Which samples were tested, with what result, instrument and limit in force that day?",
        ("samples", "measurements"),
        "instrument and limit in force of measured values, unless the columns say them",
    ),
    AuditQuestion("Who released or rejected, on what grounds?", ("decisions",)),
    AuditQuestion("Was the line cleared before the run, by which two people?", ("line-clearance",)),
    AuditQuestion("Do discs and labels add up, against which limit?", ("balance", "label-balance")),
    AuditQuestion("Which deviations, stops and concessions were there?", ("deviations", "investigations")),
    AuditQuestion("What was on hold, why, who lifted it? Was there a containment case?", ("holds", "cases")),
    AuditQuestion(
        "Were the test pressing and the labels approved by the customer?",
        (),
        "approvals of test pressings and of labels",
    ),
    AuditQuestion("What was corrected, by whom, for which reason?", ("corrections",)),
    AuditQuestion("What was recorded late?", ("late-entries",)),
    AuditQuestion(
        "Were the instruments calibrated, and the people trained for what they did?",
        (),
        "calibration of instruments and gauges; training of people",
    ),
    AuditQuestion(
        "How long are these records kept, and where?",
        (),
        "retention periods: nothing in the journal is ever removed, and how long its files are kept is the plant's to say",
    ),
    AuditQuestion(
        "Which people and stations acted, under which rules and limits?", ("people", "stations", "settings")
    ),
)
"""Derived from what quality and traceability rules ask for in a lot's genealogy (common practice)."""

OF_PARTS = (
    AuditQuestion(
        "Which part lots came in, of which supplier's lot, tested with what result?", ("part-lots",)
    ),
    AuditQuestion("Which positions of which reels are of which part lot?", ("reels",)),
    AuditQuestion(
        "Which pieces took which positions of which reel, at which machine?", ("build-orders", "placements")
    ),
    AuditQuestion("What was joined into which unit, by whom?", ("joins",)),
    AuditQuestion("How was each piece tested, by which programme, with what result?", ("piece-tests",)),
    AuditQuestion("What was taken out again, where did it go, why?", ("parts-out",)),
)
"""Asked first where a bundle tells of parts (common practice)."""
