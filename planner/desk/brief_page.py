"""The athlete's files as forms: brief.toml, gym.toml, and both for somebody new; the commands never write them."""

from __future__ import annotations

import contextlib
import hashlib
import re
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import HtmlDiff
from pathlib import Path
from typing import Any

import tomlkit
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response
from tomlkit.exceptions import TOMLKitError

from library.errors import Fault, FaultyInput
from library.files import read_bytes, read_text, read_toml
from library.method import method
from planner.athlete.brief import DAYS
from planner.athlete.reading import BRIEF_FILE, BRIEF_IS, GYM_FILE, GYM_IS, read_athlete
from planner.athlete.writing import OWNER_FOLDER, athlete_lock, write_safely
from planner.desk import fields, week_page
from planner.desk.app import Visit, said
from planner.desk.toml_edit import put
from planner.document import next_week
from planner.method import OVERRIDABLE

NOT_IN_A_NAME = re.compile(r"[^a-z0-9]+")
NAME_LONGEST = 40  # of a folder
NEXT = "All else has a default: change what you know better, then plan the first week."


def brief(visit: Visit) -> Response:
    """Show brief.toml as a form; save it."""
    library = visit.library
    form = Form.open(visit, BRIEF_FILE, BRIEF_IS)
    groups = fields.groups(library, form.data)
    gyms: list[str] = []
    with contextlib.suppress(FaultyInput):  # told at the top of the form
        gyms = list(read_toml(visit.folder / GYM_FILE, GYM_IS))
    keys = {one.name.casefold(): key for key, one in library.exercises.items()}
    form.values = {"groups": groups, "gyms": gyms, "exercises": library.exercises, "keys": keys}
    form.values |= {"wishes": fields.wish_groups(library), "rows_needed": fields.rows_needed}
    form.values["defaults"] = [row for table in OVERRIDABLE for row in method()[table.table].values()]
    every = [field for group in groups for field in group.fields]
    linked = {name: [word] for name, word in visit.request.query_params.items()}  # saved by the coach
    filed = {**fields.answers_of(form.data, every), **linked}
    return form.answer(filed, lambda data, given: fields.fill_in(data, every, given, keys))


def gym(visit: Visit) -> Response:
    """Show gym.toml as a form; save it. A name in the field "new" adds a room."""
    library = visit.library
    form = Form.open(visit, GYM_FILE, GYM_IS)
    new = visit.text("new")
    names = [name for name, room in form.data.items() if isinstance(room, Mapping)]
    form.values = {"gyms": names, "equipment": library.equipment}

    def change(data: Any, given: fields.Answers) -> None:
        fields.fill_in_gyms(data, names, library, given)
        if new and new not in data:
            put(data, (new, "equipment"), ["dumbbells"])

    return form.answer(fields.gym_answers(form.data), change)


def check(visit: Visit) -> Response:
    """Show what all files come to, and every default, as `planner check` does."""
    from planner.check import check_athlete, check_text

    checked = check_athlete(visit.folder, visit.library, next_week(visit.today))
    return visit.page("check.html", text=check_text(checked, visit.library))


def new(visit: Visit) -> Response:
    """Make the two files of somebody new, in a folder named after the person; then show them as forms."""
    rooms, faults, made = _rooms(visit), [], {}
    if visit.request.method == "POST":
        name, made = visit.text("name"), _new_files(visit, rooms)
        key = NOT_IN_A_NAME.sub("_", name.casefold()).strip("_")[:NAME_LONGEST]
        folder = visit.desk.room.folder / (key or "athlete")
        faults = faults_of(visit, made)
        if not any(visit.text(f"session.{day}.minutes") for day in DAYS):
            remedy = "Write the minutes of one day or more"
            faults = [Fault(BRIEF_FILE, "session", "no day has minutes", remedy)]
        if not faults and folder.exists():
            read = f"a folder {folder.name} is there already"
            faults = [Fault(BRIEF_FILE, "athlete.name", read, "Write another name")]
        if not faults:
            folder.mkdir(OWNER_FOLDER)
            with athlete_lock(folder):
                for file, text in made.items():
                    write_safely(folder / file, text)
            visit.desk.said += [f"{name} is here now. {NEXT}"]
            return RedirectResponse(f"/brief/{folder.name}", 303)
    values: dict[str, Any] = {"equipment": visit.library.equipment, "form": visit.form, "rooms": list(rooms)}
    values["at_field"] = at_fields(faults, BRIEF_FILE, tomlkit.parse(made[BRIEF_FILE]) if faults else {})
    return visit.page("new.html", faults=[*map(said, faults)], **values)


def _rooms(visit: Visit) -> dict[str, tuple[str, Any]]:
    """Give the rooms that there are, each once, by what the form calls them: the room's name and its table."""
    rooms: dict[str, tuple[str, Any]] = {}
    for key, folder in visit.desk.room.athletes().items():
        with contextlib.suppress(FaultyInput, TOMLKitError):
            for name, table in tomlkit.parse(read_text(folder / GYM_FILE, GYM_IS)).items():
                if (name, table) not in rooms.values():
                    rooms[f"{name} ({visit.desk.room.known(key, folder).name})"] = (name, table)
    return rooms


