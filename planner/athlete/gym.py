"""One room: its equipment and the loads it can make (gym.toml, DESIGN §4)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from planner.athlete.brief import Part

Load = Annotated[float, Field(ge=0, le=1000)]


class LoadRange(Part):
    """Loads from lightest to heaviest in equal steps, in the gym's unit."""

    from_: Load = Field(alias="from")
    to: Load
    step: Annotated[float, Field(gt=0, le=100)]

    @model_validator(mode="after")
    def _in_order(self) -> LoadRange:
        if self.from_ > self.to:
            raise ValueError(f"from {self.from_:g} must not exceed to {self.to:g}")
        return self


class Gym(Part):
    """One gym of gym.toml."""

    unit: Literal["kg", "lb"] = "kg"
    equipment: tuple[str, ...] = ()
    loads: dict[str, LoadRange | tuple[Load, ...]] = {}
