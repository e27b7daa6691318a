"""What the log carries into the next week, and next loads for a whole plan."""

import datetime
import random

import pytest
from small_document import head_dose, line, small_document

from library.read import read_library
from planner.athlete.gym import Gym
from planner.athlete.writing import write_week
from planner.document import week_name
from planner.log.file import append_to_log, deciding_log, read_log
from planner.log.record import LoggedSet, clearance
from planner.method import TRAIN
from planner.train.carried import carried_over
from planner.train.notes import BAD_DAY, ILL, PAIN
from planner.train.pain import PainState, pain_rules
from planner.train.rules import LoadRules, asked_before, back_from, next_loads

PRESS = "seated_dumbbell_overhead_press"
RAISE = "standing_dumbbell_lateral_raise"
FACE, REARS = "cable_face_pull", ("machine_reverse_fly", "bent_over_dumbbell_rear_raise")
MONDAY = datetime.date(2026, 11, 30)
NEXT = MONDAY + datetime.timedelta(days=7)
LIBRARY = read_library()
GYM = Gym.model_validate({"loads": {"dumbbells": {"from": 2, "to": 40, "step": 2}}})
GYMS = {"club": GYM, "home": GYM}


@pytest.fixture(scope="module")
def document():
    lines = {"Mon": [line(PRESS, 3), line(RAISE, 2)], "Thu": [line(PRESS, 2)], "Sat": [line(PRESS, 2)]}
    return small_document(lines, gyms={"Thu": "home"}, dose=[head_dose("front", target=9, planned=9)])


def done(reps=12, key=PRESS, gym="club", day=MONDAY, **fields):
    rest = (22.0, "kg", reps, 2.0)
    return [LoggedSet(day, "Mon", key, number, *rest, gym=gym, **fields) for number in (1, 2, 3)]


def carry(log, start=NEXT, before=None, gyms=GYMS, **more):
    return carried_over(log, LIBRARY, gyms, start, before, 2, **more)


def test_each_exercise_in_each_gym_gets_its_own_load_once(library, document):
    found = next_loads(document, done(), LoadRules(library, GYMS, PainState()))
    assert {place: load.load for place, load in found.items()} == {
        (PRESS, "club"): 24, (RAISE, "club"): None, (PRESS, "home"): None,
    }  # fmt: skip
    assert found[PRESS, "home"].first_time
    # lighter weeks decide nothing
    rules = LoadRules(library, GYMS, PainState(), frozenset({"2026-W50"}))
    assert next_loads(document, done() + done(reps=6, day=NEXT), rules)[PRESS, "club"].load == 24
    # pain leaves out and eases
    log = done(pain=7.0) + done(key=RAISE, pain=4.0)
    found = next_loads(document, log, LoadRules(library, GYMS, pain_rules(log, library, NEXT)))
    assert {key: load.load for (key, _), load in found.items()} == {RAISE: 18}  # 17.6 kg


def test_a_past_week_asked_what_its_sheets_asked(tmp_path, document):
    (tmp_path / "brief.toml").touch()
    text = document.model_dump_json().replace('"rir":2', '"rir":4')
    write_week(tmp_path, document.week, {"week.json": text})
    assert asked_before(tmp_path, done() + done(key=RAISE, day=NEXT)).reserves == {"2026-W49": 4}


@pytest.mark.parametrize(("weeks", "load"), [(2, 24), (3, 22), (4, 20), (8, 18)])  # 19.8 and 17.6 kg
def test_what_was_long_not_done_begins_lighter(weeks, load):
    start = MONDAY + datetime.timedelta(weeks=weeks)
    carried = carry(done(), start)
    assert carried.loads[PRESS, "club"].load == load
    assert weeks < 3 or any("Nothing is logged since 2026-11-30" in line for line in carried.lines)


def test_after_a_week_without_training_loads_stay(document):
    start = NEXT + datetime.timedelta(days=7)
    carried = carry(done(), start, document)
    assert carried.loads[PRESS, "club"].load == 22
    assert any("first week back" in line for line in carried.lines)
    # last week was planned, and is not logged yet
    planned = document.model_copy(update={"week": "2026-W50", "week_start": str(NEXT)})
    assert carry(done(), start, planned).loads[PRESS, "club"].load == 24


