"""What each message told of a drop site."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"


def upgrade() -> None:
    op.add_column("outgoing", sa.Column("told_site", sa.JSON(), nullable=True))
