"""One exercise's page (`planner library NAME`): how it is done, what it is worth, and all rows behind it.

Orderings that papers report without amplitudes pool nothing: an order has no size. The page says whether the
pooled numbers honour them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from library.credit import movers_credit
from library.method import CreditSettings, OrderingSettings
from library.read import Library
from library.schema import HIGHEST_GRADE, EvidenceRow, Exercise, Head, Ordering, Tempo
from library.table import credit_of

if TYPE_CHECKING:
    from library.pooled_head import PooledHead

LOAD_IS = {
    "each_hand": "load in each hand",
    "total": "total load with the bar",
    "stack": "the stack's number",
    "body": "body weight",
    "band": "a band",
}
ROUNDING = 1e-9  # a share or log ratio below it is arithmetic
SMALLEST_SHARE = 0.001  # rows with less are counted and not listed: a network ties every row to every other
NAMED_MOST = 3  # rows named as those that decide a contrast: one line of print
DECISIVE = 0.5  # of a contrast's weight: rows that hold so much of it decide it


@dataclass(frozen=True)
class Verdict:
    """Whether the pooled numbers honour one ordering (None: they cannot tell), and why."""

    ordering: Ordering
    honoured: bool | None
    why: str

    def __str__(self) -> str:
        words = {True: "honoured", False: "not honoured", None: "cannot be judged"}[self.honoured]
        return f"{words}: {self.why}"


def judge(ordering: Ordering, pooled: PooledHead, settings: OrderingSettings | None = None) -> Verdict:
    """Hold one ordering against the pooled log ratios of its head and their covariance."""
    missing = [name for name in (ordering.greater, ordering.lesser) if name not in pooled.exercises]
    if missing:
        return Verdict(ordering, None, f"the evidence gives {' and '.join(missing)} no number in this head")
    contrast = pooled.contrast(ordering.greater, ordering.lesser)
    difference = contrast.log_ratio
    half = (settings or OrderingSettings()).equal_within * contrast.standard_error
    low, high = math.exp(difference - half), math.exp(difference + half)
    why = f"pooled ratio {math.exp(difference):.2f} (90 % interval {low:.2f} to {high:.2f})"
    honoured = abs(difference) <= half if ordering.relation == "equal" else difference > ROUNDING
    return Verdict(ordering, honoured, why if honoured else f"{why}, by {_deciding(contrast.shares)}")


def _deciding(shares: Mapping[str, float]) -> str:
    """Name the rows that decide a contrast, as many as make `DECISIVE` of its weight, `NAMED_MOST` at most."""
    named, whole = [], 0.0
    for row, share in sorted(shares.items(), key=lambda item: -item[1])[:NAMED_MOST]:
        if whole < DECISIVE:
            named.append(f"{row} ({share:.0%})")
            whole += share
    return ", ".join(named)


def page_lines(
    library: Library,
    exercise: Exercise,
    pooled: Mapping[str, PooledHead],
    orderings: Iterable[Ordering],
    settings: CreditSettings,
) -> Iterator[str]:
    """Yield the lines of one exercise's page, for the heads in `pooled`."""
    from library.pool import echoes

    dropped = echoes(library.evidence)
    named = [order for order in orderings if exercise.key in (order.greater, order.lesser)]
    yield from _training_lines(library, exercise)
    yield from _stress_lines(library, exercise)
    for head in library.heads.values():
        if head.key in pooled:
            yield ""
            yield _number_line(library, exercise, head, settings)
            yield from _row_lines(library, exercise, pooled[head.key], dropped)
            for order in named:
                if order.head == head.key:
                    yield from _ordering_lines(library, order, pooled[head.key])
    yield ""
    yield "Activation is a selection aid; it is no forecast of growth. Coaching, not medical advice."


def _training_lines(library: Library, exercise: Exercise) -> Iterator[str]:
    yield f"{exercise.name}  [{exercise.key}]"
    if exercise.compare_only:
        yield "  for comparison only: never planned"
    needs = ", ".join(library.equipment[key].name for key in exercise.needs) or "nothing"
    family, implement = library.families[exercise.family].name, library.implements[exercise.implement].name
    yield f"  {family}; {implement}; needs {needs}"
    chosen = f"chosen for {library.heads[exercise.trains].name}" if exercise.trains else "only helps"
    reason = f": {exercise.skill_reason}" if exercise.skill_reason else ""
    yield f"  {chosen}; skill {exercise.skill} of 3{reason}"
    yield f"  position: {exercise.position}"
    if exercise.line_of_pull:
        yield f"  line of pull: {exercise.line_of_pull}"
    if exercise.top_angle_degrees is not None:
        yield f"  top of the movement: arm at {exercise.top_angle_degrees}°"
    sides, each = ("both sides together", "a set")
    if exercise.sides > 1:
        sides, each = ("one side after the other", "a set and side")
    yield f"  {exercise.reps[0]}–{exercise.reps[1]} repetitions, {sides}; {LOAD_IS[exercise.load_is]}"
    yield f"  tempo: {tempo_words(exercise.tempo)}"
    yield f"  time: {exercise.work_seconds} s {each}, rest {exercise.rest_seconds} s"
    yield f"  before it: set-up {exercise.setup_seconds} s, warm-up sets {exercise.warmup_sets}"
    share = exercise.eccentric_share
    yield f"  eccentric share: {share.value:.2f} ({share.basis})"
    if exercise.range_factor != 1:
        yield f"  range: {exercise.range_factor:.0%} of the full repetition's total activation"
    yield from (f"  cue: {cue}" for cue in exercise.cues)
    yield from (f"  caution: {caution}" for caution in exercise.cautions)


