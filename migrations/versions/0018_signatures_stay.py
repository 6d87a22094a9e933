"""Signatures of scans are append-only, as the journal is.

Why: a signature that is edited or taken away makes scans look as if no station had made them. The triggers stop mistakes; who
edits the file itself is found by `audit verify`.
"""

from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

RULES = {
    "scan_signature_no_update": ("UPDATE", "signatures of scans are append-only: none is edited"),
    "scan_signature_no_delete": ("DELETE", "signatures of scans are append-only: none is deleted"),
}


def upgrade() -> None:
    """Two triggers; made anew where they are there already, so that a version set back by hand does not stop it."""
    make = _sqlite if op.get_bind().dialect.name == "sqlite" else _postgresql
    for name, (event, sentence) in RULES.items():
        for statement in make(name, event, sentence):
            op.execute(statement)


def _sqlite(name: str, event: str, sentence: str) -> list[str]:
    return [
        f"DROP TRIGGER IF EXISTS {name}",
        f"CREATE TRIGGER {name} BEFORE {event} ON scan_signature BEGIN SELECT RAISE(ABORT, '{sentence}'); END",
    ]


def _postgresql(name: str, event: str, sentence: str) -> list[str]:
    return [
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"RAISE EXCEPTION '{sentence}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
        f"DROP TRIGGER IF EXISTS {name} ON scan_signature",
        f"CREATE TRIGGER {name} BEFORE {event} ON scan_signature FOR EACH ROW EXECUTE FUNCTION {name}()",
    ]
