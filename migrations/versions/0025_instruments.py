"""How the files of instruments are read, and which were.

Why: values that an instrument writes are typed again and mistyped. How its files are to be read is said once and never
guessed, and the same file is not read twice. The tables start empty; values of before stand in no file.
"""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None

_KEPT = {"sqlite_strict": True, "sqlite_with_rowid": True}


def upgrade() -> None:
    """Three tables, and two columns that say where a value stands."""
    for name in ("file_seq", "file_row"):
        op.add_column("lab_result", sa.Column(name, sa.Integer(), autoincrement=False, nullable=True))
    op.create_table(
        "instrument",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("decimal_sign", sa.Text(), nullable=False),
        sa.Column("separator", sa.Text(), nullable=False),
        sa.Column("sample_heading", sa.Text(), nullable=False),
        sa.Column("side_heading", sa.Text(), nullable=True),
        sa.Column("gauge", sa.Text(), nullable=True),
        sa.Column("gauge_heading", sa.Text(), nullable=True),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("decimal_sign IN ('point', 'comma')", name=op.f("ck_instrument_decimal_sign_known")),
        sa.ForeignKeyConstraint(["gauge"], ["gauge.code"], name=op.f("fk_instrument_gauge")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_instrument")),
        **_KEPT,
    )
    op.create_table(
        "instrument_column",
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("heading", sa.Text(), nullable=False),
        sa.Column("test", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("unit_heading", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["instrument"], ["instrument.name"], name=op.f("fk_instrument_column_instrument")
        ),
        sa.ForeignKeyConstraint(["test"], ["lab_test.name"], name=op.f("fk_instrument_column_test")),
        sa.PrimaryKeyConstraint("instrument", "line", name=op.f("pk_instrument_column")),
        **_KEPT,
    )
    op.create_table(
        "instrument_file",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.Column("read_values", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(
            ["instrument"], ["instrument.name"], name=op.f("fk_instrument_file_instrument")
        ),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_instrument_file")),
        **_KEPT,
    )
