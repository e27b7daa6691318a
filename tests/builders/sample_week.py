"""Invented week documents for the sheets' tests: a full week, pounds, an empty session, nothing left, the longest."""

from sample_library import EXERCISES

from library.schema import Tempo
from planner import document as of
from planner.athlete.brief import Brief
from planner.sheets.client import pages
from planner.sheets.page import Desk

NAME = "Zoë Ångström-Müller"
PRESS, REAR = "seated_dumbbell_overhead_press", "bent_over_dumbbell_rear_raise"
RAISE = "standing_dumbbell_lateral_raise"
LONGEST_NAME = "Einarmiges Schrägbank-Kurzhantelseitheben, Rumpf abgestützt"[:60]


def planned(key, order, **changes):
    """Plan one exercise: three sets of 8-12, its load still to be found."""
    name, _, _, _, _, sides, load_is = EXERCISES[key][:7]
    fields = {
        "order": order, "block": "ABCDEFGH"[order - 1], "exercise": key, "name": name, "sets": 3, "reps": (8, 12),
        "tempo": Tempo(lift=1, top=0, lower=3, bottom=0), "rir": 2, "rest_s": 90, "work_s": 40, "setup_s": 30,
        "warmup_sets": 1 if order == 1 else 0, "sides": sides, "minutes": 6.4,
        "credits": {"front": 0.9, "side": 0.6, "rear": 0.0}, "load": None, "load_unit": None, "load_is": load_is,
        "instead": (of.Replacement(exercise=RAISE, sets=3, reps=(12, 15)),),
    }  # fmt: skip
    return of.PlannedExercise(**{**fields, **changes})


def session(day, exercises, allowed=45):
    used = round(5 + sum(one.minutes for one in exercises), 1)
    minutes = of.Minutes(allowed=allowed, used=used)
    return of.PlannedSession(id=day, day=day, gym="city_club", minutes=minutes, exercises=exercises)


def sample_week(**changes):
    """Write a week of three sessions: six exercises, four with a pair, none."""
    monday = (
        planned(PRESS, 1, load=22.5, load_unit="kg", sets=4),
        planned("one_arm_low_cable_lateral_raise", 2, load=12.5, load_unit="kg"),
        planned("lying_cable_y_raise", 3),
        planned("wide_barbell_upright_pull", 4, rir=1, rest_s=120),
        planned(REAR, 5, load=8, load_unit="kg", reps=(15, 15)),
        planned("band_face_pull", 6, tempo=Tempo(lift=2, top=1, lower=3, bottom=1), rir=0),
    )
    warmed = {"warmup_sets": 2, "warmup_loads": (20, 32.5), "rest_s": 150}
    thursday = (
        planned("barbell_overhead_press", 1, load=42.5, load_unit="kg", **warmed),
        planned(RAISE, 2, load=9, load_unit="kg", block="B"),
        planned(REAR, 3, load=8, load_unit="kg", block="B"),
        planned("pike_push_up", 4, block="C", instead=()),
    )
    fields = {
        "athlete": NAME, "week": "2026-W49", "week_start": "2026-11-30", "units": "kg", "status": "proven",
        "made_with": of.MadeWith(
            tool="0.1.0", library="0123456789ab", inputs="fedcba987654", counting="activation",
            method={"eccentric_weight": 1.0, "general_warmup_minutes": 5, "largest_block_sets": 4},
        ),
        "sessions": (session("Mon", monday), session("Thu", thursday, 32), session("Sat", ())),
        "dose": (
            _dose("front", elsewhere=3.0, planned=9.4, own=10.4, helping=2.0, beyond=1.5, target=10, by_movers=8.0,
                  low90=10.6, high90=14.1),
            _dose("side", elsewhere=0.0, planned=11.6, own=8.0, helping=3.6, target=14, by_movers=12.5,
                  low90=9.8, high90=13.2, chance_floor=0.97, chance_target90=0.31),
            _dose("rear", elsewhere=1.5, planned=6.1, own=7.6, target=8, by_movers=9.0, low90=6.4, high90=8.9),
        ),
        "limits": (
            of.LimitUse(limit="time:Mon", used=44.3, allowed=45, unit="min", binds=True),
            of.LimitUse(limit="time:Thu", used=29.0, allowed=30, unit="min", binds=True),
            of.LimitUse(limit="exercises:Mon", used=6, allowed=6, unit="exercises", binds=True),
            of.LimitUse(limit="exercises:week", used=8, allowed=9, unit="exercises", binds=False),
            of.LimitUse(limit="joints:subacromial", used=28, allowed=30, unit="grade-sets", binds=True),
            of.LimitUse(limit="joints:elbow", used=12, allowed=60, unit="grade-sets", binds=False),
        ),
        "missed": (
            of.MissedGoal(goal="dose:side", by=2.4, unit="direct sets"),
            of.MissedGoal(goal="heavy_days:front:Mon-Thu", by=1, unit="pairs"),
        ),
        "proof": (
            of.Proof(aim="dose", value=2.4, bound=2.37, gap=0.03, unit="missed sets", seconds=1.25),
            of.Proof(aim="rest", value=61.2, bound=60.9, gap=0.3, unit="priced minutes", seconds=2.5),
        ),
        "sources": ("campos2020-" + PRESS,),
        "warnings": ("No readiness questionnaire of the last 12 months is recorded: ask before the first session.",),
    }  # fmt: skip
    return of.WeekDocument(**{**fields, **changes})


def longest_week(most=6):
    """Three sessions of six exercises (or less) of four sets, each name at its 60 characters, each load unknown."""
    asked = {"sets": 4, "reps": (12, 15)}
    others = tuple(
        of.Replacement(exercise=key, differs={head: -1.2}, **asked) for key, head in ((REAR, "front"), (RAISE, "rear"))
    )  # fmt: skip
    longest = {"name": LONGEST_NAME, "sets": 4, "instead": others, "warmup_sets": 1}
    full = tuple(planned(key, order, **longest) for order, key in enumerate(list(EXERCISES)[:most], 1))
    return sample_week(sessions=tuple(session(day, full) for day in ("Mon", "Wed", "Fri")))


def nothing_left_week():
    return sample_week(
        sessions=(session("Mon", ()), session("Thu", ())),
        dose=(_dose("front", elsewhere=12.0, planned=0.0, target=10, by_movers=0.0, low90=9.0, high90=14.0),),
        missed=(), limits=(), warnings=(),
    )  # fmt: skip


def sample_brief(paper="A4", **changes):
    """A brief with a shoulder to be careful with and a flag for the elbow."""
    fields = {
        "athlete": {"name": NAME}, "session": ({"day": "Mon", "minutes": 45, "gym": "city_club"},),
        "joints": {"subacromial": "careful"}, "history": {"flags": ("elbow",)}, "preferences": {"paper": paper},
    }  # fmt: skip
    return Brief.model_validate({**fields, **changes})


def sample_desk(library, week=None, paper="A4", **brief):
    return Desk(week or sample_week(), library, sample_brief(paper, **brief))


def sample_page(library, *exercises, **brief):
    return pages(sample_desk(library, sample_week(sessions=(session("Mon", exercises),)), **brief))[0]


def _dose(head, **fields):
    certain = {"floor": 6.0, "ceiling": 20.0, "chance_floor": 1.0, "chance_target90": 0.93}
    return of.HeadDose(head=head, **{**certain, **fields})