def test_a_bad_day_decides_no_load_and_is_told():
    bad = done(reps=6, day=NEXT, note="slept 3 h") + done(key=RAISE, reps=6, day=NEXT, note="not tired")
    carried = carry([*done(), *bad], NEXT + datetime.timedelta(days=7))
    assert carried.loads[PRESS, "club"].load == 24
    assert carried.loads[RAISE, "club"].load < 22
    assert any("slept 3 h" in line for line in carried.lines)


@pytest.mark.parametrize(("note", "ill", "hurts"), [
    ("felt cold and weak, going home", True, False), ("unwell", True, False), ("good one, going home", False, False),
    ("was sent home, the gym closed", False, False), ("first week after flu", False, False),
    ("over the flu now", False, False), ("arm went weak", False, True), ("came home from work, fine", False, False),
])  # fmt: skip
def test_unclear_words_of_illness_are_illness_and_no_pain_and_what_is_over_is_over(note, ill, hurts):
    assert (bool(ILL.search(note)), bool(BAD_DAY.search(note)), bool(PAIN.search(note))) == (ill, ill, hurts)


def test_what_is_read_as_illness_is_said_so():
    for note, read in (("felt weak", True), ("good one, going home", False)):
        lines = carry(done(note=note)).lines
        (said,) = (line for line in lines if note in line)
        assert ("read as illness" in said and "--correct" in said) is read


def test_pain_without_a_place_is_asked_about_and_until_then_no_load_goes_up():
    later, no_kin = MONDAY + datetime.timedelta(days=2), "seated_bent_over_rear_raise"
    hurt, rears = done(key=RAISE, pain=4.0), done(17, no_kin, day=later)
    hurt += done(key=RAISE, pain=3.0, day=later)
    for place, load, asked in (("", 22, 1), ("elbow", 24, 0)):
        placed = [hurt[0]._replace(where=place), *hurt[1:3], hurt[3]._replace(where=place), *hurt[4:], *rears]
        carried = carry(placed)
        assert carried.loads[no_kin, "club"].load == load
        both = "2026-11-30 and 2026-12-02"
        assert sum("where? Ask" in line and both in line for line in carried.asks) == asked


def test_a_load_cut_after_a_plain_loss_of_strength_says_so_on_the_sheet():
    def load(*reps):
        weeks = zip(reps, (MONDAY, NEXT), strict=True)
        sets = [row._replace(rir=0.0) for n, week in weeks for row in done(n, day=week)]
        return carry(sets, NEXT + datetime.timedelta(days=7)).loads[PRESS, "club"]

    assert load(10, 2).load < 22 and "weaker" in load(10, 2).sheet_note
    assert load(3, 2).load < 22 and "weaker" not in load(3, 2).sheet_note  # as strong as before


def test_a_week_missed_on_every_day_is_a_week_away(document):
    missed = [one.model_copy(update={"state": "missed", "exercises": ()}) for one in document.sessions]
    known, start = done(day=MONDAY - datetime.timedelta(days=7)), NEXT
    week = document.model_copy(update={"week": "2026-W49", "week_start": str(MONDAY)})
    for sessions, away in ((week.sessions, 0), (tuple(missed), 1)):
        assert back_from(known, week.model_copy(update={"sessions": sessions}), start, TRAIN) == away


def test_the_first_week_after_illness_is_lighter_with_half_of_the_sets(document):
    ill = LoggedSet(NEXT, "Mon", PRESS, 1, gym="club", note="flu with fever, in bed all week")
    start = NEXT + datetime.timedelta(days=7)
    carried = carry([*done(), ill], start, document)
    assert RAISE in carried.pain.returning and carried.loads[PRESS, "club"].load == 20  # 19.8
    assert carried.pain.capped[RAISE] == 2 and carried.pain.capped["cable_face_pull"] == 0
    # 3 and 2 sets of the club's Monday, 2 and 2 of the other days: 2 of each
    words = "First week back after illness, lighter: 8 sets at most instead of 9"
    assert sum(words in said for said in carried.lines) == 1
    # where nothing lighter is here, as last time and no more; once trained again, as ever
    heavy = [row._replace(load=2.0, load_unit="kg") for row in done()]
    assert carry([*heavy, ill], start, document).loads[PRESS, "club"].load == 2
    later, well = start + datetime.timedelta(days=7), done(day=start, note="first day after the flu")
    second = carry([*done(), ill, *well], later, document)
    assert not second.pain.returning and second.loads[PRESS, "club"].load == 22  # sets first
    well += done(day=later)
    third = carry([*done(), ill, *well], later + datetime.timedelta(days=7), document)
    assert third.loads[PRESS, "club"].load == 24
    assert not carry([*done(), ill._replace(note="no fever")], start, document).pain.returning


