"""Recheck a week: every limit, goal, dose and number, by sums of its own."""

import datetime
from collections import Counter
from collections.abc import Iterator
from typing import Any

from library.errors import BrokenPlan
from planner.athlete.brief import DAYS
from planner.document import Caution, HeadBets, PlanFigures, PlannedExercise, WeekDocument
from planner.verify import goals, limits, printed
from planner.verify.asked import WHOLE, asked, wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds, filed_default
from planner.verify.sums import credit, dose, replaced, session_minutes


def names_known(case: Case) -> Iterator[Finding]:
    """Exercises, replacements, heads and the blocks of a plain week ∈ library, gyms ∈ gyms, days ∈ Mon … Sun."""
    exercises, heads = case.library.exercises, {line.head for line in case.document.dose}
    for session, planned in case.planned():
        heads |= set(planned.credits)
        for key in (planned.exercise, *(other.exercise for other in planned.instead)):
            if key not in exercises:
                yield Finding("misstates", f"{session.id}: exercise", "no such exercise in the library", key)
    for head in sorted(heads - set(case.library.heads)):
        yield Finding("misstates", "head", "no such head in the library", head)
    for session in case.document.sessions:
        if session.gym not in case.gyms:
            yield Finding("misstates", f"{session.id}: gym", "no such gym", session.gym)
        if session.day not in DAYS:
            yield Finding("misstates", f"{session.id}: day", "no such day", session.day)
    sessions = {session.id for session in case.document.sessions}
    for block in case.document.cautious.plain_blocks if case.document.cautious else ():
        known = case.library.exercises.get(block.exercise)
        if known is None or known.name != block.name or block.session not in sessions:
            stated = f"{block.exercise}, {block.name}, {block.session}"
            yield Finding("misstates", "plain week", "no such exercise or session", stated)


def sessions_asked(case: Case) -> Iterator[Finding]:
    """Days, gyms and minutes allowed = the brief's, in its order."""
    written = [(session.day, session.gym, float(session.minutes)) for session in case.brief.session]
    stated = [(session.day, session.gym, session.minutes.allowed) for session in case.document.sessions]
    found, said = (
        "; ".join(f"{day} {minutes:g} min in {gym}" for day, gym, minutes in sorted(of)) or "none"
        for of in (written, stated)
    )
    yield from differs("sessions", found, said)
    for session in case.document.sessions:
        yield from differs("session id", session.day, session.id.split("-")[0])


def defaults_stated(case: Case) -> Iterator[Finding]:
    """Every stated default = the brief's [method], else the method's own; all of [method] is stated."""
    stated, written = case.document.made_with.method, case.brief.method
    for name, value in stated.items():
        expected = written.get(name, filed_default(name, value))
        same = expected == value
        if isinstance(expected, int | float) and isinstance(value, int | float):
            same = abs(expected - value) < WHOLE and isinstance(expected, bool) == isinstance(value, bool)
        if not same:
            yield Finding("misstates", f"default {name}", str(expected), str(value))
    for name in [name for name in written if name not in stated and name != "counting"]:
        yield Finding("misstates", f"default {name}", str(written[name]), "nothing")


def heading(case: Case) -> Iterator[Finding]:
    """Athlete, unit, counting and library digest = brief's and library's; the week begins on its Monday."""
    document, card = case.document, case.brief.athlete
    year, week = (int(part) for part in document.week.split("-W"))
    try:
        monday = datetime.date.fromisocalendar(year, week, 1).isoformat()
    except ValueError:
        monday = f"no week {document.week}"
    made = document.made_with
    yield from differs("athlete", card.name, document.athlete)
    yield from differs("units", card.unit, document.units)
    yield from differs("week's start", monday, document.week_start)
    yield from differs("counting", str(case.brief.method.get("counting", "activation")), made.counting)
    yield from differs("library", case.library.digest, made.library)


def misses_stated(case: Case) -> Iterator[Finding]:
    """Printed goals = missed goals, each once and by what is missing."""
    known, slack = goals.missed_goals(case), case.tolerance.goal
    stated = Counter(row.goal for row in case.document.missed)
    for name, goal in known.items():
        if goal.least > slack and name not in stated:
            yield Finding("misstates", f"goal {name}, missed by", str(goal), "nothing")
    for name, times in stated.items():
        if name not in known:
            yield Finding("misstates", f"goal {name}", "no such goal, or reached", "missed")
        elif times > 1:
            yield Finding("misstates", f"goal {name}", "once", f"{times} times")
    for row in case.document.missed:
        missed = known.get(row.goal)
        if missed and not missed.least - slack <= row.by <= missed.most + slack:
            yield Finding("misstates", f"goal {row.goal}, missed by", str(missed), row.by, row.unit)


def musts_hold(case: Case) -> Iterator[Finding]:
    """A goal with `must = true` is not missed: a head's dose and ceiling, implements, families. Where what is done
    elsewhere is above a ceiling already, nothing is added to it."""
    hard = {f"dose:{head}": 0.0 for head in wanted(case) if asked(case, head).must}
    for name in list(hard):
        head = name.removeprefix("dose:")
        hard[f"ceiling:{head}"] = max(0.0, dose(case, head).elsewhere[1] - asked(case, head).ceiling)
    if case.brief.variety.must:
        hard |= {"implements": 0.0, **{f"family:{family}": 0.0 for family in case.brief.variety.families}}
    for name, goal in goals.missed_goals(case).items() if hard else ():
        if name in hard and goal.least > hard[name] + case.tolerance.goal:
            yield Finding("breaks", f"goal {name} that must hold, missed by", str(goal), hard[name])


