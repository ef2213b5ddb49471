"""A row is known again by what it says of the person, and says so of the row that came first."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    op.add_column("row", sa.Column("statement", sa.Text(), nullable=True))
    op.add_column("row", sa.Column("again_of", sa.Text(), nullable=True))
    op.create_index(op.f("ix_row_statement"), "row", ["statement"], unique=False)
    op.create_index(op.f("ix_row_again_of"), "row", ["again_of"], unique=False)
