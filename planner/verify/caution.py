"""A cautious week beside the plain one: every figure of both, by sums and draws of its own (DESIGN §3.4)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from planner.verify.asked import elsewhere_dose, wanted
from planner.verify.clock import SECONDS_PER_MINUTE
from planner.verify.finding import Check, Finding
from planner.verify.redraw import Estimate, Redrawn, mean, worst_mean
from planner.verify.worth import credit

if TYPE_CHECKING:
    from planner.document import Caution, CautiousHead, HeadBets, PlanFigures, Proof
    from planner.verify.case import Case

Sets = Mapping[str, int]  # exercise -> sets a week


def both(case: Case, caution: Caution) -> tuple[tuple[str, Sets, PlanFigures], ...]:
    """Both plans: word, sets a week by exercise, figures."""
    plain: dict[str, int] = {}
    for block in caution.plain_blocks:
        plain[block.exercise] = plain.get(block.exercise, 0) + block.sets
    return (
        ("plain week", plain, caution.plain),
        ("cautious week", case.sets_in_week(), caution.cautious),
    )


def plain_known(case: Case) -> Iterator[Finding]:
    """Every block of the plain week: exercise ∈ library under its name, session ∈ sessions."""
    sessions = {session.id for session in case.document.sessions}
    for block in case.document.cautious.plain_blocks if case.document.cautious else ():
        known = case.library.exercises.get(block.exercise)
        if known is None or known.name != block.name or block.session not in sessions:
            stated = f"{block.exercise}, {block.name}, {block.session}"
            yield Finding("misstates", "plain week", "no such exercise or session", stated)


def counts_stated(case: Case) -> Iterator[Finding]:
    """Sets and exercises = sums of both plans; minutes of the cautious one = Σ used, its priced minutes the rest's."""
    caution = case.document.cautious
    if caution is None:
        return
    for word, sets, figures in both(case, caution):
        for what, found, stated in (
            ("sets", sum(sets.values()), figures.sets),
            ("exercises", len(sets), figures.exercises),
        ):
            if found != stated:
                yield Finding("misstates", f"{word}: {what}", found, stated)
    used = sum(session.minutes.used for session in case.document.sessions)
    if abs(used - caution.cautious.minutes) > case.tolerance.minutes * len(case.document.sessions):
        yield Finding("misstates", "cautious week: minutes", used, caution.cautious.minutes, "min")
    rest = _row(case, "rest")
    if rest and abs(rest.value - caution.cautious.priced_minutes) > case.tolerance.minutes:
        yield Finding(
            "misstates", "cautious week: priced minutes", rest.value, caution.cautious.priced_minutes
        )


def plain_minutes(case: Case) -> Iterator[Finding]:
    """Minutes of the plain week = Σ over its sessions of warm-up + Σ (t·x + u) / 60; pairs may take less."""
    caution = case.document.cautious
    if caution is None:
        return
    seconds: dict[str, float] = {}
    for block in caution.plain_blocks:
        one = case.library.exercises[block.exercise]
        ready = one.setup_seconds + one.warmup_sets * case.number("warmup_set_seconds") * one.sides
        work = block.sets * (one.work_seconds * one.sides + one.rest_seconds) - one.rest_seconds
        seconds[block.session] = seconds.get(block.session, 0.0) + ready + work
    warmup = case.number("general_warmup_minutes")
    found, stated = (
        sum(warmup + each / SECONDS_PER_MINUTE for each in seconds.values()),
        caution.plain.minutes,
    )
    least = 0.0 if case.brief.preferences.paired else found
    if not least - case.tolerance.minutes <= stated <= found + case.tolerance.minutes:
        yield Finding("misstates", "plain week: minutes", found, stated, "min")


