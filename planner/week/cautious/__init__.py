"""Cautious weeks: the dose of the bad draws is made as good as it can be, beside the plain plan."""
