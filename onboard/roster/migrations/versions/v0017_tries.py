"""When to try again what a mail server put off, and which address reports about an email come back to."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"


def upgrade() -> None:
    for name in ("token", "put_off", "not_before"):
        op.add_column("outgoing", sa.Column(name, sa.Text(), nullable=False, server_default=""))
