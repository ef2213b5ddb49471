"""Changes made together and taken back, accounts merged or closed, what the page was told, whom we forgot."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("member", sa.Column("closed", sa.Text(), nullable=True))
    op.add_column("member", sa.Column("merged_into", sa.Integer(), nullable=True))
    op.create_index(op.f("ix_member_merged_into"), "member", ["merged_into"], unique=False)
    with op.batch_alter_table("handle") as handle:
        handle.alter_column("member_id", existing_type=sa.Integer(), nullable=True)
    # SQLite changes a column by making the table anew, which lines that point to it forbid.
    op.execute("CREATE TABLE person_key_meanwhile AS SELECT * FROM person_key")
    op.execute("DELETE FROM person_key")
    with op.batch_alter_table("person") as person:
        person.alter_column("row_key", existing_type=sa.Text(), nullable=True)
    op.execute("INSERT INTO person_key SELECT * FROM person_key_meanwhile")
    op.execute("DROP TABLE person_key_meanwhile")
    op.create_table(
        "applied",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_applied")),
    )
    op.create_table(
        "applied_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("applied_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("undone_at", sa.Text(), nullable=True),
        sa.Column("undone_by", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["applied_id"], ["applied.id"], name=op.f("fk_applied_change_applied_id")
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_applied_change_member_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_applied_change")),
    )
    op.create_index(
        op.f("ix_applied_change_applied_id"), "applied_change", ["applied_id"], unique=False
    )
    op.create_index(
        "ix_applied_change_member_id_field", "applied_change", ["member_id", "field"], unique=False
    )
    op.create_table(
        "exported",
        sa.Column("member_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("account", sa.JSON(), nullable=False),
        sa.Column("page_id", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("member_id", name=op.f("pk_exported")),
    )
    op.create_table(
        "forgotten",
        sa.Column("member_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("removed", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("member_id", name=op.f("pk_forgotten")),
    )
