"""Which words a packet was made with, so that calls before and after a change of them can be compared."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"


def upgrade() -> None:
    """A column, and a table of the words."""
    op.add_column("outgoing", sa.Column("words", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "packet_words",
        sa.Column("version", sa.Text(), primary_key=True),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("since", sa.Text(), nullable=False),
        sa.Column("sentences", sa.JSON(), nullable=False),
    )
