"""Swap: re-plan the week in force after something has changed, moving as little as possible."""
