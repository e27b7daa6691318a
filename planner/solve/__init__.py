"""Solving: the wrapper that tells the truth about the solver, the one-piece program, and the fast way."""
