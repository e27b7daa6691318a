"""Looking back: what was planned, what was done, how maxima and pain went, week by week."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from library.method import CreditSettings
from library.read import Library, read_library
from planner.athlete.brief import Brief
from planner.athlete.folder import read_week, weeks
from planner.athlete.method import method_of
from planner.athlete.reading import read_brief
from planner.document import WeekDocument, week_name, week_start
from planner.log.file import read_frame, read_log
from planner.method import TrainSettings, WeekSettings
from planner.train.credits import library_credits, planned_credits
from planner.train.delivered import Delivered, compare, delivered_block
from planner.train.look_back import LookBack, Track, look_back
from planner.train.pain import PainState, pain_rules

ONE_WEEK = datetime.timedelta(days=7)


@dataclass(frozen=True)
class ProgressWeek:
    """One week: sets done, dose delivered a head (direct sets), highest pain (0-10), and how it went to plan.

    `against_plan` None: nothing was planned. `pain` None: none was written.
    """

    week: str
    sets: int
    dose: Mapping[str, float]
    pain: float | None
    against_plan: Delivered | None

    def planned(self, head: str) -> float | None:
        """Return a head's planned direct sets; None where no plan holds the head."""
        heads = self.against_plan.heads if self.against_plan else ()
        return next((item.planned for item in heads if item.head == head), None)


@dataclass(frozen=True)
class Progress:
    """Everything that is looked back at; weeks oldest first, without gaps."""

    brief: Brief
    library: Library
    heads: tuple[str, ...]
    weeks: tuple[ProgressWeek, ...]
    tracks: tuple[Track, ...]
    pain: PainState
    settings: TrainSettings

    def newest(self, count: int | None) -> Progress:
        """Return the newest so many weeks; None: all."""
        return self if count is None else replace(self, weeks=self.weeks[-count:])

    @property
    def block(self) -> Delivered | None:
        """All planned weeks added up; None where nothing was planned."""
        planned = [week.against_plan for week in self.weeks if week.against_plan]
        return delivered_block(planned) if planned else None


def read_progress(folder: Path, today: datetime.date) -> Progress:
    """Read an athlete's log and planned weeks up to `today`. Raises FaultyInput."""
    library = read_library()
    brief = read_brief(folder, library)
    settings = method_of(brief, TrainSettings)
    documents = {name: read_week(folder, name) for name in weeks(folder)}
    credits = library_credits(
        library, method_of(brief, CreditSettings), method_of(brief, WeekSettings).counting
    )
    credits |= planned_credits(documents.values())
    heads = tuple(head.key for head in library.heads.values() if head.role == "trained")
    multi_joint = [key for key, exercise in library.exercises.items() if exercise.multi_joint]
    summary = look_back(read_frame(folder), credits, heads, multi_joint, settings)
    past = {name: document for name, document in documents.items() if name <= week_name(today)}
    return Progress(
        brief=brief,
        library=library,
        heads=heads,
        weeks=tuple(_weeks(summary, past, credits, heads)),
        tracks=summary.tracks,
        pain=pain_rules(read_log(folder), library, today + datetime.timedelta(days=1), settings),
        settings=settings,
    )


def _weeks(
    summary: LookBack,
    documents: Mapping[str, WeekDocument],
    credits: Mapping[str, Mapping[str, float]],
    heads: Sequence[str],
) -> list[ProgressWeek]:
    logged = {name: place for place, name in enumerate(summary.weeks)}
    found = []
    for name in _without_gaps([*logged, *documents]):
        place = logged.get(name)
        done = {} if place is None else summary.done[place]
        document = documents.get(name)
        found.append(
            ProgressWeek(
                week=name,
                sets=sum(done.values()),
                dose={head: 0.0 if place is None else summary.dose[head][place] for head in heads},
                pain=None if place is None else summary.pain[place],
                against_plan=compare(document, done, credits) if document else None,
            )
        )
    return found


def _without_gaps(names: Sequence[str]) -> list[str]:
    """Return every week from the first named to the last."""
    if not names:
        return []
    day, last = week_start(min(names)), week_start(max(names))
    found = []
    while day <= last:
        found.append(week_name(day))
        day += ONE_WEEK
    return found
