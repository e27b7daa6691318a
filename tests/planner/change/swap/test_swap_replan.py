"""Swaps from end to end on a small athlete's folder: what stays, what moves, what comes back."""

from __future__ import annotations

import datetime
import random
import shutil
from pathlib import Path

import pytest
from planner.change.swap.swap import Swapped, swap_week
from planner.change.swap.told import Options
from planner.week.best_dose import BestDose, best_dose
from small_athlete import BRIEF, GYM, WEEK, keep, make_folder, planned, sets

from library.errors import FaultyInput
from planner.document import WeekDocument
from planner.errors import NotCleared, NoWeekPossible
from planner.model.problem import Problem
from planner.verify.recheck import assert_sound

SUNDAY = datetime.date(2026, 12, 6)  # every day of the week has come


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = make_folder(tmp_path_factory.mktemp("first") / "kim")
    planned(folder)
    return folder


@pytest.fixture
def folder(first: Path, tmp_path: Path) -> Path:
    shutil.copytree(first, tmp_path / "kim")
    return tmp_path / "kim"


def swap(folder: Path, **options: tuple[str, ...]) -> Swapped:
    """Swap, recheck what came of it, and keep it if there is news."""
    swapped = swap_week(folder, Options(**options), SUNDAY)
    inputs = swapped.asked.inputs
    assert_sound(swapped.report.week, inputs.library, inputs.brief, inputs.gyms, swapped.asked.before)
    if swapped.news:
        keep(folder, swapped.report.week)
    return swapped


def stations(document: WeekDocument, swapped: Swapped, day: str = "") -> set[str]:
    exercises = swapped.asked.inputs.library.exercises
    return {need for key, on in sets(document) for need in exercises[key].needs if day in ("", on)}


def some_exercise(folder: Path) -> tuple[str, str]:
    return next(iter(sets(swap_week(folder, Options(), SUNDAY).report.week)))


def test_nothing_told_changes_nothing(folder: Path) -> None:
    before = (folder / "weeks" / WEEK / "week.json").read_bytes()
    swapped = swap(folder)
    assert not swapped.news
    assert swapped.report.sets_in == swapped.report.sets_out == 0
    assert not swapped.report.new_pages
    assert (folder / "weeks" / WEEK / "week.json").read_bytes() == before
    assert swapped.report.minutes_before == swapped.report.minutes_after
    assert all(head.before == head.after for head in swapped.report.heads)


