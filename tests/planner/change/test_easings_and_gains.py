"""What could be eased, each written where it says; gains are what solving again gives."""

import re
import tomllib
from dataclasses import replace

import pytest
from mutant import toml_file
from small_athlete import BRIEF, GYM, TODAY, WEEK, keep, make_folder, planned

from library.errors import NoWeekPossible
from library.pool import pool_library
from library.read import read_library
from planner.athlete.brief import DAYS
from planner.change.easings import all_easings, emptiest_day
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.change.why import asked_for, dose_gains, eased_by, in_order, rest_gains, why, why_text
from planner.document import MadeChange
from planner.model.aims import rest_value
from planner.model.build import build_problem
from planner.solve.solve import best_dose, solve_week
from planner.week.gather import gather

WEDNESDAY = '[[session]]\nday = "Wed"\nminutes = 25\ngym = "home"\n\n'
SHORT = (
    BRIEF.replace(WEDNESDAY, "").replace("minutes = 30", "minutes = 14")
    .replace("front = 6", "front = 10").replace("side = 8", "side = 16").replace("rear = 6", "rear = 10")
    .replace("[target]", '[joints]\nsubacromial = "careful"\n[preferences]\nexclude = ["cable_face_pull"]\n[target]')
)  # fmt: skip
SPARSE_GYM = '[club]\nequipment = ["dumbbells"]\n[home]\nequipment = ["bands"]\n'
RICH = (
    BRIEF.replace("rear = 6", "rear = { target = 6, must = true }")
    .replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    .replace(
        "[target]",
        '[joints]\nwrist = "avoid"\n[variety]\nfamilies = ["row"]\nmust = true\n'
        '[preferences]\nexclude = ["cable_face_pull", "front_raise", "band"]\n'
        'prefer = ["cable_rear_fly"]\ntrapezius = true\n[target]',
    )
)
FLAGGED = RICH.replace('["subacromial"]', '["subacromial", "biceps_slap", "dislocation"]').replace(
    '[joints]\nwrist = "avoid"', '[joints]\nsubacromial = "careful"'
)


def inputs_of(folder, brief=BRIEF, gym=GYM):
    return gather(make_folder(folder / "kim", brief, gym), WEEK, TODAY).inputs


def easings_of(inputs):
    return all_easings(inputs, (), ())


def edit(data, where):
    """Do to a file what the place says: values by their key, a session by its day, one word in or out of a list."""
    if found := re.fullmatch(r"session (\w+): minutes = (\d+)", where):
        next(one for one in data["session"] if one["day"] == found[1])["minutes"] = int(found[2])
    elif where.startswith("[[session]] "):
        data["session"].append(tomllib.loads(f"new = {{ {where.removeprefix('[[session]] ')} }}")["new"])
    elif found := re.fullmatch(r'preferences\.exclude: "(\w+)"', where):
        data["preferences"]["exclude"].remove(found[1])
    elif found := re.fullmatch(r'(\w+)\.equipment: "(\w+)"', where):
        data[found[1]]["equipment"].append(found[2])
    else:
        for line in where.split("; "):
            merge(data, tomllib.loads(line))


def merge(data, more):
    for key, value in more.items():
        if isinstance(value, dict) and isinstance(data.setdefault(key, {}), dict):
            merge(data[key], value)
        elif isinstance(value, dict):  # `side = 8` becomes a table
            data[key] = {"target": data[key], **value}
        else:
            data[key] = value


@pytest.mark.parametrize("brief", [RICH, FLAGGED], ids=["rich", "flagged"])
def test_each_easing_written_into_its_file_gives_the_very_problem(brief, tmp_path, monkeypatch):
    library = read_library()
    pooled = pool_library(library)
    monkeypatch.setattr("library.pool.pool_library", lambda _: pooled)  # once for all files
    monkeypatch.setattr("planner.week.gather.read_library", lambda: library)
    before = inputs_of(tmp_path, brief)
    easings = list(all_easings(before, (), ("exercises:week", "exercises:Mon")))
    assert len({one.name for one in easings}) == len(easings) > 30
    kinds = {one.name.split(":")[0] for one in easings}
    assert {"minutes", "session", "equipment", "joints", "exclude", "trapezius", "goal", "must"} <= kinds
    several = [one for one in easings if one.name.split(":")[0] in ("equipment", "minutes")]
    for number, easing in enumerate([one for one in easings if one not in several[::2]]):
        files = {"brief.toml": tomllib.loads(brief), "gym.toml": tomllib.loads(GYM)}
        edit(files[easing.file], easing.where)
        texts = (toml_file(data).decode() for data in files.values())
        after = gather(make_folder(tmp_path / f"{number}", *texts), WEEK, TODAY).inputs
        assert build_problem(after) == build_problem(easing.apply(before)), (easing.name, easing.where)


def by_name(inputs, changes=()):
    return {one.name: one for one in all_easings(inputs, changes, ())}


