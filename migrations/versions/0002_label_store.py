"""The label store: numbers given out without an order, counts of labels, returned blocks, void labels.

Why: a label balance needs every label accounted for from issue to use or destruction, and a reprint must make
the old label void, so that it is refused should it turn up. SSCC blocks may not overlap from now on, whatever
program asks for them at once.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

RULES = {
    "sscc_block_once": (
        "sscc_block",
        "EXISTS (SELECT 1 FROM sscc_block b WHERE b.extension = NEW.extension "
        "AND b.first_serial <= NEW.last_serial AND b.last_serial >= NEW.first_serial)",
        "an SSCC is given out once",
    ),
    "sscc_return_once": (
        "sscc_return",
        "EXISTS (SELECT 1 FROM sscc_return b WHERE b.extension = NEW.extension "
        "AND b.first_serial <= NEW.last_serial AND b.last_serial >= NEW.first_serial)",
        "an SSCC label comes back once",
    ),
}


def upgrade() -> None:
    _create_tables()
    sqlite = op.get_bind().dialect.name == "sqlite"
    for name, (table, condition, sentence) in RULES.items():
        if sqlite:
            op.execute(
                f"CREATE TRIGGER {name} BEFORE INSERT ON {table} WHEN {condition} "
                f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
            )
            continue
        op.execute(
            f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF {condition} THEN "
            f"RAISE EXCEPTION '{sentence}' USING ERRCODE = 'integrity_constraint_violation'; END IF; "
            "RETURN NEW; END $$"
        )
        op.execute(f"CREATE TRIGGER {name} BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()")


def _create_tables() -> None:
    op.create_table(
        "label_count",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("fate", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "fate IN ('printed', 'spoiled', 'returned', 'destroyed', 'samples')",
            name=op.f("ck_label_count_fate_known"),
        ),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_label_count_quantity_positive")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_label_count")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_label_count_subject", "label_count", ["subject"], unique=False)
    op.create_table(
        "sscc_return",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("extension", sa.Text(), nullable=False),
        sa.Column("first_serial", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last_serial", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("first_serial <= last_serial", name=op.f("ck_sscc_return_range_in_order")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_sscc_return")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "void_label",
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("replaced_by", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("subject", name=op.f("pk_void_label")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "issued_number",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["batch"], ["sleeve_batch.code"], name=op.f("fk_issued_number_batch")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_issued_number_gtin")),
        sa.PrimaryKeyConstraint("gtin", "number", name=op.f("pk_issued_number")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_issued_number_batch", "issued_number", ["batch"], unique=False)
