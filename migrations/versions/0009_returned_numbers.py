"""Returned numbers, lines of orders, counts of mixed cartons.

Why: a numbered sleeve that came back or was destroyed must be told from one that is with a customer; an order may
name several products; a carton with two lots of one disc can be counted only as a whole. Orders that are there get
their one line.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _numbers()
    _order_lines()
    _mixed_counts()


def _numbers() -> None:
    op.create_table(
        "number_fate",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("fate", sa.Text(), nullable=False),
        sa.Column("return_number", sa.Integer(), autoincrement=False, nullable=True),
        sa.CheckConstraint(
            "fate IN ('returned', 'restocked', 'free', 'destroyed')", name=op.f("ck_number_fate_fate_known")
        ),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_number_fate_gtin")),
        sa.ForeignKeyConstraint(
            ["return_number"], ["return_line.number"], name=op.f("fk_number_fate_return_number")
        ),
        sa.PrimaryKeyConstraint("gtin", "number", "seq", name=op.f("pk_number_fate")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_number_fate_return_number", "number_fate", ["return_number"], unique=False)


def _order_lines() -> None:
    op.create_table(
        "order_line",
        sa.Column("order_code", sa.Text(), nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_order_line_quantity_positive")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_order_line_gtin")),
        sa.ForeignKeyConstraint(
            ["order_code"], ["customer_order.code"], name=op.f("fk_order_line_order_code")
        ),
        sa.PrimaryKeyConstraint("order_code", "line", name=op.f("pk_order_line")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("uq_order_line_product", "order_line", ["order_code", "gtin"], unique=True)
    op.execute(
        "INSERT INTO order_line (order_code, line, gtin, quantity) "
        "SELECT code, 1, gtin, quantity FROM customer_order"
    )


def _mixed_counts() -> None:
    op.create_table(
        "mixed_count",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("lot", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("own", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("expected", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_mixed_count_quantity_not_negative")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_mixed_count_lot")),
        sa.PrimaryKeyConstraint("seq", "lot", name=op.f("pk_mixed_count")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_mixed_count_lot", "mixed_count", ["lot"], unique=False)
