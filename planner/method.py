"""The records of the program's defaults: names and types; value, unit, source and meaning are in library/method.toml.

Recordings have their own in planner/emg/settings.py, the library in library/method.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from library.method import GIVEN, CreditSettings, Settings

RISE_WEEKS = 2  # a rise is from one week to the next


@dataclass(frozen=True)
class AthleteSettings(Settings, table="athlete"):
    """Defaults of targets by training status, of the step up from today's sets, and of screening."""

    novice_floor: float = GIVEN
    novice_target: float = GIVEN
    novice_ceiling: float = GIVEN
    intermediate_floor: float = GIVEN
    intermediate_target: float = GIVEN
    intermediate_ceiling: float = GIVEN
    advanced_floor: float = GIVEN
    advanced_target: float = GIVEN
    advanced_ceiling: float = GIVEN
    now_step_factor: float = GIVEN
    now_step_sets: float = GIVEN
    questionnaire_months: int = GIVEN

    def doses(self, status: str) -> tuple[float, float, float]:
        """Floor, target and ceiling of a training status, in direct sets a week."""
        floor, target, ceiling = (
            float(getattr(self, f"{status}_{name}")) for name in ("floor", "target", "ceiling")
        )
        return floor, target, ceiling


@dataclass(frozen=True)
class FolderSettings(Settings, table="folder"):
    """Defaults of reading and writing the athlete's folder."""

    largest_file_bytes: int = GIVEN
    lock_seconds: float = GIVEN
    deepest_table: int = GIVEN
    largest_number: int = GIVEN
    faults_shown: int = GIVEN
    weeks_ahead_most: int = GIVEN


@dataclass(frozen=True)
class LogSettings(Settings, table="log"):
    """Bounds inside which a line of the log is believed."""

    jump_factor: float = GIVEN
    reps_most: int = GIVEN
    rir_most: float = GIVEN
    pain_most: float = GIVEN
    load_most: float = GIVEN
    sets_most: int = GIVEN
    first_year: int = GIVEN
    file_bytes_most: int = GIVEN
    log_bytes_most: int = GIVEN
    rows_most: int = GIVEN
    columns_most: int = GIVEN
    workbook_bytes_most: int = GIVEN


@dataclass(frozen=True)
class WeekSettings(Settings, table="week"):
    """Defaults of the week (DESIGN §3.2, §3.3)."""

    counting: Literal["activation", "movers"] = GIVEN
    general_warmup_minutes: int = GIVEN
    warmup_set_seconds: int = GIVEN
    smallest_block_sets: int = GIVEN
    largest_block_sets: int = GIVEN
    exercises_per_session: int = GIVEN
    exercises_per_week: int = GIVEN
    pair_swap_seconds: int = GIVEN
    pair_heavy_warmup_sets: int = GIVEN
    reps_in_reserve: int = GIVEN
    clear_grade: int = GIVEN
    careful_grade: int = GIVEN
    avoid_grade: int = GIVEN
    joint_budget_clear: float = GIVEN
    joint_budget_careful: float = GIVEN
    joint_budget_avoid: float = GIVEN
    joint_easy_share: float = GIVEN
    trapezius_level: float = GIVEN
    elsewhere_share: float = GIVEN
    aside_share: float = GIVEN
    skill_novice: int = GIVEN
    skill_intermediate: int = GIVEN
    skill_advanced: int = GIVEN
    usual_choice: int = GIVEN
    booked_exercises: int = GIVEN
    booked_share_most: float = GIVEN
    own_families_target: float = GIVEN
    own_families: int = GIVEN
    pair_working_credit: float = GIVEN
    price_own: float = GIVEN
    price_empty_session: float = GIVEN
    price_thin_session: float = GIVEN
    price_long_session: float = GIVEN
    price_twins: float = GIVEN
    price_next_day: float = GIVEN
    price_own_families: float = GIVEN
    price_overshoot: float = GIVEN
    price_skill: float = GIVEN
    price_choice: float = GIVEN
    price_kin_saved: float = GIVEN
    session_cap_sets: float = GIVEN
    session_hard_cap_sets: float = GIVEN
    spread_sessions: int = GIVEN
    spread_sets: float = GIVEN
    heavy_day_sets: float = GIVEN
    share_of_target: float = GIVEN
    variety_implements: int = GIVEN
    new_exercises_per_head: int = GIVEN
    dose_price_near: float = GIVEN
    dose_price_low: float = GIVEN
    dose_price_below: float = GIVEN
    dose_tolerance_sets: float = GIVEN
    price_missed_set: float = GIVEN
    price_over_ceiling: float = GIVEN
    price_session_cap: float = GIVEN
    price_spread: float = GIVEN
    price_heavy_days: float = GIVEN
    price_share: float = GIVEN
    price_implement: float = GIVEN
    price_family: float = GIVEN
    price_rotation: float = GIVEN
    price_new_exercise: float = GIVEN
    price_prefer: float = GIVEN
    price_joint: float = GIVEN
    price_minute: float = GIVEN
    price_set: float = GIVEN
    price_exercise: float = GIVEN
    price_moved_set: float = GIVEN
    price_exchanged: float = GIVEN
    tie_break: float = GIVEN
    why_minutes: int = GIVEN
    why_solves: int = GIVEN
    clash_solves: int = GIVEN
    clash_priority: float = GIVEN
    clash_rest_gap: float = GIVEN
    choices_dose_sets: float = GIVEN
    choices_rest_share: float = GIVEN
    choices_nodes: int = GIVEN
    choices_tie: float = GIVEN
    instead_looked_at: int = GIVEN
    instead_shown: int = GIVEN
    instead_dose_kept: float = GIVEN
    instead_harmless_grade: int = GIVEN
    dose_gap_sets: float = GIVEN
    rest_gap_minutes: float = GIVEN
    node_budget: int = GIVEN
    emergency_seconds: float = GIVEN
    draws: int = GIVEN
    seed: int = GIVEN


