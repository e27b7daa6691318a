"""Edits: what inputs are once something in brief, gym or method is other; the files themselves are never written.

What swap is told, what why tries and what clash lets go are all edits: a place, words, and `apply`.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from library.read import Library
from library.schema import INCLUDES
from planner.athlete.brief import Brief, Pin
from planner.athlete.gym import Gym
from planner.document import MadeChange, State, WeekDocument, states_of
from planner.model.inputs import Inputs

BRIEF, GYM, SWAP = "brief.toml", "gym.toml", "planner swap"
Place = tuple[Brief, Mapping[str, Gym]]


@dataclass(frozen=True)
class Edit:
    """One thing that could be other: `file` and `where` say where it stands, `apply` gives the inputs after it.

    `forgets` are parts of the names of goals ("spread", a head) whose own price is no gain: they are what is
    dropped. `loosens_dose` is False where the first aim cannot gain: no hard limit and no dose is eased.
    `less_than` names an edit that allows all of this one and more: if that gives nothing, neither does this.
    `medical`: not the coach's to decide alone.
    """

    name: str
    words: str
    file: str
    where: str
    apply: Callable[[Inputs], Inputs]
    forgets: tuple[str, ...] = ()
    loosens_dose: bool = True
    less_than: str = ""
    medical: bool = False

    def __str__(self) -> str:
        return f"{self.file}: {self.where}"

    def forgotten(self, goal: str) -> bool:
        """Whether a goal is (part of) what is dropped."""
        return not set(self.forgets).isdisjoint(goal.split(":"))


def with_brief(inputs: Inputs, **changes: object) -> Inputs:
    """Give inputs with parts of the brief replaced."""
    return replace(inputs, brief=inputs.brief.model_copy(update=changes))


def with_preferences(inputs: Inputs, **changes: object) -> Inputs:
    """Give inputs with other preferences."""
    return with_brief(inputs, preferences=inputs.brief.preferences.model_copy(update=changes))


def with_variety(inputs: Inputs, **changes: object) -> Inputs:
    """Give inputs with other wishes for variety."""
    return with_brief(inputs, variety=inputs.brief.variety.model_copy(update=changes))


def with_method(inputs: Inputs, **values: float) -> Inputs:
    """Give inputs with other defaults of the week's method."""
    return replace(inputs, week=inputs.week.but(**values))


def with_target(inputs: Inputs, head: str, **changes: object) -> Inputs:
    """Give inputs with another target of one head."""
    changed = replace(inputs.targets[head], **changes)  # type: ignore[arg-type]
    return replace(inputs, targets={**inputs.targets, head: changed})


def with_minutes(inputs: Inputs, day: str, minutes: int) -> Inputs:
    """Give a session other minutes."""
    return replace(inputs, brief=_with_minutes(inputs.brief, day, minutes))


def _with_minutes(brief: Brief, day: str, minutes: int | None) -> Brief:
    sessions = (
        one.model_copy(update={"minutes": minutes}) if one.day == day else one for one in brief.session
    )
    return brief.model_copy(update={"session": tuple(sessions)})


def with_equipment(inputs: Inputs, gym: str, names: Iterable[str]) -> Inputs:
    """Give a gym more equipment."""
    return replace(inputs, gyms={**inputs.gyms, gym: _more(inputs.gyms[gym], names)})


def _more(gym: Gym, names: Iterable[str]) -> Gym:
    listed = tuple(dict.fromkeys((*gym.equipment, *names)))
    return gym.model_copy(update={"equipment": listed}).with_what_follows()


def applied(changes: Sequence[MadeChange], brief: Brief, gyms: Mapping[str, Gym], library: Library) -> Place:
    """Give the brief and the gyms as they are after the changes, one after the other."""
    listed = gyms
    for change in changes:
        if change.kind == "minutes":
            brief = _with_minutes(brief, change.name, change.minutes)
        elif change.kind == "sets":
            brief = _with_sets(brief, change)
        elif change.name in library.exercises:
            brief = _with_exclusion(brief, change)
        else:
            gyms = {
                name: _with_equipment(gym, change) if change.gym in ("", name) else gym
                for name, gym in gyms.items()
            }
    return brief, {name: _with_its_loads(gym, listed[name]) for name, gym in gyms.items()}


