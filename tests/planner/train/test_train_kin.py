"""Pain is of a movement, not of a name: what waits with a painful exercise, and what gains no sets."""

import datetime

from hypothesis import given
from hypothesis import strategies as st
from small_document import line, small_document

from library.read import read_library
from planner.athlete.gym import Gym
from planner.log.record import LoggedSet, clearance
from planner.train.carried import carried_over

MONDAY = datetime.date(2026, 11, 30)
NEXT = MONDAY + datetime.timedelta(days=7)
LIBRARY = read_library()
KEYS = sorted(LIBRARY.exercises)
GYMS = {"club": Gym.model_validate({"loads": {"dumbbells": {"from": 2, "to": 40, "step": 2}}})}


def hurt(key, pain, day=MONDAY, **fields):
    return LoggedSet(day, "Mon", key, 1, reps=10, pain=pain, gym="club", **fields)


def after(log, last):
    before = small_document({"Mon": [line(key, sets) for key, sets in last.items()]}, week="2026-W49")
    return carried_over(log, LIBRARY, GYMS, NEXT, before, 2)


def grade(library, key, region):
    stress = library.exercises[key].stress.get(region)
    return stress.grade if stress else 0


def test_a_twin_takes_no_sets_and_what_was_done_without_pain_does_not_wait():
    first, twin = [key for key in KEYS if LIBRARY.exercises[key].family == "y_raise"][:2]
    carried = after([hurt(first, 4), hurt(twin, 7, kind="sharp")], {first: 4, twin: 3})
    family = {key for key in KEYS if LIBRARY.exercises[key].family == "y_raise"}
    assert family <= set(carried.pain.barred)
    assert "doctor or physiotherapist" in carried.pain.sheet_lines[0]
    raise_, rear = "standing_dumbbell_lateral_raise", "seated_bent_over_rear_raise"
    stiff = hurt(raise_, 4, where="neck", next_morning="not settled")
    last = {raise_: 3, rear: 3}
    assert grade(LIBRARY, rear, "neck") >= grade(LIBRARY, raise_, "neck") > 0
    assert rear in after([stiff], last).pain.barred
    pain = after([stiff, hurt(rear, 0, MONDAY + datetime.timedelta(days=2))], last).pain
    assert raise_ in pain.barred and rear not in pain.barred and pain.capped[rear] <= 3


PRESSING = "seated_dumbbell_overhead_press"
OLDER = MONDAY - datetime.timedelta(days=14)


def test_nothing_is_new_until_pain_is_cleared_and_a_little_pain_lets_nothing_kin_gain():
    carried = after([hurt(PRESSING, 4)], {PRESSING: 6, "standing_dumbbell_overhead_press": 3})
    assert not carried.pain.barred
    assert (carried.pain.capped[PRESSING], carried.pain.capped["standing_dumbbell_overhead_press"]) == (6, 3)
    assert "side_lying_external_rotation" not in carried.pain.capped
    carried = after([hurt(PRESSING, 4, OLDER), hurt("cable_external_rotation", 0)], {PRESSING: 6})
    assert not carried.pain.capped and carried.pain.load_share(PRESSING) == 0.8
    last = {"plate_front_raise": 3, "standing_dumbbell_lateral_raise": 3}
    capped = after([hurt(PRESSING, 7, OLDER)], last).pain.capped
    assert capped["cable_front_raise"] == capped["machine_lateral_raise"] == 0
    assert capped["plate_front_raise"] == 2  # it was tolerated, and half of its head is left


def test_while_half_of_a_heads_movements_wait_nothing_is_new_though_others_are_free():
    raises = ("standing_dumbbell_lateral_raise", "cable_lateral_raise_from_front")
    log = [hurt(key, 4, day) for day in (OLDER, MONDAY - datetime.timedelta(days=7)) for key in raises]
    last = {raises[0]: 3, raises[1]: 4, "machine_reverse_fly": 4}
    new = ("barbell_bench_press", "seated_dumbbell_scapular_raise", "seated_dumbbell_overhead_press")
    for plan in (last, {"machine_reverse_fly": 4}):  # the week after, the plan is without them already
        carried = after(log, plan)
        assert not set(new) & set(carried.pain.barred)
        assert [carried.pain.capped[key] for key in (*new, "machine_reverse_fly")] == [0, 0, 0, 4]
        assert any("side delt" in line and "50 %" in line for line in carried.lines)
    free = {key: 3 for key in KEYS if LIBRARY.exercises[key].family in ("scapular_raise", "y_raise")}
    assert "machine_reverse_fly" not in after(log, last | free).pain.capped  # most of the head goes on


