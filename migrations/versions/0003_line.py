"""The packing line in full: kits and their items, where to look at a clearance, units held back.

Why: a line asks for every piece of a kit and refuses the rest by name, and after a wrong read it must know what
is still to be rechecked. All tables are new and start empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "kit_item",
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("status IN ('current', 'superseded')", name=op.f("ck_kit_item_status_known")),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_kit_item_gtin")),
        sa.PrimaryKeyConstraint("code", name=op.f("pk_kit_item")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "kit_piece",
        sa.Column("gtin", sa.Text(), nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("disc", sa.Integer(), autoincrement=False, nullable=True),
        sa.Column("item", sa.Text(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["gtin"], ["product.gtin"], name=op.f("fk_kit_piece_gtin")),
        sa.ForeignKeyConstraint(["item"], ["kit_item.code"], name=op.f("fk_kit_piece_item")),
        sa.PrimaryKeyConstraint("gtin", "place", name=op.f("pk_kit_piece")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "clearance_area",
        sa.Column("line", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("line", name=op.f("pk_clearance_area")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "carton_item",
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("item", sa.Text(), nullable=False),
        sa.Column("quantity", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_carton_item_quantity_not_negative")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_carton_item_carton")),
        sa.ForeignKeyConstraint(["item"], ["kit_item.code"], name=op.f("fk_carton_item_item")),
        sa.PrimaryKeyConstraint("carton", "item", name=op.f("pk_carton_item")),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "hold_back",
        sa.Column("station", sa.Text(), nullable=False),
        sa.Column("carton", sa.Text(), nullable=False),
        sa.Column("units", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("left", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint('"left" >= 0 AND "left" <= units', name=op.f("ck_hold_back_left_of_units")),
        sa.ForeignKeyConstraint(["carton"], ["carton.sscc"], name=op.f("fk_hold_back_carton")),
        sa.ForeignKeyConstraint(["station"], ["station.code"], name=op.f("fk_hold_back_station")),
        sa.PrimaryKeyConstraint("station", name=op.f("pk_hold_back")),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
