"""What a measured session adds to an athlete's evidence, and what that does to credits and to next week (DESIGN §3.1)."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, sqrt
from pathlib import Path
from statistics import mean
from typing import Any, NamedTuple

import numpy as np
from scipy.special import stdtrit

from library import credit, errors
from library.method import OWN, CreditSettings
from library.pool import PooledHead, for_athlete, own_row_variance, pool_library
from library.read import Library
from planner.athlete.folder import OwnEvidence, of_session, read_all_rows, write_session_rows
from planner.athlete.reading import BRIEF_FILE, method_of, read_brief
from planner.athlete.writing import athlete_lock
from planner.document import WeekDocument, exercise_names, plan_of
from planner.emg.figures import MeasuredSession
from planner.emg.report import BOTH_SIDES_95, TEMPLATES, Entry, Ranking, rankings
from planner.emg.session import NAME
from planner.plain import columns, joined
from planner.sheets.page import fill

DECIMALS = 4
SHOWN = 0.005  # direct sets a set, our choice: smaller moves are not shown
LISTED = 12  # lines of exercises that were not measured themselves


def rows_of(measured: MeasuredSession) -> tuple[list[OwnEvidence], list[str]]:
    """Return one row per exercise, load, head and side, of the largest group alike in RIR, and what was left out and why."""
    every = rankings(measured)
    chosen: dict[tuple[str, str, int], Ranking] = {}
    for ranking in every:
        key = (ranking.head, ranking.side, ranking.placement)
        if key not in chosen or len(ranking.trials) > len(chosen[key].trials):
            chosen[key] = ranking
    rows = [_row(measured, r, entry) for r in chosen.values() for entry in r.entries if entry.mean > 0]
    left_out = [why for ranking in chosen.values() for why in ranking.left_out]
    kept, ranked = (set().union(*(r.trials for r in some)) for some in (chosen.values(), every))
    for trial in (trial for trial in measured.trials if trial.number in ranked - kept):
        apart = f"more than {measured.read.settings.rir_apart:g} RIR from the others"
        why = "RIR not stated, as it is of the others" if trial.trial.rir is None else apart
        left_out.append(f"{trial.label} ({trial.trial.file}): {why}")
    return rows, list(dict.fromkeys(left_out))


def _row(measured: MeasuredSession, ranking: Ranking, entry: Entry) -> OwnEvidence:
    trials = [trial for trial in measured.trials if trial.number in entry.trials]
    channels = [trial.channels[f"{ranking.head} {ranking.side}"] for trial in trials]
    first, error, session = trials[0].trial, ranking.error, measured.read.id
    rirs = [trial.trial.rir for trial in trials if trial.trial.rir is not None]
    shares = [share for one in channels if (share := one.mean_of("eccentric_share", ranking.k)) is not None]
    assumed = any(trial.assumed for trial in trials)
    fields: dict[str, Any] = {
        "session": session if ranking.placement == 1 else f"{session} p{ranking.placement}",
        "date": measured.read.session.session.date, "exercise": entry.exercise, "head": ranking.head,
        "side": ranking.side, "metric": "mean activation", "unit": ranking.unit, "mean": entry.mean, "sd": entry.sd,
        "repetitions": sum(map(len, entry.values)), "sets": len(trials), "sem_degrees": error.degrees,
        "sem": error.spread * entry.mean if error.spread and error.of_logarithm else error.spread,
        "load": first.load, "load_unit": first.load_unit if first.load is not None else "",
        "rir": mean(rirs) if rirs else None, "eccentric_share": mean(shares) if shares and not assumed else None,
        "peak": entry.peak, "total": entry.total, "note": "; ".join(dict.fromkeys(t.trial.file for t in trials)),
    }  # fmt: skip
    rounded = {name: round(value, DECIMALS) for name, value in fields.items() if isinstance(value, float)}
    return OwnEvidence.model_validate(fields | rounded)


@dataclass(frozen=True)
class CreditMove:
    """One credit before and after, direct sets a set; `error`: how far error of measurement alone could move it (95 %)."""

    head: str
    exercise: str
    name: str
    before: float
    after: float
    error: float
    beyond_error: bool
    change: float  # after less before


class Added(NamedTuple):
    """What adding did: the session's rows, how many they replace, what moved; `before`: all rows that counted."""

    rows: Sequence[OwnEvidence]
    replaced: int
    moves: list[CreditMove]
    untied: list[str]
    before: Sequence[OwnEvidence] = ()


def add_to_athlete(
    folder: Path, library: Library, measured: MeasuredSession, rows: Sequence[OwnEvidence], *,
    same_person: bool = False,
) -> Added:  # fmt: skip
    """Write the session's rows into FOLDER/evidence.csv in place of its earlier ones; return what moved. Raises
    FaultyInput: no athlete's folder, nothing to add, another person's name in session.toml without `same_person`."""
    session, recordings = measured.read.id, measured.read.folder
    if not (folder / BRIEF_FILE).is_file():
        remedy = f"Name an athlete's folder (it holds {BRIEF_FILE})"
        raise errors.refuse(str(folder), "--into", "is no athlete's folder", remedy)
    if not rows:
        read = "no set gave figures that can be trusted, so nothing was added"
        raise errors.refuse(str(recordings), "--into", read, "See what is named above")
    brief = read_brief(folder, library)
    named, here = measured.read.session.session.athlete, brief.athlete.name
    if named != here and not same_person:
        read = f'read "{named}", but {folder / BRIEF_FILE} is of "{here}": nothing was added'
        remedy = "Name the right folder, or add --same-person if both names are one person's"
        raise errors.refuse(str(recordings / NAME), "session.athlete", read, remedy)
    with athlete_lock(folder):
        before = read_all_rows(folder, library)
        write_session_rows(folder, library, session, rows)
    kept = [row for row in before if not of_session(row, session)]
    old, new = ([r for r in some if r.status == "measured"] for some in (before, [*kept, *rows]))
    moves, untied = credit_moves(library, old, new, method_of(brief, CreditSettings))
    return Added(rows, len(before) - len(kept), moves, untied, old)


