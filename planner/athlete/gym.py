"""One room: its equipment and the loads it can make (gym.toml)."""

from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, Discriminator, Field, Tag, field_validator, model_validator

from library.files import told
from library.schema import INCLUDES, with_included
from planner.athlete.brief import SEEN, Number, Part, Whole, in_order
from planner.athlete.names import known

Load = Annotated[Number, Field(ge=0, le=1000, description="in the gym's unit")]
EquipmentKey = Annotated[str, known("equipment")]
LoadedKey = Annotated[str, known("loaded")]
Spot = Annotated[str, Field(min_length=1, max_length=40, pattern=SEEN)]
Count = Annotated[Whole, Field(ge=1, le=99, description="so many are there")]
MOST_LOADS = 1000  # a longer row is a slip of the pen in `step`


class LoadRange(Part):
    """Loads from lightest to heaviest in equal steps, in the gym's unit."""

    from_: Load = Field(alias="from")
    to: Load
    step: Annotated[Number, Field(gt=0, le=100, description="in the gym's unit")]

    @model_validator(mode="after")
    def _makes_loads(self) -> Self:
        if self.from_ > self.to:
            raise told("Write a `from` that does not exceed `to`")
        if (self.to - self.from_) / self.step > MOST_LOADS:
            raise told(f"These steps make more than {MOST_LOADS} loads. Write the step between two loads")
        return self

    def loads(self) -> tuple[float, ...]:
        """Every load of the range, rising."""
        count = int((self.to - self.from_) / self.step + 1e-9) + 1  # 1e-9: 0.1 + 0.2 is not 0.3 in binary
        return tuple(round(self.from_ + i * self.step, 6) for i in range(count))


def _some(value: tuple[float, ...]) -> tuple[float, ...]:
    if not value:
        raise told("List at least one load, or leave the key out")
    return value


def _form(value: Any) -> str:
    return "<range>" if isinstance(value, dict | LoadRange) else "<list>"


REMEDY = {"remedy": "a range such as { from = 2, to = 40, step = 2 } or a list such as [4, 8, 12]"}
Loads = Annotated[
    Annotated[LoadRange, Tag("<range>")] | Annotated[tuple[Load, ...], AfterValidator(_some), Tag("<list>")],
    Discriminator(_form),
    Field(json_schema_extra=REMEDY),
]


class Gym(Part):
    """One gym of gym.toml."""

    unit: Literal["kg", "lb"] = "kg"
    equipment: tuple[EquipmentKey, ...] = ()
    loads: dict[LoadedKey, Loads] = Field(default={})
    place: dict[EquipmentKey, Spot] = Field(default={})  # where a piece stands, for the sheets
    stations: dict[EquipmentKey, Count] = Field(default={})  # how many, for those who train together

    _by_key = field_validator("loads")(in_order)

    def loads_of(self, equipment: str) -> tuple[float, ...]:
        """Loads that `equipment` can make here, rising, in the gym's unit; empty where none are listed."""
        listed = self.loads.get(equipment, ())
        return listed.loads() if isinstance(listed, LoadRange) else tuple(sorted(set(listed)))

    def with_what_follows(self) -> Self:
        """Return the gym with what its equipment includes; the loads of a station serve what it includes."""
        rooms = {*self.equipment}
        loads, place = dict(self.loads), dict(self.place)
        for station in rooms & set(INCLUDES):
            for part in INCLUDES[station]:
                shared = loads.get(station, loads.get(part))
                loads |= {} if shared is None else {station: shared, part: loads.get(part, shared)}
                place |= {part: place.get(part, place[station])} if station in place else {}
        equipment = (*dict.fromkeys(self.equipment), *sorted(with_included(rooms) - rooms))
        more = {"equipment": equipment, "loads": dict(sorted(loads.items())), "place": place}
        return self.model_copy(update=more)
