"""Solving: one module speaks to the solver, one piece as the plain way, session patterns as the fast one."""