def test_what_was_cleared_begins_lighter_until_it_was_done_again():
    hurt = done(key=RAISE, pain=7.0, where="subacromial")
    log = [*done(), *hurt, clearance(RAISE, MONDAY + datetime.timedelta(days=2))]
    assert not carry([*done(), *hurt]).loads
    load = carry(log).loads[PRESS, "club"]  # it waited as kin
    assert load.load == 18 and "cleared" in load.reason
    # what did not wait holds in that week
    for of, most in ((log, 22), (done(), 24)):
        rows = carry([*of, *done(15, "prone_dumbbell_row")]).loads
        assert rows["prone_dumbbell_row", "club"].load == most
    # in the second week back its sets rise, in the third its load
    again = [*log, *done(day=MONDAY + datetime.timedelta(days=3))]
    second = carry(again)
    assert second.loads[PRESS, "club"].load == 22 and PRESS not in second.pain.returning
    again += done(day=NEXT)
    third = carry(again, NEXT + datetime.timedelta(days=7))
    assert third.loads[PRESS, "club"].load == 24


WEEK = datetime.timedelta(weeks=1)


def easy(load, day, reps=15, rir=6.0):
    return [row._replace(load=load, rir=rir) for row in done(reps, RAISE, day=day)]


def hard(load, day):
    return easy(load, day, reps=6, rir=0.0)


@pytest.mark.parametrize(("earlier", "searched"), [
    ([], True),
    (hard(20.0, MONDAY - WEEK), True),  # 18 % less is no fall
    (hard(22.5, MONDAY - WEEK), False),  # 18 kg are 20 % less
    (hard(22.5, MONDAY - 2 * WEEK), False),
    (hard(22.5, MONDAY - 3 * WEEK), False),  # back after three weeks
    ([*hard(22.5, MONDAY - 3 * WEEK), *easy(18.0, MONDAY - 2 * WEEK)], True),  # two weeks on the lighter one
    (done(key=PRESS, day=MONDAY - 2 * WEEK, pain=7.0), False),  # waits to be seen
    (done(key=FACE, pain=3.0), False),
    (done(key=FACE, pain=3.0, day=MONDAY - WEEK), True),  # two weeks ago, and not done since
    ([*done(key=FACE, pain=7.0, day=MONDAY - WEEK), clearance(FACE, MONDAY - datetime.timedelta(days=3))], False),
    ([*done(key=FACE, pain=7.0, day=MONDAY - 4 * WEEK), clearance(FACE, MONDAY - 2 * WEEK)], True),
])  # fmt: skip
def test_nothing_is_searched_while_strength_or_pain_is_not_known(earlier, searched):
    log = sorted([*earlier, *easy(18.0, MONDAY)], key=lambda row: row.date)
    load = carry(log).loads[RAISE, "club"]
    assert (load.load is None and "far too light" in load.reason) == searched


def test_nothing_is_searched_for_two_weeks_after_strength_was_lost():
    def press(load, reps, rir, weeks):
        return [row._replace(load=load, rir=rir) for row in done(reps, day=MONDAY + weeks * WEEK)]

    log = press(20.0, 10, 2.0, 0) + press(20.0, 3, 0.0, 1) + press(18.0, 10, 6.0, 2) + press(18.0, 10, 6.0, 3)
    # while it is asked about: a set less of it, and no more of its kin
    kin = "seated_barbell_overhead_press"
    plan, beside = {(PRESS, "Mon"): 4, (kin, "Thu"): 3}, press(20.0, 10, 2.0, 1)
    log_then = [*log[:6], *(row._replace(exercise=kin) for row in beside)]
    asked = carry(log_then, MONDAY + 2 * WEEK, last_plan=plan)
    assert (asked.pain.fewer, asked.loads[kin, "club"].load) == ({(PRESS, "Mon"): 3}, 20)
    assert (asked.pain.capped[PRESS], asked.pain.capped[kin]) == (3, 3)
    for weeks, load in ((3, 20), (4, None)):
        known = [row for row in log if row.date < MONDAY + weeks * WEEK]
        assert carry(known, MONDAY + weeks * WEEK).loads[PRESS, "club"].load == load


