"""What was proposed to be recorded: in words, as a sheet of one page with boxes, and as a session.toml to fill in."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from planner.emg.next_recordings import RecordingPlan
from planner.emg.references import tables
from planner.emg.report import html_of, write_paper
from planner.emg.session import NAME
from planner.emg.settings import MeasureSettings, QualitySettings
from planner.files.safe import write_through
from planner.files.text import is_there, refuse
from planner.plain import columns

FOLDER = "recordings_to_make"
SHEET = "recordings_to_make"


def plan_text(planned: RecordingPlan) -> str:
    """Return the sets in order, the tests, and what they would narrow."""
    rows = [(f"{place}", exercise.name) for place, exercise in enumerate(planned.sets, 1)]
    names = planned.library.heads
    ranges = [
        (names[head].name, f"±{was:.1f}", "to", f"±{then:.1f}")
        for head, (was, then) in planned.ranges.items()
    ]
    return "\n".join(
        [
            f"{planned.athlete}: what to record in {planned.gym} to know week {planned.week} better",
            *columns(rows),
            "Maximal tests before them:",
            *columns([("", test.name) for test in planned.tests]),
            "Expected: 90 % range of the planned dose (direct sets a week), today and after:",
            *columns(ranges),
        ]
    )


def write_plan(planned: RecordingPlan, folder: Path) -> tuple[Path, Path]:
    """Write session.toml and the sheet into a folder that has neither yet; raises FaultyInput, PaperNotMade."""
    session = folder / NAME
    for file in (session, folder / f"{SHEET}.pdf", folder / f"{SHEET}.html"):
        if is_there(file):
            raise refuse(file, "", "is there already and stays as it is", "Name another folder with --out")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_through(session, session_toml(planned))
    except OSError as fault:
        raise refuse(
            session, "", f"cannot be written ({fault.strerror})", "Name a folder with --out"
        ) from None
    return session, write_paper(folder, SHEET, sheet_html(planned))


def sheet_html(planned: RecordingPlan) -> str:
    """Return the sheet as HTML, one page."""
    return html_of(
        "recordings.html",
        title=f"Recordings to make: {planned.athlete}",
        planned=planned,
        names={head: planned.library.heads[head].name for head in planned.sensors},
        trials=MeasureSettings().trials_per_test,
        rest=f"{QualitySettings().heart_rest_seconds:g}",
        common=tables()["common"],
    )


def session_toml(planned: RecordingPlan) -> str:
    """Return a session.toml that can be read as it is; what only the day can tell is to be filled in."""
    return "\n".join(_lines(planned)) + "\n"


def _lines(planned: RecordingPlan) -> Iterator[str]:
    yield "# To fill in: date, channels, sides, files; of each set its load, repetitions and what was left in reserve."
    yield f"[session]\nathlete = {json.dumps(planned.athlete, ensure_ascii=False)}"
    yield f"date = {planned.monday}  # the day of the recording"
    for head in planned.sensors:
        yield f'\n[[sensor]]\nchannel = "EMG {head}"  # as the file names it\nmuscle = "{head}"\nside = "right"'
    yield '\n# [motion]\n# kind = "angle"  # or position, accelerometer\n# channels = ["Arm elevation"]'
    for test in planned.tests:
        for trial in range(1, MeasureSettings().trials_per_test + 1):
            yield f'\n[[reference]]\ntest = "{test.key}"\nfile = "reference_{test.key}_{trial}.csv"'
    for place, exercise in enumerate(planned.sets, 1):
        tempo = ", ".join(f"{name} = {seconds}" for name, seconds in exercise.tempo.model_dump().items())
        yield f'\n[[trial]]\nexercise = "{exercise.key}"\nfile = "{place}_{exercise.key}.csv"\norder = {place}'
        yield f"# load =\n# repetitions =\nrir = {planned.rir}\ntempo = {{ {tempo} }}"
