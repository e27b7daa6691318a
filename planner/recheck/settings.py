"""What the recheck holds a plan against: the method's defaults, written down a second time, and tolerances.

The defaults stand here again on purpose: were the planner's own record read, a slip in it would pass unseen.
"""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting

PAPER = "Remmert 2025, preprint"
STATED = "as DESIGN §3 states it"


@dataclass(frozen=True)
class MethodDefaults:
    """The method's defaults by the names that week.json uses in made_with.method."""

    smallest_block_sets: int = setting(
        2, unit="sets", source=OUR_CHOICE, text="fewest sets of an exercise in a session"
    )
    largest_block_sets: int = setting(
        4, unit="sets", source=OUR_CHOICE, text="most sets of an exercise in a session"
    )
    exercises_per_session: int = setting(
        6, unit="exercises", source=OUR_CHOICE, text="most exercises in a session"
    )
    exercises_per_week: int = setting(
        9, unit="exercises", source=OUR_CHOICE, text="most different exercises in a week"
    )
    direct_set: float = setting(
        0.70, unit="direct sets", source=OUR_CHOICE, text="least credit of a direct set"
    )
    direct_share: float = setting(
        0.5, unit="of target", source=OUR_CHOICE, text="part of a target from direct sets"
    )
    credit_floor: float = setting(
        0.30, unit="ratio", source=OUR_CHOICE, text="lower profiles are worth nothing"
    )
    eccentric_weight: float = setting(
        1.0, unit="ratio", source=OUR_CHOICE, text="worth of lowering against lifting"
    )
    neutral_share: float = setting(0.5, unit="ratio", source=OUR_CHOICE, text="eccentric share that weighs 1")
    movers_direct: float = setting(0.70, unit="ratio", source=STATED, text="profile that counts a whole set")
    movers_indirect: float = setting(
        0.40, unit="ratio", source=STATED, text="profile that counts a part of a set"
    )
    movers_part: float = setting(0.5, unit="sets", source=STATED, text="that part")
    session_cap_sets: float = setting(11, unit="sets", source=PAPER, text="sets a head and session, goal")
    session_hard_cap_sets: float = setting(
        24, unit="sets", source=PAPER, text="sets a head and session, never passed"
    )
    heavy_day_sets: float = setting(
        6, unit="sets", source=OUR_CHOICE, text="a day with more is heavy for the head"
    )
    spread_sets: float = setting(
        2, unit="sets", source=OUR_CHOICE, text="sets that make a session count for a head"
    )
    spread_sessions: int = setting(
        2, unit="sessions", source=OUR_CHOICE, text="sessions a head is spread over"
    )
    share_of_target: float = setting(
        0.5, unit="of target", source=OUR_CHOICE, text="most that one exercise gives"
    )
    elsewhere_share: float = setting(
        0.5, unit="of target", source=OUR_CHOICE, text="most that counts from elsewhere"
    )
    general_warmup_minutes: float = setting(
        5, unit="minutes", source=OUR_CHOICE, text="before the first exercise"
    )
    warmup_set_seconds: int = setting(
        65, unit="s", source="training facts §14", text="one warm-up set, rest included"
    )
    pair_swap_seconds: int = setting(
        5, unit="s", source="training facts §10", text="from one exercise of a pair to the other"
    )
    pair_heavy_warmup_sets: int = setting(
        2, unit="sets", source=OUR_CHOICE, text="warm-up sets that make a multi-joint lift heavy"
    )
    avoid_grade: int = setting(1, unit="grade", source=OUR_CHOICE, text="highest grade of a region to avoid")
    now_step_sets: float = setting(
        1, unit="sets", source=OUR_CHOICE, text="a step up may always be this large"
    )
    now_step_factor: float = setting(
        1.2, unit="ratio", source="Scarpelli 2022", text="or this much of what is done now"
    )
    trapezius_level: float = setting(
        0.8, unit="ratio", source=OUR_CHOICE, text="mean profile of a set, watched head"
    )
    variety_implements: int = setting(
        2, unit="implements", source=OUR_CHOICE, text="different implements in a week"
    )
    clear_grade: int = setting(2, unit="grade", source=OUR_CHOICE, text="highest grade of a clear region")
    careful_grade: int = setting(1, unit="grade", source=OUR_CHOICE, text="highest grade of a careful region")
    dose_price_near: float = setting(
        1, unit="missed sets", source=OUR_CHOICE, text="a set down to midway to the floor"
    )
    dose_price_low: float = setting(
        2, unit="missed sets", source=OUR_CHOICE, text="a set from there to the floor"
    )
    dose_price_below: float = setting(4, unit="missed sets", source=OUR_CHOICE, text="a set below the floor")
    reps_in_reserve: int = setting(
        2, unit="repetitions", source="ACSM 2026: 2-3", text="left at the end of a set"
    )
    lighter_every_weeks: int = setting(
        6, unit="weeks", source="Rogerson 2024", text="one week in so many is lighter"
    )
    lighter_share: float = setting(
        0.5, unit="ratio", source="training facts §13", text="floor, target, smallest block, pins of it"
    )
    lighter_rir_more: int = setting(
        2, unit="repetitions", source="training facts §13", text="more in reserve there"
    )
    rir_more_first_week: int = setting(
        1,
        unit="repetitions",
        source="common practice, no source",
        text="more in reserve, first hard week of a run",
    )
    rir_less_last_week: int = setting(
        1,
        unit="repetitions",
        source="common practice, no source",
        text="less in reserve, last hard week of a run",
    )
    reps_less_each_week: int = setting(
        0, unit="repetitions", source=OUR_CHOICE, text="off the range with every hard week of a run"
    )
    ramp_share_most: float = setting(
        0.2, unit="ratio", source="Scarpelli 2022", text="most that a target rises a step"
    )
    ramp_sets_least: float = setting(
        1, unit="sets", source=OUR_CHOICE, text="a step may always be this large"
    )
    ramp_step_weeks: int = setting(2, unit="hard weeks", source=OUR_CHOICE, text="hard weeks a step")
    novice_floor: float = setting(4, unit="sets", source=OUR_CHOICE, text="novice: floor of a head")
    novice_target: float = setting(8, unit="sets", source=OUR_CHOICE, text="novice: target of a head")
    novice_ceiling: float = setting(12, unit="sets", source=OUR_CHOICE, text="novice: ceiling of a head")
    intermediate_floor: float = setting(
        4, unit="sets", source=OUR_CHOICE, text="intermediate: floor of a head"
    )
    intermediate_target: float = setting(
        10, unit="sets", source=OUR_CHOICE, text="intermediate: target of a head"
    )
    intermediate_ceiling: float = setting(
        20, unit="sets", source=OUR_CHOICE, text="intermediate: ceiling of a head"
    )
    advanced_floor: float = setting(6, unit="sets", source=OUR_CHOICE, text="advanced: floor of a head")
    advanced_target: float = setting(12, unit="sets", source=OUR_CHOICE, text="advanced: target of a head")
    advanced_ceiling: float = setting(20, unit="sets", source=OUR_CHOICE, text="advanced: ceiling of a head")


