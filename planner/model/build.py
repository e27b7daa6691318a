"""From library, brief and gyms to the week's problem: what may be planned, what it is worth, what is wanted."""

import math

from library.errors import Fault, FaultyInput
from library.schema import Exercise
from planner.athlete.brief import Session
from planner.athlete.targets import HeadTarget, joint_allowances
from planner.document import Plan
from planner.method import WeekSettings
from planner.model.admission import Admission, lacks, room_of, skill_of
from planner.model.inputs import DIGITS, Inputs
from planner.model.problem import Candidate, HeadGoal, JointBudget, Problem, SessionKind

SECOND, SPECIAL = 2, 3  # the later two of three choices


def build_problem(inputs: Inputs) -> Problem:
    """Turn the inputs into the model's problem; sessions in the order of the week, candidates in library order."""
    brief, settings = inputs.brief, week_settings(inputs)
    plannable, trained = plannable_candidates(inputs), {key for key, _ in inputs.trained}
    known = {candidate.key: candidate for candidate in plannable}
    candidates = tuple(
        known.get(key) or make_candidate(inputs, exercise, place)
        for place, (key, exercise) in enumerate(inputs.library.exercises.items())
        if key in known or key in trained  # what was trained counts, even if it is out by now
    )
    exercises = inputs.library.exercises.items()
    variety, tender = brief.variety, careful_regions(inputs)
    sessions = tuple(make_session(inputs, plannable, session, tender) for session in brief.session)
    there = {one.trains for one in plannable if any(may_hold(inputs, one.key, on) for on in brief.session)}
    # what helps does not make up for a head that hurts
    own = there | {inputs.library.exercises[key].trains for key in inputs.barred}
    beside = {of: None if of in own else beside_others(inputs, of, plannable) for of in inputs.targets}
    return Problem(
        candidates=candidates,
        sessions=sessions,
        heads=tuple(make_goal(inputs, of, beside[of.head]) for of in inputs.targets.values()),
        joints=tuple(make_budget(inputs, region) for region in inputs.library.regions),
        settings=settings,
        implements_wanted=settings.variety_implements if variety.implements is None else variety.implements,
        families_wanted=variety.families,
        variety_must=variety.must,
        keep=len(inputs.last_week) if variety.keep is None else variety.keep,
        last_week=inputs.last_week & {candidate.key for candidate in candidates},
        last_plan=inputs.last_plan,
        lifted_elsewhere=lifted_elsewhere(inputs),
        preferred=tuple(key for key in brief.preferences.prefer if key in known),
        pins=pinned_sets(inputs),
        capped={key: most for key, most in inputs.capped.items() if key in known},
        quiet_trapezius=brief.preferences.trapezius,
        paired=brief.preferences.paired,
        known=inputs.known,
        skilled=skill_of(inputs) >= settings.skill_advanced,
        learning=skill_of(inputs) <= settings.skill_novice,
        lost_kinds={key: (one.family, one.trains or "") for key, one in exercises if key not in known},
    )


def lifted_elsewhere(inputs: Inputs) -> frozenset[tuple[str, str]]:
    """Give day and hard-worked head of each lift of several joints that the athlete does elsewhere on a named day."""
    least = week_settings(inputs).pair_working_credit
    lifts = ((inputs.library.exercises[key], done.day) for key, done in inputs.brief.elsewhere.items())
    return frozenset(
        (head, day)
        for one, day in lifts
        if day and one.multi_joint
        for head, credit in inputs.credits_of(one).items()
        if credit >= least
    )


def plannable_candidates(inputs: Inputs) -> tuple[Candidate, ...]:
    """Give what may be planned, in library order: worth something to a head, or wanted by name."""
    by_name = {*inputs.brief.preferences.pin, *inputs.brief.preferences.prefer}
    admission = Admission(inputs)
    return tuple(
        candidate
        for place, exercise in enumerate(inputs.library.exercises.values())
        if not admission.reason(exercise)
        for candidate in [make_candidate(inputs, exercise, place)]
        if candidate.credits or exercise.key in by_name
    )


def pinned_sets(inputs: Inputs) -> Plan:
    """Give the coach's pins on days still to come, and the sets of what was done."""
    pins: dict[tuple[str, str], int] = {
        (key, pin.day): inputs.part_of(pin.sets)
        for key, pin in inputs.brief.preferences.pins
        if pin.day not in inputs.states
    }
    return {**pins, **inputs.trained}


def week_settings(inputs: Inputs) -> WeekSettings:
    """Give the week's settings with what a novice may repeat, and the share of a target that the brief names."""
    share, week = inputs.brief.variety.share, inputs.week
    if inputs.brief.athlete.training_status == "novice":
        repeats, block = week.repeat_sessions_novice, week.short_block_sets_novice
        week = week.but(share_of_target=week.share_novice, repeat_sessions=repeats, short_block_sets=block)
    return week if share is None else week.but(share_of_target=share)