def test_after_a_slip_or_numbness_nothing_is_new_nothing_overhead_and_half_of_the_rest():
    last = {"standing_dumbbell_lateral_raise": 6, "machine_shoulder_press": 3, "cable_face_pull": 3}
    numb = after([hurt("cable_face_pull", 2, kind="numb")], last).pain
    overhead = {"machine_shoulder_press", "cable_lateral_raise_from_front", "cable_face_pull"}
    assert overhead <= numb.barred.keys() and "standing_dumbbell_lateral_raise" not in numb.barred
    assert numb.capped["standing_dumbbell_lateral_raise"] == 3
    slips = after([hurt("machine_lateral_raise", 2, kind="slips")], last | {"machine_reverse_fly": 3}).pain
    assert "machine_reverse_fly" in slips.barred  # it opens the front of the shoulder


def test_what_was_cleared_comes_back_with_half_of_its_sets_or_a_set_less():
    raise_, day = "standing_dumbbell_lateral_raise", MONDAY + datetime.timedelta(days=1)
    log = [hurt(raise_, 7), clearance(raise_, day)]
    assert after(log, {raise_: 6}).pain.capped[raise_] == 3
    capped = after(log, {raise_: 3, "cable_face_pull": 3}).pain.capped
    # what else was done stays, and nothing is new
    assert (capped[raise_], capped["machine_lateral_raise"], "cable_face_pull" in capped) == (2, 0, False)
    again = hurt(raise_, 0, MONDAY + datetime.timedelta(days=3))
    assert raise_ not in after([*log, again], {raise_: 6}).pain.capped
    floor = next(key for key in KEYS if LIBRARY.exercises[key].load_is == "body")
    assert after([hurt(floor, 4)], {floor: 4}).pain.capped[floor] == 3


def test_after_sharp_pain_in_a_raise_no_raise_or_upright_pull_comes_and_nothing_new_is_hard_on_a_joint():
    last = {"standing_dumbbell_lateral_raise": 3, "machine_reverse_fly": 4, PRESSING: 3}
    row = hurt("standing_dumbbell_lateral_raise", 7, kind="sharp", where="anterior_capsule")
    pain = after([row], last).pain
    raising = {"lateral_raise", "scapular_raise", "y_raise", "front_raise", "upright_pull"}
    assert {key for key in KEYS if LIBRARY.exercises[key].family in raising} <= set(pain.barred)
    hard = {key for key in KEYS if any(of.grade >= 2 for of in LIBRARY.exercises[key].stress.values())}
    assert all(pain.capped[key] == 0 for key in hard - set(last))
    assert "machine_reverse_fly" not in pain.barred and pain.capped["machine_reverse_fly"] == 4
    # in the elbow it leaves other ways of raising the arm
    pain = after([hurt("cable_lateral_raise_from_front", 7, kind="sharp", where="elbow")], {}).pain
    assert "standing_dumbbell_scapular_raise" not in pain.barred


STACK = {"studio": Gym.model_validate({"loads": {"cable_station": {"from": 2.5, "to": 40, "step": 2.5},
    "dumbbells": {"from": 2, "to": 24, "step": 1}}})}  # fmt: skip
CABLE, SEATED = "cable_lateral_raise_from_front", "seated_dumbbell_lateral_raise"
GRIP = "neutral_grip_seated_dumbbell_press"
DAYS = {"Mon": [line(CABLE, 3), line(GRIP, 3)], "Thu": [line(CABLE, 3), line(SEATED, 3)]}
DAYS["Sat"] = [line(SEATED, 4)]


def week_of(number, pain, where="subacromial"):
    """Both days of 5 kg in the cable, the second sets with pain; all else at the top and without any."""
    start = MONDAY + datetime.timedelta(weeks=number)
    plan = [(0, CABLE, 5, 15 if number < 0 else 23), (3, CABLE, 5, 15 if number < 0 else 23)]
    for day, key, load, reps in [*plan, (0, GRIP, 18, 10), (3, SEATED, 8, 15), (5, SEATED, 8, 15)]:
        date = start + datetime.timedelta(days=day)
        for number in (1, 2):
            felt = {"pain": pain, "where": where} if key == CABLE and number == 2 else {"pain": 0.0}
            yield LoggedSet(date, "", key, number, load, "kg", reps, 4.0, gym="studio", **felt)


def after_weeks(*weeks, where="subacromial"):
    """Carry over a log of weeks, the maximum of pain in the cable raise of each."""
    numbered = enumerate(weeks, start=1 - len(weeks))
    log = [row for number, pain in numbered for row in week_of(number, pain, where)]
    return carried_over(log, LIBRARY, STACK, NEXT, small_document(DAYS, week="2026-W49"), 2)


