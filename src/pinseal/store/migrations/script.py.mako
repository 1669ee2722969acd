"""${message}"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op
from sqlalchemy import Text  # noqa: F401 - JSON with a PostgreSQL variant is written out with a bare Text()
${imports if imports else ""}
revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = ${repr(branch_labels)}
depends_on = ${repr(depends_on)}


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    raise RuntimeError("a shop is never brought back to an older form; restore a backup")
