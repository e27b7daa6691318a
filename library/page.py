"""One exercise's page (`planner library NAME`): how it is done, what it is worth, and all rows behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from library.credit import movers_credit
from library.document import credit_of
from library.method import CreditSettings
from library.orderings import Ordering, concerning, judge
from library.profiles import Profile
from library.read import Library
from library.schema import HIGHEST_GRADE, EvidenceRow, Exercise, Head
from library.words import LOAD_IS, tempo_words

if TYPE_CHECKING:
    from library.pooled_head import PooledHead

ROUNDING = 1e-9  # a share below it is arithmetic: the row stands in another part of the network
SMALLEST_SHARE = 0.001  # rows with less are counted and not listed: a network ties every row to every other


def page_lines(
    library: Library,
    exercise: Exercise,
    pooled: dict[str, PooledHead],
    orderings: Iterable[Ordering],
    settings: CreditSettings,
) -> Iterator[str]:
    """Yield the lines of one exercise's page, for the heads in `pooled`."""
    yield from _training_lines(library, exercise)
    yield from _stress_lines(library, exercise)
    orderings = list(orderings)
    for head in library.heads.values():
        if head.key in pooled:
            yield ""
            yield from _head_lines(library, exercise, head, pooled[head.key], settings)
            yield from _ordering_lines(library, exercise, pooled[head.key], orderings)
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
    yield f"  {chosen}; skill {exercise.skill} of 3" + (
        f": {exercise.skill_reason}" if exercise.skill_reason else ""
    )
    yield f"  position: {exercise.position}"
    if exercise.line_of_pull:
        yield f"  line of pull: {exercise.line_of_pull}"
    if exercise.top_angle_degrees is not None:
        yield f"  top of the movement: arm at {exercise.top_angle_degrees}°"
    sides = "both sides together" if exercise.sides == 1 else "one side after the other"
    yield f"  {exercise.reps[0]}–{exercise.reps[1]} repetitions, {sides}; {LOAD_IS[exercise.load_is]}"
    yield f"  tempo: {tempo_words(exercise.tempo)}"
    each = "a set" if exercise.sides == 1 else "a set and side"
    yield f"  time: {exercise.work_seconds} s {each}, rest {exercise.rest_seconds} s"
    yield f"  before it: set-up {exercise.setup_seconds} s, warm-up sets {exercise.warmup_sets}"
    share = exercise.eccentric_share
    yield f"  eccentric share: {share.value:.2f} ({share.basis})"
    if exercise.range_factor != 1:
        yield f"  range: {exercise.range_factor:.0%} of the full repetition's total activation"
    yield from (f"  cue: {cue}" for cue in exercise.cues)
    yield from (f"  caution: {caution}" for caution in exercise.cautions)


def _stress_lines(library: Library, exercise: Exercise) -> Iterator[str]:
    for region, stress in exercise.stress.items():
        name = library.regions[region].name
        yield f"  {name}: grade {stress.grade} of {HIGHEST_GRADE}, {stress.reason} [{stress.source}]"
        if stress.change:
            other = " (then it is another exercise)" if stress.grade > 1 and not stress.change_keeps else ""
            yield f"    lower it: {stress.change}{other}"


def _head_lines(
    library: Library, exercise: Exercise, head: Head, pooled: PooledHead, settings: CreditSettings
) -> Iterator[str]:
    rows = {row.id: row for row in library.evidence if row.head == head.key}
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    yield _number_line(library, exercise, head, profile, settings)
    if exercise.key in pooled.exercises:
        shares = sorted(pooled.row_shares(exercise.key).items(), key=lambda item: -item[1])
        listed = [(row, share) for row, share in shares if share >= SMALLEST_SHARE]
        for row, share in listed:
            yield from _row_lines(rows[row], f"{share:6.1%}", library)
        small = sum(1 for _, share in shares if ROUNDING < share < SMALLEST_SHARE)
        if small:
            yield f"            rows with less than {SMALLEST_SHARE:.1%} each: {small}"
    for line in rows.values():
        if line.left_out and exercise.key in (line.exercise, line.against):
            yield from _row_lines(line, f"not pooled ({line.left_out}):", library)


def _number_line(
    library: Library, exercise: Exercise, head: Head, profile: Profile | None, settings: CreditSettings
) -> str:
    if profile is None:
        return f"{head.name}: no number; a set earns nothing here"
    if exercise.key == head.anchor:
        return f"{head.name}: the anchor; one set of it is one direct set by definition"
    error = math.exp(profile.standard_error)
    low, high = profile.ratio / error, profile.ratio * error
    words = (
        f"{head.name}: {profile.ratio:.2f} of {library.exercises[head.anchor].name} "
        f"(log standard error {profile.standard_error:.2f}: {low:.2f} to {high:.2f})"
    )
    if head.role == "watched":
        return f"{words}; watched, not trained"
    credit, least, most = (credit_of(exercise, ratio, settings) for ratio in (profile.ratio, low, high))
    by_movers = movers_credit(profile.ratio, settings)
    return f"{words}; credit {credit:.2f} ({least:.2f} to {most:.2f}), by movers {by_movers:g}"


def _row_lines(row: EvidenceRow, weight: str, library: Library) -> Iterator[str]:
    """Yield what was measured, by what kind of row, and below it the source."""
    name = library.exercises[row.exercise].name
    if row.against is not None:
        measured = f"{name} {row.mean:g} × {library.exercises[row.against].name}"
    else:
        spread = "" if row.sd is None else f" ± {row.sd:g}"
        persons = "" if row.subjects is None else f", n = {row.subjects}"
        measured = f"{name} {row.mean:g}{spread} {row.unit}, {row.metric}, {row.phase}{persons}"
    inside = ", intramuscular" if row.electrodes == "intramuscular" else ""
    source = f"{row.citation}, doi {row.doi}" if row.doi else row.citation
    yield f"    {weight}  {measured} [{row.status}{inside}]"
    yield f"            {row.id}: {source}{f'. {row.note}' if row.note else ''}"


def _ordering_lines(
    library: Library, exercise: Exercise, pooled: PooledHead, orderings: list[Ordering]
) -> Iterator[str]:
    for ordering in concerning(orderings, exercise.key):
        if ordering.head != pooled.head:
            continue
        sign = ">" if ordering.relation == "greater" else "="
        names = [library.exercises[key].name for key in (ordering.greater, ordering.lesser)]
        yield f"    order {ordering.citation}, {ordering.phase}: {names[0]} {sign} {names[1]}"
        yield f"      {judge(ordering, pooled)}"