def credit_moves(
    library: Library, before: Sequence[OwnEvidence], after: Sequence[OwnEvidence],
    rule: CreditSettings | None = None,
) -> tuple[list[CreditMove], list[str]]:  # fmt: skip
    """Return the credits of trained heads that moved, largest first, and the measured exercises that nothing ties."""
    pooled, rule = pool_library(library), rule or CreditSettings()
    old, new = for_athlete(pooled, library, before), for_athlete(pooled, library, after)
    moves, untied = [], []
    for head in (key for key, entry in library.heads.items() if entry.role == "trained"):
        untied += [f"{exercise} ({head})" for exercise in new[head].untied]
        earlier, later = (_worth(of_head, library, rule) for of_head in (old[head], new[head]))
        margins = _margins(new[head], before, after)
        for (key, (theta, now)), margin in zip(later.items(), margins, strict=True):
            theta_before, was = earlier.get(key, (theta, 0.0))
            if abs(now - was) >= SHOWN:
                beyond = key not in earlier or abs(theta - theta_before) > margin
                name = library.exercises[key].name
                moves.append(CreditMove(head, key, name, was, now, margin * exp(theta), beyond, now - was))
    return sorted(moves, key=lambda move: -abs(move.change)), untied


def _worth(of_head: PooledHead, library: Library, rule: CreditSettings) -> dict[str, tuple[float, float]]:
    worth = {}
    for key, theta, spread in zip(of_head.exercises, of_head.theta, np.diag(of_head.covariance), strict=True):
        share, error = library.exercises[key].eccentric_share.value, sqrt(max(0.0, spread))
        worth[key] = (float(theta), credit.expected_credit(float(theta), error, share, rule))
    return worth


def _margins(of_head: PooledHead, before: Sequence[OwnEvidence], after: Sequence[OwnEvidence]) -> list[float]:
    """Return how far the new rows' measurement error alone moves each log ratio, with 95 % probability."""
    own = [row for row in after if row.head == of_head.head and row.exercise not in of_head.untied]
    variances = np.array([own_row_variance(row) * (row not in before) for row in own])
    if not variances.any():
        return [0.0] * len(of_head.exercises)
    degrees = min(row.sem_degrees if row.sem is not None else 0 for row in own)
    multiple = float(stdtrit(OWN.repeat_error_degrees + degrees, BOTH_SIDES_95))
    margins = multiple * np.sqrt(np.square(of_head.influence[:, -len(own) :]) @ variances)
    return list(map(float, margins))


def added_text(added: Added, library: Library, folder: Path) -> str:
    """Say what was added and which credits moved: measured exercises first, then those pulled along."""
    measured = {(row.head, row.exercise) for row in added.rows}
    own = [move for move in added.moves if (move.head, move.exercise) in measured]
    along = [move for move in added.moves if move not in own]
    values: dict[str, Any] = {"own": own, "along": along, "heads": library.heads}
    values |= {"added": added, "folder": folder, "shown": SHOWN, "listed": LISTED}
    return fill("added.txt", TEMPLATES, **values).rstrip()


class WeekBeside(NamedTuple):
    """One week planned before and after the new rows: both, and sets, doses and verdict for JSON and as text."""

    weeks: dict[str, WeekDocument]
    document: dict[str, Any]
    text: str


def week_beside(folder: Path, library: Library, added: Added, today: datetime.date) -> WeekBeside:
    """Plan next week with the athlete's rows as filed and as before; nothing is written. Raises what planning raises."""
    from planner.change.swap_report import costs, report
    from planner.model.problem import sets_a_week
    from planner.week import gather, plan

    asked = gather.gather(folder, None, today)
    earlier = for_athlete(pool_library(library), library, added.before)
    without = plan.plan_week(replace(asked, inputs=replace(asked.inputs, profiles=earlier)))
    with_them = plan.plan_week(asked)
    was, now = (sets_a_week(plan_of(week)) for week in (without, with_them))
    names = exercise_names(without) | exercise_names(with_them)
    heads = {dose.head for dose in with_them.dose}
    said = verdict([m for m in added.moves if m.exercise in names and m.head in heads], library)
    sets = [{"name": name, "before": was.get(k, 0), "after": now.get(k, 0)} for k, name in names.items()]
    compared = report(without, with_them, "", {})
    rows = columns([("", "before", "after"), *(tuple(map(str, row.values())) for row in sets)])
    title = f"Week {with_them.week} before and after, planned and not written (sets a week):"
    text = "\n".join([title, *rows, "Direct sets a head:", *costs(compared), said])
    doses = [head.model_dump() for head in compared.heads]
    document = {"week": with_them.week, "sets": sets, "heads": doses, "said": said}
    return WeekBeside({"before": without, "after": with_them}, document, text)


def verdict(moves: Sequence[CreditMove], library: Library) -> str:
    """Say whether the credits that moved did so beyond measurement error; `moves` are of exercises of either week."""
    if not moves:
        return "No credit of an exercise of either week moved."
    beyond = [f"{move.name} ({library.heads[move.head].name})" for move in moves if move.beyond_error]
    if not beyond:
        return "Nothing here moved beyond measurement error: recorded again, it could move back."
    others = len(moves) - len(beyond)
    rest = f"; {others} more credits of these exercises moved within it" if others else ""
    return f"Beyond measurement error moved what a set is worth of {joined(beyond)}{rest}."