def test_a_search_is_asked_for_again_only_where_the_last_sheet_did_not(tmp_path, document):
    (tmp_path / "brief.toml").touch()
    log = [*easy(18.0, MONDAY - WEEK), *easy(18.0, MONDAY)]
    for reason in ("", "far too light"):
        item = line(RAISE, 3).model_copy(update={"load": None, "load_reason": reason})
        day = document.sessions[0].model_copy(update={"exercises": (item,)})
        week = document.model_copy(update={"sessions": (day,)})
        write_week(tmp_path, week.week, {"week.json": week.model_dump_json()})
        asked = asked_before(tmp_path, log)
        load = carry(log, asked_then=asked).loads[RAISE, "club"]
        assert (load.load is None) == (not reason)


def test_after_a_clearance_one_exercise_of_the_family_comes_back_first_and_not_the_one_that_hurt():
    barbell = "seated_barbell_overhead_press"
    plan = {(barbell, "Mon"): 4, (PRESS, "Tue"): 3, (PRESS, "Thu"): 3, (PRESS, "Sat"): 4, (RAISE, "Mon"): 4}
    log = [*done(), *done(key=barbell, pain=7.0), *done(key=RAISE), clearance(barbell, MONDAY + WEEK / 7)]
    carried = carry(log, last_plan=plan)
    assert carried.back == {(barbell, "Mon"): 0, (PRESS, "Tue"): 2, (PRESS, "Thu"): 2, (PRESS, "Sat"): 0}
    assert (carried.pain.capped[barbell], carried.pain.capped[PRESS]) == (0, 4)
    assert [line.exercise for line in carried.pain.lines if line.kind == "back"] == [PRESS]
    # alone in its family it comes back itself; a week later the one that hurt does
    alone = carry(log, last_plan={(barbell, "Mon"): 4})
    later = carry([*log, *done(day=NEXT)], NEXT + WEEK, last_plan=plan)
    assert alone.back == later.back == {(barbell, "Mon"): 2}


def test_the_first_week_after_a_break_has_fewer_sets_and_the_range_that_is_left(document):
    start = MONDAY + 3 * WEEK
    log = [row._replace(load=8.0) for row in done(11, RAISE)]
    planned = document.model_copy(update={"week": "2026-W49", "week_start": str(MONDAY)})
    plan = {(RAISE, "Mon"): 3, (RAISE, "Thu"): 2}
    carried = carry(log, start, planned, last_plan=plan)
    assert carried.back == {(RAISE, "Mon"): 2, (RAISE, "Thu"): 2}
    words = "First week back after a break, lighter: 4 sets at most instead of 5"
    assert any(words in said for said in carried.lines)
    load = carried.loads[RAISE, "club"]
    assert (load.load, load.reps) == (8, (9, 11))  # 11 with 2 in reserve, two of them lost
    # planned and not logged: it may have been trained
    week = document.model_copy(update={"week": week_name(start - WEEK), "week_start": str(start - WEEK)})
    assert not carry(log, start, week).back
    # long ago, or never planned here: a week of its own
    assert not carry(log, start + 5 * WEEK, planned, last_plan=plan).back
    assert not carry(log, start, last_plan=plan).back


def test_a_clearance_of_the_weeks_monday_counts_for_that_week(document):
    hurt = done(key=RAISE, pain=7.0, where="subacromial", note="sharp on the way up")
    days = [NEXT - datetime.timedelta(days=1), NEXT, NEXT + datetime.timedelta(days=1)]
    weeks = [carry([*done(), *hurt, clearance(RAISE, day)], NEXT, document) for day in days]
    assert [RAISE in week.pain.returning for week in weeks] == [True, True, False]
    assert [RAISE in week.pain.barred for week in weeks] == [False, False, True]
    # what last week said is told all the same
    assert all(any("sharp on the way up" in line for line in (*week.lines, *week.asks)) for week in weeks)


def test_loads_before_planning_ask_the_librarys_range(library):
    low, high = library.exercises[PRESS].reps
    (load,) = carry(done(reps=high)).loads.values()
    assert (load.load, load.reps) == (24, (low, high))


def test_carried_over(document):
    log = [*done(reps=6), *done(key=RAISE, pain=7.0, where="elbow"), *done(day=NEXT)]
    carried = carry(log, NEXT, document)
    assert carried.pain.is_out(RAISE) and list(carried.loads) == [(PRESS, "club")]
    said = "\n".join(carried.lines)
    assert "elbow: allowed one level less until it is cleared" in said
    assert "Week 2026-W49, " in said and "not added to the next week" in said


