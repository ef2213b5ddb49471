"""The last audit: what it came to, each of its findings, and what became of it."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("is_whole", sa.Boolean(), nullable=False),
        sa.Column("told", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    op.create_table(
        "audit_finding",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("audit_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("owner", sa.Text(), nullable=False),
        sa.Column("others", sa.JSON(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("handle", sa.Text(), nullable=False),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("change", sa.JSON(none_as_null=True)),
        sa.Column("key", sa.JSON(), nullable=False),
        sa.Column("is_new", sa.Boolean(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("applied", sa.Integer()),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["audit_id"], ["audit.id"], name=op.f("fk_audit_finding_audit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit_finding")),
    )
    for name, columns in (
        ("ix_audit_finding_owner", ["owner"]),
        ("ix_audit_finding_applied", ["applied"]),
        ("ix_audit_finding_audit_id_code_state_id", ["audit_id", "code", "state", "id"]),
        ("ix_audit_finding_audit_id_state_code", ["audit_id", "state", "code"]),
    ):
        op.create_index(name, "audit_finding", columns)
