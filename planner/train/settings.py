"""The defaults of training: loads, progression, pain and blocks; `planner check` prints them all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from library.settings import OUR_CHOICE, setting

ACSM = "ACSM position stand, 2009: raise the load 2-10 %"
PAIN_CUTS = "pain monitoring as shoulder clinics print it (0-2, 2-5, above 5); the cautious cut is ours"
MAYHEW = "Mayhew JL et al., 2008, J Strength Cond Res 22(5):1570-1577"
LIGHTER = "Bosquet L et al., 2007, Med Sci Sports Exerc 39(8):1358-1365: 41-60 % fewer sets (from memory)"
RISE_WEEKS = 2  # a rise is from one week to the next


@dataclass(frozen=True)
class TrainSettings:
    """Every number of loads, progression, pain and blocks."""

    formula: Literal["epley", "brzycki", "lombardi", "lander", "mayhew", "oconner", "wathan"] = setting(
        "epley",
        unit="",
        source=f"{OUR_CHOICE}: Epley and Brzycki are the usual ones and meet at 10 repetitions",
        text="formula of the estimated one-repetition maximum",
    )
    formula_reps_most: float = setting(
        12,
        unit="repetitions, those in reserve included",
        source=f"{MAYHEW}: trusted to 10; 12 is our choice",
        text="above this no maximum is estimated",
    )
    maximum_error_share: float = setting(
        0.10, unit="share", source=f"{MAYHEW}: 10-12.5 % (1 SD)", text="shown around every estimated maximum"
    )
    load_share_per_rpe_point: float = setting(
        0.04,
        unit="share of the load",
        source="Helms ER et al., 2018, Front Physiol 9:247 (read second-hand)",
        text="change of load for each RPE point off the asked effort",
    )
    points_to_act: float = setting(
        1.0,
        unit="RPE points",
        source=OUR_CHOICE,
        text="mean distance from the asked effort that moves a load",
    )
    points_far_off: float = setting(
        3.0, unit="repetitions", source=OUR_CHOICE, text="farther from the asked range the load is found anew"
    )
    step_share_least: float = setting(
        0.02, unit="share of the load", source=ACSM, text="smallest rise of a load worth making"
    )
    step_share_most: float = setting(
        0.10, unit="share of the load", source=ACSM, text="a larger step is earned with repetitions first"
    )
    extra_reps_a_tenth: float = setting(
        2,
        unit="repetitions for each 10 % of the step",
        source=OUR_CHOICE,
        text="above the range; they earn a step larger than 10 % (+20 %: 4 more)",
    )
    earned_reps_most: int = setting(
        30, unit="repetitions", source=OUR_CHOICE, text="a step that needs more is too coarse to be earned"
    )
    pain_go_most: float = setting(2, unit="0-10", source=PAIN_CUTS, text="up to here: go")
    pain_reduce_most: float = setting(
        5, unit="0-10", source=PAIN_CUTS, text="up to here: reduce; above: the exercise is out"
    )
    pain_load_share: float = setting(
        0.80, unit="share of the load", source=OUR_CHOICE, text="load after a day of pain 3-5"
    )
    pain_fewer_sets: int = setting(
        1, unit="sets", source=OUR_CHOICE, text="left out after pain 3-5 where no lighter load is at hand"
    )
    pain_grade_suspect: int = setting(
        2,
        unit="grade 0-3",
        source=OUR_CHOICE,
        text="where pain sits unknown: regions stressed so much are lowered",
    )
    pain_rising_weeks: int = setting(
        3, unit="weeks", source=OUR_CHOICE, text="pain rises if it was worse in each of so many than before"
    )
    pain_rising_last_least: float = setting(
        3, unit="0-10", source=OUR_CHOICE, text="and if the last of these weekly maxima is this high"
    )
    lighter_every_weeks: int = setting(
        6,
        unit="weeks",
        source="Rogerson D et al., 2024, Sports Med Open 10:26: every 5.6 ± 2.3 weeks",
        text="one week in so many is lighter; 0: none",
    )
    lighter_share: float = setting(
        0.5, unit="share", source=LIGHTER, text="sets, floor, target and smallest block of a lighter week"
    )
    lighter_rir_more: int = setting(
        2, unit="repetitions in reserve", source=OUR_CHOICE, text="added in a lighter week"
    )
    ramp_share_most: float = setting(
        0.20,
        unit="share of weekly sets",
        source="Scarpelli MC et al., 2022, J Strength Cond Res 36(4):1153-1157",
        text="largest rise of a head's target in one step",
    )
    ramp_sets_least: float = setting(
        1, unit="sets", source=OUR_CHOICE, text="a step may always be this large, however small the target"
    )
    ramp_step_weeks: int = setting(
        2, unit="hard weeks", source=OUR_CHOICE, text="a target holds at least so long"
    )
    rir_more_first_week: int = setting(
        1,
        unit="repetitions in reserve",
        source="common practice, no source",
        text="added in a run's first hard week",
    )
    rir_less_last_week: int = setting(
        1,
        unit="repetitions in reserve",
        source="common practice, no source",
        text="taken off in a run's last hard week",
    )
    reps_less_each_week: int = setting(
        0,
        unit="repetitions",
        source=f"{OUR_CHOICE}: the range holds, the load climbs inside it",
        text="by which the range falls from one hard week of a run to the next",
    )

    block_weeks_most: int = setting(
        26, unit="weeks", source=f"{OUR_CHOICE}: half a year; plan anew after that", text="longest block"
    )
    progress_weeks: int = setting(
        26, unit="weeks", source=OUR_CHOICE, text="newest weeks that the page looking back shows"
    )

    def __post_init__(self) -> None:
        """Refuse what could tell no rise."""
        if self.pain_rising_weeks < RISE_WEEKS:
            raise ValueError(f"Write `pain_rising_weeks` as {RISE_WEEKS} or more: one week alone is no rise")


DEFAULTS = TrainSettings()
