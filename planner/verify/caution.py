"""A cautious week beside the plain one: every figure of both, by sums and draws of its own (DESIGN §3.4)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from planner.method import Redraws
from planner.verify.asked import asked, wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.printed import missed_price
from planner.verify.sums import SECONDS_PER_MINUTE, aside_most, credit, dose_of, is_own, lowering_weight

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from library.pooled_head import PooledHead
    from planner.document import Caution, HeadBets, PlanFigures

    Numbers = NDArray[np.float64]

Sets = Mapping[str, int]  # exercise -> sets a week
WHOLE = 1e-9  # (1 − 0.8)·100 is 20


@dataclass(frozen=True)
class Estimate:
    """A figure found from draws, and its standard error; nan where too few draws bear it."""

    value: float
    error: float


@dataclass(frozen=True)
class Redrawn:
    """Every exercise's credits (draws,) in direct sets a set, head by head; the same draws for every plan."""

    case: Case
    pooled: Mapping[str, PooledHead]
    settings: Redraws = field(default_factory=Redraws)

    def doses(self, head: str, number: int, sets: Sets) -> Numbers:
        """Counted doses (draws,): own + whole elsewhere + min(own elsewhere, half of T) + min(helping, a·T)."""
        import numpy as np

        case, pooled, elsewhere = self.case, self.pooled[head], self.case.brief.elsewhere
        keys = [key for key in pooled.exercises if key in sets or key in elsewhere]
        own, own_elsewhere, helping = (np.zeros(self.settings.redraws) for _ in range(3))
        if not keys:
            return own
        at = [pooled.exercises.index(key) for key in keys]
        dice = np.random.default_rng([self.settings.redraw_seed, number])
        logs = dice.multivariate_normal(
            pooled.theta[at], pooled.covariance[np.ix_(at, at)], self.settings.redraws, method="svd"
        )
        for key, ratios in zip(keys, np.exp(logs).T, strict=True):
            credits, done = self._credits(key, ratios), elsewhere.get(key)
            here, there = credits * sets.get(key, 0), credits * (done.sets if done else 0)
            chosen = is_own(case, key, head)
            own += (here if chosen else 0) + (there if done and done.whole else 0)
            own_elsewhere += there if chosen and done and not done.whole else 0
            helping += (0 if chosen else here) + (0 if chosen or not done or done.whole else there)
        most = case.number("elsewhere_share") * asked(case, head).target
        aside = np.minimum(helping, aside_most(case, head))
        return np.asarray(own + np.minimum(own_elsewhere, most) + aside)

    def _credits(self, exercise: str, ratios: Numbers) -> Numbers:
        import numpy as np

        case = self.case
        if case.document.made_with.counting == "movers":
            half = case.number("movers_part") * (ratios >= case.number("movers_indirect"))
            return np.asarray(np.where(ratios >= case.number("movers_direct"), 1.0, half))
        counts = ratios >= case.number("credit_floor")
        return np.asarray(np.minimum(ratios, 1.0) * counts * lowering_weight(case, exercise))

    def shortfalls(self, sets: Sets) -> Numbers:
        """Priced missed sets (draws,) of all heads together."""
        import numpy as np

        total = np.zeros(self.settings.redraws)
        for number, head in enumerate(wanted(self.case)):
            wish, doses = asked(self.case, head), self.doses(head, number, sets)
            total += [missed_price(self.case, dose, wish) for dose in doses.tolist()]
        return total


def mean(values: Numbers) -> Estimate:
    """Mean of draws."""
    return Estimate(float(values.mean()), float(values.std() / len(values) ** 0.5))


def worst_mean(values: Numbers, level: float, fewest: int) -> Estimate:
    """Mean of the largest 1 − level of the draws, with the error that goes with it; nan if fewer than `fewest` bear it.

    min over q of q + E[max(0, v − q)] / (1 − level), at the quantile q (Rockafellar & Uryasev 2000).
    """
    part = (1 - level) * len(values)
    if part < fewest - WHOLE:
        return Estimate(float("nan"), float("nan"))
    quantile = float(sorted(values)[int(level * len(values))])
    over = (values - quantile).clip(min=0.0)
    error = float(over.std() / (1 - level) / len(values) ** 0.5)
    return Estimate(quantile + float(over.sum()) / part, error)