def replacements(case: Case) -> Iterator[Finding]:
    """What is offered when a station is taken, each by itself: breaks no limit and no must that held before it."""
    rules = [rule for rule in limits.HARD if rule is not limits.blocks and rule is not limits.pins]
    before = {finding.what for rule in (*rules, musts_hold) for finding in rule(case)}
    for session, planned in case.planned("planned"):
        for other in planned.instead:
            most = max(case.number("largest_block_sets"), planned.sets)
            reasons = [] if 1 <= other.sets <= most else [f"{other.sets} sets"]
            if any(line.exercise == other.exercise for line in session.exercises):
                reasons.append("in this session already")
            line = replaced(case, other.exercise, other.sets).model_copy(update={"block": planned.block})
            lines = [line if each is planned else each for each in session.exercises]
            instead = case.with_sessions({session.id: lines})
            after = (finding for rule in (*rules, musts_hold) for finding in rule(instead))
            reasons += [f"{each.what} {each.found}" for each in after if each.what not in before]
            if reasons:
                what = f"{session.id}: {other.exercise} instead of {planned.exercise}"
                yield Finding("breaks", what, ", ".join(reasons), "what keeps every limit and must by itself")


# --- a cautious week beside the plain one: what both print of sets, minutes and doses


def _both(case: Case, caution: Caution) -> tuple[tuple[str, Case, PlanFigures, list[HeadBets]], ...]:
    """Both plans: word, the week with its sets, figures, bets of every head."""
    lines: dict[str, list[PlannedExercise]] = {session.id: [] for session in case.document.sessions}
    for block in caution.plain_blocks:
        lines[block.session].append(replaced(case, block.exercise, block.sets))
    plain = case.with_sessions(lines)
    return (
        ("plain week", plain, caution.plain, [head.plain for head in caution.heads]),
        ("cautious week", case, caution.cautious, [head.cautious for head in caution.heads]),
    )


def figures_stated(case: Case) -> Iterator[Finding]:
    """Sets, exercises, minutes = sums of both plans, pairs may save the plain one some; priced minutes = the rest's.
    On its own draws a cautious week is no worse than the plain one, and its shortfall is the value of its aim."""
    caution, slack = case.document.cautious, case.tolerance
    if caution is None:
        return
    for word, week, figures, _ in _both(case, caution):
        yield from differs(f"{word}: sets", sum(week.sets().values()), figures.sets)
        yield from differs(f"{word}: exercises", len(week.sets()), figures.exercises)
        sessions = len(week.document.sessions)
        minutes = sum(session_minutes(week, session) for session in week.document.sessions)
        if figures.minutes > minutes or week is case or not case.brief.preferences.paired:
            yield from differs(f"{word}: minutes", minutes, figures.minutes, slack.minutes * sessions, "min")
    plain, cautious = caution.plain.own_shortfall, caution.cautious.own_shortfall
    what = "expected shortfall of the cautious week on its own draws"
    yield from exceeds(what, cautious, plain, slack.full)
    for row in case.document.proof:
        if row.aim == "rest":
            what, minutes = "cautious week: priced minutes", caution.cautious.priced_minutes
            yield from differs(what, row.value, minutes, slack.minutes)
        elif row.aim == "shortfall":
            yield from differs("value of the shortfall aim", cautious, row.value, slack.full, row.unit)


def bets_stated(case: Case) -> Iterator[Finding]:
    """Dose = counted; exercises with c > 0, the largest and its share; chances as in the dose table."""
    caution, heads = case.document.cautious, wanted(case)
    if caution is None:
        return
    stated = tuple(head.head for head in caution.heads)
    yield from differs("heads of the cautious week", str(heads), str(stated))
    for word, week, _, all_bets in _both(case, caution) if stated == heads else ():
        for head, bets in zip(heads, all_bets, strict=True):
            what, slack = f"{word}: {head}", case.tolerance.dose
            gives = {key: credit(week, key, head) * count for key, count in week.sets().items()}
            total, most = sum(gives.values()), max(gives.values(), default=0.0)
            count, largest = sum(worth > 0 for worth in gives.values()), gives.get(bets.largest, 0.0)
            yield from differs(f"{what}: dose", dose(week, head).counted, bets.dose, slack)
            yield from differs(f"{what}: exercises", count, bets.exercises)
            yield from differs(f"{what}: largest", most, largest, slack)
            share = most / total if total else 0.0
            yield from differs(f"{what}: largest share", share, bets.largest_share, slack)
    lines = {line.head: line for line in case.document.dose}
    for each in caution.heads:
        line, what = lines.get(each.head), f"cautious week: chances of {each.head}"
        if line:
            yield from differs(what, line.chance_floor, each.cautious.chance_floor)
            yield from differs(what, line.chance_target90, each.cautious.chance_target90)


CHECKS: tuple[Check, ...] = (*limits.CHECKS, misses_stated, musts_hold, replacements, *printed.CHECKS)
CHECKS += (sessions_asked, defaults_stated, heading, figures_stated, bets_stated)


def recheck(document: WeekDocument, *made_from: Any, **more: Any) -> list[Finding]:
    """Return every disagreement between a week and the sums done again; an empty list is a pass. What it is held
    against is as `Case` has it. A plan that names what nobody knows is not computed any further."""
    case = Case(document, *made_from, **more)
    return [*names_known(case)] or [finding for check in CHECKS for finding in check(case)]


def assert_sound(document: WeekDocument, *made_from: Any) -> None:
    """Raise BrokenPlan with every finding in words unless the week passes `recheck` of the same."""
    if findings := recheck(document, *made_from):
        lines = "\n".join(f"- {finding}" for finding in findings)
        raise BrokenPlan(f"The week of {document.athlete} fails its recheck and is not printed:\n{lines}")
