"""Reminders: of which window and of what kind each is, and that a member gets none twice."""

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"


def upgrade() -> None:
    for name in ("kind", "of_window"):
        op.add_column("outgoing", sa.Column(name, sa.Text(), nullable=False, server_default=""))
    op.execute(
        "CREATE UNIQUE INDEX ix_outgoing_reminder ON outgoing (member_id, of_window, kind, way) "
        "WHERE what = 'reminder' AND state <> 'void'"
    )
