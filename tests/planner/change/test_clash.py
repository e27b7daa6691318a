"""Clashing groups: infeasible together, feasible without any one member, each with its file and key."""

from dataclasses import replace
from functools import cache, reduce

import pytest
from small_athlete import BRIEF as UNHURRIED
from small_athlete import GYM, TODAY, WEEK, make_folder

from planner.model.build import build_problem
from planner.model.problem import counted_of
from planner.solve.solve import is_impossible, solve_week
from planner.week import clash as clash_module
from planner.week.clash import Clash, Nearest, all_members, clash_of, clash_text, small_group
from planner.week.gather import gather

BRIEF = UNHURRIED.replace("minutes = 30", "minutes = 20").replace("minutes = 25", "minutes = 15")
ROOMY = UNHURRIED.replace("minutes = 30", "minutes = 60").replace("minutes = 25", "minutes = 60")


def must(target, head="rear", brief=BRIEF):
    old = next(line for line in brief.splitlines() if line.startswith(f"{head} = "))
    return brief.replace(old, f"{head} = {{ target = {target}, ceiling = {target + 5}, must = true }}")


def more(lines, brief=BRIEF):
    return brief.replace("[target]", f"{lines}\n[target]")


# brief, gym, words that must be in the group, words that must not
CASES = {
    "a target that the minutes cannot hold": (
        must(40), GYM, ["target.rear.must", "session Fri: minutes"], ["target.side", "pin"],
    ),
    "two targets, one of them alone too high": (
        must(40, brief=must(6, "side")), GYM, ["target.rear.must"], ["target.side"],
    ),
    "equipment and no time at all to blame": (
        must(30, brief=ROOMY), '[club]\nequipment = ["bands"]\n[home]\nequipment = ["bands"]\n',
        ["target.rear.must"], ["target.side", "pin"],
    ),
    "what alone is allowed": (
        more('[preferences]\nonly = ["machine"]', must(36, brief=ROOMY.replace('"home"', '"club"'))), GYM,
        ["target.rear.must", "preferences.only"], ["target.front"],
    ),
    "an arm that may not go far": (
        more('[joints]\narm_at_most_degrees = 20', must(20, brief=ROOMY)), GYM,
        ["target.rear.must", "arm_at_most_degrees"], ["target.front"],
    ),
    "implements that must be there, too few exercises": (
        more("[variety]\nimplements = 3\nmust = true\n[method]\nexercises_per_week = 2", ROOMY), GYM,
        ["variety.must", "method.exercises_per_week"], ["target."],
    ),
    "a ceiling that a pin of another day breaks": (
        more(
            '[preferences]\npin = { machine_reverse_fly = { day = "Mon", sets = 4 } }',
            ROOMY.replace("rear = 6", "rear = { floor = 1, target = 2, ceiling = 2.5, must = true }"),
        ),
        GYM, ["target.rear.must", "preferences.pin.machine_reverse_fly"], ["session", "gym.toml"],
    ),
}  # fmt: skip


def inputs_of(folder, brief, gym=GYM):
    return gather(make_folder(folder, brief, gym), WEEK, TODAY).inputs


@pytest.fixture(scope="module")
def clashing(tmp_path_factory):
    """The inputs of a case and its clash, found once."""

    @cache
    def found(name):
        inputs = inputs_of(tmp_path_factory.mktemp("clash") / "kim", *CASES[name][:2])
        assert solve_week(build_problem(inputs)) is None
        return name, inputs, clash_of(inputs)

    return found


@pytest.fixture(params=CASES)
def case(request, clashing):
    return clashing(request.param)


def only(inputs, kept):
    """Let everything go but these."""
    names = {str(member) for member in kept}
    others = [member for member in all_members(inputs) if str(member) not in names]
    return reduce(lambda old, member: member.apply(old), others, inputs)


def test_the_group_clashes_would_not_without_any_one_member_and_is_named_with_a_nearest_week(case):
    name, inputs, clash = case
    assert clash.members and not clash.stopped
    assert is_impossible(build_problem(only(inputs, clash.members))) is True
    for member in clash.members:
        rest = [other for other in clash.members if other is not member]
        assert is_impossible(build_problem(only(inputs, rest))) is False, str(member)
    members = "\n".join(map(str, clash.members))
    assert all(word in members for word in CASES[name][2]), members
    assert not any(word in members for word in CASES[name][3]), members
    assert all(str(one).startswith(("brief.toml: ", "gym.toml: ")) for one in clash.members)
    assert members.splitlines()[0] in clash_text(clash)
    assert [head for head, _, _ in clash.nearest.heads] == list(inputs.targets)
    short = any(target - dose > 0.04 for _, dose, target in clash.nearest.heads)
    assert short or clash.nearest.missed or clash.nearest.unpinned
    assert "nearest week" in clash_text(clash)


def test_the_nearest_week_gives_nothing_away_that_must_hold(clashing):
    _, inputs, clash = clashing("a target that the minutes cannot hold")
    nearest = clash.nearest
    alone = replace(inputs, targets={"rear": replace(inputs.targets["rear"], must=False)})
    problem = build_problem(alone)
    solved = solve_week(problem)
    best = counted_of(problem, solved.plan, problem.heads[0])
    assert next(dose for head, dose, _ in nearest.heads if head == "rear") >= best - 1.0


def test_a_search_that_stops_early_says_so_and_the_nearest_week_names_what_it_gives_up(tmp_path, monkeypatch):
    inputs = inputs_of(tmp_path / "kim", must(40))
    monkeypatch.setattr(clash_module, "is_impossible", lambda _: None)
    group, stopped = small_group(inputs)
    assert stopped and [str(one) for one in group] == [str(one) for one in all_members(inputs)]
    assert "stopped early" in clash_text(Clash(group, None, stopped))
    missed = (("implements", 1.0, "implements"), ("ceiling:rear", 0.049, "direct sets"))
    nearest = Nearest((("side", 3.26, 8.0), ("rear", 9.0, 8.0)), missed, ("brief.toml: preferences.pin.x",))
    told = clash_text(Clash((), nearest, False))
    assert "side gets 3.3 of 8 sets" in told and "preferences.pin.x" in told and "rear" not in told


def test_everything_that_must_hold_is_a_member_and_let_go_it_is_gone(tmp_path):
    lines = (
        '[joints]\nwrist = "careful"\narm_at_most_degrees = 150\n[variety]\nmust = true\n'
        '[preferences]\nexclude = ["pike_push_up"]\nonly = ["machine", "cable", "dumbbell", "band"]\n'
        'trapezius = true\npin = { machine_reverse_fly = { day = "Mon", sets = 2 } }'
    )
    brief = more(lines, must(6)).replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    inputs = replace(inputs_of(tmp_path / "kim", brief), capped={"cable_face_pull": 2})
    members = all_members(inputs)
    for place in (
        "target.rear.must", "preferences.pin.machine_reverse_fly", "joints.wrist", "(history.flags)",
        "club.equipment", "home.equipment", "session Wed: minutes", "preferences.exclude", "preferences.only",
        "preferences.trapezius", "arm_at_most_degrees", "variety.must", "method.exercises_per_week", "kindred",
    ):  # fmt: skip
        assert sum(place in str(one) for one in members) == 1, place
    free = build_problem(reduce(lambda old, one: one.apply(old), members, inputs))
    assert not free.pins and not free.capped and not free.variety_must and not free.quiet_trapezius
    assert not any(goal.must for goal in free.heads)
    assert len(free.candidates) > len(build_problem(inputs).candidates)
