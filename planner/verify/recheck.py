"""Recheck a week: every limit, goal, dose and number, by sums of its own."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from library.errors import BrokenPlan
from planner.athlete.brief import DAYS
from planner.document import PlannedExercise, WeekDocument, is_week, week_start
from planner.verify import goals, limits, printed
from planner.verify.asked import WHOLE, asked, wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds, filed_default
from planner.verify.sums import credit, dose, replaced, session_minutes


def names_known(case: Case) -> Iterator[Finding]:
    """Exercises, replacements, heads and the blocks of a plain week ∈ library, gyms ∈ gyms, days ∈ Mon … Sun."""
    sessions, exercises = case.document.sessions, case.library.exercises
    lines = [(session.id, planned) for session, planned in case.planned()]
    keys = [(at, line.exercise) for at, line in lines]
    keys += [(at, other.exercise) for at, line in lines for other in line.instead]
    heads = {line.head for line in case.document.dose}.union(*(line.credits for _, line in lines))
    for kind, known, names in (
        ("exercise", exercises, keys), ("gym", case.gyms, [(of.id, of.gym) for of in sessions]),
        ("day", DAYS, [(of.id, of.day) for of in sessions]),
        ("head", case.library.heads, [("week", head) for head in sorted(heads)]),
    ):  # fmt: skip
        for at, name in names:
            if name not in known:
                yield Finding("misstates", f"{at}: {kind}", f"no such {kind}", name)
    for block in case.document.cautious.plain_blocks if case.document.cautious else ():
        right = block.exercise in exercises and exercises[block.exercise].name == block.name
        if not right or block.session not in {session.id for session in sessions}:
            stated = f"{block.exercise}, {block.name}, {block.session}"
            yield Finding("misstates", "plain week", "no such exercise or session", stated)


def sessions_asked(case: Case) -> Iterator[Finding]:
    """Days, gyms and minutes allowed = the brief's, in its order."""
    written = [f"{of.day} {of.minutes:g} min in {of.gym}" for of in case.brief.session]
    stated = [f"{of.day} {of.minutes.allowed:g} min in {of.gym}" for of in case.document.sessions]
    found, said = ("; ".join(sorted(of)) or "none" for of in (written, stated))
    yield from differs("sessions", found, said)
    for session in case.document.sessions:
        yield from differs("session id", session.day, session.id.split("-")[0])


def defaults_stated(case: Case) -> Iterator[Finding]:
    """Every stated default = the brief's [method], else the method's own; all of [method] is stated."""
    stated, written = case.document.made_with.method, case.brief.method
    for name, value in stated.items():
        both = (written.get(name, filed_default(name, value)), value)
        numbers = all(type(each) in (int, float) for each in both)
        expected, said = both if numbers else map(repr, both)
        yield from differs(f"default {name}", expected, said, WHOLE)
    for name in [name for name in written if name not in stated and name != "counting"]:
        yield Finding("misstates", f"default {name}", str(written[name]), "nothing")


def heading(case: Case) -> Iterator[Finding]:
    """Athlete, unit, counting and library digest = brief's and library's; the week begins on its Monday."""
    document, card = case.document, case.brief.athlete
    known, made = is_week(document.week), document.made_with
    monday = week_start(document.week).isoformat() if known else f"no week {document.week}"
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


def caution_stated(case: Case) -> Iterator[Finding]:
    """A cautious week beside the plain one: sets, exercises, minutes (pairs may save the plain one some) and each head's
    dose, exercises with c > 0, largest and its share = sums of both plans."""
    caution, slack, sessions = case.document.cautious, case.tolerance, case.document.sessions
    if caution is None:
        return
    lines: dict[str, list[PlannedExercise]] = {session.id: [] for session in sessions}
    for block in caution.plain_blocks:
        lines[block.session].append(replaced(case, block.exercise, block.sets))
    for week, stated in ((case.with_sessions(lines), caution.plain), (case, caution.cautious)):
        word, sets = "cautious week" if week is case else "plain week", week.sets()
        yield from differs(f"{word}: sets", sum(sets.values()), stated.sets)
        yield from differs(f"{word}: exercises", len(sets), stated.exercises)
        minutes = sum(session_minutes(week, of) for of in week.document.sessions)
        most = slack.minutes * len(sessions)
        if stated.minutes > minutes or week is case or not case.brief.preferences.paired:
            yield from differs(f"{word}: minutes", minutes, stated.minutes, most, "min")
        for head in caution.heads:
            bets, what = head.cautious if week is case else head.plain, f"{word}: {head.head}"
            gives = {key: credit(week, key, head.head) * count for key, count in sets.items()}
            total, most = sum(gives.values()), max(gives.values(), default=0.0)
            count, share = sum(worth > 0 for worth in gives.values()), most / total if total else 0.0
            yield from differs(f"{what}: dose", dose(week, head.head).counted, bets.dose, slack.dose)
            yield from differs(f"{what}: exercises", count, bets.exercises)
            yield from differs(f"{what}: largest", most, gives.get(bets.largest, 0.0), slack.dose)
            yield from differs(f"{what}: largest share", share, bets.largest_share, slack.dose)


def caution_proven(case: Case) -> Iterator[Finding]:
    """Chances as in the dose table; no worse than the plain week on its own draws; shortfall and priced minutes are the
    values of its aims."""
    if (caution := case.document.cautious) is None:
        return
    plan, slack, heads = caution.cautious, case.tolerance, str(tuple(of.head for of in caution.heads))
    values = {row.aim: row.value for row in case.document.proof}
    yield from differs("heads of the cautious week", str(wanted(case)), heads)
    chances = {line.head: str((line.chance_floor, line.chance_target90)) for line in case.document.dose}
    for head in caution.heads:
        stated = str((head.cautious.chance_floor, head.cautious.chance_target90))
        yield from differs(f"cautious week: chances of {head.head}", chances.get(head.head, ""), stated)
    what = "expected shortfall of the cautious week on its own draws"
    yield from exceeds(what, plan.own_shortfall, caution.plain.own_shortfall, slack.full)
    value = values.get("shortfall", plan.own_shortfall)
    yield from differs("value of the shortfall aim", plan.own_shortfall, value, slack.full)
    minutes = values.get("rest", plan.priced_minutes)
    yield from differs("cautious week: priced minutes", minutes, plan.priced_minutes, slack.minutes)


CHECKS: tuple[Check, ...] = (*limits.CHECKS, misses_stated, musts_hold, replacements, *printed.CHECKS)
CHECKS += (sessions_asked, defaults_stated, heading, caution_stated, caution_proven)


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
