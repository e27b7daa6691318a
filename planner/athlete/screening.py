"""Before anything is planned: questionnaire, operation, history flags. Nothing is diagnosed here."""

import datetime

from library.read import Library
from planner.athlete.brief import Allowance, Brief
from planner.errors import NotCleared
from planner.method import AthleteSettings

STRICTNESS: tuple[Allowance, ...] = ("clear", "careful", "avoid")
ASK = "Ask for one before the first session and record its date and outcome in [history]"


def require_clearance(brief: Brief) -> None:
    """Raise NotCleared (exit 3) if an operation is recorded and no doctor's clearance."""
    surgery = brief.history.surgery
    if surgery is not None and not surgery.cleared:
        until = "No week is planned until the doctor or physiotherapist in charge has cleared training"
        then = f"Then write in brief.toml, [history]: surgery = {{ date = {surgery.date}, cleared = true }}"
        raise NotCleared(f"An operation on {surgery.date} is recorded without clearance. {until}. {then}")


def _month(day: datetime.date) -> int:
    return day.year * 12 + day.month


def screening_warnings(
    brief: Brief, library: Library, week_start: datetime.date, settings: AthleteSettings
) -> list[str]:
    """Return what the first page must say of screening and history, for the week from `week_start` on."""
    done, months, texts = brief.history.questionnaire, settings.questionnaire_months, []
    if done is None:
        texts.append(f"No readiness questionnaire is recorded. {ASK}")
    elif done.date >= week_start + datetime.timedelta(days=7):
        texts.append(f"The readiness questionnaire is dated {done.date}, after this week. Check the date")
    elif (_month(week_start) - _month(done.date), week_start.day) > (months, done.date.day):
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


def joint_allowances(brief: Brief, library: Library) -> dict[str, Allowance]:
    """Return what every joint region of the library allows: the stricter of flag and [joints]. A region that the
    coach calls "clear" in so many words is clear, whatever a flag says."""
    flagged, allowed = _from_flags(brief, library), {}
    for region in library.regions:
        written, asks = brief.joints.get(region), flagged.get(region, ("", "clear"))[1]
        allowed[region] = "clear" if written == "clear" else max(written or asks, asks, key=STRICTNESS.index)
    return allowed
