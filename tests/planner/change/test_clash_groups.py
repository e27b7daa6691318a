"""Clashing groups: infeasible together, feasible without any one member, each with its file and key."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import reduce
from pathlib import Path

import pytest
from planner.change.clash_group import Tried, filtered, irreducible, is_impossible, small_group
from planner.change.clash_members import Member, all_members
from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.change import clash_group
from planner.errors import NoWeekPossible
from planner.model.build import build_problem
from planner.model.inputs import Inputs
from planner.week import clash as clash_module
from planner.week.clash import CANNOT_ALL_HOLD, Clash, Nearest, clash_of, clash_text
from planner.week.plan import gather, plan_week, solve_problem

PIN = "[preferences]\npin = {{ {pins} }}\n\n[target]"
ROOMY = BRIEF.replace("minutes = 30", "minutes = 60").replace("minutes = 25", "minutes = 60")

ONLY_REAR = ROOMY.replace("front = 6", "front = 0").replace("side = 8", "side = 0")
NO_CAPSULE = '[joints]\nanterior_capsule = "avoid"\nposterior_capsule = "avoid"\n\n[target]'


def must(target: float, head: str = "rear", brief: str = BRIEF) -> str:
    old = next(line for line in brief.splitlines() if line.startswith(f"{head} = "))
    return brief.replace(old, f"{head} = {{ target = {target}, ceiling = {target + 5}, must = true }}")


def pinned(pins: str, brief: str = BRIEF) -> str:
    return brief.replace("[target]", PIN.format(pins=pins))


# name: brief, gym, words that must be in the group, words that must not
CASES: dict[str, tuple[str, str, list[str], list[str]]] = {
    "a target that the minutes cannot hold": (
        must(40), GYM, ["target.rear.must", "session Fri: minutes"], ["target.side", "pin"],
    ),
    "two targets, one of them alone too high": (
        must(40, brief=must(6, "side")), GYM, ["target.rear.must"], ["target.side"],
    ),
    "three targets, each too high by itself": (
        must(30, "front", must(40, "side", must(40))), GYM, ["must", "session Fri: minutes"], ["exclude"],
    ),
    "equipment and no time at all to blame": (
        must(30, brief=ROOMY), '[club]\nequipment = []\n[home]\nequipment = []\n',
        ["target.rear.must", "gym.toml: "], ["session Mon"],
    ),
    "a joint to avoid": (
        must(36, brief=ROOMY.replace("[target]", NO_CAPSULE)),
        GYM, ["target.rear.must", "joints.anterior_capsule"], ["target.front", "session"],
    ),
    "families that must be there, all excluded": (
        ROOMY.replace(
            "[target]",
            "[variety]\nimplements = 3\nmust = true\n\n[method]\nexercises_per_week = 2\n\n[target]",
        ),
        GYM, ["variety.must", "method.exercises_per_week"], ["target."],
    ),
    "pins that the week has no exercises left for": (
        pinned(
            'machine_reverse_fly = { day = "Mon", sets = 2 }, band_row = { day = "Wed", sets = 2 }',
            ONLY_REAR.replace("[history]", "[method]\nexercises_per_week = 1\n\n[history]"),
        ),
        GYM, ["preferences.pin.machine_reverse_fly", "preferences.pin.band_row", "exercises_per_week"], ["target"],
    ),
    "a ceiling that a pin of another head breaks": (
        pinned(
            'machine_reverse_fly = { day = "Mon", sets = 10 }',
            ROOMY.replace("rear = 6", "rear = { target = 6, ceiling = 7, must = true }"),
        ),
        GYM, ["target.rear.must", "preferences.pin.machine_reverse_fly"], ["session", "gym.toml"],
    ),
}  # fmt: skip


def inputs_of(folder: Path, brief: str, gym: str) -> Inputs:
    return gather(make_folder(folder, brief, gym), WEEK, TODAY).inputs


@pytest.fixture(params=CASES, scope="module")
def case(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, Inputs, Clash]:
    brief, gym, _, _ = CASES[request.param]
    inputs = inputs_of(tmp_path_factory.mktemp("clash") / "kim", brief, gym)
    return request.param, inputs, clash_of(inputs, solve_problem)


def only(inputs: Inputs, kept: list[Member]) -> Inputs:
    """Let everything go but these."""
    names = {str(member) for member in kept}
    others = [member for member in all_members(inputs) if str(member) not in names]
    return reduce(lambda old, member: member.let_go(old), others, inputs)


def test_the_group_clashes_and_would_not_without_any_one_member(case: tuple[str, Inputs, Clash]) -> None:
    _, inputs, clash = case
    members = list(clash.members)
    assert members and not clash.stopped
    assert is_impossible(build_problem(only(inputs, members))) is True
    for member in members:
        rest = [other for other in members if other is not member]
        assert is_impossible(build_problem(only(inputs, rest))) is False, str(member)


def test_the_group_names_what_clashes_and_nothing_else(case: tuple[str, Inputs, Clash]) -> None:
    name, _, clash = case
    _, _, there, absent = CASES[name]
    told = clash_text(clash)
    assert all(word in told for word in there), told
    assert not any(word in "\n".join(map(str, clash.members)) for word in absent), told
    assert all(str(member).startswith(("brief.toml: ", "gym.toml: ")) for member in clash.members)


def test_the_nearest_week_is_one_and_misses_something(case: tuple[str, Inputs, Clash]) -> None:
    _, inputs, clash = case
    assert clash.nearest is not None
    assert [head for head, _, _ in clash.nearest.heads] == list(inputs.targets)
    assert (
        clash.nearest.unpinned or any(of.must for of in inputs.targets.values()) or inputs.brief.variety.must
    )
    assert "nearest week" in clash_text(clash)


def test_the_nearest_week_misses_the_must_least(tmp_path: Path) -> None:
    """Nothing that is only wanted takes time from what must hold."""
    inputs = inputs_of(tmp_path / "kim", must(40), GYM)
    nearest = clash_of(inputs, solve_problem).nearest
    alone = replace(inputs, targets={"rear": replace(inputs.targets["rear"], must=False)})
    solved = solve_problem(build_problem(alone))
    assert nearest is not None and solved is not None
    best = clash_module.doses(build_problem(alone), solved.plan)[0][1]
    assert next(dose for head, dose, _ in nearest.heads if head == "rear") >= best - 1.0


def test_plan_week_raises_the_group(tmp_path: Path) -> None:
    asked = gather(make_folder(tmp_path / "kim", must(40)), WEEK, TODAY)
    with pytest.raises(NoWeekPossible, match=r"target\.rear\.must = true \(40 sets, ceiling 45\)") as error:
        plan_week(asked)
    assert error.value.exit_code == 3
    assert "at least one must give way" in str(error.value)


def test_a_search_that_stops_early_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inputs = inputs_of(tmp_path / "kim", must(40), GYM)
    monkeypatch.setattr(clash_group, "is_impossible", lambda _: None)
    group, stopped = small_group(inputs)
    assert stopped and names(group) == names(all_members(inputs))  # what is not known to be needless stays
    assert "stopped early" in clash_text(Clash(group, None, stopped))


def names(members: Iterable[Member]) -> set[str]:
    return {member.where.split(" = ")[0].split(" (")[0] for member in members}


# two groups that clash, the larger of which is met first where musts are let go first
LARGE = {"target.rear.must", "preferences.exclude", "home.equipment"}
SMALL = {"target.side.must", "session Mon: minutes"}
MINUTES = {"session Wed: minutes", "session Fri: minutes"}


@pytest.fixture
def clashing_twice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Inputs, list[frozenset[str]]]:
    """Inputs in which these groups clash and nothing else, and what is solved of them."""
    brief = must(10, "front", must(10, "side", must(10)))
    brief = brief.replace("[target]", '[preferences]\nexclude = ["pike_push_up"]\n[target]')
    solved = []

    def proven(tried: Tried, kept: Sequence[Member]) -> bool:
        key = frozenset(map(str, kept))
        if key not in tried.known:
            solved.append(key)
            tried.known[key] = any(group | MINUTES <= names(kept) for group in (LARGE, SMALL))
        return bool(tried.known[key])

    monkeypatch.setattr(Tried, "proven", proven)
    return inputs_of(tmp_path / "kim", brief, GYM), solved


def test_the_smaller_of_two_groups_is_given(clashing_twice: tuple[Inputs, list[frozenset[str]]]) -> None:
    inputs, _ = clashing_twice
    members = list(all_members(inputs))
    assert names(filtered(Tried(inputs, members), members)) == LARGE | MINUTES  # by one order alone
    group, stopped = small_group(inputs)
    assert names(group) == SMALL | MINUTES and not stopped
    assert [str(one) for one in members if one.where in {own.where for own in group}] == list(map(str, group))


def test_no_set_is_solved_twice_and_orders_end_with_the_solves(
    clashing_twice: tuple[Inputs, list[frozenset[str]]],
) -> None:
    inputs, solved = clashing_twice
    small_group(inputs)
    assert len(set(solved)) == len(solved) <= 3 * len(list(all_members(inputs)))
    many = len(solved)
    small_group(replace(inputs, week=replace(inputs.week, clash_solves=1)))
    assert len(solved) - many < many


def test_what_only_follows_from_other_weeks_is_proven_before_it_is_printed(
    clashing_twice: tuple[Inputs, list[frozenset[str]]],
) -> None:
    """A set that was taken for possible, since more was, is solved: what the rest clashes without goes."""
    inputs, _ = clashing_twice
    members = list(all_members(inputs))
    tried = Tried(inputs, members)
    tried.known[frozenset(map(str, members))] = False  # as if some pin had made room
    rest = [one for one in members if "rear" not in one.where]
    assert tried.likely(rest) is False
    assert names(irreducible(tried, members)) == LARGE | MINUTES


def test_a_group_is_not_said_to_be_all_that_stands_in_the_way(
    clashing_twice: tuple[Inputs, list[frozenset[str]]],
) -> None:
    """Where two groups clash, easing a member of one of them gives no week."""
    inputs, _ = clashing_twice
    group, _ = small_group(inputs)
    tried = Tried(inputs, list(all_members(inputs)))
    side = next(one for one in tried.members if one.where.startswith("target.side"))
    assert tried.proven([one for one in tried.members if one is not side])
    told = clash_text(Clash(group, None, False))
    assert CANNOT_ALL_HOLD in told and "would do" not in told
    assert "at least one must give way" in told and "others may clash after that" in told


def test_a_feasible_week_is_no_clash(tmp_path: Path) -> None:
    assert is_impossible(build_problem(inputs_of(tmp_path / "kim", BRIEF, GYM))) is False


def test_pins_that_are_given_up_are_named() -> None:
    told = clash_text(
        Clash(
            (),
            Nearest(
                (("side", 3.26, 8.0), ("rear", 9.0, 8.0)),
                (("implements", 1.0, "implements"), ("ceiling:rear", 0.049, "direct sets")),
                ("brief.toml: preferences.pin.x",),
            ),
            False,
        )
    )
    assert (
        "side gets 3.3 of 8 sets; implements is missed by 1 implements; without brief.toml: preferences.pin.x."
        in told
    )
    assert "rear" not in told
    assert "every target is met" in clash_text(Clash((), Nearest((("rear", 9.0, 8.0),)), False))


def test_everything_that_must_hold_is_a_member(tmp_path: Path) -> None:
    brief = (
        pinned('machine_reverse_fly = { day = "Mon", sets = 2 }', must(6))
        .replace(
            "[preferences]\n",
            '[joints]\nwrist = "careful"\n[variety]\nmust = true\n'
            '[preferences]\nexclude = ["pike_push_up"]\ntrapezius = true\n',
        )
        .replace("[history]\n", '[history]\nflags = ["subacromial"]\n')
    )
    told = [str(member) for member in all_members(inputs_of(tmp_path / "kim", brief, GYM))]
    assert "brief.toml: target.rear.must = true (6 sets, ceiling 11)" in told
    assert "brief.toml: preferences.pin.machine_reverse_fly: 2 sets on Mon" in told
    assert 'brief.toml: joints.wrist = "careful"' in told
    assert any("subacromial" in text and "(history.flags)" in text for text in told)
    assert "gym.toml: club.equipment" in told and "gym.toml: home.equipment" in told
    assert "brief.toml: session Wed: minutes = 25" in told
    assert any("pike_push_up" in text for text in told) and "brief.toml: preferences.trapezius = true" in told
    assert told.index("brief.toml: target.rear.must = true (6 sets, ceiling 11)") == 0
