"""What a brief comes to: whether and how the athlete may be trained (nothing is diagnosed here), and what each trained
head is to get in a week, the brief, the athlete's status and today's sets weighed."""

import datetime
from dataclasses import dataclass

from library.errors import NotCleared
from library.read import Library
from planner.athlete.brief import Allowance, Brief, Target
from planner.method import AthleteSettings, WeekSettings

Doses = tuple[float, float, float]  # floor, target, ceiling, in direct sets a week
STRICTNESS: tuple[Allowance, ...] = ("clear", "careful", "avoid")
ASK = "Ask for one before the first session and record its date and outcome in [history]"


@dataclass(frozen=True)
class HeadTarget:
    """One head's week in direct sets; `sessions` None: as many as the week's default says."""

    head: str
    floor: float
    target: float
    ceiling: float
    priority: float
    sessions: int | None
    must: bool


def weekly_targets(
    brief: Brief, library: Library, settings: AthleteSettings
) -> tuple[dict[str, HeadTarget], list[str]]:
    """Return the target of every head that is to be trained, in library order, and warnings in words. A head that the
    brief does not name takes its status's doses; a head with target 0 is left out."""
    default = settings.doses(brief.athlete.training_status)
    a_week = default[1] * min(1.0, settings.default_share_a_session * len(brief.session))
    targets: dict[str, HeadTarget] = {}
    warnings: list[str] = []
    heads = [key for key, entry in library.heads.items() if entry.role == "trained"]
    unnamed = [head for head in heads if brief.target.get(head, Target()).target is None]
    if a_week < default[1] and unnamed:
        usual = f"{a_week:g} sets in place of the usual {default[1]:g}"
        why = "one session a week takes no more: name a target to have more"
        warnings.append(f"{', '.join(unnamed)}: {usual}, since {why}")
    for head in heads:
        asked = brief.target.get(head, Target())
        wanted = asked.target
        if wanted is None:  # the default, between the coach's floor and ceiling
            raised = max(a_week, asked.floor or 0)
            wanted = raised if asked.ceiling is None else min(raised, asked.ceiling)
        goal = _agreed(head, asked, default, wanted, settings)
        if goal.target > 0:
            targets[head] = goal
        if goal.target < wanted:
            floor = asked.floor is not None and goal.floor < asked.floor
            also = f", the floor from {asked.floor:g} with it" if floor else ""
            step = f"{wanted:g} sets asked, {asked.now:g} done today. One step goes to {goal.target:g}"
            then = f"the target is lowered to that{also}. Raise `now` when the athlete trains more"
            warnings.append(f"{head}: {step}: {then}")
    return targets, warnings


def _agreed(head: str, asked: Target, default: Doses, wanted: float, settings: AthleteSettings) -> HeadTarget:
    """Fill what the coach left open: floor ≤ target ≤ ceiling; a written ceiling holds the target before its cap."""
    target, room = wanted, wanted * settings.ceiling_of_target
    ceiling = max(default[2], room) if asked.ceiling is None else max(asked.ceiling, wanted)
    if asked.now is not None:  # max(now + 1, 1.2·now): Scarpelli et al. 2022; the one set is our choice
        step = max(asked.now + settings.now_step_sets, settings.now_step_factor * asked.now)
        step = round(step, 6)  # 1.2·5 is 6
        target = min(wanted, step)
        if asked.ceiling is None:  # a step that is kept small is not made good by other sets
            ceiling = min(ceiling, step + settings.now_step_sets)
    floor = min(default[0] if asked.floor is None else asked.floor, target)
    return HeadTarget(head, floor, target, ceiling, asked.priority, asked.sessions, asked.must)


def require_clearance(brief: Brief) -> None:
    """Raise NotCleared (exit 3) if an operation is recorded and no doctor's clearance."""
    surgery = brief.history.surgery
    if surgery is not None and not surgery.cleared:
        until = "No week is planned until the doctor or physiotherapist in charge has cleared training"
        then = f"Then write in brief.toml, [history]: surgery = {{ date = {surgery.date}, cleared = true }}"
        raise NotCleared(f"An operation on {surgery.date} is recorded without clearance. {until}. {then}")


def screening_warnings(
    brief: Brief, library: Library, week_start: datetime.date, settings: AthleteSettings
) -> list[str]:
    """Return what the first page must say of screening and history, for the week from `week_start` on."""
    done, months, texts = brief.history.questionnaire, settings.questionnaire_months, []
    if done is None:
        texts.append(f"No readiness questionnaire is recorded. {ASK}")
    elif done.date >= week_start + datetime.timedelta(days=7):
        texts.append(f"The readiness questionnaire is dated {done.date}, after this week. Check the date")
    else:
        age = 12 * (week_start.year - done.date.year) + week_start.month - done.date.month
        if (age, week_start.day) > (months, done.date.day):
            texts.append(f"The readiness questionnaire of {done.date} is older than {months} months. {ASK}")
    # where [joints] and a flag disagree
    for region, (flag, from_flag) in _from_flags(brief, library).items():
        written = brief.joints.get(region)
        if written is None or STRICTNESS.index(written) >= STRICTNESS.index(from_flag):
            continue
        verdict = "The coach's word counts: this region is planned as clear"
        if written != "clear":
            verdict = f'The stricter counts: "{from_flag}". Only "clear" overrules a flag'
        says = f'[joints] says "{written}", the flag "{flag}" asks for "{from_flag}"'
        texts.append(f"{library.regions[region].name} ({region}): {says}. {verdict}")
    return texts


def _from_flags(brief: Brief, library: Library) -> dict[str, tuple[str, Allowance]]:
    """Return for each flagged region the strictest flag and what it asks for."""
    strictest: dict[str, tuple[str, Allowance]] = {}
    for key in brief.history.flags:
        for region, asks in library.flags[key].regions.items():
            known = strictest.get(region)
            if known is None or STRICTNESS.index(asks) > STRICTNESS.index(known[1]):
                strictest[region] = (key, asks)
    return strictest


def skill_asked(brief: Brief, settings: WeekSettings) -> int:
    """Return the skill that may be asked: the brief's own, else that of the training status."""
    card = brief.athlete
    # skill_novice, skill_intermediate, skill_advanced
    return getattr(settings, f"skill_{card.training_status}") if card.skill is None else card.skill


def joint_allowances(brief: Brief, library: Library) -> dict[str, Allowance]:
    """Return what every joint region of the library allows: the stricter of flag and [joints]. A region that the
    coach calls "clear" in so many words is clear, whatever a flag says."""
    flagged, allowed = _from_flags(brief, library), {}
    for region in library.regions:
        written, asks = brief.joints.get(region), flagged.get(region, ("", "clear"))[1]
        allowed[region] = "clear" if written == "clear" else max(written or asks, asks, key=STRICTNESS.index)
    return allowed
