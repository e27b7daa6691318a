"""A cautious week beside the plain one: what both print of sets, minutes and doses, by sums of its own."""

from collections.abc import Iterator

from planner.document import Caution, HeadBets, PlanFigures, PlannedExercise
from planner.verify.asked import wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.sums import credit, dose, replaced, session_minutes


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


def plain_known(case: Case) -> Iterator[Finding]:
    """Every block of the plain week: exercise ∈ library under its name, session ∈ sessions."""
    sessions = {session.id for session in case.document.sessions}
    for block in case.document.cautious.plain_blocks if case.document.cautious else ():
        known = case.library.exercises.get(block.exercise)
        if known is None or known.name != block.name or block.session not in sessions:
            stated = f"{block.exercise}, {block.name}, {block.session}"
            yield Finding("misstates", "plain week", "no such exercise or session", stated)


def figures_stated(case: Case) -> Iterator[Finding]:
    """Sets, exercises, minutes = sums of both plans, pairs may save the plain one some; priced minutes = the rest's.

    On its own draws a cautious week is no worse than the plain one, and its shortfall is the value of its aim.
    """
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


CHECKS: tuple[Check, ...] = (figures_stated, bets_stated)
KNOWN: tuple[Check, ...] = (plain_known,)
