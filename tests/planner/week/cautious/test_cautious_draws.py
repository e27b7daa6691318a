"""Seeded draws of what sets are worth, and the doses that follow."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from planner.week.cautious.draws import JUDGED_ON, PLANNED_ON, draw, seed_of, sets_a_week
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner.model.build import build_problem
from planner.week.plan import Asked, gather

ELSEWHERE = BRIEF + "\n[elsewhere]\nbarbell_bench_press = 6\ncable_face_pull = { sets = 2, whole = true }\n"


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    return gather(make_folder(Path(tmp_path_factory.mktemp("kim")), ELSEWHERE), WEEK, TODAY)


def test_the_same_seed_and_stream_give_the_same_draws_and_others_give_others(asked: Asked) -> None:
    problem = build_problem(asked.inputs)
    first, again = (draw(asked.inputs, asked.pooled, problem, 20, 7, PLANNED_ON) for _ in range(2))
    judged = draw(asked.inputs, asked.pooled, problem, 20, 7, JUDGED_ON)
    for head, drawn in first.items():
        assert (drawn.credits == again[head].credits).all()
        assert (drawn.elsewhere == again[head].elsewhere).all()
        assert (drawn.credits != judged[head].credits).any()


def test_heads_and_streams_have_seeds_of_their_own() -> None:
    seeds = [
        seed_of(seed, stream, number)
        for seed in (1, 2)
        for stream in (PLANNED_ON, JUDGED_ON)
        for number in range(3)
    ]
    assert len(set(seeds)) == len(seeds)


def test_draws_lie_around_what_the_plan_counts(asked: Asked) -> None:
    problem = build_problem(asked.inputs)
    drawn = draw(asked.inputs, asked.pooled, problem, 2000, 1, JUDGED_ON)
    for head, of in drawn.items():
        assert of.credits.shape == (2000, len(of.exercises))
        assert of.credits.min() >= 0.0 and of.credits.max() <= 1.0 + 1e-9
        middle = np.median(of.credits, axis=0)
        for key, found in zip(of.exercises, middle, strict=True):
            counted = problem.candidate(key).credits.get(head, 0.0)
            assert found == pytest.approx(counted, abs=0.03) or min(found, counted) == 0.0  # near the floor


def test_doses_are_credits_times_sets_and_what_comes_from_elsewhere(asked: Asked) -> None:
    problem = build_problem(asked.inputs)
    of = draw(asked.inputs, asked.pooled, problem, 50, 1, PLANNED_ON)["rear"]
    key = of.exercises[0]
    assert of.doses({key: 3.0}).tolist() == pytest.approx((3 * of.credits[:, 0] + of.elsewhere).tolist())
    assert of.doses({"no_such_exercise": 3.0}).tolist() == of.elsewhere.tolist()
    # two whole sets of face pulls are never capped, whatever the target
    assert of.elsewhere.max() == pytest.approx(2.0)


def test_what_is_not_whole_covers_half_of_a_target_at_most(asked: Asked) -> None:
    problem = build_problem(asked.inputs)
    front = draw(asked.inputs, asked.pooled, problem, 500, 1, PLANNED_ON)["front"]
    assert front.elsewhere.max() <= 3.0 + 2.0  # half of the target of 6, and the face pulls


def test_sets_a_week_add_up_over_days() -> None:
    assert sets_a_week({("press", "Mon"): 2, ("press", "Thu"): 3, ("fly", "Thu"): 2}) == {
        "press": 5,
        "fly": 2,
    }
