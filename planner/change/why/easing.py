"""One thing that could be eased: in words, with the file and key where it stands, and what the week is then."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.model.problem import Problem

BRIEF, GYM, SWAP = "brief.toml", "gym.toml", "planner swap"


@dataclass(frozen=True)
class Easing:
    """`name` is its own; `file` and `where` say where it stands and what would ease it; `problem` builds that week.

    `forgets` are parts of the names of goals ("spread", a head) whose own price is no gain: they are what is
    dropped. `loosens_dose` is False where the first aim cannot gain: no hard limit and no dose is eased.
    `less_than` names an easing that allows all of this one and more: if that gives nothing, neither does this.
    `medical`: not the coach's to decide alone.
    """

    name: str
    words: str
    file: str
    where: str
    problem: Callable[[], Problem]
    forgets: tuple[str, ...] = ()
    loosens_dose: bool = True
    less_than: str = ""
    medical: bool = False

    def forgotten(self, goal: str) -> bool:
        """Whether a goal is (part of) what is dropped."""
        return not set(self.forgets).isdisjoint(goal.split(":"))


def built(change: Callable[..., Inputs], *arguments: Any) -> Callable[[], Problem]:
    """Build the week of changed inputs, once it is asked for."""
    return lambda: build_problem(change(*arguments))


def with_brief(inputs: Inputs, **changes: object) -> Inputs:
    """Give inputs with parts of the brief replaced, the file untouched."""
    return replace(inputs, brief=inputs.brief.model_copy(update=changes))


def with_method(inputs: Inputs, **values: float) -> Inputs:
    """Give inputs with other defaults of the week's method."""
    return replace(inputs, week=replace(inputs.week, **values))  # type: ignore[arg-type]
