"""`planner library`: the exercises as a table or one document, and one exercise's page with all rows behind it.
Orders that papers report without amplitudes pool nothing; the page says whether the pooled numbers honour them."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from library.credit import credit_of, movers_credit
from library.errors import visible
from library.method import ORDERINGS, OWN, CreditSettings, PoolSettings, setting_rows
from library.read import Library
from library.schema import HIGHEST_GRADE, EvidenceRow, Exercise, Head, Ordering

if TYPE_CHECKING:
    from library.pool import PooledHead

LOAD_IS = {
    "each_hand": "load in each hand", "total": "total load with the bar", "stack": "the stack's number",
    "body": "body weight", "band": "a band",
}  # fmt: skip
Words = Mapping[str, str]
HOLDS = ("lift", "hold at the top", "lower", "hold below")  # the parts of a tempo
ROUNDING = 1e-9  # a share or log ratio below it is arithmetic
SMALLEST_SHARE = 0.001  # rows with less are counted and not listed: a network ties every row to every other
NAMED_MOST = 3  # rows named as those that decide a contrast: one line of print
DIGITS = 4  # of ratios, errors and credits in the document
SAME_NAMES = (
    "key name family implement needs sides; compare_only reps tempo work_seconds rest_seconds setup_seconds "
    "warmup_sets cues cautions"
)
DECISIVE = 0.5  # of a contrast's weight: rows that hold so much of it decide it


class Verdict(NamedTuple):
    """Whether the pooled numbers honour one ordering (None: they cannot tell), and why."""

    honoured: bool | None
    why: str

    def __str__(self) -> str:
        words = {True: "honoured", False: "not honoured", None: "cannot be judged"}[self.honoured]
        return f"{words}: {self.why}"


def judge(ordering: Ordering, pooled: "PooledHead") -> Verdict:
    """Hold one ordering against the pooled log ratios of its head and their covariance."""
    missing = [name for name in (ordering.greater, ordering.lesser) if name not in pooled.exercises]
    if missing:
        return Verdict(None, f"the evidence gives {' and '.join(missing)} no number in this head")
    contrast = pooled.contrast(ordering.greater, ordering.lesser)
    difference = contrast.log_ratio
    half = ORDERINGS.equal_within * contrast.standard_error
    low, high = math.exp(difference - half), math.exp(difference + half)
    why = f"pooled ratio {math.exp(difference):.2f} (90 % interval {low:.2f} to {high:.2f})"
    if abs(difference) <= half if ordering.relation == "equal" else difference > ROUNDING:
        return Verdict(True, why)
    named, whole = [], 0.0  # the rows that decide it
    for row, share in sorted(contrast.shares.items(), key=lambda item: -item[1])[:NAMED_MOST]:
        if whole < DECISIVE:
            named.append(f"{row} ({share:.0%})")
            whole += share
    return Verdict(False, f"{why}, by {', '.join(named)}")


def page_lines(
    library: Library, exercise: Exercise, pooled: "Mapping[str, PooledHead]", orderings: Iterable[Ordering],
    settings: CreditSettings,
) -> Iterator[str]:  # fmt: skip
    """Yield the lines of one exercise's page, for the heads in `pooled`."""
    from library.pool import echoes

    dropped = echoes(library.evidence)
    named = [order for order in orderings if exercise.key in (order.greater, order.lesser)]
    yield from _training_lines(library, exercise)
    for region, stress in exercise.stress.items():
        name = library.regions[region].name
        yield f"  {name}: grade {stress.grade} of {HIGHEST_GRADE}, {stress.reason} [{stress.source}]"
        if stress.change:
            other = " (then it is another exercise)" if stress.grade > 1 and not stress.change_keeps else ""
            yield f"    lower it: {stress.change}{other}"
    for head in library.heads.values():
        if head.key in pooled:
            yield from ("", _number_line(library, exercise, head, settings))
            yield from _row_lines(library, exercise, pooled[head.key], dropped)
            for order in (order for order in named if order.head == head.key):
                sign = ">" if order.relation == "greater" else "="
                greater, lesser = (library.exercises[key].name for key in (order.greater, order.lesser))
                yield visible(f"    order {order.citation}, {order.phase}: {greater} {sign} {lesser}")
                yield f"      {judge(order, pooled[head.key])}"
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
    one = exercise.sides == 2
    sides, each = ("one side after the other", "a set and side") if one else ("both sides together", "a set")
    yield f"  {exercise.reps[0]}–{exercise.reps[1]} repetitions, {sides}; {LOAD_IS[exercise.load_is]}"
    holds = zip(HOLDS, exercise.tempo.model_dump().values(), strict=True)
    yield f"  tempo: {', '.join(f'{word} {seconds} s' for word, seconds in holds if seconds)}"
    yield f"  time: {exercise.work_seconds} s {each}, rest {exercise.rest_seconds} s"
    yield f"  before it: set-up {exercise.setup_seconds} s, warm-up sets {exercise.warmup_sets}"
    share = exercise.eccentric_share
    yield f"  eccentric share: {share.value:.2f} ({share.basis})"
    if exercise.range_factor != 1:
        yield f"  range: {exercise.range_factor:.0%} of the full repetition's total activation"
    yield from (f"  cue: {cue}" for cue in exercise.cues)
    yield from (f"  caution: {caution}" for caution in exercise.cautions)


