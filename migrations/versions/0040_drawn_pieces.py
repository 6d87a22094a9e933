"""Built pieces as samples of the lab.

Why: a unit that is dropped, heated or played for weeks is a sample like a disc, under its own serial label: its build order
stands for the lot, and its number for the stroke. So the lot of a sample refers to no table any more. On SQLite the table is
made anew for that, with foreign keys off (see `store/database/schema.py`), and keeps its rows.
"""

from alembic import op

revision = "0040"
down_revision = "0039"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True, "sqlite_with_rowid": True}
_IN_LOT = (
    "NEW.stroke < 1 OR NEW.stroke > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot)",
    "a sample''s stroke must be one of its lot",
)
_IN_BUILD = (
    "NOT EXISTS (SELECT 1 FROM lot l WHERE l.code = NEW.lot) AND NOT EXISTS "
    "(SELECT 1 FROM build b WHERE b.code = NEW.lot AND NEW.stroke <= b.quantity)",
    "a sample is of a lot, or a piece of a build order",
)


def upgrade() -> None:
    """One reference less, and a trigger that looks in both tables."""
    with op.batch_alter_table("sample", table_kwargs=_STRICT) as batch:
        batch.drop_constraint(op.f("fk_sample_lot"), type_="foreignkey")
    if op.get_bind().dialect.name == "sqlite":
        # The table was made anew for that, without its trigger.
        _sqlite_trigger("sample_in_lot", *_IN_LOT)
        _sqlite_trigger("sample_in_build", *_IN_BUILD)
        return
    condition, sentence = _IN_BUILD
    op.execute(
        "CREATE FUNCTION sample_in_build() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF {condition} THEN RAISE EXCEPTION '{sentence}' USING ERRCODE = 'integrity_constraint_violation'; "
        "END IF; RETURN NEW; END $$"
    )
    op.execute(
        "CREATE TRIGGER sample_in_build BEFORE INSERT ON sample FOR EACH ROW EXECUTE FUNCTION sample_in_build()"
    )


def _sqlite_trigger(name: str, condition: str, sentence: str) -> None:
    op.execute(
        f"CREATE TRIGGER {name} BEFORE INSERT ON sample WHEN {condition} BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
    )