def tempo_words(tempo: Tempo) -> str:
    """Return a tempo as it stands on paper: "lift 1 s, lower 3 s"; holds of 0 s are not said."""
    words = ("lift", "hold at the top", "lower", "hold below")
    seconds = (tempo.lift, tempo.top, tempo.lower, tempo.bottom)
    return ", ".join(f"{word} {count} s" for word, count in zip(words, seconds, strict=True) if count)


def _stress_lines(library: Library, exercise: Exercise) -> Iterator[str]:
    for region, stress in exercise.stress.items():
        name = library.regions[region].name
        yield f"  {name}: grade {stress.grade} of {HIGHEST_GRADE}, {stress.reason} [{stress.source}]"
        if stress.change:
            other = " (then it is another exercise)" if stress.grade > 1 and not stress.change_keeps else ""
            yield f"    lower it: {stress.change}{other}"


def _number_line(library: Library, exercise: Exercise, head: Head, settings: CreditSettings) -> str:
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    if profile is None:
        return f"{head.name}: no number; a set earns nothing here"
    if exercise.key == head.anchor:
        return f"{head.name}: the anchor; one set of it is one direct set by definition"
    words = (
        f"{head.name}: {profile.ratio:.2f} of {library.exercises[head.anchor].name} "
        f"(log standard error {profile.standard_error:.2f}: {_range(profile.ratio, profile.standard_error)})"
    )
    if head.role == "watched":
        return f"{words}; watched, not trained"
    credit, by_movers = credit_of(exercise, profile, settings), movers_credit(profile.ratio, settings)
    return f"{words}; credit {credit:.2f} on average over what is not known, by movers {by_movers:g}"


def _range(ratio: float, log_error: float) -> str:
    return f"{ratio * math.exp(-log_error):.2f} to {ratio * math.exp(log_error):.2f}"


def _row_lines(
    library: Library, exercise: Exercise, pooled: PooledHead, dropped: Mapping[str, str]
) -> Iterator[str]:
    """Yield every row behind a number with its share, which would move it most, and the rows left out."""
    rows = {row.id: row for row in library.evidence if row.head == pooled.head}
    if exercise.key in pooled.exercises:
        shares = sorted(pooled.row_shares(exercise.key).items(), key=lambda item: -item[1])
        for row, share in shares:
            if share >= SMALLEST_SHARE:
                yield from _row_text(library, rows[row], f"{share:6.1%}")
        if small := sum(ROUNDING < share < SMALLEST_SHARE for _, share in shares):
            yield f"            rows with less than {SMALLEST_SHARE:.1%} each: {small}"
        if most := pooled.most_moving(exercise.key):
            ratio = math.exp(pooled.theta[pooled.exercises.index(exercise.key)])
            yield (
                f"    moves it most if wrong: {most[0]}; off by its own error (×{math.exp(most[1]):.2f}) "
                f"the ratio would be {_range(ratio, most[2])}"
            )
    for line in rows.values():
        why = line.left_out or (f"echo of {dropped[line.id]}" if line.id in dropped else "")
        if why and exercise.key in (line.exercise, line.against):
            yield from _row_text(library, line, f"not pooled ({why}):")


def _row_text(library: Library, row: EvidenceRow, weight: str) -> Iterator[str]:
    """Yield what was measured, by what kind of row, and below it the source."""
    name = library.exercises[row.exercise].name
    if row.against is not None:
        measured = f"{name} {row.mean:g} × {library.exercises[row.against].name}"
    else:
        spread = "" if row.sd is None else f" ± {row.sd:g}"
        persons = "" if row.subjects is None else f", n = {row.subjects}"
        phase = "whole repetition" if row.phase == "both" else row.phase
        measured = f"{name} {row.mean:g}{spread} {row.unit}, {row.metric}, {phase}{persons}"
    inside = ["intramuscular"] if row.electrodes == "intramuscular" else []
    source = f"{row.citation}, doi {row.doi}" if row.doi else row.citation
    yield f"    {weight}  {measured} [{', '.join([row.status, *inside, *row.doubts])}]"
    yield f"            {row.id}: {source}{f'. {row.note}' if row.note else ''}"


def _ordering_lines(library: Library, order: Ordering, pooled: PooledHead) -> Iterator[str]:
    sign = ">" if order.relation == "greater" else "="
    greater, lesser = (library.exercises[key].name for key in (order.greater, order.lesser))
    yield f"    order {order.citation}, {order.phase}: {greater} {sign} {lesser}"
    yield f"      {judge(order, pooled)}"
