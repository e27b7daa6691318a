"""The loads a gym can make."""

from hypothesis import given
from hypothesis import strategies as st
from training import make_exercise

from planner.athlete.gym import Gym
from planner.train.loads import available_loads, warmup_loads


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
