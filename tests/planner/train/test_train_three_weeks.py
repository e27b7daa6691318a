"""Three planned weeks of the demo athlete and their log drive a fourth, and coach.pdf explains every change in it."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest
from folders import DEMO, copy_of

from library.read import Library
from planner.athlete.reading import read_athlete
from planner.athlete.writing import write_week
from planner.document import PlannedExercise, WeekDocument, plan_of
from planner.plain import day_name
from planner.sheets.page import Desk
from planner.sheets.paper import coach_html, sheets_html
from planner.verify.recheck import assert_sound
from planner.week.plan import gather, plan_week

TODAY = datetime.date(2026, 11, 22)
WEEKS = ("2026-W45", "2026-W46", "2026-W47", "2026-W48")

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_of(DEMO, tmp_path_factory.mktemp("demo"), "log.csv")


@pytest.fixture(scope="module")
def weeks(folder: Path) -> list[WeekDocument]:
    """Plan the three weeks of the log and the one after, each from what was logged before it."""
    made = []
    for name in WEEKS:
        asked = gather(folder, name, TODAY)
        document = plan_week(asked)
        inputs = asked.inputs
        assert_sound(document, asked.library, inputs.brief, inputs.gyms, asked.before, inputs.profiles)
        write_week(folder, name, {"week.json": document.model_dump_json()})
        made.append(document)
    return made


@pytest.fixture(scope="module")
def pages(folder: Path, weeks: list[WeekDocument], library: Library) -> list[str]:
    """The coach's pages of each week as plain text."""
    brief, _ = read_athlete(folder, library)
    return [plain(coach_html(Desk(week, library, brief))) for week in weeks]


def plain(html: str) -> str:
    text = re.sub(r"<[^>]+>", " ", html.replace("&#39;", "'").replace("&amp;", "&"))
    return " ".join(text.split())


def lines_of(document: WeekDocument) -> dict[tuple[str, str], PlannedExercise]:
    return {(line.exercise, one.gym): line for one in document.sessions for line in one.exercises}


def test_the_fourth_week_follows_the_log(weeks: list[WeekDocument]) -> None:
    third, fourth = lines_of(weeks[2]), lines_of(weeks[3])
    changed = {
        key: (third[key, gym].load, line.load)
        for (key, gym), line in fourth.items()
        if (key, gym) in third and third[key, gym].load != line.load
    }
    # every set at the top: the next dumbbell, +10 %; pain 4 of 10: a fifth less or more, on a stack of 5 kg steps
    assert changed == {"incline_dumbbell_row_45": (20, 22), "machine_shoulder_press": (30, 20)}
    assert plan_of(weeks[3]) == plan_of(weeks[2])
    assert all(dose.planned + dose.elsewhere >= dose.target - 0.05 for dose in weeks[3].dose)


@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_change_stands_on_the_coachs_page(
    number: int, weeks: list[WeekDocument], pages: list[str]
) -> None:
    before, now, page = weeks[number - 1], weeks[number], pages[number]
    old, new = lines_of(before), lines_of(now)
    for (key, gym), line in new.items():
        if line.load is not None and (key, gym) in old and old[key, gym].load != line.load:
            assert f"{line.name} {gym} {line.load:g} {line.load_unit} {plain(line.load_reason)}" in page
    names = {line.exercise: line.name for lines in (old, new) for line in lines.values()}
    was, is_now = plan_of(before), plan_of(now)
    for key, day in dict.fromkeys((*was, *is_now)):
        sets, then = is_now.get((key, day), 0), was.get((key, day), 0)
        if sets == then:
            continue
        if all(other != key for other, _ in was):
            assert f"New: {names[key]}." in page
        elif all(other != key for other, _ in is_now):
            assert f"Not planned again: {names[key]} (" in page
        else:
            count = f"{sets} set{'' if sets == 1 else 's'}" if sets else "none"
            assert re.search(
                f"{re.escape(names[key])}, [^;]*{count} on {day_name(day)} \\({then or 'none'} before\\)",
                page,
            )


def test_pain_and_what_was_left_open_are_said_on_both_papers(
    folder: Path, weeks: list[WeekDocument], pages: list[str], library: Library
) -> None:
    brief, _ = read_athlete(folder, library)
    pain = "Machine shoulder press: pain 4 on 2026-11-16: 20 % less load "
    assert pain in pages[3]
    assert pain in plain(sheets_html(Desk(weeks[3], library, brief)))
    open_sets = r"Week 2026-W47, (\d+) of (\d+) planned sets were done; what was left open is not added"
    found = re.search(open_sets, pages[3])
    assert found and int(found[1]) < int(found[2])
