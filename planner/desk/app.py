"""The pages' frame: which address does what, forms read, templates filled in, faults told in words."""

from __future__ import annotations

import asyncio
import datetime
import re
import threading
import tomllib
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from importlib.resources import files
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from library.errors import Fault, FaultyInput, PlannerError
from library.read import Library
from planner.desk.proposals import Jobs, Made, Proposal, Proposals, StillWorking
from planner.desk.room import Room
from planner.sheets.page import fill
from planner.week.gather import shipped

if TYPE_CHECKING:
    from markupsafe import Markup

HERE = files("planner.desk")
# what is said for the terminal elsewhere: a pattern and how a page says it
WORDS = tomllib.loads(HERE.joinpath("words.toml").read_text(encoding="utf-8"))
ASSETS = ("desk.css", "desk.js", "desk.svg", "htmx.js", "htmx-sse.js")  # licence of the last two: htmx.txt
FIELDS_MOST = 5000  # of one form, our choice: a week's log to type in has a few hundred
FILES_MOST = 200  # of one form, our choice: a folder of recordings has a few dozen
WAIT_SECONDS = 0.3  # for what takes long before the page says so, our choice
EVENT_SECONDS = 0.5  # between two looks at what is planned by now, our choice


@dataclass
class Visit:
    """One request: what it names and brings, and the room it is answered from."""

    desk: Shared
    request: Request
    form: FormData

    @property
    def key(self) -> str:
        """The athlete's key as the address names it; only ever looked up."""
        return str(self.request.path_params["key"])

    @property
    def today(self) -> datetime.date:
        """The desk's day."""
        return self.desk.room.today()

    @property
    def library(self) -> Library:
        """The installed library, read once."""
        return shipped()[0]

    @cached_property
    def folder(self) -> Path:
        """The athlete's folder. Raises HTTPException 404 where the listing has no such key."""
        folder = self.desk.room.athletes().get(self.key)
        if folder is None:
            raise HTTPException(404, "No such athlete in this folder.")
        return folder

    def text(self, name: str) -> str:
        """A field of the form, else a word of the address behind the question mark; empty where there is none."""
        value = self.form.get(name, self.request.query_params.get(name))
        return value.strip() if isinstance(value, str) else ""

    def fields(self, **readers: Callable[[str], Any]) -> tuple[dict[str, Any], dict[str, list[str]]]:
        """Read fields of the form; give what is right, and by the field's name what is wrong."""
        right, wrong = dict[str, Any](), dict[str, list[str]]()
        for name, reader in readers.items():
            try:
                right[name] = reader(self.text(name))
            except FaultyInput as error:
                wrong[name] = [f"{fault.read}. {fault.remedy}" for fault in error.faults]
        return right, wrong

    def files(self) -> list[UploadFile]:
        """Give the files of the form; a field left empty brings one without a name."""
        return [one for one in self.form.getlist("file") if isinstance(one, UploadFile) and one.filename]

    def page(self, template: str, **values: Any) -> Response:
        """Fill in a template of ours; what was to be said is said once. Its status is 422 where faults are told."""
        said, self.desk.said = self.desk.said, []
        key, room = self.request.path_params.get("key", ""), self.desk.room
        about = {"said": said, "faults": (), "folder": room.folder, "watch": "", "key": ""}
        if key in room.athletes():  # whose page this is, and which
            name, here = room.standing(key, self.folder).name, self.request.url.path.split("/")[1]
            about |= {"key": key, "who": name, "here": here}
        status = values.pop("status", 422 if values.get("faults") else 200)
        text = fill(template, HERE / "templates", **about | values)
        for pattern, instead in WORDS.items():
            text = re.sub(pattern, instead, text)
        return HTMLResponse(text.replace(f"{room.folder}/", ""), status)  # the page's foot names the folder

    def later(self, what: str, stamp: object, work: Callable[[], Made]) -> Made:
        """Give what takes longer than a page may; meanwhile a page says so and asks again (StillWorking)."""
        seconds = WAIT_SECONDS if self.request.method == "GET" else None
        return self.desk.proposals.jobs.ask((self.request.path_params.get("key"), what), stamp, work, seconds)

    def propose(self, work: Callable[[ModuleType], Proposal]) -> Response:
        """Have a week planned and proposed; `work` is handed the module planning, which is not read before."""
        from planner.desk import planning

        self.desk.proposals.begin(self.folder, lambda: work(planning))
        return self.go("week")

    def go(self, address: str, *said: str, query: str = "") -> Response:
        """Show another page next, and say there what was done."""
        self.desk.said += said
        return RedirectResponse(f"/{address}/{quote(self.key)}{query}", 303)


