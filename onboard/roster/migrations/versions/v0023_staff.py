"""Accounts at the desk: staff, their recovery codes, wrong tries to sign in."""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"


def upgrade() -> None:
    op.create_table(
        "staff",
        sa.Column("id", sa.Integer(), nullable=False),
        *(
            sa.Column(name, sa.Text(), nullable=False)
            for name in ("name", "key", "role", "password_hash", "code_key")
        ),
        sa.Column("code_since", sa.Text()),
        sa.Column("code_last", sa.BigInteger(), nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("link", "link_until", "made")),
        sa.Column("closed", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff")),
        sa.UniqueConstraint("key", name=op.f("uq_staff_key")),
    )
    op.create_table(
        "recovery_code",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_recovery_code")),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_recovery_code_staff_id")),
    )
    op.create_index("ix_recovery_code_staff_id", "recovery_code", ["staff_id"])
    op.create_table(
        "sign_in_try",
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("wrong", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("about", name=op.f("pk_sign_in_try")),
    )
    op.create_index("ix_sign_in_try_at", "sign_in_try", ["at"])
    op.add_column("desk_session", sa.Column("staff_id", sa.Integer()))
    op.add_column(
        "desk_session", sa.Column("browser", sa.Text(), nullable=False, server_default="")
    )
    op.create_index("ix_desk_session_staff_id", "desk_session", ["staff_id"])
