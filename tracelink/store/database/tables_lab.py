"""Tables of samples, of what was judged and measured of them, and of what the lab measures with."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn
from tracelink.store.database.columns import int_column, one_of, table, text_column

sample = table(
    "sample",
    text_column("code", key=True),
    # Of a built piece its build order, and its number for the stroke: so it refers to no table.
    text_column("lot"),
    int_column("stroke", null=True),
    text_column("at"),
    int_column("seq"),
)
Index("uq_sample_lot_stroke", sample.c.lot, sample.c.stroke, unique=True)

judgement = table(
    "judgement",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    int_column("good"),
    text_column("defect", null=True),
    int_column("corrected_by", null=True),
    CheckConstraint("(good = 1) = (defect IS NULL)", name="defect_when_bad"),
)
Index("ix_judgement_sample", judgement.c.sample)

measurement = table(
    "measurement",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    text_column("quantity"),
    text_column("value"),
    text_column("unit"),
)

lab_test = table(
    "lab_test",
    text_column("name", key=True),
    text_column("unit"),
    text_column("measured_on"),
    text_column("method"),
    text_column("defect"),
    int_column("seq"),
    one_of("measured_on", *MeasuredOn),
)

lab_limit = table(
    "lab_limit",
    int_column("seq", key=True),
    text_column("test", ForeignKey("lab_test.name")),
    text_column("gtin", ForeignKey("product.gtin"), null=True),
    text_column("lower", null=True),
    text_column("upper", null=True),
    text_column("since"),
)
Index("ix_lab_limit_test", lab_limit.c.test)

gauge = table(
    "gauge",
    text_column("code", key=True),
    text_column("name"),
    text_column("resolution"),
    int_column("seq"),
)

gauge_test = table(
    "gauge_test",
    text_column("gauge", ForeignKey("gauge.code"), key=True),
    text_column("test", ForeignKey("lab_test.name"), key=True),
)

gauge_calibration = table(
    "gauge_calibration",
    int_column("seq", key=True),
    text_column("gauge", ForeignKey("gauge.code")),
    text_column("calibrated"),
    text_column("due"),
)
Index("ix_gauge_calibration_gauge", gauge_calibration.c.gauge)

lab_result = table(
    "lab_result",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    text_column("test", ForeignKey("lab_test.name")),
    text_column("value"),
    text_column("unit"),
    text_column("side", null=True),
    text_column("gauge", ForeignKey("gauge.code")),
    int_column("overdue"),
    int_column("limit_seq", ForeignKey("lab_limit.seq"), null=True),
    text_column("standing"),
    text_column("at"),
    int_column("replaced_by", null=True),
    int_column("file_seq", null=True),
    int_column("file_row", null=True),
    text_column("reading", null=True),
    one_of("standing", *LimitStanding),
    CheckConstraint("side IN ('A', 'B')", name="side_known"),
)
chart_baseline = table(
    "chart_baseline",
    int_column("seq", key=True),
    text_column("subject"),
    text_column("test"),
    text_column("chart"),
    text_column("centre"),
    text_column("sigma"),
    int_column("group_size"),
    int_column("points"),
)
Index("ix_chart_baseline_subject", chart_baseline.c.subject)

Index("ix_lab_result_sample", lab_result.c.sample)

instrument = table(
    "instrument",
    text_column("name", key=True),
    text_column("decimal_sign"),
    text_column("separator"),
    text_column("sample_heading"),
    text_column("side_heading", null=True),
    text_column("gauge", ForeignKey("gauge.code"), null=True),
    text_column("gauge_heading", null=True),
    int_column("seq"),
    text_column("time_heading", null=True),
    text_column("time_form", null=True),
    one_of("decimal_sign", "point", "comma"),
)

instrument_column = table(
    "instrument_column",
    text_column("instrument", ForeignKey("instrument.name"), key=True),
    int_column("line", key=True),
    text_column("heading"),
    text_column("test", ForeignKey("lab_test.name")),
    text_column("unit", null=True),
    text_column("unit_heading", null=True),
)

instrument_file = table(
    "instrument_file",
    text_column("sha256", key=True),
    text_column("file"),
    text_column("instrument", ForeignKey("instrument.name")),
    int_column("read_values"),
    int_column("seq"),
)

sample_waiver = table(
    "sample_waiver", text_column("sample", ForeignKey("sample.code"), key=True), int_column("seq")
)

rejected_strokes = table(
    "rejected_strokes",
    int_column("seq", key=True),
    text_column("lot", ForeignKey("lot.code")),
    int_column("first"),
    int_column("last"),
)
Index("ix_rejected_strokes_lot", rejected_strokes.c.lot)

sorting = table(
    "sorting",
    int_column("seq", key=True),
    text_column("lot", ForeignKey("lot.code")),
    text_column("spindle", ForeignKey("spindle.code")),
    int_column("looked_at"),
    int_column("bad"),
    text_column("defect"),
)
Index("ix_sorting_lot", sorting.c.lot)

place_sorting = table(
    "place_sorting",
    int_column("seq", key=True),
    text_column("lot", ForeignKey("lot.code")),
    text_column("place"),
    int_column("looked_at"),
    int_column("bad"),
    text_column("defect"),
)
Index("ix_place_sorting_lot", place_sorting.c.lot)

slow_test = table("slow_test", text_column("name", key=True), int_column("seq"))

slow_test_reading = table(
    "slow_test_reading",
    text_column("slow_test", ForeignKey("slow_test.name"), key=True),
    int_column("line", key=True),
    text_column("label"),
    int_column("days"),
)

slow_reading = table(
    "slow_reading",
    text_column("sample", ForeignKey("sample.code"), key=True),
    int_column("line", key=True),
    text_column("slow_test", ForeignKey("slow_test.name")),
    text_column("label"),
    text_column("due"),
    int_column("seq"),
    int_column("taken_seq", null=True),
)
Index("ix_slow_reading_due", slow_reading.c.due)

sampling_plan = table(
    "sampling_plan",
    int_column("seq", key=True),
    text_column("gtin", ForeignKey("product.gtin")),
    text_column("aql", null=True),
    text_column("level"),
    text_column("severity"),
    text_column("detect", null=True),
    int_column("confidence"),
    int_column("one_in", null=True),
    text_column("since"),
    text_column("inspection", null=True),
)
Index("ix_sampling_plan_gtin", sampling_plan.c.gtin)

sampling_plan_defect = table(
    "sampling_plan_defect",
    int_column("seq", ForeignKey("sampling_plan.seq"), key=True),
    text_column("defect", key=True),
)

missed_disc = table(
    "missed_disc",
    text_column("lot", ForeignKey("lot.code"), key=True),
    int_column("stroke", key=True),
    int_column("seq"),
)

compared_verdict = table(
    "compared_verdict",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    text_column("person"),
    text_column("verdict"),
    text_column("at"),
)
Index("ix_compared_verdict_sample", compared_verdict.c.sample)

study_reading = table(
    "study_reading",
    int_column("seq", key=True),
    text_column("sample", ForeignKey("sample.code")),
    text_column("test", ForeignKey("lab_test.name")),
    text_column("side", null=True),
    text_column("gauge", ForeignKey("gauge.code")),
    text_column("person"),
    text_column("value"),
    text_column("at"),
)
Index("ix_study_reading_gauge", study_reading.c.gauge)
