"""The goals: one file a goal, missed only for a stated price, each miss named in the plan.

Each module says its inequality and has `rows(program)` (adds it with its price) and `missed(problem, plan)`
(names what a plan misses, from the plan alone). `dose` carries the first aim, all others the second.
"""

from planner.model.goals import (
    ceiling,
    direct,
    dose,
    families,
    heavy_days,
    implements,
    new_exercises,
    prefer,
    rotation,
    session_cap,
    share,
    spread,
)

GOALS = (
    dose,
    ceiling,
    direct,
    session_cap,
    spread,
    heavy_days,
    share,
    implements,
    families,
    rotation,
    new_exercises,
    prefer,
)
