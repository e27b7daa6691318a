"""The next load: double progression, in the loads that the gym can make. All sets of the last trained week at the top
of the range at the asked effort: the next load, 2-10 % up. Where the smallest step is more than 10 %, repetitions bridge
it; what a big step leaves of them is predicted by Epley's formula, though none was made for raises. Effort off what was
asked: 4 % a point. Far too light: no step but a search. What was done counts in the same gym and unit only."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean

from library.schema import Exercise
from planner.athlete.gym import Gym
from planner.log.blank import MEANS, WITHOUT_NUMBER
from planner.log.record import LoggedSet
from planner.method import TRAIN, TrainSettings
from planner.plain import AGAIN, ROUNDING, counted
from planner.train import loads
from planner.train.loads import AS_BEFORE, Asked, Ease, LastTime, NextLoad, heaviest_within, lightest_from

Reps = tuple[int, int]  # the lowest and the highest of a range
HOLD = "As last time, no more."
FIRST_TIME = (  # how to find the load of an exercise that has no history in this gym
    "First time here: begin plainly light ({means}), do {of.low}, rest, go up. The first set of {of.low}–{of.high} "
    "that leaves {of.rir:g} in reserve has the load: three tries are enough."
)
BEGIN_WITH = "Begin with {:g} {}, then up or down until {}–{} reps leave {:g} in reserve."
FEWER = "Fewer repetitions than usual: no lighter weight here is near."
BIG_STEP = "The next load is a big step: go up to {} repetitions before it."
LIGHTER = "Lighter on purpose: stop at {} repetitions, even if more are left."
NO_HEAVIER = "Stay with this weight: up to {} repetitions, then lower more slowly or take a harder version."
NO_LIGHTER = "Nothing so light is listed here: take the lightest there is, and tell your coach."


def next_load(
    history: Iterable[LoggedSet],
    exercise: Exercise,
    gym: Gym,
    asked_reps: Reps,
    asked_rir: float,
    ease: Ease = AS_BEFORE,
    asked_then: Mapping[str, int] = loads.NOTHING_ELSE,
    settings: TrainSettings = TRAIN,
) -> NextLoad:
    """Decide the next load of one exercise in one gym. `history`: its sets in that gym alone, without those of lighter
    weeks. `ease`: what pain or a break leaves. `asked_then`: reserve that past weeks asked, where it was another (blocks)."""
    asked, done = Asked(*asked_reps, asked_rir), list(history)
    if exercise.load_is in WITHOUT_NUMBER:
        last = loads.last_time(done, asked, None, asked_then, settings)
        return _without_number(last, exercise, asked, ease, settings)
    last = loads.last_time(done, asked, gym.unit, asked_then, settings)
    if last is None or last.load is None:
        reason = FIRST_TIME.format(of=asked, means=MEANS[exercise.load_is])
        return NextLoad(None, gym.unit, reason, asked_reps, first_time=True)
    before = loads.load_before(done, last.load, asked, gym.unit, settings)
    earlier = [row for row in done if row.week < last.week]
    here, reps = loads.available_loads(gym, exercise), loads.reps_with(earlier, gym.unit)
    case = Case(exercise, gym.unit, here, last, last.load, asked, settings, before, reps)
    return case.eased(ease) if ease.share < 1 else case.decided(ease)


@dataclass(frozen=True)
class Case:
    """One exercise in its gym: what it can make (None: it lists nothing), last time, and the numbers of the method."""

    exercise: Exercise
    unit: str
    loads: tuple[float, ...] | None
    last: LastTime
    working: float  # last time's load, in `unit`
    asked: Asked
    settings: TrainSettings
    before: LoggedSet | None = None  # the newest set with the heavier load that was held before a cut
    reps_with: Mapping[float, int] = field(default_factory=dict)  # load → repetitions in weeks before

    def decided(self, ease: Ease) -> NextLoad:
        """Decide by what was reached and how hard it was; `ease`: what forbids more than last time, or a search."""
        last, asked, hold = self.last, self.asked, ease.hold
        points, act, spare = last.points_too_hard, self.settings.points_to_act, fmean(last.rirs) - asked.rir
        up = not hold and last.eased <= 0
        if up and (back := self._way_back(ease.slowly)):
            return back
        searches = up and not (ease.slowly or ease.searched)
        if searches and (start := loads.search_from(last, self.loads or (), self.settings)):
            return self._search(start)
        if up and last.least_at(asked.rir) >= asked.high:
            reached = f"Every set reached {min(last.reps)} with {min(last.rirs):g} in reserve"
            return self._step_up(reached, ease.slowly)
        if points >= act:
            return self._step_down(points)
        if hold:
            more = f"stop with {asked.rir:g} in reserve, and no more {hold}."
            able = math.floor(last.least_at(asked.rir)) - ease.lost
            reps = self._below(able) if ease.lost and able < asked.low else None
            return self._answer(self.working, f"{last.shown} last time: same load, {more}", reps)
        if points <= -act and spare > 0:
            easy = last.with_reserve
            if last.eased < 0:
                easy = f"{last.shown} last time, when {asked.rir - last.eased:g} were to stay in reserve"
            return self._answer(self.working, f"{easy}: same load, go on until {asked.rir:g} are in reserve.")
        more = f"a repetition more where below {asked.high}."
        if min(last.sessions[-1]) >= asked.high:
            more = f"{asked.high} in every set of every day, then the next load."
        if last.eased > 0 and spare < 0:
            more = f"fewer repetitions, so that {asked.rir:g} stay in reserve."
        return self._answer(self.working, f"{self.last.shown} last time: same load, {more}")

    def _search(self, start: float) -> NextLoad:
        """Begin a search with `start`; where that is the next load and by what is known leaves fewer repetitions than anybody
        trains, for a range below the one asked."""
        fewest, step = self.settings.fewest_reps, lightest_from(self.loads or (), self.working + 2 * ROUNDING)
        few = min(self.last.predicted(start, self.settings)) < fewest < self.asked.low
        reps = self._below(fewest) if few and start == step else self.asked[:2]
        for_reps = f" for {_span(*reps)}" if reps != self.asked[:2] else ""
        said = f"{self.last.with_reserve}: far too light, to find from {self._text(start)}{for_reps}."
        return self._answer(None, said, reps, note=BEGIN_WITH.format(start, self.unit, *reps, self.asked.rir))

    def _below(self, able: int) -> Reps:
        """The range from so many repetitions up to where the asked one begins."""
        return max(1, able), max(self.asked.low, able + 2)

    def _way_back(self, slowly: bool) -> NextLoad | None:
        """Back to the load before a cut, which is not earned anew: the lighter one was at the top of the range, or so easy
        that the one before lands in it. `slowly`: one step of the gym a week. None: there was no cut, or not yet."""
        if not (self.before and self.before.load and self.working):
            return None
        step = lightest_from(self.loads or (), self.working + 2 * ROUNDING) if slowly else None
        load = min(step or self.before.load, self.before.load)
        fewer = self.settings.extra_reps_a_tenth * 10 * (load / self.working - 1)
        if self.last.least_at(self.asked.rir) < min(self.asked.high, self.asked.low + fewer):
            return None
        back = f"back to {self._text(self.before.load)}, the load of {self.before.date}"
        way = f"{self._text(load)}, on the way " if load < self.before.load else ""
        return self._answer(load, f"{self.last.shown} last time: {way}{back}.")

    def eased(self, ease: Ease) -> NextLoad:
        """A share of the last load; where the gym has nothing so light, or only what is far lighter, a set fewer, or as
        last time and no more."""
        wanted = self.working * ease.share
        most = wanted + self.settings.pain_over_most * self.working
        within = [load for load in self.loads or (round(wanted, 1),) if load <= most + ROUNDING]
        load = min(within, key=lambda load: (abs(load - wanted), load), default=None)
        if load is None or load < wanted * (1 - self.settings.pain_lighter_most) - ROUNDING:
            if ease.hold:
                return self.decided(ease)
            fewer = self.settings.pain_fewer_sets
            return self._answer(self.working, ease.fewer(fewer), fewer_sets=fewer)
        less = f"{loads.percent(1 - ease.share)} less would be {wanted:.4g} {self.unit}, the nearest here is "
        why = "" if self.loads is None or abs(load - wanted) < ROUNDING else less
        reason = f"{ease.why}: {why}{self._text(load)}, {ease.then}"
        return self._answer(load, reason, self.asked[:2], note=LIGHTER.format(self.asked.high))

    def _answer(
        self, load: float | None, reason: str, reps: Reps | None = None, fewer_sets: int = 0, note: str = ""
    ) -> NextLoad:
        """Answer with a load that the gym can make and why, for the asked repetitions unless others are given. The load
        of last time, and a lighter one, keeps its repetitions where they were above these, or where more reserve leaves
        fewer."""
        low, high = reps or (self.asked.low, self.asked.high)
        able = max(1, math.floor(min(self.last.least_at(self.asked.rir), *self.last.reps)))
        if load is not None and load < self.working:
            able = self.reps_with.get(load, 0)
        if reps is None and load is not None and load <= self.working and able > high:
            low, high = able - (high - low), able
        elif reps is None and load == self.working and self.last.eased > 0:
            low = min(low, able)
        if load is not None and self.loads is not None and load not in self.loads:
            load = heaviest_within(self.loads, load)  # what was done is not on the gym's list
            here = "nothing so light" if load is None else self._text(load)
            reason = f"{reason} gym.toml does not list {self.working:g} {self.unit}: {here}, or list it."
        note = (note or NO_LIGHTER) if load is None else note
        return NextLoad(load, self.unit, reason, (low, high), fewer_sets=fewer_sets, note=note)

    def _text(self, load: float) -> str:
        """Write a load with its unit and its change against last time: "22 kg (+10 %)"."""
        change = round(100 * (load / self.working - 1)) if self.working else 0
        return f"{load:g} {self.unit}" + (f" ({change:+d} %)" if change else "")

    def _fine_step(self, slowly: bool) -> float | None:
        """The next load where it is 2-10 % up; farther inside these where the sets were easier, 4 % a point, unless `slowly`."""
        most = self.working * (1 + self.settings.step_share_most)
        step = lightest_from(self.loads or (), self.working * (1 + self.settings.step_share_least))
        if step is None or step > most + ROUNDING:
            return None
        if slowly or not self.exercise.multi_joint:
            return step
        share = -self.last.points_too_hard * self.settings.load_share_per_rpe_point
        return max(step, heaviest_within(self.loads or (), min(self.working * (1 + share), most)) or step)

    def _step_up(self, reached: str, slowly: bool) -> NextLoad:
        """Every set is at the top: the next load of 2-10 %, or repetitions first where the step is coarser."""
        least, most = 1 + self.settings.step_share_least, 1 + self.settings.step_share_most
        if self.loads is None:
            window = f"between {self.working * least:.4g} and {self.working * most:.4g} {self.unit}"
            way = f"up by the station's smallest step, {window}."
            return self._answer(None, f"{reached}: {way}", note=way.capitalize())
        if (step := self._fine_step(slowly)) is not None:
            return self._answer(step, f"{reached}: {self._text(step)}.")
        return self._bridged(lightest_from(self.loads, self.working * least), reached)

    def _bridged(self, step: float | None, reached: str) -> NextLoad:
        """The next load is more than 10 % away: repetitions first, until they have earned it."""
        high, limit = self.asked.high, self.settings.earned_reps_most
        tenths = 10 * (step / self.working - 1) if step and self.working else 0.0
        spanned = self.settings.extra_reps_a_tenth * tenths - (high - self.asked.low)
        extra, beyond = max(0, math.ceil(spanned - ROUNDING)), high + self.settings.extra_reps_most
        needed = min(beyond, high + extra)
        able = min(self.last.predicted(step or 0.0, self.settings))
        few, full = able < self.settings.fewest_reps, self.last.least_at(self.asked.rir) >= beyond
        if step is None or high + extra > limit or (few and full):
            far = "nothing heavier is here" if step is None else f"{self._text(step)} is too far a step"
            most = min(beyond, max(high, min(self.last.reps)) + high - self.asked.low)
            low = max(high, most - high + self.asked.low)  # a range as wide as the asked one
            more = f"{_span(low, most)}, then lower more slowly or take a harder version"
            said, note = f"{reached}, and {far}: {more}.", NO_HEAVIER.format(most)
            return replace(self._answer(self.working, said, (low, most), note=note), dead_end=full)
        if self.last.all_reached(high) and self.last.least_at(self.asked.rir) >= needed:
            least = f"{needed} with {min(self.last.rirs):g} in reserve"
            would = f"Every set would reach {needed} at {self.asked.rir:g} in reserve"
            earned = f"Every set reached {least}" if min(self.last.reps) >= needed else would
            said = f"{earned}, enough for the big step: {self._text(step)}."
            big = able < self.asked.low and tenths > 10 * self.settings.big_step_share + ROUNDING
            return self._answer(step, said, self._below(able) if big else None)
        until = f"{self._text(self.working)} until every set reaches {needed}."
        first = f"The next load is {self._text(step)}: repetitions first, {until}"
        note = BIG_STEP.format(needed) if extra else ""
        low = min(high, needed - high + self.asked.low)  # a range as wide as the asked one
        return self._answer(self.working, first, (low, needed), note=note)

    def _step_down(self, points: float) -> NextLoad:
        """Harder than asked: 4 % a point, to the nearest load, or a heavier one that was held before. Where the range
        holds, or is missed by little and a step is coarse, the same load; so where none is nearer."""
        wanted = self.working * (1 - points * self.settings.load_share_per_rpe_point)
        then = self.asked.rir - max(0.0, self.last.eased)
        harder, said, short = then - fmean(self.last.rirs), self.last.with_reserve, ""
        if harder < self.settings.points_to_act:
            said = f"{self.last.shown} last time"
            short = f", short of {self.asked.low}–{self.asked.high} with {self.asked.rir:g} in reserve"
        if self.loads is None:
            return self._answer(round(wanted, 1), f"{said}: about {self._text(round(wanted, 1))}.")
        load = min(self.loads, key=lambda load: (abs(load - wanted), load))
        held = (
            of for of, did in self.reps_with.items() if load < of < self.working and did >= self.asked.low
        )
        load = max(held, default=load)  # a step that failed is taken back
        able = sorted(max(1, math.floor(reps - self.asked.rir)) for reps in self.last.to_failure)
        low = min(able[0], self.asked.low)
        near = load < self.working <= load * (1 + self.settings.step_share_most)
        finely = near and harder >= self.settings.points_to_act and low < self.asked.low
        if not finely and low >= self.asked.low - self.settings.below_range_most:
            reps = (low, self.asked.high) if low < self.asked.low else None
            build = f", and build up to {self.asked.low}" if min(self.last.reps) < self.asked.low else ""
            reason = f"{said}{short}: same load, stop with {self.asked.rir:g} in reserve{build}."
            return self._answer(self.working, reason, reps)
        far = self.working > load * (1 + self.settings.big_step_share) + ROUNDING
        if load < self.working and (not far or any(load < of < self.working for of in self.loads)):
            return self._answer(load, f"{said}{short}: {self._text(load)}.")
        return self._out_of_range(able, said)

    def _out_of_range(self, able: Sequence[int], said: str) -> NextLoad:
        """The asked reserve leaves too few repetitions (`able`), and loads are coarse: the next lighter one where it
        lands in the range, or where what this one allows is fewer than anybody trains; else what this one allows."""
        asked, beyond = self.asked, self.asked.high + self.settings.extra_reps_most
        lighter = max((load for load in self.loads or () if load < self.working - ROUNDING), default=None)
        tenths = 10 * (self.working / lighter - 1) if lighter else math.inf
        expected = able[0] + self.settings.extra_reps_a_tenth * tenths
        few = fmean(able) <= self.settings.fewest_reps - self.settings.points_to_act
        if lighter is None or (not few and expected > asked.high + ROUNDING):
            low, high = self._below(able[0] if few else min(self.settings.fewest_reps, self.asked.low - 1))
            until = f"{_span(low, high)} with {asked.rir:g} in reserve until every set reaches {high}"
            reason = f"{said}: same load, {until}; no lighter load is near."
            return replace(self._answer(self.working, reason, (low, high), note=FEWER), too_heavy=few)
        high = max(asked.high, min(beyond, max(math.floor(expected), self.reps_with.get(lighter, 0))))
        low = min(asked.high, high - (asked.high - asked.low))  # a range as wide as the asked one
        easy = expected > self.settings.earned_reps_most  # far lighter: as many as anybody trains
        rest = f"{high} at most." if easy else f"by estimate {expected:.0f} repetitions."
        note = LIGHTER.format(high) if easy else ""
        return self._answer(lighter, f"{said}: {self._text(lighter)}, {rest}", (low, high), note=note)


def _span(low: int, high: int) -> str:
    return counted(low, "repetition") if low == high else f"{low}–{high} repetitions"


def _without_number(
    last: LastTime | None, exercise: Exercise, asked: Asked, ease: Ease, settings: TrainSettings
) -> NextLoad:
    """Body weight and bands: repetitions progress; at the top a harder version or band, too few: an easier one."""
    fewer = settings.pain_fewer_sets if ease.share < 1 else 0
    harder, same, easier = AGAIN["band" if exercise.load_is == "band" else "body"]
    if last is None:
        reason, note = f"First time: stop with {asked.rir:g} in reserve and write the repetitions.", ""
    elif fewer:
        reason = note = ease.fewer(fewer)
    else:
        able = min(last.to_failure) - asked.rir + max(0.0, last.eased)
        note = harder if last.all_reached(asked.high) else same
        if able < asked.low - settings.points_to_act or ease.hold:
            note = HOLD if able >= asked.low - settings.points_to_act else easier
        reason = f"{last.shown} last time, asked up to {asked.high} at {asked.rir:g} in reserve. {note}"
    return NextLoad(None, None, reason, (asked.low, asked.high), last is None, fewer, note=note)
