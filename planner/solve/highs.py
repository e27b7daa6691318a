"""One small subclass of PuLP's HiGHS that tells the truth: status, value, bound, and whether a plan was found.

PuLP alone calls a solve "Optimal" that ran out of time, stumbles over a node limit and hands back no bound.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

import highspy
import pulp

from planner.errors import SolverFault
from planner.solve.hand_over import THREADS, hand_over

QUICK = {  # for small programs whose linear bound is tight already: without what costs most and is not needed there
    "mip_allow_restart": False,
    "mip_detect_symmetry": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_shifting": True,
    "mip_pool_soft_limit": 500,  # cuts kept, our choice, tried on 40 seeded weeks
}
FEASIBLE_POINT = 2  # HiGHS's code for "the primal solution is feasible"


class Ending(Enum):
    """How a solve ended."""

    OPTIMAL = "optimal"  # value and bound have met, within the gap asked for
    INFEASIBLE = "infeasible"  # proven: no point satisfies the rows
    UNBOUNDED = "unbounded"
    TARGET = "a point at least as good as asked for was found"
    NODES = "node budget used up"
    SECONDS = "emergency stop"


ENDINGS: Mapping[Any, Ending] = {
    highspy.HighsModelStatus.kOptimal: Ending.OPTIMAL,
    highspy.HighsModelStatus.kModelEmpty: Ending.OPTIMAL,
    highspy.HighsModelStatus.kInfeasible: Ending.INFEASIBLE,
    highspy.HighsModelStatus.kUnboundedOrInfeasible: Ending.INFEASIBLE,
    highspy.HighsModelStatus.kUnbounded: Ending.UNBOUNDED,
    highspy.HighsModelStatus.kSolutionLimit: Ending.NODES,
    highspy.HighsModelStatus.kIterationLimit: Ending.NODES,
    highspy.HighsModelStatus.kObjectiveBound: Ending.NODES,
    highspy.HighsModelStatus.kObjectiveTarget: Ending.TARGET,
    highspy.HighsModelStatus.kTimeLimit: Ending.SECONDS,
    highspy.HighsModelStatus.kInterrupt: Ending.SECONDS,
}


@dataclass(frozen=True)
class Stops:
    """When a solve may end: absolute gap in the objective's unit, nodes, seconds as an emergency stop, a good value."""

    gap: float
    nodes: int
    seconds: float
    target: float = float("-inf")
    quick: bool = False
    rins: bool = False  # with `quick`: look around good points all the same


@dataclass(frozen=True)
class Answer:
    """What the solver found: `values` by column number (None: no point), value and bound of the objective."""

    ending: Ending
    values: Sequence[float] | None
    value: float
    bound: float
    seconds: float
    nodes: int
    duals: Sequence[float] = ()


