"""Words and written things are asked for by how they begin: on a server too, in the order of their bytes."""

from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    if op.get_context().dialect.name == "postgresql":  # SQLite compares bytes anyway
        for table in ("index_word", "index_written"):
            op.execute(f'ALTER TABLE {table} ALTER COLUMN text TYPE text COLLATE "C"')
