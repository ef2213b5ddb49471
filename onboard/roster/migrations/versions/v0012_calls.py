"""A call may be about anything, and is handed to somebody."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    op.add_column("call", sa.Column("words", sa.Text(), nullable=False, server_default=""))
    op.add_column("call", sa.Column("handed_to", sa.Text(), nullable=False, server_default=""))