def test_who_never_logs_and_who_did_all_are_not_reproached(document):
    carried = carry([], NEXT, document)
    assert (carried.lines, dict(carried.loads)) == ((), {})
    log = done() + done(key=RAISE)[:2] + [row._replace(session="Thu", gym="home") for row in done()]
    log += [done()[0]._replace(session="Sat")]
    assert carry(log, NEXT, document).lines == ()
    hard = [row._replace(rir=0.0) for row in log]
    (said,) = carry(hard, NEXT, document).lines
    assert "2 repetitions closer to failure" in said


def test_after_two_weeks_at_the_top_of_a_coarse_station_the_question_stands():
    key, room = "cable_lateral_raise_from_front", {"equipment": ["cable_station", "dumbbells"]}
    stack = {"cable_station": {"from": 2.5, "to": 40, "step": 2.5}}
    log = [
        row._replace(load=2.5, reps=23)
        for week in range(3)
        for row in done(key=key, day=MONDAY + datetime.timedelta(weeks=week))
    ]
    for weeks, step, asked, named in ((1, 1, 0, 0), (2, 1, 1, 1), (3, 1, 1, 1), (3, 2, 1, 0)):
        loads = {**stack, "dumbbells": {"from": step, "to": 20, "step": step}}
        gyms = {"club": Gym.model_validate({**room, "loads": loads})}
        start = MONDAY + datetime.timedelta(weeks=weeks)
        said = "".join(carry(log[: 3 * weeks], start, gyms=gyms).lines)
        assert ("no next load is near" in said, "goes in nearer steps" in said) == (asked, named)


def test_falling_repetitions_or_rising_pain_propose_a_lighter_week():
    def lines(days, others=(), **fields):
        dates = [MONDAY + datetime.timedelta(days=step) for step in days]
        rows = [dict(zip(fields, values, strict=True)) for values in zip(*fields.values(), strict=True)]
        log = [row for day, of in zip(dates, rows, strict=True) for row in done(day=day, **of)]
        log += [row._replace(exercise=key, pain=0.0) for row in log for key in others]
        return carry(log).lines

    (first, *_), *others = (lines((-7, 0, 3), reps=of) for of in ((12, 11, 9), (12, 11, 11), (12, 9, 10)))
    assert "2026-W50" in first and "lighter" in first and others == [(), ()]
    pains = {"pain": (1.0, 2.0, 4.0), "key": [FACE] * 3}  # while a head waits its week is lighter already
    asked = [any("lighter = " in said for said in lines((-14, -7, 0), of, **pains)) for of in ((), REARS)]
    assert asked == [False, True]


@pytest.mark.parametrize("seed", range(3))
def test_of_a_long_log_the_deciding_lines_say_the_same(library, tmp_path, seed, monkeypatch):
    """Six years: some hurt and are cleared late or never, some stop early, some lines are corrected."""
    monkeypatch.setattr("planner.log.file.LONG_LOG_BYTES", 0)
    dice, rows = random.Random(seed), []
    keys = sorted(key for key, one in library.exercises.items() if not one.compare_only)[:12]
    for day in range(0, 6 * 365, 6):
        date = MONDAY - datetime.timedelta(days=6 * 365 - day)
        for key in dice.sample(keys[: 12 - day // 300], 3):
            for number in range(1, 7):
                pain = dice.choices((None, 0.0, 2.0, 4.0, 7.0), (40, 60, 10, 2, 0.15))[0]
                reps = dice.randrange(6, 13)
                rows.append(LoggedSet(date, "Mon", key, number, 20, "kg", reps, 2, pain, gym="club"))
        if dice.random() < 0.02:
            rows += [rows[-9]._replace(pain=9.0), clearance(dice.choice(keys), date)]
    append_to_log(tmp_path, rows)
    every, few = read_log(tmp_path), deciding_log(tmp_path, 2.0)
    assert len(few) < len(every) and set(few) <= set(every)
    known = [carry(log) for log in (every, few)]
    assert known[0] == known[1]


def test_after_numbness_all_is_halved_once_and_stays():
    numb = [*done(kind="numb"), *done(key=FACE)]
    plan = {(PRESS, "Mon"): 3, (FACE, "Mon"): 3, (FACE, "Thu"): 3}
    assert carry(numb, last_plan=plan).pain.capped[FACE] == 4
    later, half = NEXT + datetime.timedelta(days=7), {(FACE, "Mon"): 2, (FACE, "Thu"): 2}
    log = [*numb, *done(key=FACE, day=NEXT)]
    assert carry(log, later, last_plan=half).pain.capped[FACE] == 4
