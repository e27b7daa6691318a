"""Weeks of invented clients in one well equipped room, each planned once: cases for what a coach would and would not sign."""

import datetime
from functools import cache

import pytest
from small_athlete import make_folder

from planner.week.gather import gather
from planner.week.plan import plan_week

TODAY = datetime.date(2026, 11, 25)
MACHINES = (
    "shoulder_press_machine", "lateral_raise_machine", "rear_fly_machine", "chest_press_machine",
    "seated_row_station", "pulldown_station",
)  # fmt: skip
CLUB = (
    *MACHINES, "dumbbells", "barbell", "rack", "plates", "flat_bench", "adjustable_bench", "dual_cable_station",
)  # fmt: skip
CLIENTS = {  # status, days, minutes, wishes, room
    "side first": ("advanced", "Mon Tue Thu Fri", 60, "[target]\nside = { target = 20, ceiling = 26, priority = 2 }", CLUB),
    "room of machines": ("novice", "Mon Thu", 40, "", MACHINES),
    "machines alone": ("novice", "Mon Thu", 40, '[preferences]\nonly = ["machine"]', CLUB),
    "outer collar-bone": ("intermediate", "Mon Wed Fri", 45, '[history]\nflags = ["ac_joint"]', CLUB),
    "careful novice": ("novice", "Mon Wed Fri", 40, '[joints]\nsubacromial = "careful"', CLUB),
    "five short, paired": ("intermediate", "Mon Tue Wed Thu Fri", 20, "[preferences]\npaired = true", CLUB),
    "novice": ("novice", "Mon Wed Fri", 30, "", CLUB),
    "one hour": ("intermediate", "Wed", 60, "", CLUB),
}  # fmt: skip


class Client:
    def __init__(self, asked, week):
        self.asked, self.week, self.library = asked, week, asked.library

    @property
    def lead(self):
        """The head that the brief puts first by 1.5 times; empty if none."""
        ranks = sorted((goal.priority, head) for head, goal in self.asked.inputs.targets.items())[::-1]
        return ranks[0][1] if ranks[0][0] >= 1.5 * ranks[1][0] else ""

    def lines(self):
        return [line for session in self.week.sessions for line in session.exercises]

    def dose(self, head):
        return next(line for line in self.week.dose if line.head == head)

    def missed(self):
        return {goal.goal: goal.by for goal in self.week.missed}

    def offered(self):
        """What is planned, and what the sheets offer in its place."""
        instead = {one.exercise for line in self.lines() for one in line.instead}
        return {line.exercise for line in self.lines()} | instead

    def family(self, key):
        return self.library.exercises[key].family


def brief_of(name, called="X"):
    status, days, minutes, wishes, _ = CLIENTS[name]
    at = f'minutes = {minutes}\ngym = "club"\n'
    sessions = "".join(f'[[session]]\nday = "{day}"\n{at}' for day in days.split())
    return f'[athlete]\nname = "{called}"\ntraining_status = "{status}"\n{sessions}{wishes}\n'


def gym_of(name):
    return f"[club]\nequipment = {list(CLIENTS[name][4])}\n".replace("'", '"')


@pytest.fixture(scope="session")
def client(tmp_path_factory):
    @cache
    def plan(name):
        brief = brief_of(name) + "[method]\nemergency_seconds = 5\n"  # of the two that are searched longest
        folder = make_folder(tmp_path_factory.mktemp("client") / "x", brief, gym_of(name))
        asked = gather(folder, "2026-W49", TODAY)
        return Client(asked, plan_week(asked))

    return plan
