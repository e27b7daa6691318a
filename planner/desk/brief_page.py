"""The athlete's files as forms: brief.toml, gym.toml, and both for somebody new; the commands never write them."""

from __future__ import annotations

import difflib
import hashlib
import re
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import tomlkit
from starlette.responses import RedirectResponse, Response
from tomlkit.exceptions import TOMLKitError

from library.errors import Fault, FaultyInput
from planner.athlete.brief import DAYS
from planner.athlete.reading import BRIEF_FILE, BRIEF_IS, GYM_FILE, GYM_IS, read_athlete
from planner.desk import fields
from planner.desk.app import Visit
from planner.desk.toml_edit import number_of, put, put_rows, value_at
from planner.files.safe import OWNER_FOLDER, athlete_lock, write_safely
from planner.files.text import read_text, read_toml
from planner.method import AthleteSettings

FOLDER_LETTERS = re.compile(r"[^a-z0-9]+")
FOLDER_LONGEST = 40
Files = dict[str, str]


def brief(visit: Visit) -> Response:
    """Show brief.toml as a form; save it."""
    library = visit.desk.room.library
    text = _text(visit.folder, BRIEF_FILE, BRIEF_IS)
    data = tomlkit.parse(text)
    status = str(value_at(data, ("athlete", "training_status")) or "novice")
    doses = AthleteSettings().doses(status if status in ("novice", "intermediate", "advanced") else "novice")
    groups = fields.groups(library, doses)
    every = [field for group in groups for field in group.fields]
    values = {
        "groups": groups,
        "days": DAYS,
        "gyms": list(_data(visit.folder, GYM_FILE)),
        "exercises": [(key, one.name) for key, one in library.exercises.items() if not one.compare_only],
        "by_family": _by_family(visit),
        "rows_needed": fields.rows_needed,
    }
    if visit.request.method == "GET":
        return _form(
            visit, BRIEF_FILE, text, fields.answers_of(data, every), _faults(visit.folder, {}, visit), values
        )
    answers = _answers(visit)
    return _save(visit, BRIEF_FILE, text, answers, values, lambda new: fields.fill_in(new, every, answers))


def gym(visit: Visit) -> Response:
    """Show gym.toml as a form; save it. A name in the field "new" adds a room."""
    library = visit.desk.room.library
    text = _text(visit.folder, GYM_FILE, GYM_IS)
    data = tomlkit.parse(text)
    answers = _answers(visit)
    new = visit.text("new")
    names = [*data, *([new] if new and new not in data else [])]
    values = {"gyms": names, "equipment": library.equipment}
    if visit.request.method == "GET":
        return _form(
            visit, GYM_FILE, text, fields.gym_answers(data), _faults(visit.folder, {}, visit), values
        )

    def change(new_data: Any) -> None:
        if new and new not in new_data:
            new_data[new] = tomlkit.table()
            new_data[new]["equipment"] = ["dumbbells"]
            answers[f"{new}.equipment"] = ["dumbbells"]
        fields.fill_in_gyms(new_data, names, library, answers)

    return _save(visit, GYM_FILE, text, answers, values, change)


def new(visit: Visit) -> Response:
    """Make the two files of somebody new, in a folder named after the person; then show them as forms."""
    room = visit.desk.room
    if visit.request.method == "GET":
        return visit.page("new.html", days=DAYS, equipment=room.library.equipment, form={})
    name, gym_name = visit.text("name"), visit.text("gym") or "gym"
    brief_data, gym_data = tomlkit.document(), tomlkit.document()
    status = visit.text("training_status")
    put(brief_data, ("athlete", "name"), name or None)
    put(brief_data, ("athlete", "training_status"), status or None)
    minutes = {day: visit.text(f"minutes.{day}") for day in DAYS}
    sessions = [
        {"day": day, "minutes": number_of(text), "gym": gym_name} for day, text in minutes.items() if text
    ]
    put_rows(brief_data, "session", "day", sessions)
    equipment = [str(key) for key in visit.form.getlist("equipment")]
    put(gym_data, (gym_name, "equipment"), equipment)
    made = {BRIEF_FILE: tomlkit.dumps(brief_data), GYM_FILE: tomlkit.dumps(gym_data)}
    faults = _faults(None, made, visit)
    if not faults:
        folder = room.folder / (
            FOLDER_LETTERS.sub("_", name.casefold()).strip("_")[:FOLDER_LONGEST] or "athlete"
        )
        if folder.exists():
            faults = [
                Fault("new athlete", "name", f"a folder {folder.name} is there already", "Write another name")
            ]
    if faults:
        return visit.page(
            "new.html",
            422,
            faults=list(map(said, faults)),
            days=DAYS,
            equipment=room.library.equipment,
            form=visit.form,
        )
    folder.mkdir(OWNER_FOLDER)
    with athlete_lock(folder):
        for file in (GYM_FILE, BRIEF_FILE):
            write_safely(folder / file, made[file])
    visit.desk.said.append(
        f"{folder.name} is made. Everything else has a default: change what you know better."
    )
    return RedirectResponse(visit.request.url_for("brief", key=folder.name).path, 303)


