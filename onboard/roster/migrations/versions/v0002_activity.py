"""What the ordering page and the mail say of a member: sign-ins, orders, bounces."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    for name in ("page_seen", "last_sign_in", "last_order", "bounced", "confirmed"):
        op.add_column("member", sa.Column(name, sa.Text(), nullable=True))