def test_what_this_week_alone_changed_is_taken_back_by_swap(tmp_path):
    inputs = inputs_of(tmp_path, RICH)
    changes = (
        MadeChange(kind="minutes", name="Mon", minutes=30),
        MadeChange(kind="without", name="cable_face_pull"),
        MadeChange(kind="without", name="barbell", gym="club"),
    )
    eased = by_name(inputs, changes)
    assert eased["minutes:Mon:10"].where == "--minutes Mon=40"
    assert eased["exclude:cable_face_pull"].where == "--with cable_face_pull"
    assert eased["exclude:front_raise"].file == "brief.toml"
    assert "exclude:barbell_bench_press" not in eased  # only what some room could hold
    assert all(one.medical == one.name.startswith("joints:") for one in eased.values())


@pytest.mark.parametrize(
    "wishes", ['only = ["dumbbell", "band"]', 'exclude = ["barbell", "cable", "machine"]']
)
def test_no_equipment_is_offered_for_what_the_brief_forbids(wishes, tmp_path):
    brief = BRIEF.replace("[target]", f"[preferences]\n{wishes}\n[target]")
    inputs = inputs_of(tmp_path, brief, SPARSE_GYM)
    offered = {name.split(":")[2] for name in by_name(inputs) if name.startswith("equipment:")}
    forbidden = {"barbell", "rack", "cable_station", "shoulder_press_machine", "rear_fly_machine"}
    assert offered and offered.isdisjoint(forbidden)


def test_days_that_are_over_are_eased_no_more_and_the_emptiest_is_offered(tmp_path):
    inputs = inputs_of(tmp_path)
    over = replace(inputs, states={"Mon": "done", "Wed": "missed"})
    assert {name for name in by_name(over) if name[:8] == "minutes:"} == {"minutes:Fri:5", "minutes:Fri:10"}
    assert emptiest_day(inputs.brief, set()) in ("Sat", "Sun", "Tue", "Thu")
    assert emptiest_day(inputs.brief, {"Fri"}) in ("Sat", "Sun")
    every = inputs.brief.session[0]
    full = [every.model_copy(update={"day": day}) for day in DAYS]
    assert emptiest_day(inputs.brief.model_copy(update={"session": tuple(full)}), set()) is None


def test_easings_leave_the_inputs_as_they_were_and_the_only_head_stays(tmp_path):
    inputs = inputs_of(tmp_path, BRIEF.replace("front = 6", "front = 0").replace("side = 8", "side = 0"))
    before = inputs.digest()
    assert not any(name.startswith("goal:dose:") for name in by_name(inputs))
    for easing in by_name(inputs).values():
        easing.apply(inputs)
    assert inputs.digest() == before


# --- gains
@pytest.fixture(scope="module")
def short(tmp_path_factory):
    """A week whose targets are out of reach, and its gains."""
    inputs = inputs_of(tmp_path_factory.mktemp("short"), SHORT, SPARSE_GYM)
    problem = build_problem(inputs)
    base = best_dose(problem)
    assert base.value > 1
    some = [one for n, one in enumerate(easings_of(inputs)) if n % 2 or one.name.startswith("goal:")]
    return inputs, base, dose_gains(inputs, problem, base, some, lambda *_: None)[0]


def test_gains_in_dose_are_what_solving_again_gives_and_mere_prices_give_none(short):
    inputs, base, gains = short
    assert {gain.gain for gain in gains} == {"exact", "none"}
    easings = {one.name: one for one in easings_of(inputs)}
    exact, nothing = ([one for one in gains if one.gain == kind] for kind in ("exact", "none"))
    for gain in exact[::6] + nothing[::16]:
        if gain.name.startswith("goal:dose:"):
            continue  # what the dropped head itself was short of is no gain
        again = best_dose(build_problem(easings[gain.name].apply(inputs)))
        if gain.gain == "none":
            assert base.value - again.value <= inputs.week.why_least_sets + 1e-6, gain.name
        else:
            assert gain.missed_sets == pytest.approx(base.value - again.value, abs=0.06), gain.name
            assert 0 <= gain.within <= inputs.week.dose_gap_sets + 1e-6
            assert sum(sets for sets in gain.heads.values() if sets > 0) > 0
    worth = [gain.missed_sets for gain in gains]
    assert worth == sorted(worth, reverse=True) and min(worth) >= 0
    kinds = {gain.name: gain.gain for gain in short[2]}
    assert {kinds[f"goal:{name}"] for name in ("share", "spread", "implements", "own", "booked")} == {"none"}


@pytest.fixture(scope="module")
def met(tmp_path_factory):
    """A week whose targets are all met, and its gains in the second aim."""
    careful = BRIEF.replace("[target]", '[joints]\nelbow = "careful"\n[target]')
    inputs = inputs_of(tmp_path_factory.mktemp("met"), careful)
    problem = build_problem(inputs)
    solved = solve_week(problem)
    assert solved.dose_best <= problem.settings.dose_gap_sets
    gains, within = rest_gains(inputs, problem, solved, easings_of(inputs)[::2], lambda *_: None)
    return inputs, solved, gains, within


