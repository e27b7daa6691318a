"""`planner library`: the exercises as a table or one document, and one exercise's page with all rows behind it.
Orders that papers report without amplitudes pool nothing; the page says whether the pooled numbers honour them."""

import math
from collections.abc import Iterable, Mapping
from importlib.resources import files
from typing import TYPE_CHECKING, Any, NamedTuple

from library.credit import credit_of, movers_credit
from library.errors import visible
from library.method import ORDERINGS, OWN, CreditSettings, PoolSettings, setting_rows
from library.read import Library
from library.schema import HIGHEST_GRADE, Exercise, Head, Ordering

if TYPE_CHECKING:
    from library.pool import PooledHead

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
) -> list[str]:  # fmt: skip
    """Return the lines of one exercise's page, for the heads in `pooled`."""
    import jinja2

    from library.pool import echoes

    folder = jinja2.FileSystemLoader(str(files("library")))
    how: dict[str, Any] = {"undefined": jinja2.StrictUndefined, "trim_blocks": True, "lstrip_blocks": True}
    pages = jinja2.Environment(loader=folder, **how)
    pages.filters["visible"] = visible
    dropped = {row: f"echo of {study}" for row, study in echoes(library.evidence).items()}
    named = [order for order in orderings if exercise.key in (order.greater, order.lesser)]
    heads = []
    for head in (head for head in library.heads.values() if head.key in pooled):
        numbers = _rows(library, exercise, pooled[head.key], dropped)
        orders = [(order, judge(order, pooled[head.key])) for order in named if order.head == head.key]
        heads.append({"head": head, "orders": orders, **numbers})
    values = {"library": library, "names": library.exercises, "one": exercise, "heads": heads, "span": _range}
    values |= {"tempo": [*zip(HOLDS, exercise.tempo.model_dump().values(), strict=True)]}
    values |= {"highest": HIGHEST_GRADE, "smallest": SMALLEST_SHARE, "settings": settings}
    values |= {"credit_of": credit_of, "movers_credit": movers_credit}
    return pages.get_template("exercise.txt").render(values).splitlines()


def _range(ratio: float, log_error: float) -> str:
    return f"{ratio * math.exp(-log_error):.2f} to {ratio * math.exp(log_error):.2f}"


def _rows(library: Library, exercise: Exercise, pooled: "PooledHead", dropped: Words) -> dict[str, Any]:
    """Give every row behind a number with its share, which would move it most, and the rows left out."""
    rows = {row.id: row for row in library.evidence if row.head == pooled.head}
    ours = (row for row in rows.values() if exercise.key in (row.exercise, row.against))
    left_out = [(row, why) for row in ours if (why := row.left_out or dropped.get(row.id))]
    if exercise.key not in pooled.exercises:
        return {"rows": (), "small": 0, "most": "", "left_out": left_out}
    shares, most = pooled.row_shares(exercise.key), ""
    if moving := pooled.most_moving(exercise.key):
        ratio = math.exp(pooled.theta[pooled.exercises.index(exercise.key)])
        off, then = f"off by its own error (×{math.exp(moving[1]):.2f})", _range(ratio, moving[2])
        most = f"{moving[0]}; {off} the ratio would be {then}"
    listed = sorted((item for item in shares.items() if item[1] >= SMALLEST_SHARE), key=lambda item: -item[1])
    small = sum(ROUNDING < share < SMALLEST_SHARE for share in shares.values())
    shown = [(rows[row], share) for row, share in listed]
    return {"rows": shown, "small": small, "most": most, "left_out": left_out}


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
