"""A cautious week beside the plain one: every figure of both, by sums and draws of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from planner.method import Redraws
from planner.verify.asked import WHOLE, asked, wanted
from planner.verify.case import Case, Check, Finding, differs, exceeds
from planner.verify.printed import missed_price
from planner.verify.sums import aside_most, credit, dose, is_own, lowering_weight, replaced, session_minutes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from library.pool import PooledHead
    from planner.document import Caution, HeadBets, PlanFigures, PlannedExercise

    Numbers = NDArray[np.float64]

Sets = Mapping[str, int]  # exercise -> sets a week
Estimate = tuple[float, float]  # a figure from draws and its standard error; nan where too few draws bear it


@dataclass(frozen=True)
class Redrawn:
    """Every exercise's credits (draws,) in direct sets a set, head by head; the same draws for every plan."""

    case: Case
    pooled: Mapping[str, PooledHead]
    settings: Redraws = field(default_factory=Redraws)

    def doses(self, head: str, number: int, sets: Sets, *, printed: bool = False) -> Numbers:
        """Counted doses (draws,): own + whole elsewhere + min(own elsewhere, half of T) + min(helping, a·T).

        `printed`: of what is limited the same share counts in every draw, so that the printed dose is their mean.
        """
        import numpy as np

        case, pooled, elsewhere = self.case, self.pooled[head], self.case.brief.elsewhere
        keys = [key for key in pooled.exercises if key in {*sets, *elsewhere} and credit(case, key, head) > 0]
        own, own_elsewhere, helping = (np.zeros(self.settings.redraws) for _ in range(3))
        if not keys:
            return own
        at = [pooled.exercises.index(key) for key in keys]
        dice = np.random.default_rng([self.settings.redraw_seed, number])
        spread = pooled.covariance[np.ix_(at, at)]
        logs = dice.multivariate_normal(pooled.theta[at], spread, self.settings.redraws, method="svd")
        for key, ratios in zip(keys, np.exp(logs).T, strict=True):
            credits, done, chosen = self._credits(key, ratios), elsewhere.get(key), is_own(case, key, head)
            whole = done.sets if done and done.whole else 0
            part = done.sets if done and not done.whole else 0
            own += credits * (whole + (sets.get(key, 0) if chosen else 0))
            own_elsewhere += credits * (part if chosen else 0)
            helping += credits * (0 if chosen else part + sets.get(key, 0))
        most = case.number("elsewhere_share") * asked(case, head).target, aside_most(case, head)
        if not printed:
            return np.asarray(own + np.minimum(own_elsewhere, most[0]) + np.minimum(helping, most[1]))
        parts, expected = {key: of.sets for key, of in elsewhere.items() if not of.whole}, [0.0, 0.0]
        for key in {**sets, **parts}:  # own sets elsewhere, and all that helps, limits left out
            chosen, each = is_own(case, key, head), credit(case, key, head)
            expected[0] += each * parts.get(key, 0) * chosen
            expected[1] += each * (parts.get(key, 0) + sets.get(key, 0)) * (not chosen)
        pairs = zip(most, expected, strict=True)
        shares = [min(1.0, limit / dose) if dose else 1.0 for limit, dose in pairs]
        return np.asarray(own + shares[0] * own_elsewhere + shares[1] * helping)

    def _credits(self, exercise: str, ratios: Numbers) -> Numbers:
        import numpy as np

        number = self.case.number
        if self.case.document.made_with.counting == "movers":
            half = number("movers_part") * (ratios >= number("movers_indirect"))
            return np.asarray(np.where(ratios >= number("movers_direct"), 1.0, half))
        counts = ratios >= number("credit_floor")
        return np.asarray(np.minimum(ratios, 1.0) * counts * lowering_weight(self.case, exercise))

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
    return float(values.mean()), float(values.std() / len(values) ** 0.5)


def worst_mean(values: Numbers, level: float, fewest: int) -> Estimate:
    """Mean of the largest 1 − level of the draws, with the error that goes with it; nan if fewer than `fewest` bear it.

    min over q of q + E[max(0, v − q)] / (1 − level), at the quantile q (Rockafellar & Uryasev 2000).
    """
    part = (1 - level) * len(values)
    if part < fewest - WHOLE:
        return float("nan"), float("nan")
    quantile = float(sorted(values)[int(level * len(values))])
    over = (values - quantile).clip(min=0.0)
    return quantile + float(over.sum()) / part, float(over.std() / (1 - level) / len(values) ** 0.5)


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
            yield from differs(
                f"{what}: largest share", most / total if total else 0.0, bets.largest_share, slack
            )
    lines = {line.head: line for line in case.document.dose}
    for each in caution.heads:
        line, what = lines.get(each.head), f"cautious week: chances of {each.head}"
        if line:
            yield from differs(what, line.chance_floor, each.cautious.chance_floor)
            yield from differs(what, line.chance_target90, each.cautious.chance_target90)


def draws_agree(case: Case) -> Iterator[Finding]:
    """Means, bad cases and expected shortfalls = those of draws made anew, within chance.

    What too few draws bear is held to nothing, nor is anything where the covariance is not known.
    """
    caution = case.document.cautious
    if caution is None or case.pooled is None:
        return
    drawn, level = Redrawn(case, case.pooled), caution.level
    fewest, errors = drawn.settings.redraw_tail, (1 + drawn.settings.redraws / caution.judged_draws) ** 0.5
    for word, week, figures, all_bets in _both(case, caution):
        worst = worst_mean(drawn.shortfalls(week.sets()), level, fewest)
        pairs = [("expected shortfall", worst, figures.judged_shortfall)]
        for number, (head, bets) in enumerate(zip(caution.heads, all_bets, strict=True)):
            doses = drawn.doses(head.head, number, week.sets(), printed=True)
            bad, error = worst_mean(-doses, level, fewest)
            pairs += [
                (f"mean of {head.head}", mean(doses), bets.mean),
                (f"bad case of {head.head}", (-bad, error), bets.bad),
            ]
        for what, (value, error), stated in pairs:
            slack = drawn.settings.redraw_errors * errors * error + case.tolerance.dose
            yield from differs(f"{word}: {what}", value, stated, slack, "sets")


CHECKS: tuple[Check, ...] = (figures_stated, bets_stated, draws_agree)
KNOWN: tuple[Check, ...] = (plain_known,)
