"""The one way to the solver: HiGHS, through PuLP; nothing else imports either.

PuLP alone calls a solve "Optimal" that ran out of time, stumbles over a node limit, hands back no bound and takes no
start: a small subclass reads all of that from the solver itself.
"""

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import highspy
import numpy as np
import pulp

from library.errors import SolverFault
from planner.method import SEARCH
from planner.model.program import INFINITE, Row, Terms, Variable
from planner.solve.search import Answer, Ending, Point, Stops

THREADS = 1  # another count inside one process makes HiGHS fail; parallelism is by process
QUICK = {  # for small programs whose linear bound is tight already: without what costs most and is not needed there
    "mip_allow_restart": False,
    "mip_detect_symmetry": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_heuristic_run_shifting": True,
    "mip_pool_soft_limit": 500,  # cuts kept, our choice, tried on 40 seeded weeks
}
FEASIBLE_POINT = 2  # HiGHS's code for "the primal solution is feasible"
_STATUS = highspy.HighsModelStatus
ENDINGS: Mapping[Any, Ending] = {
    _STATUS.kOptimal: Ending.OPTIMAL, _STATUS.kModelEmpty: Ending.OPTIMAL,
    _STATUS.kInfeasible: Ending.INFEASIBLE, _STATUS.kUnboundedOrInfeasible: Ending.INFEASIBLE,
    _STATUS.kUnbounded: Ending.UNBOUNDED, _STATUS.kSolutionLimit: Ending.NODES,
    _STATUS.kIterationLimit: Ending.NODES, _STATUS.kObjectiveBound: Ending.NODES,
    _STATUS.kObjectiveTarget: Ending.TARGET, _STATUS.kTimeLimit: Ending.SECONDS,
    _STATUS.kInterrupt: Ending.SECONDS,
}  # fmt: skip


class Solver(pulp.HiGHS):  # type: ignore[misc]
    """HiGHS through PuLP, with a start and an honest end."""

    def __init__(self, stops: Stops, start: Sequence[float] | None = None) -> None:
        super().__init__(
            msg=False, threads=THREADS, gapAbs=stops.gap, gapRel=0.0,
            timeLimit=max(0.0, stops.seconds) * SEARCH.longest_wait, mip_max_nodes=stops.nodes,
            objective_target=stops.target, random_seed=0, **(QUICK if stops.quick else {}),
            mip_heuristic_run_root_reduced_cost=not stops.held,
        )  # fmt: skip
        self.start, self.seconds = start, stops.seconds
        self.answer: Answer | None = None

    def buildSolverModel(self, lp: Any) -> None:
        """Hand the program over at once: column by column and row by row takes as long as a small solve.

        A column's or row's `index` is its place.
        """
        variables, model = lp.variables(), lp.solverModel
        for place, variable in enumerate(variables):
            variable.index = place
        columns = np.arange(len(variables), dtype=np.int32)
        bounds = np.array([_bounds(one.lowBound, one.upBound) for one in variables])
        low, high = bounds.reshape(-1, 2).T.copy()
        model.addVars(len(variables), low, high)
        costs = np.array([lp.objective.get(variable, 0.0) for variable in variables], dtype=float)
        model.changeColsCost(len(variables), columns, costs)
        whole = np.array([one.index for one in variables if one.cat == pulp.LpInteger], dtype=np.int32)
        kinds = np.full(len(whole), int(highspy.HighsVarType.kInteger), dtype=np.uint8)
        model.changeColsIntegrality(len(whole), whole, kinds)
        starts, places, values, limits = [], [], [], []  # type: ignore[var-annotated]
        for place, row in enumerate(lp.constraints()):
            row.index = place
            starts.append(len(places))
            limits.append(_bounds(row.getLb(), row.getUb()))
            terms = {variable.index: value for variable, value in row.items() if value}
            places += terms
            values += terms.values()
        least, most = np.array(limits).reshape(-1, 2).T.copy()
        model.addRows(len(limits), least, most, len(places), starts, places, values)

    def callSolver(self, lp: Any) -> None:
        """Hand over the start, if there is one, and run; without presolve again where it left the end open."""
        if self.start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = list(self.start)
            lp.solverModel.setSolution(solution)
        lp.solverModel.cbMipInterrupt += _stop_after(self.seconds)
        lp.solverModel.run()
        if lp.solverModel.getModelStatus() == _STATUS.kUnboundedOrInfeasible:
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
        found = info.primal_solution_status == FEASIBLE_POINT and ending is not Ending.UNBOUNDED
        value = float(info.objective_function_value) if found else INFINITE
        self.answer = Answer(
            ending=ending, values=list(model.getSolution().col_value) if found else None, value=value,
            bound=_bound(ending, info, value, whole=any(v.cat == pulp.LpInteger for v in lp.variables())),
            seconds=0.0, nodes=max(0, int(info.mip_node_count)),
        )  # fmt: skip
        return _pulp_status(ending, found=found)


