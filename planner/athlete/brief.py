"""What the coach knows of one athlete: the models of brief.toml. Minutes on paper, kg or lb. Names are checked where
a context is given (planner.athlete.names); what several keys must hold together stands in planner.athlete.reading, so
that one fault does not hide another."""

import datetime
from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, AliasPath, BaseModel, ConfigDict, Discriminator, Field, Strict, Tag
from pydantic import ValidationInfo as Context
from pydantic import field_validator as of_field
from pydantic import model_validator as of_model

from library.files import told
from library.read import Library
from planner.athlete.names import ARM, known, unmistakable
from planner.document import is_week

Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
DAYS: tuple[Day, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
Allowance = Literal["clear", "careful", "avoid"]
Status = Literal["novice", "intermediate", "advanced"]
SEEN = r"\S"  # a name that can be seen on paper

# Strict: text is never taken for a number, nor a number for yes or no
Whole = Annotated[int, Strict()]
Number = Annotated[float, Strict()]
Yes = Annotated[bool, Strict()]
PlainDate = Annotated[datetime.date, Strict()]
MOST_SETS = "sets a week; no week can give one head more than 60 hard sets"
Sets = Annotated[Number, Field(ge=0, le=60, description=MOST_SETS)]
WholeSets = Annotated[Whole, Field(ge=0, le=60, description="sets a week; more than 60 cannot be trained")]

HeadKey = Annotated[str, known("head")]
ExerciseKey = Annotated[str, known("exercise")]
PlannedKey = Annotated[str, known("planned")]
RegionKey = Annotated[str, known("region")]
FlagKey = Annotated[str, known("flag")]
FamilyKey = Annotated[str, known("family")]
ImplementKey = Annotated[str, known("implement")]
ExcludedKey = Annotated[str, known("excluded")]
GymName = Annotated[str, known("gym")]


def _a_week(name: str) -> str:
    if not is_week(name):
        raise told("Write year and week such as 2026-W52; a year has 52 or 53 weeks")
    return name


WeekName = Annotated[str, AfterValidator(_a_week), Field(description="year and week such as 2026-W52")]
HEIGHT = "degrees the upper arm may be raised: 90 is shoulder height"
Degrees = Annotated[Whole, Field(ge=0, le=180, description=HEIGHT)]
Skill = Annotated[Whole, Field(ge=1, le=3, description="1 anyone, 2 practised, 3 demanding exercises too")]
Reserve = Annotated[Whole, Field(ge=0, le=6, description="repetitions in reserve")]

TIME = Field(pattern=r"^(?:[01]\d|2[0-3]):[0-5]\d$", description="a time of day such as 18:30")
TimeOfDay = Annotated[str, TIME]


class Part(BaseModel):
    """Base of all parts of a brief: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)


def in_order(value: dict[str, Any]) -> dict[str, Any]:
    """Return a table in the order of its keys, so that the file's order changes nothing."""
    return dict(sorted(value.items()))


def _remedy(text: str) -> ConfigDict:
    return ConfigDict(json_schema_extra={"remedy": text})


def _bare(key: str) -> Callable[[Any], Any]:
    """Take a bare number for a table of that key alone."""
    return lambda value: {key: value} if type(value) in (int, float) else value


class Card(Part):
    """[athlete]."""

    name: Annotated[str, Field(min_length=1, max_length=80, pattern=SEEN)]
    bodyweight_kg: Annotated[Number, Field(gt=20, lt=300)] | None = None
    training_status: Status = "novice"
    unit: Literal["kg", "lb"] = "kg"
    language: Literal["en", "de"] = "en"  # of what the client reads
    skill: Skill | None = None  # None: by the training status


class Questionnaire(Part):
    """A readiness questionnaire: its date and outcome only (its text is its makers')."""

    date: PlainDate
    outcome: Annotated[str, Field(min_length=1, max_length=200)]


class Surgery(Part):
    """An operation on the shoulder or neck and whether a doctor has cleared training since."""

    date: PlainDate
    cleared: Yes = False


class History(Part):
    """[history]."""

    questionnaire: Questionnaire | None = None
    surgery: Surgery | None = None
    flags: tuple[FlagKey, ...] = ()


class Session(Part):
    """One [[session]]: a day, its minutes (warm-up included) and the gym it is held in."""

    day: Day
    minutes: Annotated[Whole, Field(ge=10, le=240, description="minutes, warm-up included")]
    gym: GymName
    at: TimeOfDay | None = None  # when it begins, for the calendar


class Target(Part):
    """One head's weekly sets as asked; None: the default of the athlete's status. target 0: not trained. `side = 14`
    is short for `side = { target = 14 }`."""

    model_config = _remedy("a number of sets a week such as 14, or a table such as { target = 14 }")

    floor: Sets | None = None
    target: Sets | None = None
    ceiling: Sets | None = None
    priority: Annotated[Number, Field(gt=0, le=10)] = 1
    sessions: Annotated[Whole, Field(ge=1, le=7)] | None = None
    now: Sets | None = None
    must: Yes = False

    _bare_number = of_model(mode="before")(_bare("target"))


class Elsewhere(Part):
    """Sets of a library exercise outside these sessions; `barbell_bench_press = 6` is short for `{ sets = 6 }`."""

    model_config = _remedy("a whole number of sets a week such as 6, or a table such as { sets = 6 }")

    sets: WholeSets
    day: Day | None = None
    whole: Yes = False  # true: may cover more than half of a target

    _bare_number = of_model(mode="before")(_bare("sets"))


class Variety(Part):
    """[variety]: goals, not limits."""

    implements: Annotated[Whole, Field(ge=1, le=8)] | None = None
    families: tuple[FamilyKey, ...] = ()
    share: Annotated[Number, Field(gt=0, le=1)] | None = None
    keep: Annotated[Whole, Field(ge=0, le=9)] | None = None  # last week's exercises; None: by the block
    must: Yes = False


class Pin(Part):
    """What the coach has decided: this exercise, on this day, so many sets."""

    model_config = _remedy('a table such as { day = "Mon", sets = 3 }')

    day: Day
    sets: Annotated[Whole, Field(ge=1, le=10)]


def _one_or_more(value: Any) -> str:
    return "<table>" if isinstance(value, dict | Pin) else "<list>"


OneOrMorePins = Annotated[
    Annotated[Pin, Tag("<table>")] | Annotated[tuple[Pin, ...], Tag("<list>")],
    Discriminator(_one_or_more),
    Field(json_schema_extra={"remedy": 'a table such as { day = "Mon", sets = 3 }, or a list of them'}),
]


class Preferences(Part):
    """[preferences]. `only`: implements, empty for all; `exclude`: exercises, families and implements. `not_on`: an
    exercise and the days on which it is not wanted."""

    only: tuple[ImplementKey, ...] = ()
    exclude: tuple[ExcludedKey, ...] = ()
    prefer: tuple[PlannedKey, ...] = ()
    pin: dict[PlannedKey, OneOrMorePins] = {}
    not_on: dict[PlannedKey, tuple[Day, ...]] = {}
    trapezius: Yes = False  # keep the watched trapezius low (the only brief-asked hard limit)
    paired: Yes = False
    paper: Literal["A4", "Letter"] = "A4"

    _by_name = of_field("pin", "not_on")(in_order)

    @property
    def pins(self) -> list[tuple[str, Pin]]:
        """Every pin with its exercise, in the order of the exercises and the week."""
        several = ((key, (of,) if isinstance(of, Pin) else of) for key, of in self.pin.items())
        pins = ((key, pin) for key, pins in several for pin in pins)
        return sorted(pins, key=lambda one: (one[0], DAYS.index(one[1].day)))

    def excluded(self, library: Library) -> dict[str, str]:
        """Return each excluded exercise of the library with the entry that names it: exercise, family or implement.
        An entry that is an exercise's name (`push_up`) means that exercise alone."""
        groups, found = set(self.exclude) - set(library.exercises), {}
        for key, exercise in library.exercises.items():
            words = [word for word in (exercise.family, exercise.implement) if word in groups]
            if key in self.exclude or words:
                found[key] = key if key in self.exclude else words[0]
        return found


class Block(Part):
    """[block]: repetitions in reserve week by week, weeks without training, lighter weeks."""

    reserve: tuple[Reserve, ...] = ()  # empty: steady
    away: tuple[WeekName, ...] = ()
    lighter: tuple[WeekName, ...] = ()


def _angle_among_the_joints(schema: dict[str, Any]) -> None:
    """Describe the file: the arm's angle is a key of [joints]."""
    schema["properties"]["joints"]["properties"] = {ARM: schema["properties"].pop(ARM)}


class Brief(Part):
    """The whole of brief.toml. `joints`: region to allowance; `method`: a default's name to its value.
    `arm_at_most_degrees` is a key of [joints] in the file; in code set it by `model_copy`. Sessions stand in the
    order of the week, tables in that of their keys, so that the same brief always gives the same plan."""

    model_config = ConfigDict(json_schema_extra=_angle_among_the_joints)

    athlete: Card
    history: History = History()
    session: tuple[Session, ...]
    target: dict[HeadKey, Target] = {}
    elsewhere: dict[ExerciseKey, Elsewhere] = {}
    joints: dict[RegionKey, Allowance] = {}
    arm_at_most_degrees: Degrees | None = Field(default=None, validation_alias=AliasPath("joints", ARM))
    variety: Variety = Variety()
    preferences: Preferences = Preferences()
    block: Block = Block()
    method: dict[str, Any] = {}  # checked against the settings records by planner.athlete.method

    @of_field("session")
    @classmethod
    def _in_week_order(cls, value: tuple[Session, ...]) -> tuple[Session, ...]:
        if not value:
            raise told('Write at least one [[session]] with day = "Mon", minutes = 40, gym = "club"')
        return tuple(sorted(value, key=lambda session: DAYS.index(session.day)))

    @of_field("joints", mode="before")
    @classmethod
    def _regions(cls, value: Any, info: Context) -> Any:
        if not isinstance(value, dict):
            return value
        regions = {key: word for key, word in value.items() if key != ARM}
        return unmistakable(regions, "region", info)

    _by_key = of_field("target", "elsewhere", "joints", "method")(in_order)
