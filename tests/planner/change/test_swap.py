"""Swaps: the least change by counting; movement before name; what is taken back brings the old plan back."""

import datetime
import random
import shutil
from dataclasses import replace

import pytest
from every_plan import every_plan
from hypothesis import given, settings
from small_athlete import BRIEF, GYM, WEEK, keep, make_folder, planned, sets
from tiny_week import FLY, PRESS, RAISE, goal, swapped_weeks, tiny

from library.errors import FaultyInput, NotCleared, NoWeekPossible
from planner.change.swap import swap_week
from planner.change.swap_report import swap_text
from planner.change.told import Options
from planner.document import BlockMark
from planner.model.aims import change_price, dose_room, dose_value, rest_value
from planner.publish import check_sound
from planner.solve.solve import best_dose
from planner.week.gather import gather
from planner.week.keeping import Keeping, least_change

MONDAY, SUNDAY = datetime.date(2026, 11, 30), datetime.date(2026, 12, 6)  # the week begins, and has gone by


# --- least change, against counting every plan
def by_counting(problem):
    """Best dose; within its tolerance the least change; of those the least of all else."""
    plans = list(every_plan(problem))
    best = min(dose_value(problem, plan) for plan in plans)
    near = [plan for plan in plans if dose_value(problem, plan) <= best + dose_room(problem) + 1e-9]
    least = min(change_price(problem, plan) for plan in near)
    same = [plan for plan in near if change_price(problem, plan) <= least + 1e-9]
    return best, least, min(rest_value(problem, plan) - least for plan in same)


@settings(max_examples=40, deadline=None)
@given(swapped_weeks())
def test_dose_then_change_then_care_as_by_counting(problem):
    best = best_dose(problem)
    solved = least_change(problem, best)
    dose, change, care = by_counting(problem)
    assert best.value == pytest.approx(dose, abs=problem.settings.dose_gap_sets)
    assert change_price(problem, solved.plan) == pytest.approx(change, abs=1e-6)
    rest = rest_value(problem, solved.plan) - change
    assert care - 1e-6 <= rest <= care + problem.settings.rest_gap_minutes
    assert solved.rest_bound <= change + care + 1e-6 and solved.among
    assert not Keeping(problem).broken(solved.plan)


def test_an_exercise_that_has_to_go_is_replaced_by_its_movement_on_its_day_first():
    """The raise is gone; a cable raise and an upright pull give the side the same: the raise's family takes its place."""
    pull = replace(RAISE, key="pull", place=1, family="upright_pull")
    cable = replace(RAISE, key="cable_raise", place=4, implement="cable")
    keys = frozenset({"press", "pull", "cable_raise", "fly"})
    sessions = tuple(replace(one, allowed=keys, seconds=1200) for one in tiny().sessions)
    problem = tiny(candidates=(PRESS, pull, FLY, cable), sessions=sessions, heads=(goal("side", target=3.0),))
    for day in ("Mon", "Tue"):
        lost = {"raise": ("lateral_raise", "side")}
        before = replace(problem, in_force={("raise", day): 3}, lost_kinds=lost)
        made = least_change(before, best_dose(before)).plan
        assert ("cable_raise", day) in made and "pull" not in {key for key, _ in made}


def test_what_is_lost_is_replaced_by_no_more_sets_than_it_had_and_a_lost_head_by_its_own_movement():
    """A raise and a face pull are gone: two raises would help the rear a little, the fly is the rear's own."""
    stack = replace(RAISE, key="stack", place=4, implement="machine", credits={"side": 1.0, "rear": 0.4})
    cable = replace(stack, key="cable_raise", place=5, implement="cable")
    keys = frozenset({"press", "stack", "cable_raise", "fly"})
    sessions = tuple(replace(one, allowed=keys, seconds=2400) for one in tiny().sessions)
    heads = (goal("side", target=3.0), goal("rear", target=3.0))
    problem = tiny(
        candidates=(PRESS, FLY, stack, cable), sessions=sessions, heads=heads,
        in_force={("press", "Mon"): 3, ("raise", "Mon"): 3, ("face_pull", "Mon"): 3},
        lost_kinds={"raise": ("lateral_raise", "side"), "face_pull": ("face_pull", "rear")},
    )  # fmt: skip
    made = least_change(problem, best_dose(problem)).plan
    assert made.pop(("press", "Mon")) == 3 and ("fly", "Mon") in made
    assert {day for _, day in made} == {"Mon"} and sum(made.values()) <= 6


