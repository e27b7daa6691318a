"""Recordings: a folder handed in, measured, its splits put right, and its rows taken into the athlete's evidence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import tomlkit
from starlette.exceptions import HTTPException
from starlette.responses import Response

from library.errors import Fault, FaultyInput, PaperNotMade, PlannerError, as_written, listed
from library.files import read_text
from planner.athlete.writing import OWNER_FOLDER, athlete_lock, write_safely
from planner.desk.app import Visit, inner, said, told
from planner.desk.proposals import PRINTING
from planner.desk.room import stamp
from planner.desk.toml_edit import number_of
from planner.document import exercises_of
from planner.week.gather import gather

if TYPE_CHECKING:
    from planner.emg.figures import MeasuredSession, Picture

SESSION_FILE, RECORDINGS = "session.toml", "recordings"
FILE_NAME = re.compile(r"\w[\w .-]{0,80}", re.ASCII)


def measure(visit: Visit) -> Response:
    """Show the recordings there are, or the report of ?session=; take in a folder that is handed in."""
    if visit.request.method == "POST":
        try:
            visit.desk.said.append(f"Kept in {_taken_in(visit)}.")
        except FaultyInput as error:
            return _page(visit, error)
    return _page(visit)


def _page(visit: Visit, error: FaultyInput | None = None) -> Response:
    """Show the recordings there are, and the report of those that the address or the form names."""
    name, values = visit.text("session"), dict[str, Any](report="", trials=[])
    faults = [*error.faults] if error else []
    if name:
        measured, html = _measured(visit, _session(visit, name))
        values, faults = {"report": inner(html), "trials": _trials(measured)}, [*faults, *measured.faults]
    values |= {"sessions": list(_sessions(visit)), "shown": name}
    return visit.page("measure.html", faults=[*map(said, faults)], **values)


def _sessions(visit: Visit) -> dict[str, Path]:
    """Give the athlete's folders of recordings by name; a name in a request is only ever looked up here."""
    base = visit.folder / RECORDINGS
    folders = [base, *sorted(base.iterdir())] if base.is_dir() and not base.is_symlink() else []
    return {one.name: one for one in folders if (one / SESSION_FILE).is_file() and not one.is_symlink()}


def _session(visit: Visit, name: str) -> Path:
    folder = _sessions(visit).get(name)
    if folder is None:
        raise HTTPException(404, "There are no such recordings.")
    return folder


def _measured(visit: Visit, folder: Path) -> tuple[MeasuredSession, str]:
    """Measure a folder as `planner measure` does, once as long as its files are the same."""
    from planner.emg.measuring import measure_session
    from planner.emg.report import rankings, report_html
    from planner.emg.session import read_session

    def work() -> tuple[MeasuredSession, str]:
        measured = measure_session(read_session(folder, visit.library))
        return measured, report_html(measured, rankings(measured))

    return visit.later("measure", (folder, stamp(folder.iterdir())), work)


