"""The next load: each branch of the rules, and what must hold in all of them."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from training import make_exercise
from training import make_exercise as exercise
from training import make_gym as gym
from training import make_sets as sets

from planner.athlete.gym import Gym
from planner.train.loads import Ease, available_loads, warmup_loads
from planner.train.progression import next_load

PAIN = Ease(0.8)


@pytest.mark.parametrize(("done", "room", "load", "says", "more"), [
    ((22, [12, 12, 11], [2, 2, 2]), {}, 22, "12, 12, 11 last time", {}),
    ((22, [12, 12], [None, None]), {}, 24, "", {}),  # effort not written is taken as asked
    ((40, [12, 12], [2, 2]), {"step": 1}, 41, "", {}),
    ((40, [12, 12], [4, 4]), {"step": 1}, 43, "", {}),  # 2 points: 8 %
    ((40, [12, 12], [5.5, 5.5]), {"step": 1}, 44, "", {}),  # 10 %, no more
    ((20, [12, 12], [2, 2]), {"to": 20}, 20, "nothing heavier", {"reps": (12, 16)}),
    # 8, 8, 6 with 1, 0, 0 in reserve and 2 asked: (1 + 2 + 4) / 3 points, 9 % off 30 kg is 27.2
    ((30, [8, 8, 6], [1, 0, 0]), {}, 28, "", {}),
    ((10, [10, 10], [1, 1]), {}, 10, "stop with 2 in reserve", {}),  # no lighter load is nearer
    ((40, [10, 9, 9], [1, 1, 1]), {}, 40, "stop with 2 in reserve", {}),  # a little too hard, the range holds
    ((22, [12, 12], [2, 2]), {"ease": Ease(hold="while pain waits")}, 22, "no more", {"reps": (8, 12)}),  # pain waits
    # 8, 7, 6 at none in reserve leave 4 to 6 with 2: 4 kg are 50 % less, 17.5 repetitions more than 4
    ((6, [8, 7, 6], [0, 0, 0]), {}, 4, "by estimate", {"reps": (12, 20)}),
    ((6, [8, 7, 6], [0, 0, 0]), {"start": 6}, 6, "4–8 repetitions with 2 in reserve", {"reps": (4, 8), "too_heavy": True}),
    ((6, [9, 7, 7], [0, 0, 0]), {}, 6, "until every set reaches 8", {"reps": (6, 8), "too_heavy": False}),  # nearly 6
    ((6, [1, 1], [0, 0]), {"start": 6}, 6, "no lighter load is near", {"reps": (1, 8)}),
    # 3 are left: 2 kg are far lighter, as many as anybody trains
    ((4, [5, 5], [0, 0]), {}, 2, "20 at most", {"reps": (12, 20)}),
    # 6 to 9 with 2 in reserve: one tired week changes no load
    # 5 on average are too few, and 10 kg a big step down: 17.5 repetitions more than 4
    ((15, [6, 4], [2, 2]), {"step": 5, "start": 5}, 10, "by estimate 22 repetitions", {"reps": (12, 20)}),
    ((3.75, [10, 9, 8], [1, 0, 0]), {"step": 1.25, "start": 1.25}, 3.75, "stop with 2 in reserve.", {"reps": (6, 12)}),
    ((30, [8, 8], [4, 4]), {}, 30, "go on until 2 are in reserve", {}),
    ((30, [11, 11], [4, 4]), {}, 32, "", {}),  # 13 at the asked effort: past the top
    ((21, [9, 9], [2, 2]), {}, 20, "", {}),  # the gym no longer lists 21
    ((22, [12, 12], [2, 2]), {"ease": PAIN}, 18, "nearest here is 18 kg (-18 %)", {"fewer_sets": 0}),
    ((15, [12], [2]), {"start": 5, "step": 5, "ease": PAIN}, 10, "", {}),  # 15 is no less
    ((20, [12], [2]), {"start": 20, "ease": PAIN}, 20, "Pain last time: 1 set less", {"fewer_sets": 1}),
    # 10 kg are far lighter than the 16 asked for
    ((20, [12], [2]), {"start": 10, "step": 10, "ease": PAIN}, 20, "1 set less", {"fewer_sets": 1}),
])  # fmt: skip
def test_the_next_load(done, room, load, says, more):
    ease = {"ease": room["ease"]} if "ease" in room else {}
    here = gym(**{key: value for key, value in room.items() if key != "ease"})
    answer = next_load(sets(*done), exercise(), here, (8, 12), 2, **ease)
    assert answer.load == load and says in answer.reason
    assert {name: getattr(answer, name) for name in more} == more


def test_first_time_says_how_to_find_the_load_and_pounds_are_never_read_as_kilograms():
    answer = next_load([], exercise(), gym(), (8, 12), 2)
    assert answer.load is None and answer.first_time
    assert "each hand" in answer.reason and "8–12" in answer.reason
    light = next_load(sets(5, [9, 9], [2, 2]), exercise(), gym(start=10), (8, 12), 2)
    assert light.load is None and "lightest" in light.sheet_note
    in_pounds = sets(45, [12, 12], [2, 2], load_unit="lb")
    assert next_load(in_pounds, exercise(), gym(), (8, 12), 2).first_time


def test_the_most_used_load_is_the_working_one_and_a_doubled_one_is_never_earned():
    history = sets(22, [12, 12], [2, 2]) + sets(12, [15], [4], set_number=9)
    assert next_load(history, exercise(), gym(), (8, 12), 2).load == 24
    other = sets(22, [12, 11], [2, 2]) + sets(12, [15], [4], set_number=9)
    assert "with 22 kg last time" in next_load(other, exercise(), gym(), (8, 12), 2).reason
    answer = next_load(sets(2, [30, 30], [2, 2]), exercise(multi_joint=False), gym(), (12, 15), 2)
    assert (answer.load, answer.reps) == (2, (20, 23)) and "too far a step" in answer.reason
    assert "up to 23" in answer.sheet_note and "big step" not in answer.sheet_note


def test_a_coarse_step_is_earned_with_repetitions_or_spanned_by_a_wide_range():
    raise_ = exercise("lateral_raise", multi_joint=False)
    waiting = next_load(sets(8, [15, 15, 15], [2, 2, 2]), raise_, gym(), (12, 15), 2)
    assert (waiting.load, waiting.reps) == (8, (15, 21))  # +25 %: 8.75 repetitions, 3 of them in the range
    assert "estimate" not in waiting.reason  # no formula was made for raises
    for reps, reserve in (([21, 21, 22], [2, 2, 2]), ([19, 19, 20], [4, 4, 4])):
        earned = next_load(sets(8, reps, reserve), raise_, gym(), (12, 15), 2)
        # 23 to failure are 14.14 kg once: 12.4 repetitions with 10 kg, 10 of them with 2 in reserve (Epley)
        assert (earned.load, earned.reps) == (10, (10, 12))
    # 16 to 18 kg are 12.5 %: in 6 to 10 the top at one repetition more in reserve is enough, in 5 to 10 the top is
    for asked, reserve, load in (((6, 10), 2, 16), ((6, 10), 3, 18), ((5, 10), 2, 18)):
        assert next_load(sets(16, [10, 10], [reserve] * 2), exercise(), gym(), asked, 2).load == load


def test_station_without_listed_loads():
    bare = Gym.model_construct(unit="kg", equipment=("dumbbells",), loads={})
    up = next_load(sets(40, [12, 12], [2, 2]), exercise(), bare, (8, 12), 2)
    assert up.load is None
    # no load stands on the sheet, and it is no first time
    assert all("between 40.8 and 44 kg" in words for words in (up.reason, up.sheet_note))
    assert next_load(sets(40, [10, 10], [2, 2]), exercise(), bare, (8, 12), 2).load == 40
    assert next_load(sets(40, [9, 9], [1, 1]), exercise(), bare, (8, 12), 2).load == pytest.approx(38.4)


def test_all_sessions_of_the_last_trained_week_decide():
    thursday, later = datetime.date(2026, 11, 5), datetime.date(2026, 11, 9)
    monday_short = sets(22, [12, 9], [2, 2]) + sets(22, [12, 12], [2, 2], date=thursday, session="Thu")
    answer = next_load(monday_short, exercise(), gym(), (8, 12), 2)
    assert (answer.load, "12, 9; 12, 12 last time" in answer.reason) == (22, True)
    assert "12 in every set of every day" in answer.reason
    week_after = sets(22, [12, 12], [2, 2], date=later)
    assert next_load(monday_short + week_after, exercise(), gym(), (8, 12), 2).load == 24


def test_repetitions_above_the_range_are_told_and_words_say_far_too_light():
    earning = next_load(sets(10, [12, 12], [2, 2]), exercise(), gym(), (8, 12), 2)
    assert earning.reps[1] > 12
    assert f"go up to {earning.reps[1]} repetitions" in earning.sheet_note
    for plain in (sets(22, [12, 12], [2, 2]), sets(22, [9, 9], [2, 2]), []):
        assert next_load(plain, exercise(), gym(), (8, 12), 2).sheet_note == ""
    # 21 to failure with 4 kg would be 4 with 6 kg: but words say no number, and two steps are begun with
    easy = next_load(sets(4, [15, 15], [None] * 2, note="too easy"), exercise(), gym(), (10, 15), 2)
    assert "Begin with 8 kg" in easy.sheet_note
    for note, load in (("way too easy", None), ("not too easy", 22)):
        said = sets(20, [12, 12], [None] * 2, note=note)
        assert next_load(said, exercise(), gym(), (8, 12), 2).load == load
    answer = next_load(sets(30, [8, 8, 8], [3, 1, 1]), exercise(), gym(step=5, start=5), (8, 12), 3)
    assert (answer.load, answer.reps) == (30, (6, 12)) and "build up" not in answer.reason
    assert next_load(sets(20, [11, 11], [6, 6]), exercise(), gym(), (6, 10), 3).load is None
    assert next_load(sets(20, [11, 11], [5, 5]), exercise(), gym(), (6, 10), 3).load is not None


def test_a_week_that_asks_more_reserve_does_not_make_the_last_one_too_hard():
    # the last hard week of a block asked 1 in reserve and got it; a repetition in reserve more is one repetition less
    then = {"2026-W45": 1}
    full = next_load(sets(30, [12, 12], [1, 1]), exercise(), gym(), (8, 12), 3, asked_then=then)
    assert full.load == 30
    assert full.reason == "12, 12 last time: same load, fewer repetitions, so that 3 stay in reserve."
    # 9 at 1 is 7 at 3, a repetition below the range: the load stays
    low = next_load(sets(30, [9, 9], [1, 1]), exercise(), gym(), (8, 12), 3, asked_then=then)
    assert (low.load, low.reps) == (30, (7, 12)) and "short of 8–12" in low.reason
    # harder than it asked, but the range holds at 3 in reserve; easier than it asked, but not at 3
    easy = next_load(sets(30, [12, 12], [2, 2]), exercise(), gym(), (8, 12), 3, asked_then=then)
    assert (easy.load, "fewer" in easy.reason) == (30, True)
    hard = next_load(sets(30, [12, 12], [0, 0]), exercise(), gym(), (8, 12), 3, asked_then=then)
    assert (hard.load, "0 in reserve, where 3 are asked" in hard.reason) == (30, True)
    # where this week asks less, what was done as asked is not called too easy
    less = next_load(sets(30, [9, 9], [3, 3]), exercise(), gym(), (8, 12), 2, asked_then={"2026-W45": 3})
    assert (less.load, "3 were to stay in reserve" in less.reason) == (30, True)
    # nothing is concluded from an effort that was not written
    unwritten = next_load(sets(30, [12, 12], [None, None]), exercise(), gym(), (8, 12), 3, asked_then=then)
    assert unwritten.load == 30


def test_a_load_keeps_the_repetitions_it_was_done_with():
    # 21 with 2 in reserve are 19 with 4, whatever the range says; so while pain waits
    many, then = sets(6, [22, 21, 21], [2, 2, 2]), {"2026-W45": 2}
    more = next_load(many, exercise(multi_joint=False), gym(), (10, 15), 4, asked_then=then)
    assert (more.load, more.reps, more.sheet_note) == (6, (14, 19), "")
    held = next_load(many, exercise(multi_joint=False), gym(), (10, 15), 3, Ease(hold="while pain waits"))
    assert (held.load, held.reps) == (6, (15, 20))
    # 13 with 2 in reserve are 11 with 4: below the range, and no more than was done
    many = sets(6, [14, 13], [2, 2])
    less = next_load(many, exercise(multi_joint=False), gym(), (12, 15), 4, asked_then=then)
    assert less.reps == (11, 15)
    # a repetition too close to failure, and still past the top: on to the next load
    near = next_load(sets(10, [20, 19, 18], [1, 1, 1]), exercise(multi_joint=False), gym(), (10, 15), 2)
    assert (near.load, near.reps) == (10, (12, 17))  # as wide as the asked range
    # much lighter after pain: not to the asked reserve
    eased = next_load(sets(22, [12, 12], [2, 2]), exercise(), gym(), (8, 12), 2, PAIN)
    assert "stop at 12" in eased.sheet_note


def test_body_and_band_progress_by_repetitions():
    push_up = exercise("push_up", load_is="body", load_from=None)
    band = exercise("band_raise", load_is="band", load_from=None)
    top = sets(None, [12, 12], [2, 2])
    assert "harder version" in next_load(top, push_up, gym(), (8, 12), 2).reason
    for reps, reserve, said in (([12, 12], 2, "stronger"), ([12, 9], 2, "same"), ([8, 8], 0, "lighter")):
        answer = next_load(sets(None, reps, [reserve] * 2), band, gym(), (8, 12), 2)
        assert said in answer.reason and said in answer.sheet_note and not answer.first_time
    assert next_load([], push_up, gym(), (8, 12), 2).first_time
    eased = next_load(top, push_up, gym(), (8, 12), 2, Ease(0.8))
    assert (eased.load, eased.fewer_sets) == (None, 1)


@given(
    load=st.integers(2, 60).map(float),
    done=st.lists(st.tuples(st.integers(0, 25), st.integers(0, 8)), min_size=1, max_size=5),
    low=st.integers(3, 15), width=st.integers(0, 6), rir=st.integers(0, 4), multi=st.booleans(), pain=st.booleans(),
)  # fmt: skip
def test_every_answer_keeps_the_rules(load, done, low, width, rir, multi, pain):
    room, asked = gym(), (low, low + width)
    history = sets(load, [reps for reps, _ in done], [left for _, left in done])
    history += sets(load, [done[0][0]], [done[0][1]], date=datetime.date(2026, 11, 5), session="Thu")
    answer = next_load(history, exercise(multi_joint=multi), room, asked, rir, Ease(0.8 if pain else 1.0))
    if answer.load is None:  # far too light: to be found
        assert not pain and all(left >= rir + 4 and reps + left - rir >= asked[1] for reps, left in done)
        return
    assert answer.reason
    assert answer.load % 2 == 0  # this gym makes even loads only
    if pain:
        assert answer.load <= 0.85 * load + 1e-9 or answer.fewer_sets == 1
    elif answer.load > 1.1 * load + 1e-9:
        # 3.5 repetitions for each 10 %, less what the range spans
        needed = asked[1] + min(8, max(0.0, 35 * (answer.load / load - 1) - width)) - 1e-6
        assert all(reps >= asked[1] and left >= rir and reps + left - rir >= needed for reps, left in done)
    elif answer.load > load:
        assert all(reps + left - rir >= asked[1] for reps, left in done)


# the most that Epley's formula gives of it for 3 repetitions to failure is where a search begins
@pytest.mark.parametrize(("done", "asked", "start"), [
    ((20, [10, 10], [6, 6]), (6, 10), 26),  # 25 %, more than two steps; 27.9 kg for 3
    ((4, [15, 15], [6, 6]), (10, 15), 6),  # two steps are 8 kg, 6.2 kg for 3
    ((8, [15, 15], [7, 6]), (10, 15), 12),  # two steps; 12.4 kg for 3
    ((20, [10, 10], [6, 5]), (6, 10), None),  # not all that light
    ((20, [7, 7], [6, 6]), (6, 12), None),  # not past the top of the range
    ((2, [15, 15], [6, 6]), (10, 15), None),  # 3.1 kg for 3: no load to begin with
])  # fmt: skip
def test_far_too_light_is_no_step_but_a_search_of_a_week(done, asked, start):
    answer = next_load(sets(*done), exercise(), gym(), asked, 2)
    begin = f"Begin with {start} kg"
    assert (answer.load is None, begin in answer.sheet_note) == (start is not None, start is not None)
    for ease in (Ease(hold="while pain waits"), Ease(slowly=True), Ease(searched=True), PAIN):
        assert next_load(sets(*done), exercise(), gym(), asked, 2, ease).load is not None


# by Epley's formula 21 to failure with 5 kg are 4 with 7.5 kg; with 8 kg they are 10 with 10 kg
@pytest.mark.parametrize(("done", "step", "reps"), [
    ((5, [15, 15], [6, 6]), 2.5, (6, 10)),  # begins with 7.5 kg, all there is to try: the fewest that anybody trains
    ((8, [15, 15], [6, 6]), 2, (10, 15)),  # begins with 12 kg, two steps up: one of them will do
    ((6, [15, 15], [6, 6]), 2, (10, 15)),  # begins with 8 kg, which leaves 6 at least
])  # fmt: skip
def test_a_search_at_a_coarse_stack_asks_for_what_the_next_load_leaves(done, step, reps):
    answer = next_load(sets(*done), exercise(multi_joint=False), gym(step=step, start=step), (10, 15), 2)
    assert (answer.load, answer.reps) == (None, reps) and f"{reps[0]}–{reps[1]} reps" in answer.sheet_note


@pytest.mark.parametrize(("did", "reps"), [
    ([8, 8, 6], (6, 10)), ([8, 8, 7], (6, 10)), ([9, 8, 8], (8, 15)), ([10, 10, 10], (10, 15)),
])  # fmt: skip
def test_a_range_below_the_usual_one_stays_until_its_top_is_near(did, reps):
    room, earlier = gym(step=2.5, start=2.5), datetime.date(2026, 10, 26)
    history = sets(5, [23, 23], [5, 5], date=earlier) + sets(7.5, did, [2, 2, 2])
    answer = next_load(history, exercise(multi_joint=False), room, (10, 15), 2)
    assert (answer.load, answer.reps) == (7.5, reps)


def test_a_step_of_half_is_made_where_repetitions_are_left_and_falls_back_to_those_before():
    raise_, room, earlier = exercise(multi_joint=False), gym(step=2.5, start=2.5), datetime.date(2026, 10, 26)
    # 25 to failure with 5 kg are 6.7 with 7.5 kg, none too many with 2 in reserve; 28 are 8.7
    few = next_load(sets(5, [23, 23], [2, 2]), raise_, room, (10, 15), 2)
    assert (few.load, few.reps, few.dead_end) == (5, (18, 23), True)
    light = sets(5, [23, 23], [5, 5], date=earlier)
    enough = next_load(light, raise_, room, (10, 15), 2)
    assert (enough.load, enough.reps) == (7.5, (6, 10))
    back = next_load(light + sets(7.5, [8, 7, 6], [0, 0, 0]), raise_, room, (10, 15), 2)
    assert (back.load, back.reps) == (5, (15, 23))


@pytest.mark.parametrize(("before", "lighter", "ease", "load", "says"), [
    ((8, [17, 16, 15], [2, 2, 3]), (6, [15, 15, 15], [5, 5, 5]), Ease(), 8, "the load of 2026-10-26"),
    # 16 with 2 in reserve at 6 kg would be 4 or 5 at 8 kg: but the top of the range is enough, not so the middle of it
    ((8, [17, 16, 15], [2, 2, 3]), (6, [12, 12, 12], [2, 2, 2]), Ease(), 6, "a repetition more"),
    ((8, [17, 16, 15], [2, 2, 3]), (6, [15, 15, 15], [5, 5, 5]), Ease(hold="while pain waits"), 6, "no more"),
    # too hard then: it was not held
    ((8, [9, 8, 7], [0, 0, 0]), (6, [15, 15, 15], [2, 2, 2]), Ease(), 6, "repetitions first"),
    # cleared after pain: a step of the gym a week
    ((18, [12, 12], [2, 2]), (14, [15, 15], [4, 4]), Ease(slowly=True), 16, "on the way back to 18 kg"),
    ((18, [12, 12], [2, 2]), (14, [15, 15], [4, 4]), Ease(), 18, "(+29 %)"),
])  # fmt: skip
def test_the_load_before_a_cut_is_not_earned_anew(before, lighter, ease, load, says):
    history = [*sets(*before, date=datetime.date(2026, 10, 26)), *sets(*lighter)]
    answer = next_load(history, exercise(multi_joint=False), gym(), (10, 15), 2, ease)
    assert (answer.load, says in answer.reason) == (load, True)
    assert load == lighter[0] or answer.reps == (10, 15)


def test_a_load_that_hurt_in_two_weeks_is_earned_anew():
    days = [datetime.date(2026, 10, 12), datetime.date(2026, 10, 26)]
    painful = [row for day in days for row in sets(8, [15, 15], [2, 2], date=day, pain=3.0)]
    log = [*painful, *sets(6, [15, 15], [5, 5])]
    answer = next_load(log, exercise(multi_joint=False), gym(), (10, 15), 2)
    assert (answer.load, "repetitions first" in answer.reason) == (6, True)


@pytest.mark.parametrize(("before", "failed", "load"), [
    ((18, [10, 10], [3, 3]), (20, [2, 1], [0, 0]), 18),  # by points 14 kg: but 18 kg were held
    ((18, [5, 4], [0, 0]), (20, [2, 1], [0, 0]), 14),  # not held
    ((10, [10, 10], [3, 3]), (20, [2, 1], [0, 0]), 14),  # lighter still
])  # fmt: skip
def test_a_step_that_failed_is_taken_back_no_farther(before, failed, load):
    history = sets(*before, date=datetime.date(2026, 10, 26)) + sets(*failed)
    assert next_load(history, exercise(), gym(), (6, 10), 2).load == load


# --- The loads a gym can make
def gym_of(loads):
    return Gym.model_validate({"equipment": list(loads), "loads": loads})


def test_no_listed_load_is_none_and_warm_up_sets_rise_to_the_work_load():
    assert available_loads(gym_of({"barbell": [20, 30]}), make_exercise()) is None
    assert available_loads(gym_of({"dumbbells": [4]}), make_exercise(load_from=None, load_is="body")) is None
    dumbbells = tuple(range(2, 42, 2))
    assert [warmup_loads(20, sets, dumbbells) for sets in (2, 1, 0)] == [(8, 16), (12,), ()]  # 40 and 80 %
    assert warmup_loads(2, 2, dumbbells) == warmup_loads(20, 2, None) == ()  # nothing lighter is here


loads_made = st.lists(st.integers(1, 100).map(float), min_size=1, unique=True)


@given(loads_made, st.integers(1, 4), st.integers(1, 120))
def test_warm_up_loads_can_be_made_and_never_fall(loads, sets, work):
    warm = warmup_loads(work, sets, loads)
    assert len(warm) in (0, sets) and set(warm) <= set(loads)
    assert list(warm) == sorted(warm) and all(load < work for load in warm)
