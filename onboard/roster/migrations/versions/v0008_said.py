"""What old rosters said of members: birth dates, notes, and the doubts that still stand."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"

TEXTS = ("email", "phone", "site", "language")
LISTS = {
    "name": "name",
    "address": "address",
    "place": "address",
    **dict.fromkeys(("full_name", "given", "middle", "family", "suffix"), "name"),
    **dict.fromkeys(("number", "street", "unit", "city", "state", "zip", "last_line"), "address"),
}

# Doubts about a member's columns that nobody changed since the row made the member.
DOUBTS = """
    SELECT finding.id, member.{column}
    FROM finding JOIN "row" ON "row".key = finding.row_key JOIN member ON member.id = "row".member_id
    WHERE finding.weight <> 'mended' AND "row".decision = 'enrol' AND NOT EXISTS (
        SELECT 1 FROM applied_change WHERE applied_change.member_id = member.id
            AND applied_change.field = '{column}' AND applied_change.undone_at IS NULL)
    AND finding.field IN ({fields})
"""


def upgrade() -> None:
    op.add_column("member", sa.Column("born", sa.Text(), nullable=True))
    op.add_column("member", sa.Column("notes", sa.Text(), nullable=False, server_default=""))
    op.add_column("finding", sa.Column("understood", sa.JSON(), nullable=True))
    by_column: dict[str, list[str]] = {column: [column] for column in TEXTS}
    for field, column in LISTS.items():
        by_column.setdefault(column, []).append(field)
    connection = op.get_bind()
    keep = sa.text("UPDATE finding SET understood = :said WHERE id = :id").bindparams(
        sa.bindparam("said", type_=sa.JSON())
    )
    for column, fields in by_column.items():
        named = ", ".join(f"'{field}'" for field in fields)
        kind = sa.Text() if column in TEXTS else sa.JSON()
        query = sa.text(DOUBTS.format(column=column, fields=named)).columns(**{column: kind})
        lines = [
            {"id": line.id, "said": [getattr(line, column)]} for line in connection.execute(query)
        ]
        if lines:
            connection.execute(keep, lines)