def _taken_in(visit: Visit) -> Path:
    """Keep a folder of recordings with the athlete: session.toml and the files that it names, no other."""
    uploads = visit.files()
    files = {re.split(r"[/\\]", one.filename or "")[-1]: one for one in uploads}
    if SESSION_FILE not in files:
        raise FaultyInput([Fault("your folder", "", f"no {SESSION_FILE}", "Hand in the whole folder")])
    text = files[SESSION_FILE].file.read()
    try:
        data = tomllib.loads(text.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise FaultyInput([Fault(SESSION_FILE, "", str(fault), "Mend it with an editor")]) from None
    rows = [row for name in ("trial", "reference") for row in data.get(name, ()) if isinstance(row, dict)]
    names = dict.fromkeys(str(row[key]) for row in rows for key in ("file", "motion_file") if row.get(key))
    odd = [name for name in names if not FILE_NAME.fullmatch(name)]
    missing = [name for name in names if name not in files and name not in odd]
    remedy = "Plain names of files in the same folder are read"
    faults = [Fault(SESSION_FILE, "", f"names {as_written(name)}", remedy) for name in odd]
    if missing:
        faults += [Fault("your folder", "", f"lacks {listed(missing)}", "Hand in the whole folder")]
    if faults:
        raise FaultyInput(faults)
    base = visit.folder / RECORDINGS
    with athlete_lock(visit.folder):
        base.mkdir(OWNER_FOLDER, exist_ok=True)
        day = visit.today.isoformat()
        number = next(at for at in range(1, 1000) if not (base / f"{day}-{at}").exists())
        place = base / f"{day}-{number}"
        place.mkdir(OWNER_FOLDER)
        for name in names:
            write_safely(place / name, files[name].file.read())
        write_safely(place / SESSION_FILE, text)
    return place


def _trials(measured: MeasuredSession) -> list[dict[str, Any]]:
    """Give every set with its repetitions and, where it could be measured, its envelopes to mark them on."""
    known, books = {one.number: one for one in measured.trials}, measured.read.library.exercises
    rows = []
    for number, trial in enumerate(measured.read.session.trial, start=1):
        result = known.get(number)
        row: dict[str, Any] = {"label": books[trial.exercise].name, "seconds": 0, "curves": []}
        spans = trial.repetitions if isinstance(trial.repetitions, tuple) else ()
        if result:  # start, stop and, where it is known, the turn between lifting and lowering
            spans = tuple((of.start, of.stop, *(of.lift or ())[1:2]) for of in result.repetitions)
            curves = [_curve(of.picture) for of in result.channels.values()]
            row = {"label": result.label, "seconds": result.seconds, "curves": curves}
        lines = (" ".join(f"{second:.2f}" for second in span) for span in spans)
        rows.append({**row, "rows": "\n".join(lines)})
    return rows


def _curve(picture: Picture) -> str:
    """Write an envelope as points: seconds across, its own maximum to 100 up."""
    most = max(picture.values, default=0.0) or 1.0
    pairs = zip(picture.seconds, picture.values, strict=True)
    return " ".join(f"{second:.2f},{100 - 100 * value / most:.0f}" for second, value in pairs)


def blank(visit: Visit) -> Response:
    """Give a session.toml to fill in, for the recordings that would tell most, or its sheet, as `measure --plan` does;
    or the sheet of `measure --placement`, or a report as a paper."""
    from planner.emg.next_recordings import blank_session, plan_recordings, sheet_html
    from planner.emg.report import placement_html
    from planner.sheets.render import html_to_pdf

    sheet, planned = visit.text("sheet"), plan_recordings(gather(visit.folder, None, visit.today))
    if sheet:
        known = _measured(visit, _session(visit, visit.text("session"))) if sheet == "report" else None
        html = known[1] if known else placement_html() if sheet == "placement" else sheet_html(planned)
        try:
            with PRINTING:
                paper, kind = html_to_pdf(html), "application/pdf"
        except PaperNotMade as fault:
            paper, kind = fault.html.encode(), "text/html"
        return Response(paper, media_type=kind, headers={"Content-Disposition": "inline"})
    headers = {"Content-Disposition": f'attachment; filename="{SESSION_FILE}"'}
    return Response(blank_session(planned), media_type="application/toml", headers=headers)


def split(visit: Visit) -> Response:
    """Write the repetitions of a trial into session.toml, and measure again."""
    name, trial = visit.text("session"), visit.text("trial")
    file = (folder := _session(visit, name)) / SESSION_FILE
    before = read_text(file, SESSION_FILE)
    data = tomlkit.parse(before)
    trials: Any = data.get("trial", [])
    if not trial.isdecimal() or int(trial) >= len(trials):
        raise HTTPException(404, "There is no such set.")
    lines = [line.split() for line in visit.text("rows").splitlines()]
    trials[int(trial)]["repetitions"] = [[number_of(word) for word in line] for line in lines if line]
    from planner.emg.session import read_session

    with athlete_lock(visit.folder):
        write_safely(file, tomlkit.dumps(data))
        try:
            read_session(folder, visit.library)
        except BaseException as error:
            write_safely(file, before)
            if not isinstance(error, FaultyInput):
                raise
            return _page(visit, error)
    visit.desk.said.append(f"{SESSION_FILE} says the repetitions of set {int(trial) + 1} now.")
    return visit.go("measure", query=f"?session={quote(name)}")


def evidence(visit: Visit) -> Response:
    """Add the rows to the athlete's evidence, as `planner measure --into` does; show the week before and after."""
    from planner.emg.evidence import add_to_athlete, added_text, rows_of, week_beside

    library, folder = visit.library, _session(visit, visit.text("session"))
    measured, _ = _measured(visit, folder)
    rows, left_out = rows_of(measured)
    same = bool(visit.text("same_person"))
    try:
        added = add_to_athlete(visit.folder, library, measured, rows, same_person=same)
    except FaultyInput as error:
        return _page(visit, error)
    parts = [added_text(added, library, visit.folder), *(f"Not kept as evidence: {why}" for why in left_out)]
    values: dict[str, Any] = {"heads": library.heads}
    try:
        if added.moves:
            beside = week_beside(visit.folder, library, added, visit.today)
            first = exercises_of(beside.weeks["before"])
            values |= {"weeks": beside.weeks, "first": first, "lines": [beside.document["said"]]}
    except PlannerError as error:
        parts += ["The rows are filed; next week cannot be planned:", *told(error)]
    return visit.page("evidence.html", text="\n\n".join(parts), **values)
