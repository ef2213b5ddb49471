"""What came back by email, each message once; under which Message-ID each email went out."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    op.add_column("outgoing", sa.Column("message_id", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "came_back",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("member_id", sa.Integer(), sa.ForeignKey("member.id"), nullable=False),
        sa.Column("day", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
    )
    op.create_index("ix_came_back_member_id", "came_back", ["member_id"])
    op.create_index("ix_came_back_digest", "came_back", ["digest"])
