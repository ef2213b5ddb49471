"""Who is signed in at the desk."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"


def upgrade() -> None:
    op.create_table(
        "desk_session",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("made", sa.Text(), nullable=False),
        sa.Column("seen", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_desk_session")),
    )
    op.create_index("ix_desk_session_who", "desk_session", ["who"])