def test_what_was_trained_already_is_lost_on_the_days_to_come_all_the_same():
    """The raise was done on Monday and its station is gone: the cable raise of its family takes Tuesday's place."""
    cable = replace(RAISE, key="cable_raise", place=4, implement="cable")
    keys = frozenset({"press", "cable_raise", "fly"})
    monday, tuesday, *rest = (replace(one, allowed=keys, seconds=2400) for one in tiny().sessions)
    monday = replace(monday, allowed=keys | {"raise"}, state="done")
    problem = tiny(
        candidates=(PRESS, RAISE, FLY, cable), sessions=(monday, tuesday, *rest), pins={("raise", "Mon"): 3},
        heads=(goal("side", target=6.0),), in_force={("raise", "Mon"): 3, ("raise", tuesday.id): 3},
    )  # fmt: skip
    assert problem.lost == {("raise", tuesday.id): 3}
    assert ("cable_raise", tuesday.id) in least_change(problem, best_dose(problem)).plan


# --- an athlete's week
@pytest.fixture(scope="module")
def first(tmp_path_factory):
    folder = make_folder(tmp_path_factory.mktemp("first") / "kim")
    planned(folder)
    return folder


@pytest.fixture
def folder(first, tmp_path):
    shutil.copytree(first, tmp_path / "kim")
    return tmp_path / "kim"


def swap(folder, **options):
    """Swap, recheck what came of it, and keep it if there is news."""
    swapped = swap_week(folder, Options(**options), SUNDAY if options.get("done") else MONDAY)
    check_sound(swapped.report.week, swapped.asked)
    if swapped.news:
        keep(folder, swapped.report.week)
    return swapped


def stations(swapped, day=""):
    exercises = swapped.asked.inputs.library.exercises
    return {need for key, on in sets(swapped.report.week) for need in exercises[key].needs if day in ("", on)}


def of_day(document, *days):
    return {pair: n for pair, n in sets(document).items() if pair[1] in days}


def test_what_changes_nothing_is_noted_and_moves_nothing(folder, library):
    before = (folder / "weeks" / WEEK / "week.json").read_bytes()
    report = swap(folder).report
    assert report.sets_in == report.sets_out == 0 and not report.new_pages
    assert (folder / "weeks" / WEEK / "week.json").read_bytes() == before
    for options in ({"without": ("barbell",)}, {"minutes": ("Mon=30",)}):
        swapped = swap_week(folder, Options(**options), SUNDAY)
        assert len(swapped.report.notes) == 1 and "nothing changes" in swapped.report.notes[0]
    text = swap_text(swap(folder).report, library)
    assert "Monday: as before" in text and "in  " not in text
    assert not swap(folder, minutes=("Mon=45",)).report.sets_in  # more room alone moves nothing


def test_equipment_that_is_out_is_not_used_and_comes_back_with_the_old_plan(folder):
    old = sets(swap(folder).report.week)
    taken = next(iter(sorted(stations(swap(folder), "Mon") - {"adjustable_bench"})))
    away = swap(folder, without=(taken,))
    assert taken not in stations(away)
    assert [change.name for change in away.report.changes] == [taken]
    assert away.report.week.proof[1].among
    back = swap(folder, with_=(taken,))
    assert (sets(back.report.week), back.report.back_to, back.report.changes) == (old, "v1", ())
    assert swap(folder, without=(taken,)).report.back_to == "v2"


