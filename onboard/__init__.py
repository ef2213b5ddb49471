"""Join forms to working accounts, and a roster that stays healthy."""
