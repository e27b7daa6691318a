"""What the coach knows of one athlete: the models of brief.toml (DESIGN §4). Minutes on paper, kg or lb as said."""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
Allowance = Literal["clear", "careful", "avoid"]
Status = Literal["novice", "intermediate", "advanced"]
Sets = Annotated[float, Field(ge=0, le=60)]


class Part(BaseModel):
    """Base of all parts of a brief: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Card(Part):
    """[athlete]."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    bodyweight_kg: Annotated[float, Field(gt=20, lt=300)] | None = None
    training_status: Status = "novice"
    unit: Literal["kg", "lb"] = "kg"


class Questionnaire(Part):
    """A readiness questionnaire: its date and outcome only (its text is its makers')."""

    date: datetime.date
    outcome: Annotated[str, Field(min_length=1, max_length=200)]


class Surgery(Part):
    """An operation on the shoulder or neck and whether a doctor has cleared training since."""

    date: datetime.date
    cleared: bool = False


class History(Part):
    """[history]."""

    questionnaire: Questionnaire | None = None
    surgery: Surgery | None = None
    flags: tuple[str, ...] = ()


class Session(Part):
    """One [[session]]: a day, its minutes (warm-up included) and the gym it is held in."""

    day: Day
    minutes: Annotated[int, Field(ge=10, le=240)]
    gym: str


class Target(Part):
    """One head's weekly sets as asked; None: the default of the athlete's status. target 0: not trained."""

    floor: Sets | None = None
    target: Sets | None = None
    ceiling: Sets | None = None
    priority: Annotated[float, Field(gt=0, le=10)] = 1
    sessions: Annotated[int, Field(ge=1, le=7)] | None = None
    now: Sets | None = None
    must: bool = False

    @model_validator(mode="before")
    @classmethod
    def _bare_number(cls, value: Any) -> Any:
        """`side = 14` is short for `side = { target = 14 }`."""
        return {"target": value} if isinstance(value, int | float) and not isinstance(value, bool) else value


class Elsewhere(Part):
    """Sets of a library exercise that the athlete does outside these sessions."""

    sets: Annotated[int, Field(ge=0, le=60)]
    day: Day | None = None
    whole: bool = False  # true: may cover more than half of a target

    @model_validator(mode="before")
    @classmethod
    def _bare_number(cls, value: Any) -> Any:
        """`barbell_bench_press = 6` is short for `{ sets = 6 }`."""
        return {"sets": value} if isinstance(value, int) and not isinstance(value, bool) else value


class Variety(Part):
    """[variety]: goals, not limits."""

    implements: Annotated[int, Field(ge=1, le=8)] | None = None
    families: tuple[str, ...] = ()
    share: Annotated[float, Field(gt=0, le=1)] | None = None
    keep: Annotated[int, Field(ge=0, le=9)] | None = None  # last week's exercises to keep; None: by the block
    must: bool = False


class Pin(Part):
    """What the coach has decided: this exercise, on this day, so many sets."""

    day: Day
    sets: Annotated[int, Field(ge=1, le=10)]


class Preferences(Part):
    """[preferences]."""

    exclude: tuple[str, ...] = ()
    prefer: tuple[str, ...] = ()
    pin: dict[str, Pin] = {}
    trapezius: bool = False  # keep the watched trapezius low (the only brief-asked hard limit)
    paired: bool = False
    paper: Literal["A4", "Letter"] = "A4"


class Brief(Part):
    """The whole of brief.toml. `joints` maps a region to its allowance, `method` a default's name to its value."""

    athlete: Card
    history: History = History()
    session: tuple[Session, ...]
    target: dict[str, Target] = {}
    elsewhere: dict[str, Elsewhere] = {}
    joints: dict[str, Allowance] = {}
    variety: Variety = Variety()
    preferences: Preferences = Preferences()
    method: dict[str, int | float | str | bool] = {}
