"""The hard limits: one file a limit, never broken by any plan.

Each module says its inequality and has `rows(program)` (adds it to the program) and `use(problem, plan)`
(how much of it a plan uses). A limit that only takes exercises out has `lacks` or `reason` instead and
stands in `admission`.
"""

from planner.model.limits import blocks, exercises, held, joints, session_hard_cap, time, trapezius

LIMITS = (time, blocks, exercises, held, joints, session_hard_cap, trapezius)
