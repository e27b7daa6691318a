"""A toy integer program through the very path that plans a week; run as a process of its own.

Maximize 5x + 4y with 6x + 4y ≤ 24, x + 2y ≤ 6, whole numbers: 20 at (4, 0), by hand. Without the whole
numbers it would be 21 at (3, 1.5), so a solver that forgets them is found out.
"""

import json
import sys
from importlib.metadata import version

OPTIMUM = 20.0
TOLERANCE = 1e-6


def solve_toy() -> dict[str, object]:
    """Solve the program; give its ending, value and bound (of the maximization) and the versions used."""
    import pulp

    from planner.solve.solver import Stops, solve

    program = pulp.LpProblem("toy", pulp.LpMinimize)
    x, y = (pulp.LpVariable(name, 0, 10, pulp.LpInteger) for name in ("x", "y"))
    program.setObjective(-5 * x - 4 * y)
    program.addConstraint(6 * x + 4 * y <= 24)
    program.addConstraint(x + 2 * y <= 6)
    answer = solve(program, Stops(gap=TOLERANCE, nodes=1000, seconds=60))
    return {
        "ending": answer.ending.value,
        "value": -answer.value,
        "bound": -answer.bound,
        "solver": f"HiGHS {version('highspy')} through PuLP {version('pulp')}",
    }


if __name__ == "__main__":
    # the answer goes to stderr: whatever then stands on stdout is a banner
    json.dump(solve_toy(), sys.stderr)