def _with_sets(brief: Brief, change: MadeChange) -> Brief:
    """Pin an exercise to a day with so many sets; 0: it is not wanted on that day."""
    wishes, key, day = brief.preferences, change.name, change.day
    pins = [(other, pin) for other, pin in wishes.pins if (other, pin.day) != (key, day)]
    not_on = {other: days for other, days in wishes.not_on.items() if other != key}
    days = tuple(other for other in wishes.not_on.get(key, ()) if other != day)
    if change.sets:
        pins.append((key, Pin(day=day, sets=change.sets)))  # type: ignore[arg-type]
    else:
        days = (*days, day)  # type: ignore[arg-type]
    update = {"pin": pinned(pins), "not_on": {**not_on, key: days} if days else not_on}
    return brief.model_copy(update={"preferences": wishes.model_copy(update=update)})


def pinned(pins: Iterable[tuple[str, Pin]]) -> dict[str, tuple[Pin, ...]]:
    """Give pins as a brief holds them, by exercise."""
    by_key: dict[str, tuple[Pin, ...]] = {}
    for key, pin in pins:
        by_key[key] = (*by_key.get(key, ()), pin)
    return by_key


def _with_exclusion(brief: Brief, change: MadeChange) -> Brief:
    others = tuple(key for key in brief.preferences.exclude if key != change.name)
    excluded = (*others, change.name) if change.kind == "without" else others
    preferences = brief.preferences.model_copy(update={"exclude": excluded})
    return brief.model_copy(update={"preferences": preferences})


def _with_equipment(gym: Gym, change: MadeChange) -> Gym:
    """Add or take equipment; a station goes with what it includes, and what is included takes its station along."""
    if change.kind == "with":
        return _more(gym, [change.name])
    gone = {change.name, *INCLUDES.get(change.name, ())}
    gone |= {station for station, parts in INCLUDES.items() if change.name in parts}
    left = tuple(key for key in gym.equipment if key not in gone)
    return gym.model_copy(update={"equipment": left})


def _with_its_loads(gym: Gym, listed: Gym) -> Gym:
    """Equipment that comes back has the loads that gym.toml lists; what is gone has none."""
    loads = {key: loads for key, loads in listed.loads.items() if key in gym.equipment}
    return gym.model_copy(update={"loads": loads})


def joined(
    before: Sequence[MadeChange],
    new: Sequence[MadeChange],
    brief: Brief,
    gyms: Mapping[str, Gym],
    library: Library,
) -> tuple[MadeChange, ...]:
    """Join what an earlier swap was told with what is told now; what changes nothing is left out.

    So a piece of equipment that comes back, or minutes that are as the brief says, leave no trace.
    """
    kept = [old for old in before if not any(_replaces(change, old) for change in new)]
    told = [*kept, *(change for change in new if not takes_back(change, before))]
    whole = _place(applied(told, brief, gyms, library))
    for change in tuple(told):
        rest = [other for other in told if other is not change]
        if _place(applied(rest, brief, gyms, library)) == whole:
            told = rest
    return tuple(told)


def takes_back(change: MadeChange, before: Sequence[MadeChange]) -> bool:
    """Whether a word without a gym only ends what an earlier swap was told: --with E after --without E."""
    gone = {old.name for old in before if old.kind == "without"}
    return change.kind == "with" and not change.gym and change.name in gone


def _replaces(new: MadeChange, old: MadeChange) -> bool:
    if new.name != old.name or new.gym not in ("", old.gym):
        return False
    if new.kind == "sets":  # sets of a day replace what was said of that day, and bring back what was out
        return new.day == old.day or (old.kind == "without" and bool(new.sets))
    return old.kind != "sets" or new.kind == "without"


def _place(place: Place) -> object:
    brief, gyms = place
    rooms = {name: (frozenset(gym.equipment), gym.loads) for name, gym in gyms.items()}
    wishes = brief.preferences
    return brief.session, frozenset(wishes.exclude), wishes.pins, wishes.not_on, rooms


def changed_inputs(
    inputs: Inputs, changes: tuple[MadeChange, ...], states: Mapping[str, State], in_force: WeekDocument
) -> Inputs:
    """Give the inputs as they are after the changes, with the sessions that are over as they stand in force."""
    brief, gyms = applied(changes, inputs.brief, inputs.gyms, inputs.library)
    over = {day: state for day, state in {**states_of(in_force), **states}.items() if state != "planned"}
    trained = {
        (line.exercise, session.id): line.sets
        for session in in_force.sessions
        if over.get(session.day) == "done"
        for line in session.exercises
    }
    return replace(inputs, brief=brief, gyms=gyms, states=over, trained=trained)


def made_alike(document: WeekDocument, inputs: Inputs) -> bool:
    """Whether a document was made under the very same conditions."""
    made = document.made_with
    return made.inputs == inputs.digest() and made.library == inputs.library.digest
