"""Which exercises are kin to one that hurts: its family, whatever loads the painful region at least as much, and where
the shoulder hurts families that raise the arm the same way; and which heads that leaves waiting."""

import datetime
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from library.read import Library
from planner.log.record import TELLS, LoggedSet
from planner.method import TrainSettings
from planner.plain import joined, name_of

SHOULDER_HEIGHT = 90  # degrees
WAITS = "waits for clearance"
ABOVE = "all that lifts the arm above the shoulder"
ONE_FAMILY = "is of one family with"
LEAST_GRADE = 2  # where the library sees no load on the painful region, whatever clearly loads it is kin


@dataclass(frozen=True)
class Painful:
    """An exercise that hurt: since which day, how much (0-10), why it counts, and the joint regions it is felt in.
    `unsafe_above`: numb or slipping, so nothing that lifts the arm above the shoulder is safe until it is seen. `alone`:
    its pain stays or builds week on week: it rests until it was seen, with its family and what clearly loads the region that
    the client named; what did not hurt may do its work."""

    exercise: str
    since: datetime.date
    pain: float
    reason: str
    regions: tuple[str, ...] = ()
    unsafe_above: bool = False
    alone: bool = False
    where: str = ""  # in the client's words, or the region's name
    tolerated: frozenset[str] = frozenset()  # done since without pain: need not wait (`alone`: of the family)

    @property
    def waits(self) -> str:
        """Why it is out, in words."""
        return f"{WAITS} since {self.since} ({self.reason})"


def noted(item: Painful, row: LoggedSet, reason: str, library: Library, settings: TrainSettings) -> Painful:
    """Add a logged line: its region where the client named one, else every region that the exercise stresses enough."""
    exercise = library.exercises.get(row.exercise)
    stress = exercise.stress.items() if exercise else ()
    regions = [region for region, of in stress if of.grade >= settings.pain_grade_suspect]
    regions = [*item.regions, *([row.where] if row.where in library.regions else regions)]
    # most shoulders slip forward (common knowledge, no source)
    regions += ["anterior_capsule"] if row.complaint == "slips" else []
    unsafe, pain = item.unsafe_above or row.complaint in TELLS, max(item.pain, row.pain or 0.0)
    where = item.where or (library.regions[row.where].name if row.where in library.regions else row.where)
    felt = {"pain": pain, "reason": reason, "unsafe_above": unsafe, "where": where}
    return replace(item, regions=tuple(dict.fromkeys(regions)), **felt)  # type: ignore[arg-type]


def with_it(item: Painful, library: Library) -> dict[str, str]:
    """Give every exercise that waits with one, and how it is kin; with what hurts week on week its family, and what
    clearly loads the region that was named."""
    kin = kin_of(item, library)
    if not item.alone:
        kin |= raised_alike(item, library)
        return {key: how for key, how in kin.items() if key not in item.tolerated}
    rest = {key: how for key, how in kin.items() if how == ONE_FAMILY and key not in item.tolerated}
    for region in lowered(item, library):
        how = f"clearly loads the {library.regions[region].name}, out with"
        loads = (key for key in library.exercises if _grade(key, region, library) >= LEAST_GRADE)
        rest |= {key: rest.get(key, how) for key in loads if key != item.exercise}
    return rest


def lowered(item: Painful, library: Library) -> tuple[str, ...]:
    """Give the regions that are allowed one level less: of what hurts week on week only the one that was named."""
    return tuple(of for of in item.regions if not item.alone or library.regions[of].name == item.where)


def kin_of(item: Painful, library: Library) -> dict[str, str]:
    """Give every other exercise that is kin, and how: "is of one family with", "loads the elbow as much as"."""
    painful = library.exercises.get(item.exercise)
    kin = {}
    for key, other in library.exercises.items():
        if key != item.exercise and painful is not None and other.family == painful.family:
            kin[key] = ONE_FAMILY
        for region in item.regions if key != item.exercise else ():
            least = 1 if item.unsafe_above else _grade(item.exercise, region, library) or LEAST_GRADE
            if _grade(key, region, library) >= least:
                much = "as" if item.unsafe_above else "as much as"
                kin.setdefault(key, f"loads the {library.regions[region].name} {much}")
    return kin


def raised_alike(item: Painful, library: Library) -> dict[str, str]:
    """Give the exercises of the families kin to one with pain in the shoulder; unknown regions are taken as there.
    After numbness or a shoulder that slipped all that lifts the arm above shoulder height is kin too."""
    painful, kin = library.exercises.get(item.exercise), {}
    shoulder = not item.regions or any(library.regions[region].shoulder for region in item.regions)
    families = library.families[painful.family].kin if painful and shoulder else ()
    for key, other in library.exercises.items():
        if other.family in families:
            kin[key] = "raises the arm as"
        elif shoulder and item.unsafe_above and (other.top_angle_degrees or 0) > SHOULDER_HEIGHT:
            kin[key] = "lifts the arm above shoulder height, not to be done after"
    return kin


def waiting_heads(barred: Mapping[str, str], library: Library, last: Iterable[str]) -> frozenset[str]:
    """Heads of which at least half of the own movements are barred: of the library, or of last week's plan with those
    that hurt themselves, which it may be without by now. They get half the sets until those are cleared."""
    own = {key: one.trains for key, one in library.exercises.items() if one.trains and not one.compare_only}
    done = {*last, *(key for key, why in barred.items() if why.startswith(WAITS))}
    heads = set[str]()
    for keys in (own.keys(), own.keys() & done):
        count, out = Counter(own[key] for key in keys), Counter(own[key] for key in keys if key in barred)
        heads |= {head for head in out if 2 * out[head] >= count[head]}
    return frozenset(heads)


def is_milder(key: str, item: Painful, library: Library) -> bool:
    """Whether an exercise loads every painful region less."""
    less = [_grade(key, region, library) < _grade(item.exercise, region, library) for region in item.regions]
    return key != item.exercise and bool(less) and all(less)


def felt_in(item: Painful, library: Library) -> str:
    """Name an exercise that hurt, and where it is felt."""
    return name_of(library, item.exercise) + (f", {item.where}" if item.where else "")


def left_out_with(item: Painful, library: Library) -> str:
    """Say what else is left out: its kin by family, and what loads the painful region as much."""
    own = [item.exercise] if item.exercise in library.exercises else []
    keys = [*own, *(() if item.alone else raised_alike(item, library))]
    names = [library.families[of].name for of in dict.fromkeys(library.exercises[key].family for key in keys)]
    kin = [f"its kin ({', '.join(names)})"] if names else []
    kin = [ABOVE, "whatever is new"] if item.unsafe_above and keys else kin
    how = "clearly loads the {}" if item.alone else "loads the {} as much"
    regions = [f"all that {how.format(library.regions[of].name)}" for of in lowered(item, library)]
    spared = sorted(item.tolerated & kin_of(item, library).keys() - with_it(item, library).keys())
    kept = joined([name_of(library, key) for key in spared])
    return joined([*kin, *regions]) + (f", but not {kept}" if kept else "")


def _grade(exercise: str, region: str, library: Library) -> int:
    known = library.exercises.get(exercise)  # 0: nothing is known
    return known.stress[region].grade if known and region in known.stress else 0