def test_an_exercise_that_is_dropped_gives_way_to_its_family_where_that_will_do(tmp_path):
    """What comes in for it is of its family, or nothing new comes in at all; and it all comes back."""
    folder = make_folder(tmp_path / "kim", BRIEF.replace("= 6", "= 10").replace("= 8", "= 12"))
    planned(folder)
    week = swap(folder).report.week
    family = {key: one.family for key, one in swap(folder).asked.inputs.library.exercises.items()}
    replaced = []
    for name in sorted({family[key] for key, _ in sets(week)}):
        gone = tuple(sorted({key for key, _ in sets(week) if family[key] == name}))
        report = swap_week(folder, Options(drop=gone), SUNDAY).report
        assert set(gone) <= set(report.left)
        kin = [new for new in report.joined if family[new] == name]
        assert kin or not report.joined, name
        replaced += kin
    assert replaced
    swap(folder, drop=gone)
    assert sets(swap(folder, with_=gone).report.week) == sets(week)


def test_changes_stay_until_they_are_taken_back_and_a_day_that_was_trained_keeps_them(folder):
    old = sets(swap(folder).report.week)
    gone = next(iter(sorted(stations(swap(folder), "Fri") - {"adjustable_bench"})))
    swap(folder, done=("Mon",), without=(gone,))
    back = swap(folder, with_=(gone,)).report
    assert (sets(back.week), back.back_to, back.week.sessions[0].state) == (old, "v1", "done")
    swap(folder, without=("rear_fly_machine",))
    later = swap(folder, minutes=("Fri=15",))
    assert "rear_fly_machine" not in stations(later)
    assert {change.name for change in later.report.changes} == {"rear_fly_machine", "Fri"}
    assert later.report.week.sessions[2].minutes.used <= 15


def test_equipment_out_in_one_gym_is_still_used_in_the_other(tmp_path):
    folder = make_folder(tmp_path / "kim", gym=GYM.replace('["dumbbells", "bands"]', '["dumbbells"]'))
    planned(folder)
    swapped = swap(folder, without=("club:dumbbells",))
    assert "dumbbells" not in stations(swapped, "Mon") | stations(swapped, "Fri")
    assert "dumbbells" in stations(swapped, "Wed")


def test_what_was_done_stands_and_counts_until_it_is_called_missed(folder):
    monday = of_day(swap(folder, done=("Mon",)).report.week, "Mon")
    swapped = swap(folder, without=("rear_fly_machine", "dumbbells"), minutes=("Fri=60",))
    week = swapped.report.week
    assert of_day(week, "Mon") == monday  # even on what is gone now
    assert [session.state for session in week.sessions] == ["done", "planned", "planned"]
    assert not any(line.instead for line in week.sessions[0].exercises)
    assert not {"rear_fly_machine", "dumbbells"} & stations(swapped, "Fri")
    swap(folder, done=("Mon",))
    swapped = swap(folder, missed=("Mon",))
    assert any("called done before" in note for note in swapped.report.notes)
    assert not of_day(swapped.report.week, "Mon")


def test_what_was_missed_gives_nothing_and_can_be_taken_back(folder):
    old = sets(swap(folder).report.week)
    missed = swap(folder, missed=("Wed",))
    assert not of_day(missed.report.week, "Wed")
    assert not [row for row in missed.report.week.limits if row.limit.endswith(":Wed")]
    trains = {key: one.trains for key, one in missed.asked.inputs.library.exercises.items()}
    kept = {trains[key] for key, day in old if day != "Wed"}
    for (key, day), n in sets(missed.report.week).items():  # nothing is piled up on the days left
        assert n <= old.get((key, day), 0) + 1 and ((key, day) in old or trains[key] not in kept)
    assert gather(folder, "2026-W50", SUNDAY).inputs.last_plan == old  # the next week goes on from the plan
    back = swap(folder, back=("Wed",))
    assert back.report.week.sessions[1].state == "planned" and sets(back.report.week) == old
    swap(folder, done=("Mon",))
    taken = swap(folder, back=("Mon",))
    assert taken.report.week.sessions[0].state == "planned" and sets(taken.report.week) == old


