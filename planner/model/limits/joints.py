"""Joints: what a region takes in a week stays inside the coach's budget."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document import LimitUse, Plan
from planner.model.problem import JointBudget, Problem
from planner.model.program import Program, Terms, add


def rows(program: Program) -> None:
    """Σ g[e,r]·x[e,d] + elsewhere[r] ≤ G[r], grade-sets a week, for every region with a budget.

    No source gives a safe weekly number: G is the coach's choice. Grades above what a region allows never
    come this far (see `admission`). What was trained already stands, even above G. Above an easy share of G
    each grade-set has a price in the second aim.
    """
    settings = program.problem.settings
    for budget in program.problem.joints:
        terms: Terms = {}
        for candidate, session in program.pairs():
            grade = candidate.grades.get(budget.region, 0)
            if grade:
                add(terms, program.sets(candidate.key, session.id, grade))
        if not terms:
            continue
        most = max(room(budget), grade_sets(program.problem, program.problem.trained, budget.region))
        program.row(f"joints:{budget.region}", dict(terms), high=most, unit="grade-sets")
        over = program.miss(f"joints_easy:{budget.region}", settings.price_joint)
        easy = max(0.0, settings.joint_easy_share * budget.allowed - budget.elsewhere)
        program.row(f"joints_easy:{budget.region}", add(terms, {over: -1.0}), high=easy, unit="grade-sets")


def room(budget: JointBudget) -> float:
    """Grade-sets left for these sessions."""
    return max(0.0, budget.allowed - budget.elsewhere)


def grade_sets(problem: Problem, plan: Plan, region: str) -> float:
    """Grade-sets a week that a plan puts on a region, elsewhere not counted."""
    return sum(problem.candidate(key).grades.get(region, 0) * sets for (key, _), sets in plan.items())


def over_easy(problem: Problem, plan: Plan) -> float:
    """Grade-sets above the easy share, over all regions: the part that has a price."""
    share = problem.settings.joint_easy_share
    return sum(
        max(0.0, grade_sets(problem, plan, b.region) - max(0.0, share * b.allowed - b.elsewhere))
        for b in problem.joints
    )


def use(problem: Problem, plan: Plan) -> Iterator[LimitUse]:
    """Grade-sets of each region that has a budget."""
    for budget in problem.joints:
        used = grade_sets(problem, plan, budget.region) + budget.elsewhere
        grades = [grade for one in problem.candidates if (grade := one.grades.get(budget.region, 0))]
        yield LimitUse(
            limit=f"joints:{budget.region}",
            used=used,
            allowed=budget.allowed,
            unit="grade-sets",
            binds=used + min(grades, default=1) > budget.allowed,
        )
