"""The tables of a shop, in SQL that SQLite and PostgreSQL both read.

Records, receipts, settings, registers, withdrawal lists, files, job sheets, accounts and tokens are only ever added to
(an account that is erased has its name blanked in every row, and nothing else). `units`, `unit_names` and `subjects` are
the projection: they hold nothing that the records do not say, and can be made anew at any time. `sessions` come and go.
"""

from __future__ import annotations

import sqlalchemy as sa

FORMS = ("0001", "0002", "0003")  # the forms that a shop has had, oldest first; a shop with a higher number is from a newer program

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
metadata = sa.MetaData(naming_convention=NAMING)


def json_type() -> sa.JSON:
    """JSON, and PostgreSQL's own binary form there."""
    from sqlalchemy.dialects.postgresql import JSONB

    return sa.JSON().with_variant(JSONB(), "postgresql")


_JSON = json_type()

records = sa.Table(
    "records",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("uid", sa.String(36), nullable=False, unique=True),
    sa.Column("kind", sa.String(40), nullable=False),
    sa.Column("unit", sa.Text, nullable=False, index=True),
    sa.Column("writer", sa.Text, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("done", sa.String(10), nullable=False),
    sa.Column("fields", _JSON, nullable=False),
    sa.Column("previous", sa.String(64), nullable=False),
    sa.Column("digest", sa.String(64), nullable=False),
    sa.Index(None, "writer", "number"),
)

receipts = sa.Table(
    "receipts",
    metadata,
    sa.Column("number", sa.Integer, sa.ForeignKey("records.number"), primary_key=True, autoincrement=False),
    sa.Column("record", sa.String(36), sa.ForeignKey("records.uid"), nullable=False, unique=True),
    sa.Column("record_digest", sa.String(64), nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
    sa.Column("previous", sa.String(64), nullable=False),
    sa.Column("digest", sa.String(64), nullable=False),
)

settings = sa.Table(
    "settings",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("said", _JSON, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

registers = sa.Table(
    "registers",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("sha256", sa.String(64), nullable=False, index=True),
    sa.Column("size", sa.BigInteger, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
    sa.Column("answers", _JSON, nullable=False),
)

register_rows = sa.Table(
    "register_rows",
    metadata,
    sa.Column("register", sa.Integer, sa.ForeignKey("registers.number"), primary_key=True),
    sa.Column("position", sa.Integer, primary_key=True),
    sa.Column("sheet", sa.Text),
    sa.Column("row", sa.Integer),
    sa.Column("outcome", sa.Text, nullable=False),
    sa.Column("unit", sa.Text, index=True),
    sa.Column("raw", _JSON, nullable=False),
    sa.Column("read", _JSON, nullable=False),
)

withdrawal_lists = sa.Table(
    "withdrawal_lists",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("content", sa.Text, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

files = sa.Table(
    "files",
    metadata,
    sa.Column("sha256", sa.String(64), primary_key=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("size", sa.BigInteger, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

units = sa.Table(
    "units",
    metadata,
    sa.Column("uid", sa.Text, primary_key=True),
    sa.Column("said", _JSON, nullable=False),
    sa.Column("set_by", _JSON, nullable=False),
    sa.Column("removed", sa.Text),
    sa.Column("recalled", _JSON, nullable=False),
    sa.Column("marks", _JSON, nullable=False),
)

unit_names = sa.Table(
    "unit_names",
    metadata,
    sa.Column("unit", sa.Text, sa.ForeignKey("units.uid"), primary_key=True),
    sa.Column("kind", sa.String(8), primary_key=True),
    sa.Column("name", sa.Text, primary_key=True),
    sa.Column("held_now", sa.Boolean(create_constraint=False), nullable=False),
    sa.Index(None, "name"),
)

# What a uid stands for where it is no extinguisher: an instrument or a person.
subjects = sa.Table(
    "subjects",
    metadata,
    sa.Column("uid", sa.Text, primary_key=True),
    sa.Column("about", sa.String(10), nullable=False),
)

sheets = sa.Table(
    "sheets",
    metadata,
    sa.Column("uid", sa.String(36), primary_key=True),
    sa.Column("unit", sa.Text, nullable=False, index=True),
    sa.Column("on_day", sa.String(10), nullable=False),
    sa.Column("works", _JSON, nullable=False),
    sa.Column("content", _JSON, nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("writer", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

sheet_entries = sa.Table(
    "sheet_entries",
    metadata,
    sa.Column("sheet", sa.String(36), sa.ForeignKey("sheets.uid"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("entry", _JSON, nullable=False),
    sa.Column("closes", sa.Boolean(create_constraint=False), nullable=False),
    sa.Column("person", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

# Who may come in. The newest row of a uid counts. `secret` is the hash of a passphrase, empty where none is set.
accounts = sa.Table(
    "accounts",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("uid", sa.String(36), nullable=False, index=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("login", sa.Text, nullable=False),
    sa.Column("role", sa.String(12), nullable=False),
    sa.Column("sites", _JSON, nullable=False),
    sa.Column("secret", sa.Text, nullable=False),
    sa.Column("state", sa.String(8), nullable=False),
    sa.Column("person", sa.String(36)),
    sa.Column("received", sa.String(27), nullable=False),
)

# Keys that a program or a link holds: only their digest is kept. The newest row of a uid counts.
tokens = sa.Table(
    "tokens",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("uid", sa.String(36), nullable=False, index=True),
    sa.Column("account", sa.String(36), nullable=False),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("scopes", _JSON, nullable=False),
    sa.Column("digest", sa.String(64), nullable=False, index=True),
    sa.Column("until", sa.String(27), nullable=False),
    sa.Column("ended", sa.Boolean(create_constraint=False), nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

sessions = sa.Table(
    "sessions",
    metadata,
    sa.Column("digest", sa.String(64), primary_key=True),
    sa.Column("account", sa.String(36), nullable=False, index=True),
    sa.Column("made", sa.String(27), nullable=False),
    sa.Column("until", sa.String(27), nullable=False),
)

# Names that are shown as something else. The name itself stands only where it always stood: in the records.
veils = sa.Table(
    "veils",
    metadata,
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("digest", sa.String(64), nullable=False, unique=True),
    sa.Column("shown", sa.Text, nullable=False),
    sa.Column("received", sa.String(27), nullable=False),
)

PROJECTION = ("units", "unit_names", "subjects")
PASSING = ("sessions",)
APPEND_ONLY = (
    "records", "receipts", "settings", "registers", "register_rows", "withdrawal_lists", "files", "sheets", "sheet_entries",
    "accounts", "tokens", "veils",
)  # fmt: skip
# What erasing a person may blank in tables that are only added to, and nothing else.
BLANKED = {"accounts": ("name", "login", "secret"), "tokens": ("name",)}
# What never leaves the shop by an export.
SECRET = {"accounts": ("secret",), "tokens": ("digest",), "sessions": ("digest",)}
EVERYTHING = (
    settings, records, receipts, registers, register_rows, withdrawal_lists, files, sheets, sheet_entries, units,
    accounts, tokens, sessions, veils,
)  # fmt: skip
