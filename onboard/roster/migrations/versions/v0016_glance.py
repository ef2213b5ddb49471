"""What waits for a person is counted without reading whole tables."""

from alembic import op

revision = "0016"
down_revision = "0015"


def upgrade() -> None:
    """Three indexes."""
    op.create_index("ix_member_bounced", "member", ["bounced"])
    op.create_index("ix_call_ended_at", "call", ["ended", "at"])
    op.create_index("ix_exported_at", "exported", ["at"])
