"""Defaults of pooling (DESIGN §3.1). Errors are standard deviations of natural logarithms unless said."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class PoolSettings:
    """How evidence rows are weighed against each other."""

    common_share: float = setting(
        0.7,
        unit="share",
        source=OUR_CHOICE,
        text="part of the between-person variance that the exercises of one group have in common (r)",
    )
    variation: float = setting(
        0.45, unit="SD/mean", source=OUR_CHOICE, text="spread between persons where a row gives no SD"
    )
    subjects: int = setting(
        10, unit="persons", source=OUR_CHOICE, text="number of persons where a row gives none"
    )
    tau: float = setting(
        0.25, unit="log ratio", source=OUR_CHOICE, text="spread of one exercise's ratio between studies"
    )
    degrees_for_tau: int = setting(
        10,
        unit="degrees of freedom",
        source=OUR_CHOICE,
        text="from here on a head's own rows estimate tau (DerSimonian-Laird for regression)",
    )
    remembered_factor: float = setting(
        4.0, unit="times the variance", source=OUR_CHOICE, text="rows written down from memory"
    )
    intramuscular_factor: float = setting(
        2.0,
        unit="times the variance",
        source=OUR_CHOICE,
        text="rows from electrodes inside the muscle: they see few fibres, and such studies used light loads",
    )
    practice_error: float = setting(
        0.35, unit="log ratio", source=OUR_CHOICE, text="error of a ratio stated by common practice"
    )
    smallest_named_share: float = setting(
        0.01, unit="share", source=OUR_CHOICE, text="profiles.csv names the rows with at least this weight"
    )
    scale_warning: float = setting(
        0.05,
        unit="share",
        source=OUR_CHOICE,
        text="`planner pool` warns when the median change of a head's ratios is larger: its scale has moved",
    )


@dataclass(frozen=True)
class OwnRowSettings:
    """How an athlete's own recordings pull that athlete's profile, and nobody else's."""

    person_spread: float = setting(
        0.25, unit="log ratio", source=OUR_CHOICE, text="spread of one exercise's ratio between persons"
    )
    repeat_error: float = setting(
        12.0,
        unit="points of the row's unit (%MVIC)",
        source="Grime 2018, doi 10.15619/NZJP/46.2.02: 8.6-24.4 %MVIC within a day; the value is our choice",
        text="standard error of measurement where no trial was repeated",
    )


@dataclass(frozen=True)
class OrderingSettings:
    """When a pooled number honours an ordering."""

    equal_within: float = setting(
        1.645,
        unit="standard errors",
        source=OUR_CHOICE,
        text='"no difference" is honoured while the pooled difference lies in its own 90 % interval around 0',
    )
