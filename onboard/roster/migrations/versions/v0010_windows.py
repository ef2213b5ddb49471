"""Ordering windows as calendars know them, and which of them each message told."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    op.add_column("outgoing", sa.Column("told", sa.JSON(), nullable=True))
    op.create_table(
        "known_window",
        sa.Column("uid", sa.Text(), nullable=False),
        *(
            sa.Column(name, sa.Text(), nullable=False)
            for name in ("of_group", "turn", "opens", "closes", "opens_at", "closes_at")
        ),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("changed", sa.Text(), nullable=False),
        sa.Column("canceled", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_known_window")),
    )
