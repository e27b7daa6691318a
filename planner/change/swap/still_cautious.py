"""What a swap leaves of a cautious week: figures stand while the plan does, and go with the first set that moves."""

from __future__ import annotations

from collections.abc import Mapping

from planner.change.swap.replan import Replanned, made_alike
from planner.change.swap.standing import Standing
from planner.document import Caution, WeekDocument, plan_of

FIGURES = ("cautious", "proof", "status")  # the proof of a cautious week is of its shortfall


def with_figures(
    replanned: Replanned, standing: Standing, earlier: Mapping[str, WeekDocument]
) -> WeekDocument:
    """Give the re-planned week with the figures of the cautious week whose plan it is; else as it is.

    Days that are over only take away from what else could be planned, so figures and bounds hold still.
    """
    document = replanned.document
    source = earlier[replanned.back_to] if replanned.back_to else standing.in_force
    if source.cautious is None or plan_of(source) != plan_of(document):
        return document
    if not replanned.back_to and not _unchanged(document, standing):
        return document
    return document.model_copy(update={name: getattr(source, name) for name in FIGURES})


def _unchanged(document: WeekDocument, standing: Standing) -> bool:
    """Whether files, method and changes are those that the week in force was judged under."""
    before = standing.in_force
    return (
        made_alike(before, standing.asked.inputs)
        and document.changes == before.changes
        and document.made_with.method == before.made_with.method
    )


def no_longer_cautious(week: str, caution: Caution) -> str:
    """Say that a cautious week is planned plainly from here on: what was judged was another week."""
    return (
        f"{week} was planned cautiously. What stays of it stays; what moves is planned by the plain dose, and nothing "
        f"is said any more of its bad cases. To plan it cautiously anew: planner week --week {week} "
        f"--cautious {caution.level:g}"
    )