def make_candidate(inputs: Inputs, exercise: Exercise, place: int) -> Candidate:
    """Give an exercise as the model sees it."""
    watched = [head.key for head in inputs.library.heads.values() if head.role == "watched"]
    trains, preferred = exercise.trains or "", inputs.brief.preferences.prefer
    family = inputs.library.families[exercise.family]
    better = any(inputs.library.exercises[key].trains == exercise.trains for key in preferred)
    return Candidate(
        key=exercise.key,
        place=place,
        family=exercise.family,
        implement=exercise.implement,
        station=exercise.needs,
        credits=inputs.credits_of(exercise),
        trains=trains if trains in inputs.targets else "",
        grades={region: stress.grade for region, stress in exercise.stress.items()},
        trapezius=sum(inputs.ratio(head, exercise.key) for head in watched),
        set_seconds=exercise.work_seconds * exercise.sides + exercise.rest_seconds,
        block_seconds=exercise.setup_seconds
        + exercise.warmup_sets * inputs.week.warmup_set_seconds * exercise.sides
        - exercise.rest_seconds,
        multi_joint=exercise.multi_joint,
        rest_seconds=exercise.rest_seconds,
        warmup_sets=exercise.warmup_sets,
        skill=exercise.skill,
        choice=choice_of(inputs, exercise),
        unasked=better and exercise.key not in preferred,
        main_lift=family.main_lift and bool(trains),
        version_of=family.version_of or "",
    )


def choice_of(inputs: Inputs, exercise: Exercise) -> int:
    """How soon a coach reaches for an exercise: 1 if it is named or among the best of those recorded for its head, later if
    the recordings say that it does little, if others were recorded, or where a novice would do one side after the other."""
    if exercise.key in {*inputs.brief.preferences.prefer, *inputs.brief.preferences.pin}:
        return 1
    head, known = exercise.trains or "", inputs.library.exercises
    recorded = [key for key in inputs.recorded if head and known[key].trains == head]
    if exercise.key not in recorded:
        later = recorded or (exercise.sides > 1 and inputs.brief.athlete.training_status == "novice")
        return max(exercise.choice, SECOND) if later else exercise.choice
    best = max(inputs.ratio(head, key) for key in recorded)
    good = inputs.ratio(head, exercise.key) >= inputs.week.recorded_good_share * best
    return 1 if good else min(SPECIAL, exercise.choice + 1)


def make_session(
    inputs: Inputs, candidates: tuple[Candidate, ...], session: Session, tender: frozenset[str]
) -> SessionKind:
    """Give a session with the seconds left after the warm-up and the candidates that its gym can hold.

    `tender`: joint regions that are not clear.
    Raises FaultyInput where the warm-up is longer than the session.
    """
    state = inputs.states.get(session.day, "planned")
    there = [one for one in candidates if may_hold(inputs, one.key, session)]
    warmup = inputs.week.general_warmup_minutes
    seconds = 60 * (session.minutes - warmup)
    if seconds < 0 and state == "planned":
        read = f"{session.minutes} min, and a general warm-up of {warmup} min"
        remedy = "Give it more minutes, or lower `general_warmup_minutes` in [method]"
        raise FaultyInput([Fault("brief.toml", f"session {session.day}", read, remedy)])
    allowed = frozenset(one.key for one in there if is_called_for(inputs, one, there, tender))
    return SessionKind(session.day, session.day, session.gym, max(0, seconds), allowed, state)


def may_hold(inputs: Inputs, key: str, session: Session) -> bool:
    """Whether a session's gym has what an exercise needs, and the brief does not keep it off that day."""
    exercise, off = inputs.library.exercises[key], inputs.brief.preferences.not_on.get(key, ())
    return session.day not in off and not lacks(exercise, room_of(inputs, session.gym))


def beside_others(inputs: Inputs, head: str, candidates: tuple[Candidate, ...]) -> float:
    """Direct sets that a head without own movements gets while the other heads are trained to their targets, no further.

    Σ over the other heads h of T[h] · the most that one of their own movements gives the head beside a direct set of h.
    """
    most: dict[str, float] = {}
    for one in candidates:
        own, sessions = one.credits.get(one.trains), inputs.brief.session
        if own and head in one.credits and any(may_hold(inputs, one.key, session) for session in sessions):
            most[one.trains] = max(most.get(one.trains, 0.0), one.credits[head] / own)
    return sum(inputs.targets[of].target * ratio for of, ratio in most.items())


