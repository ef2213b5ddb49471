"""Members are found by the town that their address names, too, and more French names by ear: the look-up index is made anew."""

revision = "0025"
down_revision = "0024"


def upgrade() -> None:
    """No table changes: whoever brings a roster up to date makes the index anew after all of these."""
