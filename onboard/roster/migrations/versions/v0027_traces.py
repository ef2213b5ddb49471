"""What knows the forms and remarks again that were deleted has a table of its own, with more than one digest."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"


def upgrade() -> None:
    op.create_table(
        "trace",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("salt", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("answers", sa.JSON(none_as_null=True)),
        sa.Column("places", sa.JSON(none_as_null=True)),
        sa.Column("day", sa.Text()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trace")),
    )
    row = sa.table(
        "row",
        sa.column("key", sa.Text),
        sa.column("statement", sa.Text),
        sa.column("decision", sa.Text),
    )
    trace = sa.table("trace", sa.column("salt", sa.Text), sa.column("digest", sa.Text))
    gone = (row.c.decision == "forgotten") & row.c.statement.is_not(None)
    for key, traces in (
        op.get_bind().execute(sa.select(row.c.key, row.c.statement).where(gone)).all()
    ):
        for digest in traces.split():
            op.execute(trace.insert().values(salt=key, digest=digest))
    op.execute(row.update().where(gone).values(statement=None))
