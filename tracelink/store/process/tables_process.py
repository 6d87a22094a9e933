"""Tables of process steps: which processes there are, in what they are done, and what went through each step."""

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index

from tracelink.ledger.closed_sets import StepInput, StepStatus, WorksOn
from tracelink.store.database.columns import int_column, one_of, partial_index, table, text_column

process = table(
    "process",
    text_column("name", key=True),
    text_column("works_on"),
    # Base unit of what goes in; none where discs or tools do.
    text_column("unit", null=True),
    int_column("seq"),
    one_of("works_on", *WorksOn),
)

process_parameter = table(
    "process_parameter",
    text_column("process", ForeignKey("process.name"), key=True),
    text_column("name", key=True),
    int_column("line"),
    text_column("unit"),
    # Decimal text.
    text_column("least", null=True),
    text_column("most", null=True),
)

equipment = table(
    "equipment",
    text_column("code", key=True),
    text_column("process", ForeignKey("process.name")),
    text_column("name"),
    int_column("seq"),
)

blank = table(
    "blank",
    text_column("tool", key=True),
    # The maker's number.
    text_column("blank"),
    text_column("gtin"),
    int_column("piece"),
    text_column("side"),
    text_column("matrix"),
    text_column("fault", null=True),
    text_column("at"),
    int_column("seq"),
    ForeignKeyConstraint(["gtin", "piece"], ["product_part.gtin", "product_part.piece"]),
)

step = table(
    "step",
    text_column("code", key=True),
    text_column("equipment", ForeignKey("equipment.code")),
    text_column("process", ForeignKey("process.name")),
    text_column("status"),
    text_column("began_at"),
    text_column("ended_at", null=True),
    # What went in and what was made, in the unit of the process; readings outside their limits.
    int_column("taken"),
    int_column("made"),
    int_column("outside"),
    int_column("seq"),
    int_column("ended_seq", null=True),
    one_of("status", *StepStatus),
    CheckConstraint("made >= 0 AND made <= taken", name="makes_no_more_than_it_took"),
)
Index("ix_step_equipment", step.c.equipment)
partial_index("uq_step_open", step.c.equipment, "status = 'open'", unique=True)

step_item = table(
    "step_item",
    int_column("seq", key=True),
    text_column("step", ForeignKey("step.code")),
    text_column("what"),
    text_column("thing"),
    text_column("lot", ForeignKey("lot.code"), null=True),
    int_column("first", null=True),
    int_column("last", null=True),
    int_column("amount", null=True),
    text_column("at"),
    # The entry that took it back, because it did not go in after all.
    int_column("taken_back", null=True),
    one_of("what", *StepInput),
    CheckConstraint(
        "(first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first))",
        name="range_in_order",
    ),
)
Index("ix_step_item_step", step_item.c.step)
Index("ix_step_item_thing", step_item.c.thing)
Index("ix_step_item_lot", step_item.c.lot)

step_output = table(
    "step_output",
    int_column("seq", key=True),
    text_column("step", ForeignKey("step.code")),
    text_column("material", ForeignKey("material.code")),
    int_column("amount"),
    # The entry that corrected the amount last.
    int_column("corrected_by", null=True),
    CheckConstraint("amount >= 1", name="amount_positive"),
)
Index("ix_step_output_step", step_output.c.step)
Index("uq_step_output_material", step_output.c.material, unique=True)

step_reading = table(
    "step_reading",
    int_column("seq", key=True),
    text_column("step", ForeignKey("step.code")),
    text_column("parameter"),
    text_column("value"),
    text_column("unit"),
    int_column("outside"),
    text_column("at"),
    text_column("person", null=True),
)
Index("ix_step_reading_step", step_reading.c.step)