def bets_stated(case: Case) -> Iterator[Finding]:
    """Dose = Σ c·x + elsewhere; exercises with c > 0, the largest and its share; chances as in the dose table."""
    caution = case.document.cautious
    if caution is None:
        return
    heads = [head.head for head in caution.heads]
    if heads != list(wanted(case)):
        yield Finding("misstates", "heads of the cautious week", str(wanted(case)), str(heads))
        return
    chances = {line.head: (line.chance_floor, line.chance_target90) for line in case.document.dose}
    for head in caution.heads:
        for (word, sets, _), bets in zip(both(case, caution), (head.plain, head.cautious), strict=True):
            yield from _spread(case, f"{word}: {head.head}", head.head, sets, bets)
        stated = (head.cautious.chance_floor, head.cautious.chance_target90)
        if chances.get(head.head) != stated:
            what = f"cautious week: chances of {head.head}"
            yield Finding("misstates", what, str(chances.get(head.head)), str(stated))


def _spread(case: Case, what: str, head: str, sets: Sets, bets: HeadBets) -> Iterator[Finding]:
    gives = {key: credit(case, key, head) * count for key, count in sets.items()}
    gives = {key: dose for key, dose in gives.items() if dose > 0}
    total, most = sum(gives.values()), max(gives.values(), default=0.0)
    for word, found, stated, slack in (
        ("dose", total + elsewhere_dose(case, head), bets.dose, case.tolerance.dose),
        ("exercises", len(gives), bets.exercises, 0.0),
        ("largest", most, gives.get(bets.largest, 0.0), case.tolerance.dose),
        ("largest share", most / total if total else 0.0, bets.largest_share, case.tolerance.dose),
    ):
        if abs(found - stated) > slack:
            yield Finding("misstates", f"{what}: {word}", found, stated)


def never_worse(case: Case) -> Iterator[Finding]:
    """Expected shortfall on its own draws: cautious ≤ plain, and = the value of the aim it was solved for."""
    caution = case.document.cautious
    if caution is None:
        return
    plain, cautious = caution.plain.own_shortfall, caution.cautious.own_shortfall
    if cautious > plain + case.tolerance.full:
        yield Finding("breaks", "expected shortfall of the cautious week on its own draws", cautious, plain)
    row = _row(case, "shortfall")
    if row and abs(row.value - cautious) > case.tolerance.full:
        yield Finding("misstates", "value of the shortfall aim", cautious, row.value, row.unit)


def draws_agree(case: Case) -> Iterator[Finding]:
    """Means, bad cases and expected shortfalls = those of draws made anew, within chance."""
    caution = case.document.cautious
    if caution is None or case.pooled is None:
        return  # an athlete's own numbers have a covariance that only who pooled them knows
    drawn = Redrawn(case, case.pooled)
    fewest = drawn.settings.redraw_tail
    for at, (word, sets, figures) in enumerate(both(case, caution)):
        found = worst_mean(drawn.shortfalls(sets), caution.level, fewest)
        yield from _agrees(drawn, caution, f"{word}: expected shortfall", found, figures.judged_shortfall)
        for number, head in enumerate(caution.heads):
            bets, doses = _of(head, at), drawn.doses(head.head, number, sets)
            yield from _agrees(drawn, caution, f"{word}: mean of {head.head}", mean(doses), bets.mean)
            bad = worst_mean(-doses, caution.level, fewest)
            yield from _agrees(
                drawn,
                caution,
                f"{word}: bad case of {head.head}",
                Estimate(-bad.value, bad.error),
                bets.bad,
            )


def _of(head: CautiousHead, at: int) -> HeadBets:
    return (head.plain, head.cautious)[at]


def _agrees(drawn: Redrawn, caution: Caution, what: str, found: Estimate, stated: float) -> Iterator[Finding]:
    """|found − stated| ≤ so many standard errors of both; what too few draws bear is not held to anything."""
    both_errors = found.error * (1 + drawn.settings.redraws / caution.judged_draws) ** 0.5
    slack = drawn.settings.redraw_errors * both_errors + drawn.case.tolerance.dose
    if abs(found.value - stated) > slack:
        yield Finding("misstates", what, found.value, stated, "sets")


def _row(case: Case, aim: str) -> Proof | None:
    return next((row for row in case.document.proof if row.aim == aim), None)


CHECKS: tuple[Check, ...] = (counts_stated, plain_minutes, bets_stated, never_worse, draws_agree)
KNOWN: tuple[Check, ...] = (plain_known,)