def is_called_for(
    inputs: Inputs, candidate: Candidate, there: list[Candidate], tender: frozenset[str]
) -> bool:
    """Whether a room needs an exercise that coaches reach for only for a reason: it is named, or too little usual does its work.

    A main lift has its work done by one usual own movement of its head, another own movement by two, what helps by any.
    What was in last week's plan may stay. What loads a region that is not clear is never a room's second movement. Of one
    kind (family and implement) the first few are enough: the mildest where a region is not clear, then the most usual.
    """
    wishes, usual = inputs.brief.preferences, inputs.week.usual_choice
    if candidate.key in {*wishes.prefer, *wishes.pin, *inputs.last_week} | inputs.recorded | inputs.known:
        return True
    if candidate.choice <= usual:
        kind, rank = kin_of(candidate), in_its_kind(candidate, tender)
        there = [one for one in there if one.choice <= usual and kin_of(one) == kind]
        better = sum(in_its_kind(one, tender) < rank for one in there)
        return better < inputs.week.usual_of_a_kind
    head = candidate.main_head
    rest = [one for one in there if one.choice <= usual and (one.trains or one.main_head) == head]
    if not candidate.trains:
        return not rest
    own = [one for one in rest if one.trains]
    loads = any(grade and region in tender for region, grade in candidate.grades.items())
    alone = candidate.main_lift or loads or not candidate.station  # never a room's second movement
    return len(own) < (1 if alone else inputs.week.usual_own_movements)


def kin_of(candidate: Candidate) -> tuple[str, str, str]:
    """What exercises of one kind share, each implement by itself: a room keeps some with everything that it has."""
    return candidate.family, candidate.implement, candidate.trains


def in_its_kind(candidate: Candidate, tender: frozenset[str]) -> tuple[int, int, int]:
    """Sort key among exercises of one kind: stress where a region is not clear, then how usual, then the library's order."""
    return sum(candidate.grades.get(region, 0) for region in tender), candidate.choice, candidate.place


def make_goal(inputs: Inputs, target: HeadTarget, beside: float | None) -> HeadGoal:
    """Give a head's goal with what is done elsewhere.

    Where no room has an own movement, all that helps counts, up to the direct sets that it gets `beside` the others: else
    another head would be trained past its ceiling for its sake.
    """
    own, helping = elsewhere_doses(inputs, target)
    has_own, share = beside is None, inputs.week.aside_share
    if beside is not None:
        share = max(share, min(1.0, (beside + helping) / target.target)) if target.target else 1.0
    wish = inputs.brief.target.get(target.head)
    others = (one.priority for one in inputs.targets.values() if one.head != target.head)
    families = inputs.library.families.values()
    lifted = any(one.main_lift and one.trains == target.head for one in families)
    leads = has_own and target.priority > max(others, default=math.inf)
    sessions = inputs.week.spread_sessions if target.sessions is None else target.sessions
    usual = inputs.week.own_share * (has_own and not lifted)
    return HeadGoal(
        **vars(target) | {"sessions": sessions}, elsewhere_own=own, elsewhere_helping=helping, aside_share=share,
        has_own=has_own, own_share=inputs.week.own_share_first if leads else usual,
        ceiling_weight=inputs.week.now_ceiling_weight if wish and wish.now is not None else 1.0,
    )  # fmt: skip


def elsewhere_doses(inputs: Inputs, target: HeadTarget, counting: str | None = None) -> tuple[float, float]:
    """Direct sets from elsewhere by own movements (at most half of the target) and by what helps.

    What the coach calls `whole` counts as own, and may cover a whole target.
    """
    whole = own = helping = 0.0
    for key, done in inputs.brief.elsewhere.items():
        exercise = inputs.library.exercises[key]
        dose = inputs.credit_of(exercise, target.head, counting) * done.sets
        if done.whole:
            whole += dose
        elif exercise.trains == target.head:
            own += dose
        else:
            helping += dose
    own = min(own, inputs.week.elsewhere_share * target.target)
    return round(whole + own, DIGITS), round(helping, DIGITS)


def careful_regions(inputs: Inputs) -> frozenset[str]:
    """Give the joint regions that are not clear."""
    allowances = joint_allowances(inputs.brief, inputs.library)
    return frozenset(region for region, word in allowances.items() if word != "clear")


def make_budget(inputs: Inputs, region: str) -> JointBudget:
    """Give a region's weekly budget by its allowance, and what sets done elsewhere on a named day use of it."""
    allowance = joint_allowances(inputs.brief, inputs.library)[region]
    allowed = {
        "clear": inputs.week.joint_budget_clear,
        "careful": inputs.week.joint_budget_careful,
        "avoid": inputs.week.joint_budget_avoid,
    }[allowance]
    used = sum(
        stress.grade * done.sets
        for key, done in inputs.brief.elsewhere.items()
        if done.day and (stress := inputs.library.exercises[key].stress.get(region))
    )
    easy = inputs.week.joint_easy_share if allowance == "clear" else 0.0
    return JointBudget(region, allowed, float(used), easy)
