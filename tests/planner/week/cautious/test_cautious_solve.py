"""Cautious weeks against every plan counted, against one linear program, and what must hold of any of them."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace

import pytest
from drawn_week import scattered, shortfall_of, under_ceilings
from every_plan import every_plan
from hypothesis import given, settings
from hypothesis import strategies as st
from planner.model.goals.dose import steps
from planner.solve.highs import Ending, Stops
from planner.solve.integer import over_blocks
from planner.week.cautious.bounds import Bounds
from planner.week.cautious.cuts import Shortfall
from planner.week.cautious.descent import Descent
from planner.week.cautious.draws import HeadDraws, sets_a_week
from planner.week.cautious.likely import cheaper_week, under_tangents
from planner.week.cautious.moves import Moves
from planner.week.cautious.solve import Cautious, cautious_week, ceilings
from planner.week.holding import Holding
from tiny_week import MONDAY, TUESDAY, goal, tiny
from week_cases import random_problem

from planner.document import Plan
from planner.method import CautiousSettings
from planner.model.aims import build, dose_room, rest_value
from planner.model.problem import Problem
from planner.model.program import INFINITE, Row, Terms, add
from planner.week.plan import solve_problem

FINE = CautiousSettings(
    cautious_gap_sets=1e-3, cautious_effort=10**6, cautious_bound_rounds=30, cautious_node_budget=5000
)
LEVEL = 0.8
few = settings(max_examples=8, deadline=None)
Draws = Mapping[str, HeadDraws]


def plain_plan(problem: Problem) -> Plan:
    solved = solve_problem(problem)
    assert solved is not None
    return solved.plan


def by_linear_program(problem: Problem, draws: Draws, level: float, plain: Plan) -> float:
    """The least expected shortfall in one piece: eta + Σ u[s] / (n·(1 − level)), u[s] ≥ price of draw s − eta.

    Rockafellar & Uryasev 2000, with the prices of missed sets as columns of every draw; no tangent, no pattern.
    """
    program = build(problem)
    for head, most in ceilings(problem, plain).items():
        program.row(f"most:{head}", program.dose(head), high=most, unit="sets")
    count = len(next(iter(draws.values())).elsewhere)
    eta = program.variable("eta", 0, INFINITE)  # prices are never below 0
    objective: Terms = {eta: 1.0}
    for draw in range(count):
        over = program.variable(f"over:{draw}", 0, INFINITE)
        objective[over] = 1 / (count * (1 - level))
        price: Terms = {over: -1.0, eta: -1.0}
        for head in problem.heads:
            drawn = draws[head.head]
            dose: Terms = {}
            for at, key in enumerate(drawn.exercises):
                for session in problem.sessions:
                    add(dose, program.sets(key, session.id, float(drawn.credits[draw, at])))
            for part, (width, each) in enumerate(steps(problem, head)):
                short = program.variable(f"short:{head.head}:{draw}:{part}", 0, width)
                dose[short] = 1.0
                price[short] = each * head.priority
            low = head.target - float(drawn.elsewhere[draw])
            program.row(f"drawn:{head.head}:{draw}", dose, low=low, unit="sets")
        program.row(f"over:{draw}", price, high=0.0, unit="sets")
    answer = over_blocks(program).minimize(objective, Stops(1e-6, 10**6, 600.0))
    assert answer.ending is Ending.OPTIMAL
    return answer.value


WEEKS = {
    "tiny": tiny(),
    "short of time": tiny(
        sessions=(replace(MONDAY, seconds=600), replace(TUESDAY, seconds=400)),
        heads=(goal("front"), goal("side")),
    ),
    "room for more than asked": tiny(
        heads=(goal("front", target=4.0, ceiling=5.0), goal("rear", target=3.0))
    ),
    "pinned": tiny(pins={("press", "Mon"): 3}),
    "done elsewhere": tiny(heads=(goal("front", elsewhere=2.0), goal("side", elsewhere=1.0, priority=3.0))),
}


@pytest.mark.parametrize("name", WEEKS)
def test_against_every_plan_counted(name: str) -> None:
    problem = WEEKS[name]
    draws, plain = scattered(problem), plain_plan(problem)
    found = cautious_week(problem, draws, LEVEL, plain, FINE)
    plans = [plan for plan in every_plan(problem) if under_ceilings(problem, plain, plan)]
    best = min(shortfall_of(problem, draws, plan, LEVEL) for plan in plans)
    assert not found.stopped
    assert found.bound <= best + 1e-6
    assert best <= found.bound + FINE.cautious_gap_sets + 1e-6
    assert by_linear_program(problem, draws, LEVEL, plain) == pytest.approx(best, abs=1e-4)
    # the rest may leave the least by the tolerance of the dose, and is least there
    near = [p for p in plans if shortfall_of(problem, draws, p, LEVEL) <= best + dose_room(problem)]
    least = min(rest_value(problem, plan) for plan in near if not Holding(problem).broken(plan))
    assert found.value <= best + dose_room(problem) + FINE.cautious_gap_sets + 1e-6
    assert rest_value(problem, found.plan) <= least + problem.settings.rest_gap_minutes + 1e-6
    assert found.rest_bound <= least + 1e-6


def small(seed: int, paired: bool = False) -> Problem:
    problem = random_problem(seed, exercises=(3, 6), sessions=(1, 2), minutes=(12, 25), gyms=(1, 2))
    return replace(problem, paired=paired)


def holds_of_any(problem: Problem, draws: Draws, level: float) -> Cautious:
    plain = plain_plan(problem)
    found = cautious_week(problem, draws, level, plain, CautiousSettings())
    assert found.plain == pytest.approx(shortfall_of(problem, draws, plain, level))
    assert found.value == pytest.approx(shortfall_of(problem, draws, found.plan, level))
    assert found.value <= found.plain + 1e-6
    assert found.bound <= found.value + 1e-6
    assert found.rest_bound <= rest_value(problem, found.plan) + 1e-6
    assert Holding(problem).broken(found.plan) == []
    assert under_ceilings(problem, plain, found.plan)
    return found


@pytest.mark.slow
@given(seed=st.integers(0, 100_000), level=st.sampled_from((0.01, 0.5, 0.8, 0.97)))
@few
def test_never_worse_than_the_plain_plan_and_within_every_limit(seed: int, level: float) -> None:
    problem = small(seed)
    holds_of_any(problem, scattered(problem, seed=seed), level)


@pytest.mark.slow
@given(seed=st.integers(0, 100_000))
@few
def test_the_bound_is_true(seed: int) -> None:
    problem = small(seed)
    draws = scattered(problem, count=12, seed=seed)
    found = holds_of_any(problem, draws, LEVEL)
    best = by_linear_program(problem, draws, LEVEL, plain_plan(problem))
    assert found.bound <= best + 1e-5
    assert found.stopped or best <= found.value + 1e-5


@pytest.mark.slow
@given(seed=st.integers(0, 100_000))
@settings(max_examples=6, deadline=None)
def test_pairs_are_planned_like_in_any_week(seed: int) -> None:
    problem = small(seed, paired=True)
    holds_of_any(problem, scattered(problem, count=20, seed=seed), LEVEL)


@pytest.mark.slow
@given(seed=st.integers(0, 100_000))
@few
def test_a_head_that_must_be_met_is_met(seed: int) -> None:
    problem = small(seed)
    heads = tuple(replace(one, must=True, target=2.0, floor=1.0) for one in problem.heads[:1])
    problem = replace(problem, heads=heads + problem.heads[1:])
    if solve_problem(problem) is None:
        return
    holds_of_any(problem, scattered(problem, seed=seed), LEVEL)


def test_the_same_question_gives_the_same_plan() -> None:
    problem = small(7)
    draws, plain = scattered(problem), plain_plan(problem)
    first, again = (cautious_week(problem, draws, LEVEL, plain, CautiousSettings()).plan for _ in range(2))
    assert first == again


def test_a_search_without_a_budget_says_that_it_was_stopped() -> None:
    problem = random_problem(3, exercises=(12, 14), sessions=(3, 3))
    draws, plain = scattered(problem), plain_plan(problem)
    small_budget = CautiousSettings(
        cautious_effort=0, cautious_bound_rounds=1, cautious_steps=0, cautious_likely_rounds=0
    )
    found = cautious_week(problem, draws, LEVEL, plain, small_budget)
    assert found.stopped
    assert found.bound < found.value - small_budget.cautious_gap_sets
    assert found.value <= found.plain + 1e-6


def test_nodes_are_what_a_search_for_a_proof_is_stopped_by() -> None:
    problem = WEEKS["tiny"]
    draws, plain = scattered(problem), plain_plan(problem)
    no_nodes = replace(FINE, cautious_node_budget=0, cautious_steps=0, cautious_bound_rounds=1)
    assert cautious_week(problem, draws, LEVEL, plain, no_nodes).stopped


# --- its parts


def shortfall_on(problem: Problem) -> Shortfall:
    return Shortfall(build(problem), scattered(problem), LEVEL)


def test_a_tangent_touches_where_it_was_made_and_lies_below_everywhere_else() -> None:
    problem = tiny()
    shortfall = shortfall_on(problem)
    dice = random.Random(1)
    plans = dice.sample(list(every_plan(problem)), 20)
    for plan in plans[:5]:
        value = shortfall.cut_at(sets_a_week(plan))
        assert value == pytest.approx(shortfall.of(plan))
        assert below(shortfall, shortfall.cuts[-1], plan) == pytest.approx(value, abs=1e-6)
    for plan in plans:
        for cut in shortfall.cuts:
            assert below(shortfall, cut, plan) <= shortfall.of(plan) + 1e-9


def below(shortfall: Shortfall, cut: Row, plan: Plan) -> float:
    """What a cut asks of the expected shortfall at a plan."""
    blocks = {shortfall.program.blocks[pair][sets] for pair, sets in plan.items()}
    return cut.low - sum(value for column, value in cut.terms.items() if column in blocks)


def test_a_tangent_holds_between_whole_sets_too() -> None:
    problem = tiny()
    shortfall = shortfall_on(problem)
    assert shortfall.cut_at({"press": 2.5, "raise": 0.25}) > 0
    assert all(below(shortfall, shortfall.cuts[0], p) <= shortfall.of(p) + 1e-9 for p in every_plan(problem))


def test_exchanges_are_all_that_fit_the_clock_each_with_its_true_value() -> None:
    problem = tiny(pins={("fly", "Mon"): 2})
    moves, plan = Moves(shortfall_on(problem)), {("fly", "Mon"): 2, ("raise", "Tue"): 2}
    listed = moves.of(plan)
    after = [move.on(plan) for move in listed]
    for move, there in zip(listed, after, strict=True):
        assert move.value == pytest.approx(moves.shortfall.of(there))
        assert there["fly", "Mon"] == 2  # what is pinned stays
        for session in problem.sessions:
            seconds = sum(
                problem.candidate(k).seconds(n) for (k, day), n in there.items() if day == session.id
            )
            assert seconds <= session.seconds
    near = [p for p in every_plan(problem) if 0 < apart(plan, p) <= 2 and one_exchange(plan, p)]
    assert {frozenset(p.items()) for p in near} <= {frozenset(p.items()) for p in after}


def apart(one: Plan, other: Plan) -> int:
    return len(set(one.items()) ^ set(other.items()))


def one_exchange(one: Plan, other: Plan) -> bool:
    """One block less, one more, or both."""
    return len(set(one.items()) - set(other.items())) <= 1 and len(set(other.items()) - set(one.items())) <= 1


def test_the_descent_goes_down_within_the_limits() -> None:
    problem = random_problem(11, exercises=(8, 10), sessions=(2, 2))
    plain, shortfall = plain_plan(problem), shortfall_on(problem)
    descent = Descent(shortfall, ceilings(problem, plain), CautiousSettings())
    found = descent.least_shortfall(plain)
    assert shortfall.of(found) < shortfall.of(plain)
    assert descent.keeps(found)
    cheaper = descent.least_rest(found, shortfall.of(plain))
    assert rest_value(problem, cheaper) <= rest_value(problem, found)
    assert shortfall.of(cheaper) <= shortfall.of(plain) + 1e-6
    assert descent.keeps(cheaper)


def test_the_descent_stops_after_its_steps_and_looks_no_farther_than_told() -> None:
    problem = random_problem(11, exercises=(8, 10), sessions=(2, 2))
    plain, shortfall = plain_plan(problem), shortfall_on(problem)
    limits = ceilings(problem, plain)
    still = Descent(shortfall, limits, CautiousSettings(cautious_steps=0))
    assert still.least_shortfall(plain) == plain
    blind = Descent(shortfall, limits, CautiousSettings(cautious_looks=0))
    assert blind.least_rest(plain, shortfall.of(plain)) == plain


def test_a_plan_above_what_is_held_is_mended_or_given_up() -> None:
    problem = random_problem(11, exercises=(8, 10), sessions=(2, 2))
    plain, shortfall = plain_plan(problem), shortfall_on(problem)
    descent = Descent(shortfall, ceilings(problem, plain), CautiousSettings())
    most = (shortfall.of(plain) + shortfall.of(descent.least_shortfall(plain))) / 2
    mended = descent.mended(plain, most)
    assert mended is not None
    assert shortfall.of(mended) <= most + 1e-6
    assert descent.keeps(mended)
    assert descent.mended(plain, -1.0) is None


def test_the_exercises_of_good_weeks_make_a_cheaper_one() -> None:
    problem = tiny()
    plain, shortfall = plain_plan(problem), shortfall_on(problem)
    descent = Descent(shortfall, ceilings(problem, plain), CautiousSettings())
    kept = [plan for plan in every_plan(problem) if descent.keeps(plan)]
    dear = max(kept, key=lambda plan: rest_value(problem, plan) if len(plan) > 2 else 0.0)
    most = max(shortfall.of(dear), shortfall.of({}) - 1e-3)  # nearly any week is sure enough
    found = cheaper_week(descent, [dear], dear, most)
    assert rest_value(problem, found) < rest_value(problem, dear)
    assert shortfall.of(found) <= most + 1e-6
    assert {key for key, _ in under_tangents(descent, {"raise"}, 1e9, most) or {}} == {"raise"}
    assert under_tangents(descent, {"raise"}, 0.0, most) is None  # nothing is as cheap as that
    no_rounds = Descent(shortfall, ceilings(problem, plain), CautiousSettings(cautious_likely_rounds=0))
    assert cheaper_week(no_rounds, [dear], dear, most) == dear
    no_nodes = Descent(shortfall, ceilings(problem, plain), CautiousSettings(cautious_likely_nodes=0))
    assert rest_value(problem, cheaper_week(no_nodes, [dear], dear, most)) <= rest_value(problem, dear)


def test_larger_weeks_get_fewer_rounds() -> None:
    shortfall = shortfall_on(tiny())
    blocks = sum(len(by_count) for by_count in shortfall.program.blocks.values())
    assert Bounds(shortfall, CautiousSettings(cautious_effort=5 * blocks**2)).rounds == 5
    assert Bounds(shortfall, CautiousSettings(cautious_effort=blocks**2 - 1)).rounds == 0


def test_ceilings_are_those_asked_or_what_the_plain_plan_gives() -> None:
    problem = tiny(heads=(goal("front", elsewhere=3.0), goal("side", ceiling=6.0)))
    plan = {("raise", "Mon"): 3, ("raise", "Tue"): 3, ("press", "Mon"): 3}
    assert ceilings(problem, plan) == pytest.approx({"front": 5.4, "side": 7.5})
