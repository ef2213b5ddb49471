"""The porch: where people join. A page with the form, and an interface for the co-op's own page.

It reads the settings and adds to a spool (`onboard.spool`), and knows nothing else: no roster, no member. So it answers
the same, and as fast, whoever asks about whom.
"""
