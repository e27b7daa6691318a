"""Why: what holds a week back, and what easing each thing would give, by solving again."""