def _stop_after(seconds: float) -> Callable[[Any], None]:
    """What the solver asks as it goes on: whether its processor seconds are used up, however busy the machine is."""
    last = time.thread_time() + seconds

    def ask(event: Any) -> None:
        event.data_in.user_interrupt = time.thread_time() > last

    return ask


def _bounds(low: float | None, high: float | None) -> tuple[float, float]:
    return -INFINITE if low is None else low, INFINITE if high is None else high


def _bound(ending: Ending, info: Any, value: float, *, whole: bool) -> float:
    """Give the proven lower bound of a minimization: the dual bound of a tree, or a linear optimum itself."""
    if ending is Ending.INFEASIBLE:
        return INFINITE
    if ending is Ending.UNBOUNDED:
        return -INFINITE
    if whole:
        return min(float(info.mip_dual_bound), value)
    return value if ending is Ending.OPTIMAL else -INFINITE


def _pulp_status(ending: Ending, *, found: bool) -> tuple[int, int]:
    """Translate an ending into PuLP's two status numbers, without calling a stopped solve optimal."""
    if ending is Ending.OPTIMAL:
        return pulp.LpStatusOptimal, pulp.LpSolutionOptimal
    if ending is Ending.INFEASIBLE:
        return pulp.LpStatusInfeasible, pulp.LpSolutionInfeasible
    if ending is Ending.UNBOUNDED:
        return pulp.LpStatusUnbounded, pulp.LpSolutionUnbounded
    kind = pulp.LpSolutionIntegerFeasible if found else pulp.LpSolutionNoSolutionFound
    return pulp.LpStatusNotSolved, kind


def solve(lp: pulp.LpProblem, stops: Stops, start: Sequence[float] | None = None) -> Answer:
    """Minimize a PuLP program and tell how it ended; seconds are wall time, building the solver's model included.

    Raises SolverFault if the solver ends in a way that says nothing.
    """
    solver, began = Solver(stops, start), time.perf_counter()
    lp.solve(solver)
    lp.solverModel = None  # tens of MB: not kept until the program itself goes
    if solver.answer is None:
        raise SolverFault("The solver gave no answer.")
    return Answer(**{**vars(solver.answer), "seconds": time.perf_counter() - began})


class IntegerProgram:
    """Columns and rows handed to PuLP once, with running numbers for names; minimized for one aim at a time."""

    def __init__(self, variables: Mapping[int, Variable], rows: Iterable[Row]) -> None:
        self.lp = pulp.LpProblem("week", pulp.LpMinimize)
        self.row_count = 0
        self.numbers = list(variables)
        self.columns = {
            number: self.lp.add_variable(
                f"v{place:06d}",
                column.low,
                None if column.high == INFINITE else column.high,
                pulp.LpInteger if column.whole else pulp.LpContinuous,
            )
            for place, (number, column) in enumerate(variables.items())
        }
        self.lp.addVariables(self.columns.values())
        for row in rows:
            self.add_row(row)

    def add_row(self, row: Row) -> None:
        """Add low ≤ Σ terms ≤ high, over the columns that are here; a row that these cannot break is left out."""
        terms = {at: value for at, value in row.terms.items() if at in self.columns}
        if not can_be_broken(terms, row.low, row.high):
            return
        self.row_count += 1
        name, expression = f"r{self.row_count:06d}", self._expression(terms)
        if row.low > -INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintGE, f"{name}l", row.low))
        if row.high < INFINITE:
            self.lp.addConstraint(pulp.LpConstraint(expression, pulp.LpConstraintLE, f"{name}h", row.high))

    def _expression(self, terms: Terms) -> pulp.LpAffineExpression:
        columns = self.columns
        return pulp.LpAffineExpression([(columns[at], value) for at, value in terms.items() if at in columns])

    def minimize(
        self, terms: Terms, stops: Stops, start: Point | None = None
    ) -> tuple[Answer, dict[int, float]]:
        """Minimize Σ terms: the answer, and its point by column number (empty if none was found)."""
        self.lp.setObjective(self._expression(terms))
        values = None if start is None else [start.get(number, 0.0) for number in self.numbers]
        answer = solve(self.lp, stops, values)
        return answer, dict(zip(self.numbers, answer.values or (), strict=False))


def can_be_broken(terms: Terms, low: float, high: float) -> bool:
    """Whether low ≤ Σ terms ≤ high says anything of columns that are never negative: some term must pull that way."""
    too_little = low > 0 or (low > -INFINITE and any(value < 0 for value in terms.values()))
    too_much = high < 0 or (high < INFINITE and any(value > 0 for value in terms.values()))
    return too_little or too_much
