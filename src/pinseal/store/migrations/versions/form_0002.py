"""Job sheets, and which uids stand for an instrument or a person"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

from pinseal.store import sqlite

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


_APPEND_ONLY = ("sheets", "sheet_entries")


def _json() -> sa.JSON:
    return sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "sheets",
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("on_day", sa.String(length=10), nullable=False),
        sa.Column("works", _json(), nullable=False),
        sa.Column("content", _json(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("writer", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_sheets")),
    )
    with op.batch_alter_table("sheets", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sheets_unit"), ["unit"], unique=False)

    op.create_table(
        "subjects",
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("about", sa.String(length=10), nullable=False),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_subjects")),
    )
    op.create_table(
        "sheet_entries",
        sa.Column("sheet", sa.String(length=36), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("entry", _json(), nullable=False),
        sa.Column("closes", sa.Boolean(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.ForeignKeyConstraint(["sheet"], ["sheets.uid"], name=op.f("fk_sheet_entries_sheet_sheets")),
        sa.PrimaryKeyConstraint("sheet", "number", name=op.f("pk_sheet_entries")),
    )
    if op.get_bind().dialect.name == "sqlite":
        for table in _APPEND_ONLY:
            for statement in sqlite.guards_on(table):
                op.execute(statement)


def downgrade() -> None:
    raise RuntimeError("a shop is never brought back to an older form; restore a backup")