def test_where_the_stack_has_no_step_near_a_set_less_each_day_no_more_repetitions_and_more_in_reserve():
    carried = after_weeks(0.0, 4.0)
    load, (said, *_) = carried.loads[CABLE, "studio"], carried.pain.lines
    assert (load.load, load.reps, load.fewer_sets) == (5, (10, 15), 1)  # 15: the week without pain
    assert dict(carried.pain.fewer) == {(CABLE, "Mon"): 2, (CABLE, "Thu"): 2}
    assert carried.pain.capped[CABLE] == 4
    assert said.kind == "fewer" and "1 set less" in said.text and "4 in reserve" in said.text
    assert "20 %" not in said.text
    # hurt from the first day on: the low end of the range
    assert after_weeks(4.0).loads[CABLE, "studio"].reps == (10, 10)
    # a lighter load is near: that is what is said
    log = [hurt(SEATED, 4, load=10, load_unit="kg")._replace(gym="studio")]
    (said,) = carried_over(log, LIBRARY, STACK, NEXT, None, 2).pain.lines
    assert said.kind == "eased" and "8 kg" in said.text and "set less" not in said.text


def test_nothing_kin_goes_up_until_a_week_without_pain_and_one_day_spares_nothing():
    kin = [(GRIP, "studio"), (SEATED, "studio")]
    assert [after_weeks(0.0, 2.0).loads[at].load for at in kin] == [19, 9]
    for carried in (after_weeks(0.0, 4.0), after_weeks(4.0)):
        assert [carried.loads[at].load for at in kin] == [18, 8]
        assert all("hurts" in carried.loads[at].reason for at in kin)
    # in words alone, no region: its family; not said where: nothing
    for where, loads in (("up here", [19, 8]), ("", [18, 8])):
        assert [after_weeks(0.0, 4.0, where=where).loads[at].load for at in kin] == loads
    log = [row for number in (-1, 0) for row in week_of(number, 4.0) if row.exercise == CABLE]
    once = hurt(SEATED, 0.0)
    assert SEATED in after([*log, once], {CABLE: 3, SEATED: 3}).pain.barred
    again = hurt(SEATED, 0.0, MONDAY + datetime.timedelta(days=2))
    assert SEATED not in after([*log, once, again], {CABLE: 3, SEATED: 3}).pain.barred
    sore = again._replace(pain=3.0)
    assert SEATED in after([*log, once, again, sore], {CABLE: 3, SEATED: 3}).pain.barred


def test_pain_that_stays_takes_out_what_loads_the_region_and_spares_of_the_family_what_did_not_hurt():
    carried = after_weeks(0.0, 4.0, 4.0)
    pain, twin = carried.pain, "standing_dumbbell_lateral_raise"
    clearly = {key for key in KEYS if grade(LIBRARY, key, "subacromial") >= 2}
    assert {CABLE, GRIP, twin} | clearly <= pain.barred.keys() and SEATED not in pain.barred
    assert "cable_face_pull" not in pain.barred and list(pain.regions) == ["subacromial"]
    assert carried.loads[SEATED, "studio"].load == 8  # last week's, no more
    assert dict(pain.fewer) == {(SEATED, "Thu"): 2, (SEATED, "Sat"): 3} and pain.capped[SEATED] <= 5
    assert any("Seated dumbbell lateral raise: done without pain" in said for said in carried.lines)
    assert any("but not Seated dumbbell lateral raise" in said for said in pain.sheet_lines)
    # where it hurts was not said: its family alone, as far as that hurt or was not done
    pain = after_weeks(0.0, 4.0, 4.0, where="").pain
    assert {CABLE, twin} <= pain.barred.keys()
    assert not {GRIP, SEATED} & pain.barred.keys() and not pain.regions


complaints = st.builds(
    hurt, st.sampled_from(KEYS), st.sampled_from([0.0, 3.0, 5.0, 6.0]),
    where=st.sampled_from(["", "elbow", "subacromial", "wrist", "somewhere"]),
    kind=st.sampled_from(["", "joint", "sharp", "muscle"]),
)  # fmt: skip


@given(
    st.lists(complaints, min_size=1, max_size=4, unique_by=lambda row: row.exercise),
    st.dictionaries(st.sampled_from(KEYS), st.integers(2, 8), max_size=8),
)
def test_after_any_pain_no_kin_gains_sets(log, last):
    carried = after(log, last)
    for row in log:
        if row.kind == "muscle" or (row.pain <= 2 and row.kind != "sharp"):
            continue
        painful = LIBRARY.exercises[row.exercise]
        named = [row.where] if row.where in LIBRARY.regions else None
        regions = named or [region for region, item in painful.stress.items() if item.grade >= 2]
        as_much = {region: grade(LIBRARY, row.exercise, region) or 2 for region in regions}
        for key, other in LIBRARY.exercises.items():
            loads = any(grade(LIBRARY, key, region) >= least for region, least in as_much.items())
            if key != row.exercise and other.family != painful.family and not loads:
                continue
            if row.pain > 5 or row.kind == "sharp":
                assert key in carried.pain.barred
            elif row.exercise not in carried.pain.barred and key not in carried.pain.barred:
                milder = regions and not loads and last.get(key, 0) == 0
                assert carried.pain.capped[key] <= (last.get(row.exercise, 0) if milder else last.get(key, 0))
