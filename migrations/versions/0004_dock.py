"""The warehouse: locations, allocations, drivers' checks, returns, opened cartons.

Why: a pallet or carton must be found in one scan, stock is kept for an order, and what comes back is followed into
stock or to destruction. A carton may now be broken, returned or destroyed; on SQLite the table of cartons is made
anew for that, with foreign keys off (see `store/database/schema.py`), and keeps its rows.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

CARTON_STATUS = "status IN ('open', 'closed', 'broken', 'returned', 'destroyed')"


def upgrade() -> None:
    _widen_carton_status()
    _create_tables()


def _widen_carton_status() -> None:
    name = op.f("ck_carton_status_known")
    with op.batch_alter_table("carton", table_kwargs={"sqlite_strict": True}) as carton:
        carton.drop_constraint(name, type_="check")
        carton.create_check_constraint(name, CARTON_STATUS)


def _create_tables() -> None:
    op.create_table(
        "location",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_location")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "aggregation_check",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("recorded", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("counted", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_aggregation_check_carton")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_aggregation_check")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "allocation",
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("order_code", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("released_seq", sa.Integer(), autoincrement=False, nullable=True),
        sa.CheckConstraint("units >= 1", name=op.f("ck_allocation_units_positive")),
        sa.ForeignKeyConstraint(
            ["order_code"], ["customer_order.code"], name=op.f("fk_allocation_order_code")
        ),
        sa.PrimaryKeyConstraint("subject", "seq", name=op.f("pk_allocation")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_allocation_order_code", "allocation", ["order_code"], unique=False)
    op.create_index(
        "uq_allocation_open",
        "allocation",
        ["subject"],
        unique=True,
        sqlite_where=sa.text("released_seq IS NULL"),
        postgresql_where=sa.text("released_seq IS NULL"),
    )
    op.create_table(
        "driver_check",
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("shipment", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["shipment"], ["shipment.code"], name=op.f("fk_driver_check_shipment")),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_driver_check")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_driver_check_shipment", "driver_check", ["shipment"], unique=False)
    op.create_table(
        "return_line",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("carton", sa.Text(), nullable=True),
        sa.Column("lot", sa.Text(), nullable=True),
        sa.Column("matrix", sa.Text(), nullable=True),
        sa.Column("mark", sa.Text(), nullable=True),
        sa.Column("discs", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "status IN ('quarantine', 'restocked', 'destroyed')", name=op.f("ck_return_line_status_known")
        ),
        sa.CheckConstraint(
            "(carton IS NULL) = (matrix IS NOT NULL)", name=op.f("ck_return_line_carton_or_matrix")
        ),
        sa.CheckConstraint("discs >= 1", name=op.f("ck_return_line_discs_positive")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_return_line_carton")),
        sa.ForeignKeyConstraint(["lot"], ["lot.code"], name=op.f("fk_return_line_lot")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_return_line")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_return_line_carton", "return_line", ["carton"], unique=False)
    op.create_index("ix_return_line_lot", "return_line", ["lot"], unique=False)
