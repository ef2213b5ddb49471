"""One list of everything told to a member, in place of two columns and a table of notices."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"

NOT_OUT = "what = 'packet' AND state IN ('due', 'waiting', 'written', 'claimed')"

BY_EMAIL = "email <> '' AND (consent IS NULL OR consent)"

# When something was last journaled of the member; or else the day they joined.
LAST = """COALESCE((SELECT max(journal.at) FROM journal
    WHERE journal.about = 'member:' || member.id AND journal.what = {what}), member.joined)"""


def upgrade() -> None:
    op.create_table(
        "outgoing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("made", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("file", sa.Text(), nullable=False),
        sa.Column("letter", sa.Text(), nullable=False),
        sa.Column("claim", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["member_id"], ["member.id"], name=op.f("fk_outgoing_member_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outgoing")),
    )
    op.execute(f"""
        INSERT INTO outgoing
            (member_id, what, way, state, made, at, file, letter, claim, why)
        SELECT id, 'packet',
            CASE WHEN {BY_EMAIL} THEN 'email' ELSE 'letter' END,
            CASE packet WHEN 'barred' THEN 'waiting' ELSE packet END,
            {LAST.format(what="CASE packet WHEN 'barred' THEN 'packet barred' ELSE 'packet due' END")},
            {LAST.format(what="'packet ' || member.packet")},
            CASE WHEN packet IN ('due', 'barred') THEN ''
                WHEN {BY_EMAIL} THEN handle || '.eml' ELSE COALESCE(letters, '') END,
            CASE WHEN packet IN ('due', 'barred') THEN '' ELSE COALESCE(letters, '') END,
            '', ''
        FROM member WHERE packet <> 'none' ORDER BY id
    """)
    op.execute("""
        INSERT INTO outgoing
            (member_id, what, way, state, made, at, file, letter, claim, why)
        SELECT member_id, 'notice',
            CASE WHEN file LIKE '%.eml' THEN 'email' ELSE 'letter' END,
            stands, at, at, file, '', '', ''
        FROM notice ORDER BY id
    """)
    op.create_index(op.f("ix_outgoing_member_id"), "outgoing", ["member_id"], unique=False)
    op.create_index(
        "ix_outgoing_what_state_member_id", "outgoing", ["what", "state", "member_id"], unique=False
    )
    op.create_index(
        "ix_outgoing_packet_not_out", "outgoing", ["member_id"], unique=True,
        sqlite_where=sa.text(NOT_OUT), postgresql_where=sa.text(NOT_OUT),
    )  # fmt: skip
    op.drop_table("notice")
    op.drop_index("ix_member_packet", "member")
    op.drop_column("member", "packet")
    op.drop_column("member", "letters")