@dataclass(frozen=True)
class GradeLimits:
    """Highest joint-stress grade where something is added to what a region allows (DESIGN §3.3)."""

    preferred: int = setting(
        3, unit="grade", source=OUR_CHOICE, text="a clear region, exercise named in prefer"
    )
    changed: int = setting(2, unit="grade", source=OUR_CHOICE, text="a careful region, with a printed change")


@dataclass(frozen=True)
class Tolerances:
    """How far a printed number may lie from the recomputed one: rounding, never more."""

    credit: float = setting(0.001, unit="direct sets", source=OUR_CHOICE, text="credit of a set")
    dose: float = setting(0.02, unit="sets", source=OUR_CHOICE, text="a week's sum of rounded credits")
    goal: float = setting(0.06, unit="sets", source=OUR_CHOICE, text="goals, printed to a tenth")
    minutes: float = setting(0.051, unit="minutes", source=OUR_CHOICE, text="minutes, printed to a tenth")
    value: float = setting(0.05, unit="missed sets", source=OUR_CHOICE, text="value, bound and gap of an aim")
    full: float = setting(
        0.001, unit="of any unit", source=OUR_CHOICE, text="a limit this near to full binds"
    )


@dataclass(frozen=True)
class Redraws:
    """How the figures of a cautious week are drawn anew."""

    redraws: int = setting(4000, unit="draws", source=OUR_CHOICE, text="draws made anew")
    redraw_seed: int = setting(731, unit="", source=OUR_CHOICE, text="seed of those draws")
    redraw_errors: float = setting(
        6, unit="standard errors", source=OUR_CHOICE, text="how far a figure may lie from the drawn one"
    )
    redraw_tail: int = setting(
        40, unit="draws", source=OUR_CHOICE, text="a bad case that fewer draws make is not rechecked"
    )


@dataclass(frozen=True)
class Slack:
    """A limit with more than this to spare does not bind; with less, either word will do."""

    minutes: float = setting(6, unit="minutes", source=OUR_CHOICE, text="two sets and their set-up")
    exercises: float = setting(1, unit="exercises", source=OUR_CHOICE, text="one more exercise")
    grade_sets: float = setting(6, unit="grade-sets", source=OUR_CHOICE, text="two sets at grade 3")
    sets: float = setting(4, unit="sets", source=OUR_CHOICE, text="a whole block")
    ratio: float = setting(
        0.1, unit="ratio", source=OUR_CHOICE, text="an eighth of what the watched head may have"
    )
