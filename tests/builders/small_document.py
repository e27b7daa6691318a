"""Hand-made documents of a week for what follows planning: blank sheets, loads, delivered dose."""

import datetime

from library.schema import Tempo
from planner.document import HeadDose, MadeWith, Minutes, PlannedExercise, PlannedSession, WeekDocument

MADE_WITH = MadeWith(tool="0", library="0", inputs="0", counting="activation", method={})


def line(exercise, sets, **changes):
    """An exercise's line: 8–12 repetitions, 2 in reserve, a credit of 1 for the front head, no load yet."""
    facts = {
        "order": 1, "block": "A", "exercise": exercise, "name": exercise, "sets": sets, "reps": (8, 12),
        "tempo": Tempo(lift=1, top=0, lower=2, bottom=0), "rir": 2, "rest_s": 90, "work_s": 30,
        "setup_s": 60, "warmup_sets": 0, "sides": 1, "minutes": 8.0, "credits": {"front": 1.0}, "load": None,
        "load_unit": "kg", "load_is": "each_hand",
    }  # fmt: skip
    return PlannedExercise(**(facts | changes))


def head_dose(head, target=8, planned=0):
    """A head's line that claims no more than what was asked and planned."""
    sums = ["elsewhere", "by_movers", "low90", "high90", "chance_floor", "chance_target90"]
    nothing = dict.fromkeys(sums, 0)
    return HeadDose(head=head, planned=planned, floor=4, target=target, ceiling=12, **nothing)


def small_document(days, week="2026-W49", gyms=None, dose=()):
    """A week of these sessions, their lines numbered in order; a day whose gym is not named is in the club."""
    year, _, number = week.partition("-W")
    return WeekDocument(
        athlete="Robin Vale", week=week, units="kg", status="proven", made_with=MADE_WITH,
        week_start=datetime.date.fromisocalendar(int(year), int(number), 1).isoformat(),
        sessions=tuple(
            PlannedSession(
                id=day, day=day, gym=(gyms or {}).get(day, "club"), minutes=Minutes(allowed=40, used=30),
                exercises=tuple(one.model_copy(update={"order": n}) for n, one in enumerate(lines, start=1)),
            )
            for day, lines in days.items()
        ),
        dose=tuple(dose), limits=(), missed=(), proof=(), sources=(),
    )  # fmt: skip