def _new_files(visit: Visit, rooms: Mapping[str, tuple[str, Any]]) -> dict[str, str]:
    brief_data, gym_data = tomlkit.document(), tomlkit.document()
    room, table = rooms.get(visit.text("like"), (visit.text("gym") or "gym", None))
    for name in ("name", "training_status"):
        put(brief_data, ("athlete", name), visit.text(name) or None)
    minutes = {name: [visit.text(name)] for name in visit.form}
    fields.fill_in(brief_data, (), minutes | {f"session.{day}.gym": [room] for day in DAYS}, {})
    if table is None:
        table = {"equipment": [str(key) for key in visit.form.getlist("equipment")]}
    gym_data[room] = table
    return {GYM_FILE: tomlkit.dumps(gym_data), BRIEF_FILE: tomlkit.dumps(brief_data)}


@dataclass
class Form:
    """One file of an athlete as a form: `text` and `data` as the file is, `values` what its template needs besides."""

    visit: Visit
    file: str
    text: str
    data: Any
    values: dict[str, Any]

    @classmethod
    def open(cls, visit: Visit, file: str, what: str) -> Form:
        """Read the file. Raises FaultyInput where it is no TOML."""
        path = visit.folder / file
        read_toml(path, what)
        text = read_text(path, what)
        try:
            return cls(visit, file, text, tomlkit.parse(text), {})
        except TOMLKitError as fault:
            raise FaultyInput([Fault(path, "", str(fault), "Mend it with an editor")]) from None

    def answer(self, filed: fields.Answers, change: Callable[[Any, fields.Answers], None]) -> Response:
        """Show the form as `filed`; if it was sent, write the file, unless something is wrong or it has changed."""
        if self.visit.request.method == "GET":
            return self.page(filed, faults_of(self.visit, {}, self.visit.folder), self.data)
        given = {name: [str(one) for one in self.visit.form.getlist(name)] for name in self.visit.form}
        data = tomlkit.parse(self.text)
        change(data, given)
        made = tomlkit.dumps(data)
        path = self.visit.folder / self.file
        with athlete_lock(self.visit.folder):
            if read_text(path, self.file) != self.text or self.visit.text("was") != self.digest:
                read = "it was changed since this form was opened"
                remedy = "Nothing was written: see what your form would change in it"
                return self.page(given, [Fault(self.file, "", read, remedy)], data, made)
            if faults := faults_of(self.visit, {self.file: made}, self.visit.folder):
                return self.page(given, faults, data)
            if made != self.text:
                write_safely(path, made)
        if self.visit.text("plan"):
            return week_page.plan(self.visit)
        done = "is saved" if made != self.text else "stays as it was"
        return self.visit.go(self.file.removesuffix(".toml"), f"{self.file} {done}.")

    @property
    def digest(self) -> str:
        """Which file the form was filled from."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    def page(self, answers: fields.Answers, faults: Sequence[Fault], data: Any, made: str = "") -> Response:
        """Show the form; each fault at the top, and at its field where it has one."""
        both = self.text.splitlines(), made.splitlines(), "the file now", "your form"
        beside = Markup(HtmlDiff().make_table(*both, context=True)) if made else ""
        values = self.values | {"answers": answers, "at_field": at_fields(faults, self.file, data)}
        values |= {"was": self.digest, "difference": beside, "faults": [*map(said, faults)]}
        return self.visit.page(self.file.replace(".toml", ".html"), **values)


def at_fields(faults: Sequence[Fault], file: str, data: Any) -> dict[str, list[str]]:
    """Give what is wrong in a file by the names of its form's fields."""
    at_field: dict[str, list[str]] = {}
    for fault in faults:
        if Path(fault.file).name == file:
            name = re.sub(r"\[\d+\]", "", fault.where)
            if match := re.match(r"session\[(\d+)\]\.(minutes|gym|at)", fault.where):
                name = f"session.{data['session'][int(match[1]) - 1].get('day')}.{match[2]}"
            at_field.setdefault(name, []).append(f"{fault.read}. {fault.remedy}")
    return at_field


def faults_of(visit: Visit, changed: Mapping[str, str], folder: Path | None = None) -> list[Fault]:
    """Read an athlete's two files, some of them changed, as every command does; give what is wrong."""
    with tempfile.TemporaryDirectory() as place:
        for file in (BRIEF_FILE, GYM_FILE):
            if file in changed:
                (Path(place) / file).write_text(changed[file], encoding="utf-8")
            elif folder is not None and (folder / file).exists():
                (Path(place) / file).write_bytes(read_bytes(folder / file, file))
        try:
            read_athlete(Path(place), visit.library)
        except FaultyInput as error:
            return list(error.faults)
    return []