def test_days_gone_by_before_a_missed_one_take_nothing_more(folder):
    old = swap(folder).report.week
    friday = datetime.date(2026, 12, 4)
    swapped = swap_week(folder, Options(missed=("Wed",)), friday)
    check_sound(swapped.document, swapped.asked)
    late = swapped.report
    assert of_day(late.week, "Mon") == of_day(old, "Mon") and not of_day(late.week, "Wed")
    assert any(note.startswith("Monday") and "--missed" in note for note in late.notes)
    assert not late.joined and late.week.status == "proven"
    keep(folder, late.week)
    back = swap_week(folder, Options(back=("Wed",)), friday).report
    assert sets(back.week) == sets(old) and {one.state for one in back.week.sessions} == {"planned"}
    ahead = swap_week(folder, Options(missed=("Wed",)), MONDAY).report
    assert not any(note.startswith("Monday") for note in ahead.notes)


def test_in_a_lighter_week_nobody_makes_up_for_a_missed_day(folder):
    mark = BlockMark(first=WEEK, number=1, of=2, lighter=True)
    keep(folder, swap(folder).report.week.model_copy(update={"block": mark}))
    (folder / "brief.toml").write_text(f'{BRIEF}\n[block]\nlighter = ["{WEEK}"]\n')
    old = sets(planned(folder)[1])
    new = sets(swap(folder, missed=("Wed",)).report.week)
    assert new == {pair: n for pair, n in old.items() if pair[1] != "Wed"} != old


def test_all_sessions_over_leave_nothing_to_plan(folder):
    old = swap(folder).report.week
    swapped = swap(folder, done=("Mon", "Fri"), missed=("Wed",))
    assert sets(swapped.report.week) == of_day(old, "Mon", "Fri")


def test_the_report_adds_up_and_loads_are_carried_over_with_their_warm_ups(folder, library):
    document = swap(folder).report.week
    known = {"load": 10.0, "load_unit": "kg", "warmup_sets": 1, "warmup_loads": (6.0,)}
    line = document.sessions[0].exercises[0].model_copy(update=known)
    first = document.sessions[0].model_copy(update={"exercises": (line, *document.sessions[0].exercises[1:])})
    keep(folder, document.model_copy(update={"sessions": (first, *document.sessions[1:])}))
    week = swap_week(folder, Options(done=("Mon",), minutes=("Fri=20",)), SUNDAY).report.week
    kept = next(one for one in week.sessions[0].exercises if one.exercise == line.exercise)
    assert (kept.load, kept.load_unit, kept.warmup_loads) == (10.0, "kg", (6.0,))
    old = sets(swap(folder).report.week)
    report = swap(folder, missed=("Wed",)).report
    new = sets(report.week)
    moved = [new.get(pair, 0) - old.get(pair, 0) for pair in {*old, *new}]
    assert report.sets_in == sum(max(0, n) for n in moved)
    assert report.sets_out == sum(max(0, -n) for n in moved)
    assert {one.id for one in report.new_pages} <= {"Mon", "Fri"}
    text = swap_text(report, library)
    assert "Wednesday: missed" in text and f"{report.sets_out} sets out" in text


def test_a_new_plan_misses_no_head_by_more_than_the_tolerance_of_one(folder):
    for options in ({"missed": ("Mon",)}, {"without": ("dumbbells",)}, {"minutes": ("Wed=10", "Fri=15")}):
        dose = swap_week(folder, Options(**options), SUNDAY).report.week.proof[0]
        assert dose.value <= dose.bound + 0.25 + 0.05


def test_a_session_that_is_emptied_is_told_and_the_week_is_planned(folder):
    bare = '[club]\nequipment = ["dumbbells"]\n[home]\nequipment = ["dumbbells"]\n'
    (folder / "gym.toml").write_text(bare)
    wishes = '[preferences]\nexclude = ["bodyweight"]\n\n[target]'
    (folder / "brief.toml").write_text(BRIEF.replace("[target]", wishes))
    swapped = swap(folder, without=("home:dumbbells",))
    assert not of_day(swapped.report.week, "Wed")
    [told] = [session.emptied for session in swapped.report.sessions if session.emptied]
    assert "home" in told


