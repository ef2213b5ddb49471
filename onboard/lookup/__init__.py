"""A member found by whatever a caller says: what is known, what was said, how well they go together."""
