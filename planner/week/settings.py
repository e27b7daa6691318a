"""Every default of the week's model, each with unit and source; a brief's [method] may set any of them.

Prices of the second aim are in minutes' worth: what a goal is worth in minutes of the client's time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from library.settings import OUR_CHOICE, setting

PELLAND = "Pelland et al. 2026 (fractional sets, read second-hand)"
REMMERT = "Remmert et al. 2025, preprint: past about 11 fractional sets a session no further gain was seen"
DESIGN_PRICE = f"{OUR_CHOICE}: order of importance, not a measurement"


@dataclass(frozen=True)
class WeekSettings:
    """Defaults of the week (DESIGN §3.2, §3.3)."""

    counting: Literal["activation", "movers"] = setting(
        "activation",
        unit="",
        source=OUR_CHOICE,
        text="what a set counts as: activation ratio or the movers rule",
    )
    general_warmup_minutes: int = setting(
        5,
        unit="min a session",
        source="5-10 min, from memory",
        text="general warm-up, part of the session's minutes",
    )
    warmup_set_seconds: int = setting(
        65, unit="s a set and side", source=OUR_CHOICE, text="one lighter set before the first hard one"
    )
    smallest_block_sets: int = setting(
        2, unit="sets", source=OUR_CHOICE, text="fewest sets of an exercise a session"
    )
    largest_block_sets: int = setting(
        4, unit="sets", source=OUR_CHOICE, text="most sets of an exercise a session"
    )
    exercises_per_session: int = setting(
        6, unit="exercises", source=OUR_CHOICE, text="most exercises a session"
    )
    exercises_per_week: int = setting(
        9, unit="exercises", source=OUR_CHOICE, text="most different exercises a week"
    )
    pair_swap_seconds: int = setting(
        5,
        unit="s",
        source="training facts §10, worked example",
        text="from one exercise of a pair to the other",
    )
    pair_heavy_warmup_sets: int = setting(
        2,
        unit="warm-up sets",
        source=f"{OUR_CHOICE}; one trial lost 5.2 kg on pull-down in pairs",
        text="a multi-joint lift with so many is heavy and never in a pair",
    )
    reps_in_reserve: int = setting(
        2,
        unit="repetitions",
        source="2-3 in reserve is enough (ACSM 2026)",
        text="repetitions left at the end of a set",
    )
    clear_grade: int = setting(
        2, unit="grade 0-3", source=OUR_CHOICE, text="highest joint stress in a clear region"
    )
    careful_grade: int = setting(
        1,
        unit="grade 0-3",
        source=OUR_CHOICE,
        text="highest in a careful region; one more where a change is printed",
    )
    avoid_grade: int = setting(
        1, unit="grade 0-3", source=OUR_CHOICE, text="highest in a region to be avoided, in few sets"
    )
    joint_budget_clear: float = setting(
        60,
        unit="grade-sets a week",
        source="no source gives a safe number: the coach's choice",
        text="clear region",
    )
    joint_budget_careful: float = setting(
        30,
        unit="grade-sets a week",
        source="no source gives a safe number: the coach's choice",
        text="careful region",
    )
    joint_budget_avoid: float = setting(
        10,
        unit="grade-sets a week",
        source="no source gives a safe number: the coach's choice",
        text="avoided region",
    )
    joint_easy_share: float = setting(
        0.5, unit="share of the budget", source=OUR_CHOICE, text="above it each grade-set has a price"
    )
    trapezius_level: float = setting(
        0.8,
        unit="of a dumbbell shrug",
        source=OUR_CHOICE,
        text="mean trapezius level allowed if the brief asks",
    )
    elsewhere_share: float = setting(
        0.5, unit="share of the target", source=OUR_CHOICE, text="most that sets done elsewhere may cover"
    )
    direct_share: float = setting(
        0.5,
        unit="share of the target",
        source=OUR_CHOICE,
        text="part of a target that direct sets should give",
    )
    session_cap_sets: float = setting(
        11, unit="direct sets a head and session", source=REMMERT, text="warned above"
    )
    session_hard_cap_sets: float = setting(
        24,
        unit="direct sets a head and session",
        source="end of the data of Remmert et al. 2025",
        text="never above",
    )
    spread_sessions: int = setting(
        2,
        unit="sessions a week",
        source="ACSM 2026 (a strength finding)",
        text="sessions that should train a head",
    )
    spread_sets: float = setting(
        2, unit="direct sets", source=OUR_CHOICE, text="what counts as training a head that day"
    )
    heavy_day_sets: float = setting(
        6,
        unit="direct sets a head and session",
        source=OUR_CHOICE,
        text="above it a day is heavy for the head",
    )
    share_of_target: float = setting(
        0.5,
        unit="share of the target",
        source=OUR_CHOICE,
        text="most of a head's target from one direct exercise",
    )
    variety_implements: int = setting(
        2,
        unit="implements a week",
        source=OUR_CHOICE,
        text="different implements asked for where the brief is silent",
    )
    new_exercises_per_head: int = setting(
        1,
        unit="exercises a head",
        source="Kassiano 2022: frequent change may hurt; 1 is our choice",
        text="most new ones",
    )
    dose_price_near: float = setting(
        1, unit="missed sets a set", source=DESIGN_PRICE, text="down to midway to the floor"
    )
    dose_price_low: float = setting(
        2, unit="missed sets a set", source=DESIGN_PRICE, text="from midway to the floor"
    )
    dose_price_below: float = setting(
        4, unit="missed sets a set", source=DESIGN_PRICE, text="below the floor"
    )
    dose_tolerance_sets: float = setting(
        0.25,
        unit="missed sets a head",
        source=OUR_CHOICE,
        text="how far the plan may stay from the best dose",
    )
    price_missed_set: float = setting(
        40, unit="min a missed set", source=DESIGN_PRICE, text="inside that tolerance"
    )
    price_over_ceiling: float = setting(
        10, unit="min a set", source=DESIGN_PRICE, text="dose above the ceiling"
    )
    price_direct: float = setting(
        10, unit="min a set", source=DESIGN_PRICE, text="direct sets short of their share"
    )
    price_session_cap: float = setting(5, unit="min a set", source=DESIGN_PRICE, text="above the session cap")
    price_spread: float = setting(
        15, unit="min a session", source=DESIGN_PRICE, text="a training day of a head missing"
    )
    price_heavy_days: float = setting(
        15, unit="min a pair", source=DESIGN_PRICE, text="two heavy days side by side"
    )
    price_share: float = setting(
        5, unit="min a set", source=DESIGN_PRICE, text="one exercise above its share"
    )
    price_implement: float = setting(10, unit="min each", source=DESIGN_PRICE, text="an implement too few")
    price_family: float = setting(
        10, unit="min each", source=DESIGN_PRICE, text="an asked family not trained"
    )
    price_rotation: float = setting(
        10, unit="min each", source=DESIGN_PRICE, text="an exercise dropped that should stay"
    )
    price_new_exercise: float = setting(
        10, unit="min each", source=DESIGN_PRICE, text="one new exercise too many a head"
    )
    price_prefer: float = setting(
        5, unit="min each", source=DESIGN_PRICE, text="a preferred exercise not used"
    )
    price_joint: float = setting(
        1, unit="min a grade-set", source=DESIGN_PRICE, text="joint stress above the easy share"
    )
    price_minute: float = setting(1, unit="min a minute", source=DESIGN_PRICE, text="each minute of training")
    price_exercise: float = setting(
        0.5, unit="min each", source=DESIGN_PRICE, text="each exercise on a session's sheet"
    )
    price_moved_set: float = setting(
        100,
        unit="min a set",
        source=DESIGN_PRICE,
        text="a set moved from the plan in force: before all else",
    )
    price_exchanged: float = setting(
        150, unit="min each", source=DESIGN_PRICE, text="an exercise that leaves that plan or joins it"
    )
    tie_break: float = setting(
        0.002, unit="min a place", source=OUR_CHOICE, text="earlier in the library wins a tie"
    )
    why_minutes: int = setting(
        5, unit="min", source=OUR_CHOICE, text="a session is tried this much longer, and twice as much"
    )
    why_solves: int = setting(
        24, unit="weeks", source=OUR_CHOICE, text="eased weeks solved whole where every target is met"
    )
    clash_solves: int = setting(
        60, unit="weeks", source=OUR_CHOICE, text="no other order is tried for a small clash after so many"
    )
    clash_priority: float = setting(
        10, unit="times", source=OUR_CHOICE, text="what must hold, in the nearest week where it cannot"
    )
    clash_rest_gap: float = setting(
        60,
        unit="minutes' worth",
        source=OUR_CHOICE,
        text="how well all but the dose of that week is searched",
    )
    choices_dose_sets: float = setting(
        0.5,
        unit="missed sets a head",
        source=OUR_CHOICE,
        text="how far a near-equal week may stay from the best dose",
    )
    choices_rest_share: float = setting(
        0.10, unit="share of the rest", source=OUR_CHOICE, text="and how much worse all else may be"
    )
    choices_nodes: int = setting(
        50, unit="nodes a week", source=OUR_CHOICE, text="search for a near-equal week stops here"
    )
    choices_tie: float = setting(
        0.001, unit="exercises a minute's worth", source=OUR_CHOICE, text="of two as different the cheaper"
    )
    instead_shown: int = setting(
        2, unit="exercises", source=OUR_CHOICE, text="replacements of an exercise on the sheet"
    )
    instead_dose_kept: float = setting(
        0.10,
        unit="share of the dose",
        source=OUR_CHOICE,
        text="what a replacement may move a head's dose unsaid",
    )
    instead_harmless_grade: int = setting(
        1,
        unit="grade 0-3",
        source=OUR_CHOICE,
        text="joint stress of a replacement in a clear region, whatever stood",
    )
    dose_gap_sets: float = setting(
        0.05, unit="missed sets", source=OUR_CHOICE, text="gap at which a dose is proven"
    )
    rest_gap_minutes: float = setting(
        3,
        unit="minutes' worth",
        source=f"{OUR_CHOICE}: set-up times are not known better",
        text="gap at which the rest is proven",
    )
    node_budget: int = setting(
        12000, unit="nodes an aim", source=OUR_CHOICE, text="search stops here with an honest gap"
    )
    emergency_seconds: float = setting(
        120, unit="s an aim", source=OUR_CHOICE, text="stop that marks the plan stopped"
    )
    draws: int = setting(
        10000, unit="draws", source=OUR_CHOICE, text="seeded draws that judge how sure the dose is"
    )
    seed: int = setting(20260101, unit="", source=OUR_CHOICE, text="seed of those draws")