def _both(case: Case, caution: Caution) -> tuple[tuple[str, Sets, PlanFigures, list[HeadBets]], ...]:
    """Both plans: word, sets a week by exercise, figures, bets of every head."""
    plain: dict[str, int] = {}
    for block in caution.plain_blocks:
        plain[block.exercise] = plain.get(block.exercise, 0) + block.sets
    return (
        ("plain week", plain, caution.plain, [head.plain for head in caution.heads]),
        ("cautious week", case.sets(), caution.cautious, [head.cautious for head in caution.heads]),
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
    """Sets and exercises = sums of both plans; minutes of both = Σ of their sessions; priced minutes = the rest's.

    On its own draws a cautious week is no worse than the plain one, and its shortfall is the value of its aim.
    """
    caution, slack = case.document.cautious, case.tolerance
    if caution is None:
        return
    for word, sets, figures, _ in _both(case, caution):
        yield from differs(f"{word}: sets", sum(sets.values()), figures.sets)
        yield from differs(f"{word}: exercises", len(sets), figures.exercises)
    plain, cautious = caution.plain, caution.cautious
    used = sum(session.minutes.used for session in case.document.sessions)
    minutes = slack.minutes * len(case.document.sessions)
    yield from differs("cautious week: minutes", used, cautious.minutes, minutes, "min")
    used = _plain_minutes(case, caution)
    if plain.minutes > used or not case.brief.preferences.paired:  # pairs may take less
        yield from differs("plain week: minutes", used, plain.minutes, slack.minutes, "min")
    what = "expected shortfall of the cautious week on its own draws"
    yield from exceeds(what, cautious.own_shortfall, plain.own_shortfall, slack.full)
    for row in case.document.proof:
        if row.aim == "rest":
            what = "cautious week: priced minutes"
            yield from differs(what, row.value, cautious.priced_minutes, slack.minutes)
        elif row.aim == "shortfall":
            what = "value of the shortfall aim"
            yield from differs(what, cautious.own_shortfall, row.value, slack.full, row.unit)


def _plain_minutes(case: Case, caution: Caution) -> float:
    """Minutes of the plain week = Σ over its sessions of warm-up + Σ (t·x + u) / 60."""
    seconds: dict[str, float] = {}
    for block in caution.plain_blocks:
        known = case.library.exercises[block.exercise]
        ready = known.setup_seconds + known.warmup_sets * case.number("warmup_set_seconds") * known.sides
        work = block.sets * (known.work_seconds * known.sides + known.rest_seconds) - known.rest_seconds
        seconds[block.session] = seconds.get(block.session, 0.0) + ready + work
    warmup = case.number("general_warmup_minutes")
    return sum(warmup + each / SECONDS_PER_MINUTE for each in seconds.values())


def bets_stated(case: Case) -> Iterator[Finding]:
    """Dose = Σ c·x + elsewhere; exercises with c > 0, the largest and its share; chances as in the dose table."""
    caution, heads = case.document.cautious, wanted(case)
    if caution is None:
        return
    stated = tuple(head.head for head in caution.heads)
    yield from differs("heads of the cautious week", str(heads), str(stated))
    for word, sets, _, all_bets in _both(case, caution) if stated == heads else ():
        for head, bets in zip(heads, all_bets, strict=True):
            yield from _bets(case, f"{word}: {head}", head, sets, bets)
    lines = {line.head: line for line in case.document.dose}
    for each in caution.heads:
        line, what = lines.get(each.head), f"cautious week: chances of {each.head}"
        if line:
            yield from differs(what, line.chance_floor, each.cautious.chance_floor)
            yield from differs(what, line.chance_target90, each.cautious.chance_target90)


def _bets(case: Case, what: str, head: str, sets: Sets, bets: HeadBets) -> Iterator[Finding]:
    gives = {key: credit(case, key, head) * count for key, count in sets.items()}
    gives = {key: dose for key, dose in gives.items() if dose > 0}
    total, most, slack = sum(gives.values()), max(gives.values(), default=0.0), case.tolerance.dose
    yield from differs(f"{what}: dose", dose_of(case, head, sets).counted, bets.dose, slack)
    yield from differs(f"{what}: exercises", len(gives), bets.exercises)
    yield from differs(f"{what}: largest", most, gives.get(bets.largest, 0.0), slack)
    yield from differs(f"{what}: largest share", most / total if total else 0.0, bets.largest_share, slack)


def draws_agree(case: Case) -> Iterator[Finding]:
    """Means, bad cases and expected shortfalls = those of draws made anew, within chance."""
    caution = case.document.cautious
    if caution is None or case.pooled is None:
        return  # an athlete's own numbers have a covariance that only who pooled them knows
    drawn = Redrawn(case, case.pooled)
    fewest = drawn.settings.redraw_tail
    for word, sets, figures, all_bets in _both(case, caution):
        worst = worst_mean(drawn.shortfalls(sets), caution.level, fewest)
        yield from _agrees(drawn, f"{word}: expected shortfall", worst, figures.judged_shortfall)
        for number, (head, bets) in enumerate(zip(caution.heads, all_bets, strict=True)):
            doses = drawn.doses(head.head, number, sets)
            bad = worst_mean(-doses, caution.level, fewest)
            yield from _agrees(drawn, f"{word}: mean of {head.head}", mean(doses), bets.mean)
            estimate = Estimate(-bad.value, bad.error)
            yield from _agrees(drawn, f"{word}: bad case of {head.head}", estimate, bets.bad)


def _agrees(drawn: Redrawn, what: str, estimate: Estimate, stated: float) -> Iterator[Finding]:
    """|found − stated| ≤ so many standard errors of both; what too few draws bear is not held to anything."""
    caution, settings = drawn.case.document.cautious, drawn.settings
    if caution is not None:
        both_errors = estimate.error * (1 + settings.redraws / caution.judged_draws) ** 0.5
        slack = settings.redraw_errors * both_errors + drawn.case.tolerance.dose
        yield from differs(what, estimate.value, stated, slack, "sets")


CHECKS: tuple[Check, ...] = (figures_stated, bets_stated, draws_agree)
KNOWN: tuple[Check, ...] = (plain_known,)
