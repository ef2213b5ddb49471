"""The look-up index knows towns, units, Jr and Sr, and the year of joining: it is made anew."""

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    """No table changes: bringing a roster up to date makes the index again."""
