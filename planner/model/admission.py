"""Why an exercise may not be planned for an athlete: limits that need no row, since what is not admitted has no column."""

from collections.abc import Collection, Mapping

from library.schema import HIGHEST_GRADE, Exercise, Stress, with_included
from planner.athlete.targets import joint_allowances, skill_asked
from planner.method import WeekSettings
from planner.model.inputs import Inputs

Allowances = Mapping[str, str]


def lacks(exercise: Exercise, equipment: Collection[str]) -> tuple[str, ...]:
    """Room: y[e,d] = 0 where the session's gym lacks something that e needs. Gives what is lacking."""
    return tuple(item for item in exercise.needs if item not in equipment)


def room_of(inputs: Inputs, gym: str) -> frozenset[str]:
    """Equipment of a gym, with what it includes."""
    return frozenset(with_included(inputs.gyms[gym].equipment))


class Admission:
    """Says of every exercise why it may not be planned for this athlete in any room; made once a week's inputs."""

    def __init__(self, inputs: Inputs) -> None:
        self.inputs = inputs
        self.excluded = inputs.brief.preferences.excluded(inputs.library)
        self.allowances: Allowances = joint_allowances(inputs.brief, inputs.library)
        self.idle = set(inputs.library.heads) - set(inputs.targets)  # heads that the brief gives no sets
        self.rooms = [room_of(inputs, session.gym) for session in inputs.brief.session]
        self.mild: frozenset[str] = frozenset()  # families of which something needs no change of the movement
        self.mild = frozenset(
            exercise.family
            for exercise in inputs.library.exercises.values()
            if not self.reason(exercise, changed=False)
            if any(not lacks(exercise, room) for room in self.rooms)
        )

    def reason(self, exercise: Exercise, *, changed: bool = True) -> str:
        """Give the reason in words, an empty text if it may be planned; `changed`: a joint's change may admit it."""
        if exercise.compare_only:
            return "kept for comparison only, never planned"
        if exercise.key in self.inputs.barred:
            return self.inputs.barred[exercise.key]
        return self._person(exercise) or self._joints(exercise, changed=changed)

    def _person(self, exercise: Exercise) -> str:
        """Person: y = 0 where the brief excludes e, its family or implement, or it takes more skill or a higher arm."""
        brief = self.inputs.brief
        wishes = brief.preferences
        if exercise.key in self.excluded:
            return "excluded by the brief"
        if wishes.only and exercise.implement not in wishes.only:
            return f"no {' or '.join(wishes.only)}: the brief allows only those"
        skill = skill_of(self.inputs)
        if exercise.skill > skill:
            return f"takes skill {exercise.skill}, the athlete has {skill}"
        highest, top = brief.arm_at_most_degrees, exercise.top_angle_degrees
        if highest is not None and top is not None and top > highest:
            return f"the arm ends at {top} degrees, at most {highest} is allowed"
        if exercise.trains in self.idle and exercise.key not in {*wishes.prefer, *wishes.pin}:
            return "it is chosen for a head that is not trained"
        return ""

    def _joints(self, exercise: Exercise, *, changed: bool) -> str:
        """Joints: y = 0 where a grade exceeds what its region allows; the highest only if clear and named in `prefer`."""
        for region, stress in exercise.stress.items():
            allowance = self.allowances.get(region, "clear")
            highest = highest_grade(allowance, self.inputs.week)
            if allowance == "clear" and exercise.key in self.inputs.brief.preferences.prefer:
                highest = HIGHEST_GRADE
            if stress.grade > highest and not (changed and self._by_its_change(exercise, stress, allowance)):
                return f"joint stress {stress.grade} in {region} ({allowance}: at most {highest})"
        return ""

    def _by_its_change(self, exercise: Exercise, stress: Stress, allowance: str) -> bool:
        """Careful admits one grade more with its change, if that leaves the exercise what it is and nothing milder is there."""
        highest = self.inputs.week.careful_grade + 1
        kept = allowance == "careful" and stress.grade == highest and stress.change_keeps
        return kept and exercise.family not in self.mild


def highest_grade(allowance: str, settings: WeekSettings) -> int:
    """Give the highest grade that a region admits as it is: clear 2, careful 1, avoid 1 (in few sets)."""
    grades = {
        "clear": settings.clear_grade,
        "careful": settings.careful_grade,
        "avoid": settings.avoid_grade,
    }
    return grades[allowance]


def skill_of(inputs: Inputs) -> int:
    """Give the skill that may be asked: the brief's own, else that of the training status."""
    return skill_asked(inputs.brief, inputs.week)
