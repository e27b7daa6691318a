"""The training log: one line a set, how it is taken in, asked for and kept."""
