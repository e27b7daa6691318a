"""How near is the same: a smaller difference is rounding, or does not show on paper.

No settings: they follow from how numbers are kept, solved and printed, and no plan is better or worse for them. The
recheck has its own.
"""

# on paper and at the terminal: half of the last decimal place, in the unit of what is printed
UNSHOWN = 0.05  # where one decimal is printed: sets, minutes, grade-sets
UNSHOWN_OF_TWO = 0.005  # where two are: the figures of a proof, in missed sets or minutes' worth

# in sums, in the unit of what is summed
ROUNDING = 1e-6  # of many credits, prices or loads, or what the solver gives back: it meets rows to within 1e-6 or less
LAST_DIGITS = 1e-9  # of a few numbers as binary keeps them: 0.1 + 0.2 is not 0.3

# in linear programs, in the program's own unit once it is scaled
LINEAR = 1e-7  # how far the solver may leave a column or a reduced cost from what it should be, HiGHS's own default
