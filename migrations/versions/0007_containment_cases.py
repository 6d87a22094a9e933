"""Containment cases and drills: a case with its scopes, holds, notices, replies, checks and estimates.

Why: who was told what and when, who answered, and what came back must stand in the ledger beside the scope that
led to it, and two people at two desks must not lose each other's work.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """The case, what was told, what was answered, the drills."""
    _case()
    _told()
    _checked()
    _drill()


def _case() -> None:
    op.create_table('containment_case',
    sa.Column('code', sa.Text(), nullable=False),
    sa.Column('cause', sa.Text(), nullable=False),
    sa.Column('safety', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('reason', sa.Text(), nullable=False),
    sa.Column('person', sa.Text(), nullable=False),
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('closed_seq', sa.Integer(), autoincrement=False, nullable=True),
    sa.ForeignKeyConstraint(['person'], ['person.code'], name=op.f('fk_containment_case_person')),
    sa.PrimaryKeyConstraint('code', name=op.f('pk_containment_case')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_table('case_entry',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('kind', sa.Text(), nullable=False),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_entry_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_entry')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_entry_case_code', 'case_entry', ['case_code', 'seq'], unique=False)
    op.create_table('case_scope',
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('head_seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('least', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('most', sa.Integer(), autoincrement=False, nullable=False),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_scope_case_code')),
    sa.PrimaryKeyConstraint('case_code', 'version', name=op.f('pk_case_scope')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_table('case_hold',
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('hold', sa.Text(), nullable=False),
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_hold_case_code')),
    sa.ForeignKeyConstraint(['hold'], ['hold.code'], name=op.f('fk_case_hold_hold')),
    sa.PrimaryKeyConstraint('case_code', 'hold', name=op.f('pk_case_hold')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )


def _told() -> None:
    op.create_table('case_notice',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('consignee', sa.Text(), nullable=False),
    sa.Column('method', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('sha256', sa.Text(), nullable=False),
    sa.Column('at', sa.Text(), nullable=False),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_notice_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_notice')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_notice_case_code', 'case_notice', ['case_code'], unique=False)
    op.create_table('case_reply',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('consignee', sa.Text(), nullable=False),
    sa.Column('on_hand', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('returned', sa.Integer(), autoincrement=False, nullable=True),
    sa.Column('destroyed', sa.Integer(), autoincrement=False, nullable=True),
    sa.Column('at', sa.Text(), nullable=False),
    sa.CheckConstraint('on_hand >= 0', name=op.f('ck_case_reply_on_hand_not_negative')),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_reply_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_reply')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_reply_case_code', 'case_reply', ['case_code'], unique=False)


def _checked() -> None:
    op.create_table('case_level',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('level', sa.Text(), nullable=False),
    sa.Column('percent', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('source', sa.Text(), nullable=False),
    sa.Column('among', sa.Integer(), autoincrement=False, nullable=False),
    sa.CheckConstraint("level IN ('A', 'B', 'C', 'D', 'E')", name=op.f('ck_case_level_level_known')),
    sa.CheckConstraint('percent >= 0 AND percent <= 100', name=op.f('ck_case_level_percent_is_a_share')),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_level_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_level')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_level_case_code', 'case_level', ['case_code'], unique=False)
    op.create_table('case_chosen',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('consignee', sa.Text(), nullable=False),
    sa.ForeignKeyConstraint(['seq'], ['case_level.seq'], name=op.f('fk_case_chosen_seq')),
    sa.PrimaryKeyConstraint('seq', 'consignee', name=op.f('pk_case_chosen')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_table('case_check',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('consignee', sa.Text(), nullable=False),
    sa.Column('result', sa.Text(), nullable=False),
    sa.Column('at', sa.Text(), nullable=False),
    sa.CheckConstraint("result IN ('ok', 'not-received', 'not-acted', 'not-reached')", name=op.f('ck_case_check_result_known')),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_check_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_check')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_check_case_code', 'case_check', ['case_code'], unique=False)
    op.create_table('case_estimate',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('case_code', sa.Text(), nullable=False),
    sa.Column('date', sa.Text(), nullable=False),
    sa.ForeignKeyConstraint(['case_code'], ['containment_case.code'], name=op.f('fk_case_estimate_case_code')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_case_estimate')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
    op.create_index('ix_case_estimate_case_code', 'case_estimate', ['case_code'], unique=False)


def _drill() -> None:
    op.create_table('drill',
    sa.Column('seq', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('seed', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('what', sa.Text(), nullable=False),
    sa.Column('subject', sa.Text(), nullable=False),
    sa.Column('back_ms', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('forward_ms', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('contain_ms', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('balance_ms', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('gaps', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('difference', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('lots_off', sa.Integer(), autoincrement=False, nullable=False),
    sa.Column('limit_minutes', sa.Integer(), autoincrement=False, nullable=False),
    sa.CheckConstraint("what IN ('carton', 'stamper')", name=op.f('ck_drill_what_known')),
    sa.PrimaryKeyConstraint('seq', name=op.f('pk_drill')),
    sqlite_strict=True,
    sqlite_with_rowid=True
    )