def test_gains_of_the_rest_are_what_solving_again_gives(met):
    inputs, base, gains, within = met
    whole = rest_value(build_problem(inputs), base.plan)
    easings = {one.name: one for one in easings_of(inputs)}
    kept = [one for one in gains if not easings[one.name].forgets]
    exact, nothing = ([one for one in kept if one.gain == gain] for gain in ("exact", "none"))
    for gain in exact[::2] + nothing[::25]:
        eased = build_problem(easings[gain.name].apply(inputs))
        again = solve_week(eased)
        gained = whole - rest_value(eased, again.plan)
        if gain.gain == "exact":
            assert gain.priced_minutes == pytest.approx(gained, abs=1e-6)
        else:
            assert gained <= within + 1e-6, gain.name


@pytest.mark.parametrize("most", [{"why_solves": 0}, {"why_seconds": 0.0}])
def test_no_more_weeks_are_solved_than_the_method_says(most, met):
    few = replace(met[0], week=met[0].week.but(**most))
    gains, within = rest_gains(few, build_problem(few), met[1], easings_of(few)[::3], lambda *_: None)
    assert {gain.gain for gain in gains} <= {"at most", "none"}
    assert all(gain.priced_minutes > within for gain in gains if gain.gain == "at most")


def test_what_was_solved_stands_before_what_is_only_bounded(met):
    easing, worth = easings_of(met[0])[0], {"none": 0, "at most": 9, "exact": 4}
    mixed = [eased_by(easing, gain, priced_minutes=minutes) for gain, minutes in worth.items()]
    assert [gain.gain for gain in in_order(mixed)] == ["exact", "at most", "none"]


# --- the answer
def answer(folder):
    return why(*asked_for(folder, TODAY, None), lambda *_: None)


@pytest.fixture
def few_easings(monkeypatch):
    """Of all that could be eased what swap takes back, and every twentieth: each is a solve."""

    def few(*of):
        return [one for n, one in enumerate(all_easings(*of)) if one.file == "planner swap" or n % 20 == 0]

    monkeypatch.setattr("planner.change.why.all_easings", few)


def test_the_answer_is_about_the_week_in_force_with_its_changes(tmp_path, few_easings):
    folder = make_folder(tmp_path / "kim", SHORT)
    planned(folder)
    told = Options(without=("cable_station",), minutes=("Fri=12",))
    keep(folder, swap_week(folder, told, TODAY).report.week)
    told = answer(folder)
    assert (told.week, told.aim) == (WEEK, "dose")
    links = {(one.file, one.where) for one in told.eased}
    assert {("planner swap", "--with club:cable_station"), ("planner swap", "--minutes Fri=22")} <= links
    assert any(one.where == "session Fri: minutes" for one in told.binding)
    assert any(one.where == "target.side" for one in told.missed)
    text = why_text(told)
    assert all(one.words in text for one in told.eased if one.gain == "exact")
    assert ("* Not the coach's" in text) == any(one.medical and one.gain == "exact" for one in told.eased)


def test_where_all_is_met_it_says_what_would_be_better_at_no_cost_of_dose(tmp_path, few_easings):
    """Unused minutes of a long session, days too thin, two versions of one movement in a session."""
    folder = make_folder(tmp_path / "kim", BRIEF.replace("minutes = 30", "minutes = 90"))
    _, document = planned(folder)
    goals = (
        {"goal": "booked:empty:Wed", "by": 1, "unit": "exercises"},
        {"goal": "twins:Mon:rear_fly:dumbbell", "by": 1, "unit": "exercises"},
        {"goal": "next_day:face_pull:cable:Mon-Tue", "by": 1, "unit": "days"},
    )
    missed = document.model_validate({**document.model_dump(), "missed": goals})
    keep(folder, missed)
    told = answer(folder)
    assert told.aim == "rest" and "Every target is met." in why_text(told)
    unused = [line for line in told.free if "unused" in line]
    assert {line.split(":")[0] for line in unused} >= {"Monday", "Friday"}
    assert len(told.free) == len(unused) + 3
    assert all(line in why_text(told) for line in told.free)


def test_what_cannot_be_is_the_answer_without_a_week(tmp_path):
    must = BRIEF.replace("rear = 6", "rear = { target = 40, ceiling = 45, must = true }")
    folder = make_folder(tmp_path / "kim", must, SPARSE_GYM)
    told = answer(folder)
    assert told.aim == "clash" and not (folder / "weeks").exists()
    text = why_text(told)
    assert "brief.toml: target.rear.must = true" in text and "nearest week" in text
    assert "stopped" in why_text(told.model_copy(update={"stopped": True}))
    pin = '[preferences]\npin = { barbell_bench_press = { day = "Mon", sets = 3 } }\n[target]'
    with pytest.raises(NoWeekPossible, match=r"pin\.barbell_bench_press"):
        answer(make_folder(tmp_path / "pinned", BRIEF.replace("[target]", pin)))
    assert asked_for(folder, TODAY, "2026-W51")[0].week == "2026-W51"
