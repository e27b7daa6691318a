"""What is told of a plan once it stands. No brief changes these: week.json and the paper name them in words."""

from __future__ import annotations

from dataclasses import dataclass

from library.settings import OUR_CHOICE, setting


@dataclass(frozen=True)
class ToldSettings:
    """How sure a dose is, and when a limit that is not quite full is said to bind."""

    interval_low: float = setting(
        0.05, unit="quantile", source=OUR_CHOICE, text="low end of a dose's interval (90 %, as `low90` says)"
    )
    interval_high: float = setting(
        0.95, unit="quantile", source=OUR_CHOICE, text="high end of that interval (`high90`)"
    )
    near_target: float = setting(
        0.9, unit="of the target", source=OUR_CHOICE, text="whose chance is told (`chance_target90`)"
    )
    trapezius_near: float = setting(
        0.02,
        unit="of a dumbbell shrug",
        source=f"{OUR_CHOICE}: levels come to rest beside the limit, sets being whole",
        text="a mean trapezius level nearer to the one allowed binds",
    )


TOLD = ToldSettings()
