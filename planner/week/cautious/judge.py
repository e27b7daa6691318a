"""A cautious week beside the plain one, judged on draws that neither was planned on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.document import CautiousHead, HeadBets, PlainBlock, Plan, PlanFigures
from planner.model.aims import rest_value
from planner.model.limits.time import seconds_used
from planner.model.problem import HeadGoal, Problem, dose_of
from planner.week.cautious.draws import Draws, sets_a_week
from planner.week.cautious.shortfall import expected_shortfall, priced
from planner.week.plan import Asked
from planner.week.sure import Sureness, draw_doses

SECONDS_A_MINUTE = 60


@dataclass(frozen=True)
class Judge:
    """What plans are judged by: the question, the judging draws of all heads together, and the level."""

    asked: Asked
    problem: Problem
    draws: Draws
    level: float

    def figures(self, plan: Plan, own_shortfall: float) -> PlanFigures:
        """Judge a plan as a whole."""
        used = [seconds_used(self.problem, plan, one.id) for one in self.problem.sessions]
        warmup = self.problem.settings.general_warmup_minutes
        judged = priced(self.problem, self.draws, sets_a_week(plan)).values
        return PlanFigures(
            own_shortfall=round(own_shortfall, 3),
            judged_shortfall=round(expected_shortfall(judged, self.level), 3),
            sets=sum(plan.values()),
            exercises=len({key for key, _ in plan}),
            minutes=round(sum(seconds / SECONDS_A_MINUTE + warmup for seconds in used if seconds), 1),
            priced_minutes=round(rest_value(self.problem, plan), 1),
        )

    def heads(
        self, plain: Plan, cautious: Plan, sure: tuple[Mapping[str, Sureness], Mapping[str, Sureness]]
    ) -> tuple[CautiousHead, ...]:
        """Judge both plans head by head; `sure` is what is printed of each anyway."""
        return tuple(
            CautiousHead(
                head=goal.head,
                plain=self._bets(plain, goal, sure[0][goal.head]),
                cautious=self._bets(cautious, goal, sure[1][goal.head]),
            )
            for goal in self.problem.heads
        )

    def _bets(self, plan: Plan, goal: HeadGoal, sure: Sureness) -> HeadBets:
        # the draws of each head's interval and chances, so that one page says one thing
        doses = draw_doses(self.asked.inputs, self.asked.pooled[goal.head], sets_a_week(plan))
        gives = gives_of(self.problem, plan, goal.head)
        largest = max(gives, key=lambda key: gives[key], default="")
        return HeadBets(
            dose=round(goal.elsewhere + dose_of(self.problem, plan, goal.head), 3),
            mean=round(float(np.mean(doses)), 3),
            bad=round(-expected_shortfall(-doses, self.level), 3),
            chance_floor=round(sure.chance_floor, 4),
            chance_target90=round(sure.chance_target90, 4),
            exercises=len(gives),
            largest=largest,
            largest_share=round(gives[largest] / sum(gives.values()), 4) if gives else 0.0,
        )


def gives_of(problem: Problem, plan: Plan, head: str) -> dict[str, float]:
    """Direct sets a week that each exercise gives a head, those that give none left out."""
    gives = {
        key: sets * problem.candidate(key).credits.get(head, 0.0) for key, sets in sets_a_week(plan).items()
    }
    return {key: dose for key, dose in gives.items() if dose > 0}


def plain_blocks(asked: Asked, problem: Problem, plan: Plan) -> tuple[PlainBlock, ...]:
    """List the plain plan, session by session in library order."""
    days = [one.id for one in problem.sessions]
    ordered = sorted(plan, key=lambda pair: (days.index(pair[1]), problem.candidate(pair[0]).place))
    exercises = asked.inputs.library.exercises
    return tuple(
        PlainBlock(session=day, exercise=key, name=exercises[key].name, sets=plan[key, day])
        for key, day in ordered
    )
