"""A given name that is written short, as "Wm.", is matched and found as the whole name: the keys and the look-up index are made anew."""

revision = "0026"
down_revision = "0025"


def upgrade() -> None:
    """No table changes: whoever brings a roster up to date makes both anew after all of these."""