def test_a_plan_that_meets_every_target_stays_without_any_search(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for searched in ("best_dose", "least_change"):
        monkeypatch.setattr(f"planner.change.swap.replan.{searched}", None)
    assert not swap(folder).news
    assert swap(folder, minutes=("Mon=45",)).report.sets_in == 0


def test_the_best_dose_is_searched_only_where_no_move_shows_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    searches: list[object] = []

    def searched(problem: Problem) -> BestDose | None:
        searches.append(problem)
        return best_dose(problem)

    monkeypatch.setattr("planner.change.swap.replan.best_dose", searched)
    mended = swap(folder, without=("rear_fly_machine",)).report.week
    assert not searches and mended.status == "proven" and mended.proof[0].bound == 0.0
    short = swap(folder, missed=("Mon", "Wed"), minutes=("Fri=10",)).report.week
    assert searches and short.proof[0].bound > 0.0


def test_files_that_were_edited_are_followed_without_any_option(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    (folder / "gym.toml").write_text(GYM.replace(', "rear_fly_machine"', ""))
    swapped = swap(folder)
    assert swapped.news and swapped.report.changes == ()
    assert "rear_fly_machine" not in stations(swapped.report.week, swapped)
    assert sets(swapped.report.week) != old


def test_equipment_that_is_out_is_not_used_and_comes_back_with_the_old_plan(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    away = swap(folder, without=("rear_fly_machine",))
    assert "rear_fly_machine" not in stations(away.report.week, away)
    assert [change.name for change in away.report.changes] == ["rear_fly_machine"]
    back = swap(folder, with_=("rear_fly_machine",))
    assert sets(back.report.week) == old
    assert back.report.back_to == "v1"
    assert back.report.changes == ()
    again = swap(folder, without=("rear_fly_machine",))
    assert sets(again.report.week) == sets(away.report.week)
    assert again.report.back_to == "v2"


def test_minutes_there_and_back(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    short = swap(folder, minutes=("Wed=10",))
    wednesday = short.report.week.sessions[1]
    assert wednesday.minutes.allowed == 10 and wednesday.minutes.used <= 10
    assert sets(swap(folder, minutes=("Wed=25",)).report.week) == old


def test_an_exercise_there_and_back(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    key, _ = some_exercise(folder)
    dropped = swap(folder, drop=(key,))
    assert key not in {name for name, _ in sets(dropped.report.week)}
    assert dropped.report.left == (key,)
    assert sets(swap(folder, with_=(key,)).report.week) == old


def test_changes_stay_until_they_are_taken_back(folder: Path) -> None:
    swap(folder, without=("rear_fly_machine",))
    later = swap(folder, minutes=("Fri=20",))
    assert "rear_fly_machine" not in stations(later.report.week, later)
    assert {change.name for change in later.report.changes} == {"rear_fly_machine", "Fri"}


def test_equipment_out_in_one_gym_is_still_used_in_the_other(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim", gym=GYM.replace('["dumbbells", "bands"]', '["dumbbells"]'))
    planned(folder)
    swapped = swap(folder, without=("club:dumbbells",))
    assert "dumbbells" not in stations(swapped.report.week, swapped, "Mon") | stations(
        swapped.report.week, swapped, "Fri"
    )
    assert "dumbbells" in stations(swapped.report.week, swapped, "Wed")


def test_what_was_done_stands_and_counts(folder: Path) -> None:
    swap(folder, done=("Mon",))
    monday = {pair: n for pair, n in sets(swap(folder).report.week).items() if pair[1] == "Mon"}
    swapped = swap(folder, without=("rear_fly_machine", "dumbbells"), minutes=("Fri=60",))
    week = swapped.report.week
    assert {
        pair: n for pair, n in sets(week).items() if pair[1] == "Mon"
    } == monday  # even on what is gone now
    assert [session.state for session in week.sessions] == ["done", "planned", "planned"]
    assert not {"rear_fly_machine", "dumbbells"} & stations(week, swapped, "Fri")
    assert not any(line.instead for line in week.sessions[0].exercises)
    counted = sum(line.credits.get("rear", 0) * line.sets for one in week.sessions for line in one.exercises)
    assert next(dose.planned for dose in week.dose if dose.head == "rear") == pytest.approx(counted, abs=1e-2)


def test_what_was_missed_gives_nothing_and_is_shared_over_the_days_left(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    swapped = swap(folder, missed=("Wed",))
    week = sets(swapped.report.week)
    assert not any(day == "Wed" for _, day in week)
    assert sum(n for (_, day), n in week.items() if day != "Wed") > sum(
        n for (_, day), n in old.items() if day != "Wed"
    )
    assert all(head.after >= head.target - 0.8 for head in swapped.report.heads)
    assert not [row for row in swapped.report.week.limits if row.limit.endswith(":Wed")]


def test_all_sessions_over_leave_nothing_to_plan(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    swapped = swap(folder, done=("Mon", "Fri"), missed=("Wed",))
    assert sets(swapped.report.week) == {pair: n for pair, n in old.items() if pair[1] != "Wed"}


def test_loads_are_carried_over(folder: Path) -> None:
    document = swap(folder).report.week
    line = document.sessions[0].exercises[0].model_copy(update={"load": 10.0, "load_unit": "kg"})
    sessions = (
        document.sessions[0].model_copy(update={"exercises": (line, *document.sessions[0].exercises[1:])}),
        *document.sessions[1:],
    )
    keep(folder, document.model_copy(update={"sessions": sessions}))
    week = swap_week(folder, Options(done=("Mon",), minutes=("Fri=20",)), SUNDAY).report.week
    kept = next(one for one in week.sessions[0].exercises if one.exercise == line.exercise)
    assert (kept.load, kept.load_unit) == (10.0, "kg")


def test_a_session_that_is_emptied_is_told_and_the_week_is_planned(tmp_path: Path) -> None:
    gym = '[club]\nequipment = ["dumbbells"]\n[home]\nequipment = []\n'
    brief = BRIEF.replace("[target]", '[preferences]\nexclude = ["pike_push_up"]\n\n[target]')
    folder = make_folder(tmp_path / "kim", brief=brief.replace('gym = "home"', 'gym = "club"'), gym=gym)
    asked, _ = planned(folder)
    bare = [e.key for e in asked.inputs.library.exercises.values() if not e.needs and not e.compare_only]
    swapped = swap(folder, without=("dumbbells", *(key for key in bare if key != "pike_push_up")))
    assert sets(swapped.report.week) == {}
    told = [session.emptied for session in swapped.report.sessions if session.emptied]
    assert told and all("Nothing can be trained in club" in text for text in told)
    assert all(head.after == 0 for head in swapped.report.heads)


def test_dose_stays_within_the_tolerance_of_the_best(folder: Path) -> None:
    for options in ({"without": ("dumbbells",)}, {"minutes": ("Wed=10", "Fri=15")}, {"missed": ("Mon",)}):
        swapped = swap_week(folder, Options(**options), SUNDAY)  # type: ignore[arg-type]
        dose = swapped.report.week.proof[0]
        assert dose.gap <= 0.25 * len(swapped.report.heads) + 0.05


def test_what_changes_nothing_is_noted(folder: Path) -> None:
    assert swap(folder, without=("barbell",)).report.notes == (
        "--without barbell: this is so already, nothing changes by it.",
    )
    assert swap(folder, minutes=("Mon=30",)).report.notes == (
        "--minutes Mon=30: this is so already, nothing changes by it.",
    )
    assert not swap(folder, without=("bands",)).report.notes
    assert swap(folder, without=("bands",)).report.notes


def test_a_week_that_was_not_planned_is_told_with_those_that_were(folder: Path) -> None:
    with pytest.raises(FaultyInput) as caught:
        swap_week(folder, Options(), SUNDAY, "2026-W50")
    told = str(caught.value)
    assert "week 2026-W50 was not planned" in told and "--week 2026-W50" in told
    assert 'Name one of "2026-W49"' in told
    with pytest.raises(FaultyInput, match='"next" is no week'):
        swap_week(folder, Options(), SUNDAY, "next")


def test_no_plan_in_force_says_how_to_make_one(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "kim")
    with pytest.raises(FaultyInput, match=r"no plan is in force.*Make one first: planner week"):
        swap(folder)


def test_plan_and_library_out_of_step_names_what_vanished(folder: Path) -> None:
    document = swap(folder).report.week
    line = document.sessions[0].exercises[0].model_copy(update={"exercise": "old_raise"})
    session = document.sessions[0].model_copy(update={"exercises": (line,)})
    keep(folder, document.model_copy(update={"sessions": (session, *document.sessions[1:])}))
    with pytest.raises(FaultyInput, match=f'no longer has "old_raise".*planner week .* --week {WEEK}'):
        swap(folder)


def test_a_day_that_is_over_and_no_longer_in_the_brief_is_told(folder: Path) -> None:
    swap(folder, done=("Wed",))
    (folder / "brief.toml").write_text(BRIEF.replace('"Wed"', '"Thu"'))
    with pytest.raises(FaultyInput, match=r"Wed is over.*no session on Wed"):
        swap(folder)


def test_a_day_that_moved_is_planned_anew(folder: Path) -> None:
    (folder / "brief.toml").write_text(BRIEF.replace('"Wed"', '"Thu"'))
    assert {day for _, day in sets(swap(folder).report.week)} <= {"Mon", "Thu", "Fri"}


def test_a_pin_without_its_equipment_is_refused_with_the_reason(folder: Path) -> None:
    pin = '[preferences]\npin = { machine_reverse_fly = { day = "Mon", sets = 3 } }\n\n[target]'
    (folder / "brief.toml").write_text(BRIEF.replace("[target]", pin))
    with pytest.raises(NoWeekPossible, match=r"pin.machine_reverse_fly.*lacks rear_fly_machine"):
        swap(folder, without=("rear_fly_machine",))
    swapped = swap(folder, missed=("Mon",))
    assert not any(day == "Mon" for _, day in sets(swapped.report.week))  # a pin on a missed day asks nothing
    assert any("pinned on Monday, which was missed" in note for note in swapped.report.notes)


def test_what_must_hold_and_cannot_is_told(folder: Path) -> None:
    (folder / "brief.toml").write_text(BRIEF.replace("rear = 6", "rear = { target = 6, must = true }"))
    swap(folder)
    with pytest.raises(NoWeekPossible, match=r"target\.rear"):
        swap(folder, missed=("Mon", "Wed", "Fri"))


def test_an_operation_without_clearance_stops_a_swap_too(folder: Path) -> None:
    surgery = 'surgery = { date = 2026-01-05, cleared = false }\n\n[[session]]\nday = "Mon"'
    (folder / "brief.toml").write_text(BRIEF.replace('[[session]]\nday = "Mon"', surgery, 1))
    with pytest.raises(NotCleared):
        swap(folder)


def test_another_week_than_the_newest_may_be_named(folder: Path) -> None:
    planned(folder, "2026-W50")
    assert swap_week(folder, Options(), SUNDAY).report.week.week == "2026-W50"
    assert swap_week(folder, Options(), SUNDAY, WEEK).report.week.week == WEEK


def test_a_damaged_old_version_is_passed_over(folder: Path) -> None:
    old = sets(swap(folder).report.week)
    swap(folder, without=("rear_fly_machine",))
    (folder / "weeks" / WEEK / "v1" / "week.json").write_text("{")
    swapped = swap(folder, with_=("rear_fly_machine",))
    assert swapped.report.back_to == ""
    assert old  # the plan in force stays or moves on; nothing falls over


THERE_AND_BACK: list[tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]] = [
    ({"without": ("cable_station",)}, {"with_": ("cable_station",)}),
    ({"without": ("club:dumbbells",)}, {"with_": ("dumbbells",)}),
    ({"without": ("bands", "rear_fly_machine")}, {"with_": ("bands", "rear_fly_machine")}),
    ({"with_": ("club:barbell",)}, {"without": ("barbell",)}),
    ({"minutes": ("Mon=15", "Fri=15")}, {"minutes": ("Mon=30", "Fri=30")}),
    ({"minutes": ("Wed=60",)}, {"minutes": ("Wed=25",)}),
    ({"drop": ("machine_reverse_fly",)}, {"with_": ("machine_reverse_fly",)}),
]


@pytest.mark.parametrize("seed", range(3))
def test_whatever_was_swapped_before_there_and_back_returns(seed: int, folder: Path) -> None:
    """From any state of the week a change and its opposite end at the same plan; each step passes its recheck."""
    dice = random.Random(seed)
    steps = dice.sample(THERE_AND_BACK, 3)
    stack = [sets(swap(folder).report.week)]
    for there, _ in steps:
        stack.append(sets(swap(folder, **there).report.week))
    for _, back in reversed(steps):
        stack.pop()
        assert sets(swap(folder, **back).report.week) == stack[-1]


def test_limits_that_tighten_later_do_not_touch_what_was_done(folder: Path) -> None:
    old = sets(swap(folder, done=("Mon", "Wed")).report.week)
    tight = (
        '[joints]\nanterior_capsule = "avoid"\nsubacromial = "avoid"\nelbow = "avoid"\n'
        "[preferences]\ntrapezius = true\n[method]\njoint_budget_avoid = 0\nexercises_per_week = 2\n"
        "exercises_per_session = 1\ntrapezius_level = 0.1\nsession_hard_cap_sets = 1\n[target]"
    )
    text = BRIEF.replace("[target]", tight).replace("rear = 6", "rear = { target = 3, ceiling = 4 }")
    (folder / "brief.toml").write_text(text)
    week = sets(swap(folder).report.week)
    over = {pair: n for pair, n in old.items() if pair[1] != "Fri"}
    assert {pair: n for pair, n in week.items() if pair[1] != "Fri"} == over


def test_a_week_that_needs_nothing_more_may_be_swapped(folder: Path) -> None:
    done = "{ sets = 20, whole = true }"
    elsewhere = "\n[elsewhere]\n" + "".join(
        f"{key} = {done}\n"
        for key in (
            "seated_dumbbell_overhead_press",
            "standing_dumbbell_lateral_raise",
            "bent_over_dumbbell_rear_raise",
        )
    )
    (folder / "brief.toml").write_text(BRIEF + elsewhere)
    swapped = swap(folder, without=("cable_station",))
    assert all(head.after >= head.target for head in swapped.report.heads)


def test_what_was_called_done_and_now_missed_is_told(folder: Path) -> None:
    swap(folder, done=("Mon",))
    assert "Monday was called done before: its " in " ".join(swap(folder, missed=("Mon",)).report.notes)


def test_a_new_plan_misses_no_head_by_more_than_the_tolerance_of_one(folder: Path) -> None:
    for missed in ("Mon", "Wed", "Fri"):
        week = swap_week(folder, Options(missed=(missed,)), SUNDAY).report.week
        best = week.proof[0]
        assert (
            best.value <= best.bound + 0.25 + 0.05
        )  # missed sets: the tolerance of one head, and the gap of the proof


def test_a_folder_that_is_not_there_is_told_as_that(tmp_path: Path) -> None:
    with pytest.raises(FaultyInput, match="there is no such folder"):
        swap_week(tmp_path / "nobody", Options(), SUNDAY)
