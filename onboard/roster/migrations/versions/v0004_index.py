"""The look-up index: by which words, mailboxes, handles and phones somebody is found."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "index_owner",
        sa.Column(
            "doc",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            autoincrement=False,
            nullable=False,
        ),
        sa.Column("facts", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("doc", name=op.f("pk_index_owner")),
    )
    op.create_table(
        "index_site",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_index_site")),
        sa.UniqueConstraint("name", name=op.f("uq_index_site_name")),
    )
    op.create_table(
        "index_word",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_index_word")),
        sa.UniqueConstraint("text", name=op.f("uq_index_word_text")),
    )
    op.create_table(
        "index_near",
        sa.Column("key", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("word", sa.Integer(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("key", "word", name=op.f("pk_index_near")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "index_place",
        sa.Column("place", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("doc", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("place", "doc", name=op.f("pk_index_place")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "index_pair",
        sa.Column("pair", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("doc", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("pair", "doc", name=op.f("pk_index_pair")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "index_written",
        sa.Column("turned", sa.Boolean(), autoincrement=False, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("doc", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("turned", "text", "doc", name=op.f("pk_index_written")),
        sqlite_with_rowid=False,
    )