def test_files_that_were_edited_are_followed_and_what_must_hold_and_cannot_is_told(folder):
    (folder / "gym.toml").write_text(GYM.replace(', "rear_fly_machine"', ""))
    swapped = swap(folder)
    assert swapped.report.changes == () and "rear_fly_machine" not in stations(swapped)
    (folder / "brief.toml").write_text(BRIEF.replace('"Wed"', '"Thu"'))
    moved = swap(folder)
    assert {day for _, day in sets(moved.report.week)} <= {"Mon", "Thu", "Fri"}
    assert [one.id for one in moved.report.sessions if one.gone] == ["Wed"]
    (folder / "brief.toml").write_text(BRIEF.replace("rear = 6", "rear = { target = 6, must = true }"))
    with pytest.raises(NoWeekPossible, match=r"target\.rear"):
        swap(folder, missed=("Mon", "Wed", "Fri"))
    surgery = 'surgery = { date = 2026-01-05, cleared = false }\n\n[[session]]\nday = "Mon"'
    (folder / "brief.toml").write_text(BRIEF.replace('[[session]]\nday = "Mon"', surgery, 1))
    with pytest.raises(NotCleared):
        swap(folder)


def test_a_pin_without_its_equipment_is_refused_and_asks_nothing_on_a_missed_day(folder):
    pin = '[preferences]\npin = { machine_reverse_fly = { day = "Mon", sets = 3 } }\n\n[target]'
    (folder / "brief.toml").write_text(BRIEF.replace("[target]", pin))
    with pytest.raises(NoWeekPossible, match=r"pin.machine_reverse_fly.*lacks rear_fly_machine"):
        swap(folder, without=("rear_fly_machine",))
    swapped = swap(folder, missed=("Mon",))
    assert not of_day(swapped.report.week, "Mon")
    assert any("pinned on Monday" in note for note in swapped.report.notes)


def test_weeks_out_of_step_are_told_with_what_would_do(folder, tmp_path):
    with pytest.raises(FaultyInput, match="there is no such folder"):
        swap_week(tmp_path / "nobody", Options(), SUNDAY)
    with pytest.raises(FaultyInput, match="no plan is in force"):
        swap(make_folder(tmp_path / "new" / "kim"))
    with pytest.raises(FaultyInput, match="2026-W50"):
        swap_week(folder, Options(), SUNDAY, "2026-W50")
    document = swap(folder).report.week
    line = document.sessions[0].exercises[0].model_copy(update={"exercise": "old_raise"})
    session = document.sessions[0].model_copy(update={"exercises": (line,)})
    keep(folder, document.model_copy(update={"sessions": (session, *document.sessions[1:])}))
    with pytest.raises(FaultyInput, match='no longer has "old_raise"'):
        swap(folder)


THERE_AND_BACK = [
    ({"without": ("cable_station",)}, {"with_": ("cable_station",)}),
    ({"without": ("bands", "rear_fly_machine")}, {"with_": ("bands", "rear_fly_machine")}),
    ({"with_": ("club:barbell",)}, {"without": ("barbell",)}),
    ({"minutes": ("Mon=15", "Fri=15")}, {"minutes": ("Mon=30", "Fri=30")}),
    ({"missed": ("Wed",)}, {"back": ("Wed",)}),
]


@pytest.mark.parametrize("seed", range(2))
def test_whatever_was_swapped_before_there_and_back_returns(seed, folder):
    steps = random.Random(seed).sample(THERE_AND_BACK, 2)
    stack = [sets(swap(folder).report.week)]
    for there, _ in steps:
        stack.append(sets(swap(folder, **there).report.week))
    for _, back in reversed(steps):
        stack.pop()
        assert sets(swap(folder, **back).report.week) == stack[-1]
