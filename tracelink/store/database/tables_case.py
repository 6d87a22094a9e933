"""Tables of containment cases and drills. What a scope found stands in the journal entry that a row names."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.store.database.columns import int_column, one_of, table, text_column

containment_case = table(
    "containment_case",
    text_column("code", key=True),
    text_column("cause"),
    int_column("safety"),
    text_column("reason"),
    text_column("person", ForeignKey("person.code")),
    int_column("seq"),
    int_column("closed_seq", null=True),
)
case_entry = table(
    "case_entry",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("kind"),
)
Index("ix_case_entry_case_code", case_entry.c.case_code, case_entry.c.seq)
case_scope = table(
    "case_scope",
    text_column("case_code", ForeignKey("containment_case.code"), key=True),
    int_column("version", key=True),
    int_column("seq"),
    int_column("head_seq"),
    int_column("least"),
    int_column("most"),
)
case_hold = table(
    "case_hold",
    text_column("case_code", ForeignKey("containment_case.code"), key=True),
    text_column("hold", ForeignKey("hold.code"), key=True),
    int_column("seq"),
)
case_notice = table(
    "case_notice",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("consignee"),
    text_column("method"),
    int_column("version"),
    text_column("sha256"),
    text_column("at"),
)
Index("ix_case_notice_case_code", case_notice.c.case_code)
case_reply = table(
    "case_reply",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("consignee"),
    int_column("on_hand"),
    int_column("returned", null=True),
    int_column("destroyed", null=True),
    text_column("at"),
    CheckConstraint("on_hand >= 0", name="on_hand_not_negative"),
)
Index("ix_case_reply_case_code", case_reply.c.case_code)
case_level = table(
    "case_level",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("level"),
    int_column("percent"),
    text_column("source"),
    int_column("among"),
    one_of("level", "A", "B", "C", "D", "E"),
    CheckConstraint("percent >= 0 AND percent <= 100", name="percent_is_a_share"),
)
Index("ix_case_level_case_code", case_level.c.case_code)
case_chosen = table(
    "case_chosen",
    int_column("seq", ForeignKey("case_level.seq"), key=True),
    text_column("consignee", key=True),
)
case_check = table(
    "case_check",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("consignee"),
    text_column("result"),
    text_column("at"),
    one_of("result", "ok", "not-received", "not-acted", "not-reached"),
)
Index("ix_case_check_case_code", case_check.c.case_code)
case_estimate = table(
    "case_estimate",
    int_column("seq", key=True),
    text_column("case_code", ForeignKey("containment_case.code")),
    text_column("date"),
)
Index("ix_case_estimate_case_code", case_estimate.c.case_code)
drill = table(
    "drill",
    int_column("seq", key=True),
    int_column("seed"),
    text_column("what"),
    text_column("subject"),
    int_column("back_ms"),
    int_column("forward_ms"),
    int_column("contain_ms"),
    int_column("balance_ms"),
    int_column("gaps"),
    int_column("difference"),
    int_column("lots_off"),
    int_column("limit_minutes"),
    one_of("what", "carton", "stamper", "reel", "part-lot", "bath", "blend"),
)
Index("ix_drill_subject", drill.c.subject)