def _save(
    visit: Visit,
    file: str,
    text: str,
    answers: dict[str, list[str]],
    values: dict[str, Any],
    change: Callable[[Any], None],
) -> Response:
    """Write the file with its answers put in, if nothing is wrong with them and it is as it was when the form opened."""
    data = tomlkit.parse(text)
    change(data)
    made = tomlkit.dumps(data)
    with athlete_lock(visit.folder):
        if visit.text("was") != _digest(_text(visit.folder, file, file)):
            faults = [
                Fault(file, "", "it was changed since this form was opened", "Nothing was written: see below")
            ]
            return _form(
                visit, file, text, answers, faults, {**values, "difference": _difference(text, made)}
            )
        faults = _faults(visit.folder, {file: made}, visit)
        if faults:
            return _form(visit, file, text, answers, faults, values, data)
        if made != text:
            write_safely(visit.folder / file, made)
    return visit.go(
        file.removesuffix(".toml"), f"{file} is saved." if made != text else f"{file} stays as it was."
    )


def _form(
    visit: Visit,
    file: str,
    text: str,
    answers: dict[str, list[str]],
    faults: Sequence[Fault],
    values: dict[str, Any],
    data: Any = None,
) -> Response:
    """Show a form with its answers; each fault at the top, and at its field where it has one."""
    at_field: dict[str, list[str]] = {}
    for fault in faults:
        if Path(fault.file).name == file:
            name = fields.place_in_form(fault.where, tomlkit.parse(text) if data is None else data)
            at_field.setdefault(name, []).append(f"{fault.read}. {fault.remedy}")
    values = {"difference": "", **values, "answers": answers, "at_field": at_field, "was": _digest(text)}
    wishes = (name.partition(".") for name, given in answers.items() if given[0])
    values["wished"] = [word for sort, _, word in wishes if sort == "wish"]
    template = "brief.html" if file == BRIEF_FILE else "gym.html"
    failed = visit.request.method == "POST"
    return visit.page(
        template, 422 if failed else 200, faults=list(map(said, faults)), key=visit.key, **values
    )


def _answers(visit: Visit) -> dict[str, list[str]]:
    answers: dict[str, list[str]] = {}
    for name, value in visit.form.multi_items():
        if isinstance(value, str):
            answers.setdefault(name, []).append(value)
    return answers


def _text(folder: Path, file: str, what: str) -> str:
    """Read a file that is to be changed. Raises FaultyInput with what is broken."""
    read_toml(folder / file, what)
    text = read_text(folder / file, what)
    try:
        tomlkit.parse(text)
    except TOMLKitError as fault:
        raise FaultyInput([Fault(folder / file, "", str(fault), "Mend it with an editor")]) from None
    return text


def _data(folder: Path, file: str) -> dict[str, Any]:
    try:
        return read_toml(folder / file, file)
    except FaultyInput:
        return {}


def _faults(folder: Path | None, changed: Files, visit: Visit) -> list[Fault]:
    """Read an athlete's two files, some of them changed, as every command does; give what is wrong."""
    with tempfile.TemporaryDirectory() as place:
        room = Path(place)
        for file in (BRIEF_FILE, GYM_FILE):
            text = changed.get(file)
            if text is None and folder is not None and (folder / file).is_file():
                text = (folder / file).read_text(encoding="utf-8-sig")
            if text is not None:
                (room / file).write_text(text, encoding="utf-8")
        try:
            read_athlete(room, visit.desk.room.library)
        except FaultyInput as error:
            return list(error.faults)
    return []


def said(fault: Fault) -> str:
    """Say a fault with the file's name alone."""
    return str(Fault(Path(fault.file).name, fault.where, fault.read, fault.remedy))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _difference(now: str, yours: str) -> str:
    lines = difflib.unified_diff(
        now.splitlines(), yours.splitlines(), "the file now", "with this form", lineterm=""
    )
    return "\n".join(lines)


def _by_family(visit: Visit) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """Give families with their exercises, and implements, for the list of wishes."""
    library = visit.desk.room.library
    rows = [
        (
            key if key not in library.exercises else "",
            family.name,
            [(one.key, one.name) for one in library.exercises.values() if one.family == key],
        )
        for key, family in library.families.items()
    ]
    held = [(key, one.name) for key, one in library.implements.items() if key not in library.exercises]
    return [*(row for row in rows if row[2]), ("", "Implements", held)]