@dataclass
class Shared:
    """What the pages share, of one desk. One request at a time: planning takes a processor, and proposals are shared."""

    room: Room
    proposals: Proposals = field(default_factory=Proposals)
    said: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


Page = Callable[[Visit], Response]


def make_app(room: Room) -> Starlette:
    """Give the application, without its guard."""
    desk = Shared(room)

    def route(path: str, page: Page, method: str) -> Route:
        async def endpoint(request: Request) -> Response:
            most = {"max_fields": FIELDS_MOST, "max_files": FILES_MOST}
            form = await request.form(**most) if request.method == "POST" else FormData()
            return await run_in_threadpool(answer, Visit(desk, request, form), page)

        return Route(path, endpoint, methods=[method])

    def asset(request: Request) -> Response:
        return FileResponse(str(HERE / Path(request.url.path).name))

    async def events(_: Request) -> Response:
        return StreamingResponse(weeks_left(desk.proposals.jobs), media_type="text/event-stream")

    assets = (Route(f"/{name}", asset) for name in ASSETS)
    app = Starlette(routes=[*assets, Route("/events", events), *(route(*one) for one in pages_by_address())])
    app.state.desk = desk
    return app


async def weeks_left(jobs: Jobs) -> AsyncIterator[str]:
    """Send an event each time that fewer weeks are still to be planned, the last one at 0; a page shows it then."""
    before = -1
    while before:
        left = jobs.weeks_left()
        if left != before:
            yield f"event: week\ndata: {left}\n\n"
        before = left
        await asyncio.sleep(EVENT_SECONDS)


def pages_by_address() -> Iterator[tuple[str, Page, str]]:
    """Give each address with its page and method; an athlete's is called as the function that answers it."""
    from planner.desk import brief_page, log_page, measure_page, pages, week_page

    of_athlete: tuple[tuple[ModuleType, str, str], ...] = (
        (brief_page, "brief gym check", "brief gym"),
        (week_page, "week", "plan edit step discard sign back"),
        (pages, "instead why beside block", "take try_easing block"),
        (log_page, "log progress blank_log", "log cleared progress"),
        (measure_page, "measure blank", "measure split evidence"),
    )
    for module, shown, done in of_athlete:
        for method, names in (("GET", shown), ("POST", done)):
            yield from ((f"/{name}/{{key:path}}", getattr(module, name), method) for name in names.split())
    yield "/paper/{paper}/{key:path}", week_page.paper, "GET"
    yield "/due", pages.plan_due, "POST"
    about = {"/": pages.sunday, "/print": pages.print_all, "/library": pages.library, "/doctor": pages.doctor}
    about |= {"/library/{name}": pages.exercise, "/picture/{name}": pages.picture}
    yield from ((path, page, "GET") for path, page in about.items())
    for method in ("GET", "POST"):
        yield from (("/new", brief_page.new, method), ("/hour", pages.hour, method))


def answer(visit: Visit, page: Page) -> Response:
    """Make a page; what goes wrong is told in words, never as a traceback."""
    try:
        with visit.desk.lock:
            return page(visit)
    except StillWorking:
        return visit.page("waiting.html")
    except PlannerError as error:
        return visit.page("fault.html", faults=told(error))
    except HTTPException as error:
        return visit.page("fault.html", status=error.status_code, faults=[error.detail])
    except Exception as fault:
        return visit.page("fault.html", status=500, faults=[f"A fault of ours: {fault!r}"])


def inner(paper: str) -> Markup:
    """Give what stands on one of our papers, without its head and its frame, to be shown inside a page."""
    from markupsafe import Markup

    body = re.split(r"</header>|<body[^>]*>\s*(?:<h1>.*?</h1>)?", paper)[-1]
    return Markup(re.split(r"<footer>|</body>", body)[0])


def said(fault: Fault) -> str:
    """Say a fault with the file's name alone: where a form or an upload lay meanwhile is no concern of the coach."""
    return str(Fault(Path(fault.file).name, fault.where, fault.read, fault.remedy))


def told(error: PlannerError | None) -> list[str]:
    """Say an error line by line."""
    return str(error).splitlines() if error else []
