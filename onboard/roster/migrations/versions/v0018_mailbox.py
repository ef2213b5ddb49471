"""How far each mailbox was read, so that no email is read twice."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    op.create_table(
        "mailbox",
        sa.Column("place", sa.Text(), primary_key=True),
        sa.Column("validity", sa.BigInteger(), nullable=False),
        sa.Column("uid", sa.BigInteger(), nullable=False),
    )
