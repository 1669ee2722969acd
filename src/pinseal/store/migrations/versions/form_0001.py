"""The first form of a shop"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

from pinseal.store import sqlite

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


_APPEND_ONLY = ("records", "receipts", "settings", "registers", "register_rows", "withdrawal_lists", "files")


def _json() -> sa.JSON:
    return sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_files")),
    )
    op.create_table(
        "records",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("writer", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("done", sa.String(length=10), nullable=False),
        sa.Column("fields", _json(), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_records")),
        sa.UniqueConstraint("uid", name=op.f("uq_records_uid")),
    )
    with op.batch_alter_table("records", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_records_unit"), ["unit"], unique=False)
        batch_op.create_index(batch_op.f("ix_records_writer_number"), ["writer", "number"], unique=False)

    op.create_table(
        "registers",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.Column("answers", _json(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_registers")),
    )
    with op.batch_alter_table("registers", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_registers_sha256"), ["sha256"], unique=False)

    op.create_table(
        "settings",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("said", _json(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_settings")),
    )
    op.create_table(
        "units",
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("said", _json(), nullable=False),
        sa.Column("set_by", _json(), nullable=False),
        sa.Column("removed", sa.Text(), nullable=True),
        sa.Column("recalled", _json(), nullable=False),
        sa.Column("marks", _json(), nullable=False),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_units")),
    )
    op.create_table(
        "withdrawal_lists",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_withdrawal_lists")),
    )
    op.create_table(
        "receipts",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("record", sa.String(length=36), nullable=False),
        sa.Column("record_digest", sa.String(length=64), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["number"], ["records.number"], name=op.f("fk_receipts_number_records")),
        sa.ForeignKeyConstraint(["record"], ["records.uid"], name=op.f("fk_receipts_record_records")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_receipts")),
        sa.UniqueConstraint("record", name=op.f("uq_receipts_record")),
    )
    op.create_table(
        "register_rows",
        sa.Column("register", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("sheet", sa.Text(), nullable=True),
        sa.Column("row", sa.Integer(), nullable=True),
        sa.Column("outcome", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("raw", _json(), nullable=False),
        sa.Column("read", _json(), nullable=False),
        sa.ForeignKeyConstraint(["register"], ["registers.number"], name=op.f("fk_register_rows_register_registers")),
        sa.PrimaryKeyConstraint("register", "position", name=op.f("pk_register_rows")),
    )
    with op.batch_alter_table("register_rows", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_register_rows_unit"), ["unit"], unique=False)

    op.create_table(
        "unit_names",
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("held_now", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["unit"], ["units.uid"], name=op.f("fk_unit_names_unit_units")),
        sa.PrimaryKeyConstraint("unit", "kind", "name", name=op.f("pk_unit_names")),
    )
    with op.batch_alter_table("unit_names", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_unit_names_name"), ["name"], unique=False)

    if op.get_bind().dialect.name == "sqlite":
        for table in _APPEND_ONLY:
            for statement in sqlite.guards_on(table):
                op.execute(statement)


def downgrade() -> None:
    raise RuntimeError("a shop is never brought back to an older form; restore a backup")
