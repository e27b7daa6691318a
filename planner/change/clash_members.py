"""Everything that must hold in a week, each with the place where it stands and a way to let it go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from planner.athlete.brief import DAYS
from planner.athlete.screening import joint_allowances
from planner.model.inputs import Inputs
from planner.plain import joined, number

Change = Callable[[Inputs], Inputs]
BRIEF, GYM = "brief.toml", "gym.toml"
NO_LIMIT = 10_000  # sets, exercises, grade-sets: more than any week can hold
WHOLE_DAY = 24 * 60  # minutes


@dataclass(frozen=True)
class Member:
    """One thing that must hold: where it stands, and what inputs are without it."""

    file: str
    where: str
    let_go: Change

    def __str__(self) -> str:
        return f"{self.file}: {self.where}"


def all_members(inputs: Inputs) -> Iterator[Member]:
    """Everything that must hold, in the order in which it is let go."""
    yield from musts(inputs)
    yield from pins(inputs)
    yield from counts(inputs)
    yield from wishes(inputs)
    yield from rooms(inputs)
    yield from joints(inputs)
    yield from sessions(inputs)


def musts(inputs: Inputs) -> Iterator[Member]:
    """Targets and variety with must = true."""
    for head, target in inputs.targets.items():
        if target.must:
            where = (
                f"target.{head}.must = true ({number(target.target)} sets, ceiling {number(target.ceiling)})"
            )
            yield Member(BRIEF, where, lambda old, key=head: without_must(old, [key]))  # type: ignore[misc]
    if inputs.brief.variety.must:
        yield Member(BRIEF, "variety.must = true", without_variety_must)


def without_must(inputs: Inputs, heads: Sequence[str], weight: float = 1.0) -> Inputs:
    """Give inputs in which these heads' targets are only wanted, with `weight` times their priority."""
    targets = {
        head: replace(of, must=False, priority=of.priority * weight) if head in heads else of
        for head, of in inputs.targets.items()
    }
    return replace(inputs, targets=targets)


def without_variety_must(inputs: Inputs) -> Inputs:
    """Give inputs in which implements and families are only wanted."""
    variety = inputs.brief.variety.model_copy(update={"must": False})
    return replace(inputs, brief=inputs.brief.model_copy(update={"variety": variety}))


def pins(inputs: Inputs) -> Iterator[Member]:
    """What the coach has pinned."""
    for key, pin in inputs.brief.preferences.pin.items():
        if pin.day not in inputs.states:
            where = f"preferences.pin.{key}: {pin.sets} sets on {pin.day}"
            yield Member(BRIEF, where, lambda old, name=key: without_pins(old, [name]))  # type: ignore[misc]


def without_pins(inputs: Inputs, keys: Sequence[str]) -> Inputs:
    """Give inputs without some pins."""
    left = {key: pin for key, pin in inputs.brief.preferences.pin.items() if key not in keys}
    return with_preferences(inputs, pin=left)


def with_preferences(inputs: Inputs, **changes: object) -> Inputs:
    """Give inputs with other preferences."""
    preferences = inputs.brief.preferences.model_copy(update=changes)
    return replace(inputs, brief=inputs.brief.model_copy(update={"preferences": preferences}))


def counts(inputs: Inputs) -> Iterator[Member]:
    """The method's own limits."""
    for name in (
        "session_hard_cap_sets",
        "joint_budget_clear",
        "exercises_per_week",
        "exercises_per_session",
    ):
        value = getattr(inputs.week, name)
        yield Member(
            BRIEF,
            f"method.{name} = {value:g}",
            lambda old, key=name: replace(old, week=replace(old.week, **{key: NO_LIMIT})),  # type: ignore[misc]
        )


def wishes(inputs: Inputs) -> Iterator[Member]:
    """A quiet trapezius and excluded exercises."""
    preferences = inputs.brief.preferences
    if preferences.trapezius:
        yield Member(
            BRIEF, "preferences.trapezius = true", lambda old: with_preferences(old, trapezius=False)
        )
    if preferences.exclude:
        where = f"preferences.exclude ({joined(preferences.exclude)})"
        yield Member(BRIEF, where, lambda old: with_preferences(old, exclude=()))


def rooms(inputs: Inputs) -> Iterator[Member]:
    """The equipment of every gym that a session is held in."""
    for name in dict.fromkeys(session.gym for session in inputs.brief.session):
        yield Member(GYM, f"{name}.equipment", lambda old, gym=name: with_all_equipment(old, gym))  # type: ignore[misc]


def with_all_equipment(inputs: Inputs, name: str) -> Inputs:
    """Give a gym everything that there is."""
    gym = inputs.gyms[name].model_copy(update={"equipment": tuple(inputs.library.equipment)})
    return replace(inputs, gyms={**inputs.gyms, name: gym})


def joints(inputs: Inputs) -> Iterator[Member]:
    """Joint regions that are not clear."""
    for region, word in joint_allowances(inputs.brief, inputs.library).items():
        if word != "clear":
            by_flag = inputs.brief.joints.get(region) != word
            where = f'joints.{region} = "{word}"' + (" (history.flags)" if by_flag else "")
            yield Member(BRIEF, where, lambda old, key=region: with_clear_region(old, key))  # type: ignore[misc]


def with_clear_region(inputs: Inputs, region: str) -> Inputs:
    """Give inputs in which the coach calls a region clear, whatever a flag says."""
    joints = {**inputs.brief.joints, region: "clear"}
    return replace(inputs, brief=inputs.brief.model_copy(update={"joints": joints}))


def sessions(inputs: Inputs) -> Iterator[Member]:
    """The minutes of every session still to come, the first of the week let go first."""
    for session in sorted(inputs.brief.session, key=lambda one: DAYS.index(one.day)):
        if session.day not in inputs.states:
            yield Member(
                BRIEF,
                f"session {session.day}: minutes = {session.minutes}",
                lambda old, day=session.day: with_minutes(old, day, WHOLE_DAY),  # type: ignore[misc]
            )


def with_minutes(inputs: Inputs, day: str, minutes: int) -> Inputs:
    """Give a session other minutes."""
    found = tuple(
        one.model_copy(update={"minutes": minutes}) if one.day == day else one for one in inputs.brief.session
    )
    return replace(inputs, brief=inputs.brief.model_copy(update={"session": found}))
