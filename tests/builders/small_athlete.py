"""An athlete's folder that plans in a moment: three short sessions in two sparse gyms, shipped library."""

import datetime

from planner.athlete.writing import write_week
from planner.week.gather import gather
from planner.week.plan import plan_week

TODAY = datetime.date(2026, 11, 25)
WEEK = "2026-W49"
BRIEF = """
[athlete]
name = "Kim"
training_status = "novice"

[history]
questionnaire = { date = 2026-09-14, outcome = "no item answered yes" }

[[session]]
day = "Mon"
minutes = 30
gym = "club"

[[session]]
day = "Wed"
minutes = 25
gym = "home"

[[session]]
day = "Fri"
minutes = 30
gym = "club"

[target]
front = 6
side = 8
rear = 6
"""
GYM = """
[club]
equipment = ["dumbbells", "adjustable_bench", "cable_station", "rear_fly_machine"]
[club.loads]
dumbbells = { from = 2, to = 40, step = 2 }
cable_station = { from = 2.5, to = 50, step = 2.5 }

[home]
equipment = ["dumbbells", "bands"]
"""


def make_folder(folder, brief=BRIEF, gym=GYM):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "brief.toml").write_text(brief, encoding="utf-8")
    (folder / "gym.toml").write_text(gym, encoding="utf-8")
    return folder


def keep(folder, document):
    """Write a week's folder with its week.json alone."""
    write_week(folder, document.week, {"week.json": document.model_dump_json()})


def planned(folder, week=WEEK):
    asked = gather(folder, week, TODAY)
    document = plan_week(asked)
    keep(folder, document)
    return asked, document


def sets(document):
    return {(line.exercise, one.id): line.sets for one in document.sessions for line in one.exercises}
