"""Solving: one module speaks to the solver, one searches for an aim, one solves a week of both aims."""
