"""The planner's own errors: one class a cause, one exit code a class of cause. 0 done · 2 a file or option is wrong ·
3 no week can satisfy what must hold · 4 the PDF could not be made · 1 a fault of ours. Nothing here carries a
traceback to the user."""

from library.errors import PlannerError


class NoWeekPossible(PlannerError):
    """What must hold cannot hold together (exit 3); the message names the rules that clash."""

    exit_code = 3


class NotCleared(PlannerError):
    """An operation stands in the history without clearance by a doctor (exit 3)."""

    exit_code = 3


class PaperNotMade(PlannerError):
    """The PDF could not be made (exit 4); `html` is what the caller writes in its place."""

    exit_code = 4

    def __init__(self, message: str, html: str = "") -> None:
        super().__init__(message)
        self.html = html


class SolverFault(PlannerError):
    """The solver ended in a way that says nothing about the week: a fault of ours (exit 1)."""


class BrokenPlan(PlannerError):
    """The recheck found a plan that breaks a hard limit or misstates a number: a fault of ours (exit 1)."""
