"""Tables of the assembly hall: parts and bills of material, reels, what machines placed, pieces and their tests.

`part_move` has one row for a stretch of pieces that took positions of one reel, never one for each placement.
"""

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index

from tracelink.ledger.parts.part_sets import PartLotStatus, PieceStatus, TakenOutTo
from tracelink.store.database.columns import int_column, one_of, partial_index, table, text_column

part_kind = table(
    "part_kind",
    text_column("number", key=True),
    text_column("what"),
    int_column("sample", null=True),
    int_column("seq"),
)

bill = table(
    "bill",
    text_column("part", ForeignKey("part_kind.number"), key=True),
    text_column("version", key=True),
    text_column("since"),
    text_column("gtin", ForeignKey("product.gtin"), null=True),
    int_column("seq"),
)
bill_line = table(
    "bill_line",
    text_column("item", key=True),
    text_column("version", key=True),
    int_column("line", key=True),
    text_column("part", ForeignKey("part_kind.number")),
    text_column("revision"),
    int_column("quantity"),
    text_column("slot", null=True),
    ForeignKeyConstraint(["item", "version"], ["bill.part", "bill.version"]),
)

slot = table(
    "slot",
    text_column("code", key=True),
    text_column("station", ForeignKey("station.code")),
    text_column("what"),
    int_column("seq"),
)

part_lot = table(
    "part_lot",
    text_column("code", key=True),
    text_column("part", ForeignKey("part_kind.number")),
    text_column("revision"),
    text_column("supplier_lot"),
    text_column("date_code"),
    int_column("quantity"),
    text_column("status"),
    int_column("tested"),
    int_column("failed"),
    # Pieces that were taped on reels or put into trays.
    int_column("taken"),
    text_column("at"),
    int_column("seq"),
    one_of("status", *PartLotStatus),
    CheckConstraint("taken + failed <= quantity", name="takes_no_more_than_came"),
)

reel = table(
    "reel",
    text_column("code", key=True),
    text_column("part", ForeignKey("part_kind.number")),
    text_column("revision"),
    int_column("in_order"),
    int_column("holds"),
    int_column("used"),
    # Thrown away since the pieces were counted last.
    int_column("dropping"),
    int_column("seq"),
    CheckConstraint("used + dropping <= holds", name="gives_no_more_than_it_has"),
)
reel_item = table(
    "reel_item",
    text_column("reel", ForeignKey("reel.code"), key=True),
    int_column("first", key=True),
    int_column("last"),
    text_column("part_lot", ForeignKey("part_lot.code")),
    text_column("at"),
    int_column("seq"),
    CheckConstraint("first >= 1 AND last >= first", name="range_in_order"),
)
Index("ix_reel_item_part_lot", reel_item.c.part_lot)
reel_count = table(
    "reel_count",
    int_column("seq", key=True),
    text_column("reel", ForeignKey("reel.code")),
    int_column("shown"),
    int_column("counted"),
    text_column("at"),
)

build = table(
    "build",
    text_column("code", key=True),
    text_column("part", ForeignKey("part_kind.number")),
    text_column("version"),
    int_column("first_serial"),
    int_column("quantity"),
    int_column("panel"),
    text_column("at"),
    int_column("seq"),
    ForeignKeyConstraint(["part", "version"], ["bill.part", "bill.version"]),
    CheckConstraint("quantity >= 1 AND panel >= 1 AND first_serial >= 1", name="counts_positive"),
)
Index("ix_build_first_serial", build.c.first_serial)

machine_run = table(
    "machine_run",
    int_column("seq", key=True),
    text_column("station", ForeignKey("station.code")),
    text_column("build", ForeignKey("build.code")),
    # Pieces that the machine has done.
    int_column("done"),
    int_column("stopped"),
    int_column("ended_seq", null=True),
)
partial_index("uq_machine_run_open", machine_run.c.station, "ended_seq IS NULL", unique=True)

slot_load = table(
    "slot_load",
    int_column("seq", key=True),
    int_column("run", ForeignKey("machine_run.seq")),
    text_column("slot", ForeignKey("slot.code")),
    text_column("reel", ForeignKey("reel.code")),
    # Pieces done at the last good check.
    int_column("checked"),
    int_column("out_seq", null=True),
)
Index("ix_slot_load_run", slot_load.c.run)
partial_index("uq_slot_load_reel", slot_load.c.reel, "out_seq IS NULL", unique=True)

wrong_reel = table(
    "wrong_reel",
    int_column("seq", key=True),
    text_column("reel", ForeignKey("reel.code")),
    text_column("build", ForeignKey("build.code")),
    int_column("first"),
    int_column("last"),
)
Index("ix_wrong_reel_reel", wrong_reel.c.reel)

part_move = table(
    "part_move",
    int_column("seq", key=True),
    int_column("line", key=True),
    text_column("reel", ForeignKey("reel.code")),
    int_column("quantity"),
    text_column("source"),
    text_column("target"),
    int_column("first", null=True),
    int_column("last", null=True),
    text_column("at"),
    text_column("build", ForeignKey("build.code"), null=True),
    int_column("from_piece", null=True),
    int_column("to_piece", null=True),
    int_column("per_piece", null=True),
    int_column("lead", null=True),
    CheckConstraint("quantity >= 1", name="quantity_positive"),
)
Index("ix_part_move_reel", part_move.c.reel)
Index("ix_part_move_build", part_move.c.build, part_move.c.to_piece)
Index("ix_part_move_target", part_move.c.target)

piece = table(
    "piece",
    text_column("code", key=True),
    text_column("build", ForeignKey("build.code")),
    int_column("number"),
    text_column("status"),
    int_column("seq"),
    one_of("status", *PieceStatus),
)
Index("ix_piece_build", piece.c.build, piece.c.number, unique=True)

piece_test = table(
    "piece_test",
    int_column("seq", key=True),
    text_column("piece", ForeignKey("piece.code")),
    text_column("part"),
    text_column("station", null=True),
    text_column("programme"),
    int_column("passed"),
    text_column("symptom", null=True),
    text_column("position", null=True),
    text_column("at"),
)
Index("ix_piece_test_piece", piece_test.c.piece)
Index("ix_piece_test_at", piece_test.c.at)
Index("ix_piece_test_part", piece_test.c.part, piece_test.c.seq)

taken_out = table(
    "taken_out",
    int_column("seq", key=True),
    text_column("unit", ForeignKey("piece.code")),
    text_column("piece", ForeignKey("piece.code"), null=True),
    text_column("reel", ForeignKey("reel.code"), null=True),
    text_column("went_to"),
    text_column("at"),
    one_of("went_to", *TakenOutTo),
)
Index("ix_taken_out_unit", taken_out.c.unit)
Index("ix_taken_out_piece", taken_out.c.piece)

unit_return = table(
    "unit_return",
    int_column("seq", key=True),
    text_column("piece", ForeignKey("piece.code")),
    # The carton that it was sent in.
    text_column("carton", ForeignKey("carton.sscc")),
    text_column("at"),
)
Index("ix_unit_return_piece", unit_return.c.piece)