class Solver(pulp.HiGHS):  # type: ignore[misc]
    """HiGHS through PuLP, with a start and an honest end."""

    def __init__(self, stops: Stops, *, mip: bool = True, start: Sequence[float] | None = None) -> None:
        super().__init__(
            mip=mip,
            msg=False,
            threads=THREADS,
            gapAbs=stops.gap,
            gapRel=0.0,
            timeLimit=stops.seconds,
            mip_max_nodes=stops.nodes,
            objective_target=stops.target,
            random_seed=0,
            **(QUICK | {"mip_heuristic_run_rins": stops.rins} if stops.quick else {}),
        )
        self.start = start
        self.answer: Answer | None = None

    def buildSolverModel(self, lp: Any) -> None:
        """Hand the program over at once; a column's or row's `index` is its place."""
        variables, rows = lp.variables(), lp.constraints()
        for place, variable in enumerate(variables):
            variable.index = place
        bounds = [(low_of(variable.lowBound), high_of(variable.upBound)) for variable in variables]
        costs = [lp.objective.get(variable, 0.0) for variable in variables]
        whole = [one.index for one in variables if self.mip and one.cat == pulp.LpInteger]
        lines = []
        for place, row in enumerate(rows):
            row.index = place
            terms = {variable.index: value for variable, value in row.items() if value}
            lines.append((low_of(row.getLb()), high_of(row.getUb()), terms.keys(), terms.values()))
        hand_over(lp.solverModel, bounds, costs, lines, whole)

    def callSolver(self, lp: Any) -> None:
        """Hand over the start, if there is one, and run; without presolve again where it left the end open."""
        if self.start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = list(self.start)
            lp.solverModel.setSolution(solution)
        lp.solverModel.run()
        if lp.solverModel.getModelStatus() == highspy.HighsModelStatus.kUnboundedOrInfeasible:
            lp.solverModel.setOptionValue("presolve", "off")
            lp.solverModel.run()

    def findSolutionValues(self, lp: Any) -> tuple[int, int]:
        """Read status, point, value and bound from the solver itself and keep them in `answer`."""
        model = lp.solverModel
        status, info = model.getModelStatus(), model.getInfo()
        if status not in ENDINGS:
            raise SolverFault(
                f"The solver ended with {model.modelStatusToString(status)!r}, which says nothing."
            )
        ending = ENDINGS[status]
        solution = model.getSolution()
        found = info.primal_solution_status == FEASIBLE_POINT and ending is not Ending.UNBOUNDED
        values = list(solution.col_value) if found else None
        if values is not None:
            for variable in lp.variables():
                variable.varValue = values[variable.index]
        value = float(info.objective_function_value) if found else float("inf")
        self.answer = Answer(
            ending=ending,
            values=values,
            value=value,
            bound=bound_of(ending, info, value, mip=self.mip and any_whole(lp)),
            seconds=0.0,
            nodes=max(0, int(info.mip_node_count)),
            duals=list(solution.row_dual) if found else (),
        )
        return pulp_status(ending, found=found)


def low_of(bound: float | None) -> float:
    """Read a lower bound of PuLP's."""
    return float("-inf") if bound is None else bound


def high_of(bound: float | None) -> float:
    """Read an upper bound of PuLP's."""
    return float("inf") if bound is None else bound


def any_whole(lp: Any) -> bool:
    """Whether a program has a whole-number column at all."""
    return any(variable.cat == pulp.LpInteger for variable in lp.variables())


def bound_of(ending: Ending, info: Any, value: float, *, mip: bool) -> float:
    """Give the proven lower bound of a minimization: the dual bound of a tree, or a linear optimum itself."""
    if ending is Ending.INFEASIBLE:
        return float("inf")
    if ending is Ending.UNBOUNDED:
        return float("-inf")
    if mip:
        return min(float(info.mip_dual_bound), value)
    return value if ending is Ending.OPTIMAL else float("-inf")


def pulp_status(ending: Ending, *, found: bool) -> tuple[int, int]:
    """Translate an ending into PuLP's two status numbers, without calling a stopped solve optimal."""
    if ending is Ending.OPTIMAL:
        return pulp.LpStatusOptimal, pulp.LpSolutionOptimal
    if ending is Ending.INFEASIBLE:
        return pulp.LpStatusInfeasible, pulp.LpSolutionInfeasible
    if ending is Ending.UNBOUNDED:
        return pulp.LpStatusUnbounded, pulp.LpSolutionUnbounded
    kind = pulp.LpSolutionIntegerFeasible if found else pulp.LpSolutionNoSolutionFound
    return pulp.LpStatusNotSolved, kind


def solve(
    lp: pulp.LpProblem, stops: Stops, *, mip: bool = True, start: Sequence[float] | None = None
) -> Answer:
    """Minimize a PuLP program and tell how it ended; seconds are wall time, building the solver's model included.

    Raises SolverFault if the solver ends in a way that says nothing.
    """
    solver, began = Solver(stops, mip=mip, start=start), time.perf_counter()
    lp.solve(solver)
    if solver.answer is None:
        raise SolverFault("The solver gave no answer.")
    return Answer(**{**vars(solver.answer), "seconds": time.perf_counter() - began})
