"""A block: several weeks planned at once, the same exercises in each."""