def _number_line(library: Library, exercise: Exercise, head: Head, settings: CreditSettings) -> str:
    profile = library.profiles.get(head.key, {}).get(exercise.key)
    if profile is None:
        return f"{head.name}: no number; a set earns nothing here"
    if exercise.key == head.anchor:
        return f"{head.name}: the anchor; one set of it is one direct set by definition"
    ratio, error = profile.ratio, profile.standard_error
    words = f"{head.name}: {ratio:.2f} of {library.exercises[head.anchor].name}"
    words += f" (log standard error {error:.2f}: {_range(ratio, error)})"
    if head.role == "watched":
        return f"{words}; watched, not trained"
    credit, by_movers = credit_of(exercise, profile, settings), movers_credit(ratio, settings)
    return f"{words}; credit {credit:.2f} on average over what is not known, by movers {by_movers:g}"


def _range(ratio: float, log_error: float) -> str:
    return f"{ratio * math.exp(-log_error):.2f} to {ratio * math.exp(log_error):.2f}"


def _row_lines(library: Library, exercise: Exercise, pooled: "PooledHead", dropped: Words) -> Iterator[str]:
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
            off, then = f"off by its own error (×{math.exp(most[1]):.2f})", _range(ratio, most[2])
            yield f"    moves it most if wrong: {most[0]}; {off} the ratio would be {then}"
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
    yield visible(f"    {weight}  {measured} [{', '.join([row.status, *inside, *row.doubts])}]")
    yield visible(f"            {row.id}: {source}{f'. {row.note}' if row.note else ''}")


def library_document(library: Library, exercises: list[Exercise], settings: CreditSettings) -> dict[str, Any]:
    """Return exercises, heads and defaults; a credit is that of one set (`credit_of`)."""
    rows = [row for record in (PoolSettings(), OWN, settings) for row in setting_rows(record)]
    shown = ("value", "unit", "source", "text")
    return {
        "exercises": [_exercise_document(library, exercise, settings) for exercise in exercises],
        "heads": [head.model_dump() for head in library.heads.values()],
        "defaults": {row.name: {name: getattr(row, name) for name in shown} for row in rows},
    }


def _exercise_document(library: Library, exercise: Exercise, settings: CreditSettings) -> dict[str, Any]:
    """Return one exercise; a head without a number is left out, a watched head stands under its own key."""
    profiles = {head: of[exercise.key] for head, of in library.profiles.items() if exercise.key in of}
    trained = {head: one for head, one in profiles.items() if library.heads[head].role == "trained"}
    watched = [head.key for head in library.heads.values() if head.role == "watched"]
    written = exercise.model_dump(mode="json") | {"work_seconds": exercise.work_seconds}
    before, after = ({name: written[name] for name in part.split()} for part in SAME_NAMES.split(";"))
    return {
        **before,
        "profile": {head: round(one.ratio, DIGITS) for head, one in trained.items()},
        "standard_error": {head: round(one.standard_error, DIGITS) for head, one in trained.items()},
        "credit": {head: round(credit_of(exercise, one, settings), DIGITS) for head, one in trained.items()},
        "eccentric_share": exercise.eccentric_share.value,
        **{head: round(profiles[head].ratio, DIGITS) if head in profiles else None for head in watched},
        "stress": {region: stress.grade for region, stress in exercise.stress.items()},
        **after,
        "sources": list(dict.fromkeys(row for one in profiles.values() for row in one.rows)),
    }


def table_rows(library: Library, exercises: list[Exercise], settings: CreditSettings) -> list[list[str]]:
    """Return the heading, and a row of texts an exercise; credits are direct sets, watched heads ratios."""

    def worth(exercise: Exercise, head: Head) -> str:
        profile = library.profiles.get(head.key, {}).get(exercise.key)
        if profile is None:
            return "–"
        return f"{profile.ratio if head.role == 'watched' else credit_of(exercise, profile, settings):.2f}"

    heads = list(library.heads.values())
    rows = [["exercise", *(head.name for head in heads), "", "joints"]]
    for exercise in exercises:
        graded = [f"{library.regions[r].name} {s.grade}" for r, s in exercise.stress.items() if s.grade >= 2]
        never = "compare only" if exercise.compare_only else ""
        rows.append([exercise.key, *(worth(exercise, head) for head in heads), never, ", ".join(graded)])
    return rows