@dataclass(frozen=True)
class ToldSettings(Settings, table="printed"):
    """How sure a dose is, and when a limit that is not quite full is said to bind."""

    interval_low: float = GIVEN
    interval_high: float = GIVEN
    near_target: float = GIVEN
    unused_minutes: float = GIVEN
    trapezius_near: float = GIVEN


@dataclass(frozen=True)
class SolveSettings(Settings, table="search"):
    """Defaults of the fast search; gaps are those at which an aim counts as proven."""

    one_piece_nodes: int = GIVEN
    polish_share: float = GIVEN
    polish_nodes: int = GIVEN
    hurry_nodes: int = GIVEN
    few_patterns: int = GIVEN
    look_nearness: tuple[float, ...] = GIVEN
    look_nodes: tuple[int, ...] = GIVEN
    far_gaps: float = GIVEN
    sharp_share: float = GIVEN
    block_share: float = GIVEN


@dataclass(frozen=True)
class CautiousSettings(Settings, table="cautious"):
    """How a cautious week is planned; it is judged on the draws that judge how sure any week is."""

    cautious_draws: int = GIVEN
    cautious_seed: int = GIVEN
    cautious_gap_sets: float = GIVEN
    cautious_node_budget: int = GIVEN


@dataclass(frozen=True)
class TrainSettings(Settings, table="train"):
    """Every number of loads, progression, pain and blocks."""

    formula: Literal["epley", "brzycki", "lombardi", "lander", "mayhew", "oconner", "wathan"] = GIVEN
    formula_reps_most: float = GIVEN
    maximum_error_share: float = GIVEN
    load_share_per_rpe_point: float = GIVEN
    points_to_act: float = GIVEN
    step_share_least: float = GIVEN
    step_share_most: float = GIVEN
    extra_reps_a_tenth: float = GIVEN
    earned_reps_most: int = GIVEN
    pain_go_most: float = GIVEN
    pain_reduce_most: float = GIVEN
    pain_load_share: float = GIVEN
    pain_lighter_most: float = GIVEN
    pain_fewer_sets: int = GIVEN
    pain_grade_suspect: int = GIVEN
    pain_rising_weeks: int = GIVEN
    pain_rising_last_least: float = GIVEN
    lighter_every_weeks: int = GIVEN
    lighter_share: float = GIVEN
    lighter_rir_more: int = GIVEN
    ramp_share_most: float = GIVEN
    ramp_sets_least: float = GIVEN
    lighter_falling_sessions: int = GIVEN
    lighter_falling_reps: float = GIVEN
    ramp_step_weeks: int = GIVEN
    ramp_below_ceiling_sets: float = GIVEN
    rir_least_unpractised: int = GIVEN
    warmup_share_first: float = GIVEN
    warmup_share_last: float = GIVEN
    block_weeks_most: int = GIVEN
    progress_weeks: int = GIVEN

    def __post_init__(self) -> None:
        """Refuse what could tell no rise."""
        if self.pain_rising_weeks < RISE_WEEKS:
            raise ValueError(f"Write `pain_rising_weeks` as {RISE_WEEKS} or more: one week alone is no rise")


@dataclass(frozen=True)
class SheetSettings(Settings, table="sheets"):
    """Defaults of the paper."""

    margin_millimetres: float = GIVEN
    name_points: float = GIVEN
    number_points: tuple[float, ...] = GIVEN
    day_points: float = GIVEN
    safe_points: float = GIVEN
    fine_points: float = GIVEN
    coach_points: float = GIVEN
    text_points: tuple[float, ...] = GIVEN
    box_millimetres: tuple[float, ...] = GIVEN
    tell_per_cent: tuple[int, ...] = GIVEN
    rules_most: tuple[int, ...] = GIVEN
    cues_most: int = GIVEN
    cautions_most: int = GIVEN
    change_from_careful: int = GIVEN
    change_from_avoid: int = GIVEN
    boxes_most: int = GIVEN
    stop_millimetres: float = GIVEN
    tight_from: int = GIVEN
    run_in_from: int = GIVEN


@dataclass(frozen=True)
class GradeLimits(Settings, table="verify_grades"):
    """Highest joint-stress grade where something is added to what a region allows (DESIGN §3.3)."""

    preferred: int = GIVEN
    changed: int = GIVEN


@dataclass(frozen=True)
class Tolerances(Settings, table="verify_tolerances"):
    """How far a printed number may lie from the recomputed one: rounding, never more."""

    credit: float = GIVEN
    dose: float = GIVEN
    goal: float = GIVEN
    minutes: float = GIVEN
    value: float = GIVEN
    full: float = GIVEN


@dataclass(frozen=True)
class Redraws(Settings, table="verify_redraws"):
    """How the figures of a cautious week are drawn anew."""

    redraws: int = GIVEN
    redraw_seed: int = GIVEN
    redraw_errors: float = GIVEN
    redraw_tail: int = GIVEN


@dataclass(frozen=True)
class Slack(Settings, table="verify_slack"):
    """A limit with more than this to spare does not bind; with less, either word will do."""

    minutes: float = GIVEN
    exercises: float = GIVEN
    grade_sets: float = GIVEN
    sets: float = GIVEN
    ratio: float = GIVEN


TOLD = ToldSettings()
SEARCH = SolveSettings()
FOLDER = FolderSettings()
LOG = LogSettings()
TRAIN = TrainSettings()

# what [method] of a brief may set; names are unique among them
OVERRIDABLE: tuple[type[Settings], ...] = (WeekSettings, CreditSettings, AthleteSettings, TrainSettings)
