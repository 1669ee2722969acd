"""Who may come in: accounts, tokens, sessions, and names that are shown as something else"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

from pinseal.store import sqlite

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


_BLANKED = {"accounts": ("name", "login", "secret"), "tokens": ("name",)}
_KEPT = {
    "accounts": ("number", "uid", "role", "sites", "state", "person", "received"),
    "tokens": ("number", "uid", "account", "scopes", "digest", "until", "ended", "received"),
}


def _json() -> sa.JSON:
    return sa.JSON().with_variant(postgresql.JSONB(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("login", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=12), nullable=False),
        sa.Column("sites", _json(), nullable=False),
        sa.Column("secret", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("person", sa.String(length=36), nullable=True),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_accounts")),
    )
    with op.batch_alter_table("accounts", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_accounts_uid"), ["uid"], unique=False)

    op.create_table(
        "tokens",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("account", sa.String(length=36), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("scopes", _json(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("until", sa.String(length=27), nullable=False),
        sa.Column("ended", sa.Boolean(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_tokens")),
    )
    with op.batch_alter_table("tokens", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tokens_uid"), ["uid"], unique=False)
        batch_op.create_index(batch_op.f("ix_tokens_digest"), ["digest"], unique=False)

    op.create_table(
        "sessions",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("account", sa.String(length=36), nullable=False),
        sa.Column("made", sa.String(length=27), nullable=False),
        sa.Column("until", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_sessions")),
    )
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sessions_account"), ["account"], unique=False)

    op.create_table(
        "veils",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("received", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_veils")),
        sa.UniqueConstraint("digest", name=op.f("uq_veils_digest")),
    )
    if op.get_bind().dialect.name == "sqlite":
        for table, blanked in _BLANKED.items():
            for statement in sqlite.guards_but_blanking(table, blanked, _KEPT[table]):
                op.execute(statement)
        for statement in sqlite.guards_on("veils"):
            op.execute(statement)


def downgrade() -> None:
    raise RuntimeError("a shop is never brought back to an older form; restore a backup")
