"""The pages' frame: which address does what, forms read, templates filled in, faults told in words."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from library.errors import Fault, PlannerError
from planner.desk.proposals import Proposals
from planner.desk.room import Room

if TYPE_CHECKING:
    import jinja2

HERE = files("planner.desk")
FIELDS_MOST = 5000  # of one form, our choice: a week's log to type in has a few hundred


@dataclass
class Visit:
    """One request: what it names and brings, and the room it is answered from."""

    desk: Desk
    request: Request
    form: FormData

    @property
    def key(self) -> str:
        """The athlete's key as the address names it; only ever looked up."""
        return str(self.request.path_params["key"])

    @property
    def folder(self) -> Path:
        """The athlete's folder. Raises HTTPException 404 where the listing has no such key."""
        folder = self.desk.room.athletes().get(self.key)
        if folder is None:
            raise HTTPException(404, "No such athlete in this folder.")
        return folder

    def text(self, name: str) -> str:
        """A field of the form as text, empty where there is none."""
        value = self.form.get(name)
        return value.strip() if isinstance(value, str) else ""

    def page(self, template: str, status: int = 200, **values: Any) -> Response:
        """Fill in a template of ours; what was to be said is said once."""
        said, self.desk.said = self.desk.said, []
        values = {"said": said, "faults": (), "folder": self.desk.room.folder, **values}
        return HTMLResponse(templates().get_template(template).render(**values), status)

    def go(self, address: str, *said: str) -> Response:
        """Show another page next, and say there what was done."""
        self.desk.said += said
        return RedirectResponse(f"/{address}/{quote(self.key)}", 303)


@dataclass
class Desk:
    """What the pages share. One request at a time: planning takes a processor, and proposals are shared."""

    room: Room
    proposals: Proposals = field(default_factory=Proposals)
    said: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


Page = Callable[[Visit], Response]


@cache
def templates() -> jinja2.Environment:
    """Our templates; what a file or a person wrote is escaped, a name that is missing is an error."""
    import jinja2

    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(str(HERE / "templates")),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def make_app(room: Room) -> Starlette:
    """Give the application, without its guard."""
    from planner.desk import brief_page, pages, week_page

    desk = Desk(room)

    def route(path: str, name: str, page: Page, *methods: str) -> Route:
        async def endpoint(request: Request) -> Response:
            form = await request.form(max_fields=FIELDS_MOST) if request.method == "POST" else FormData()
            return await run_in_threadpool(answer, Visit(desk, request, form), page)

        return Route(path, endpoint, methods=methods or ("GET",), name=name)

    return Starlette(
        routes=[
            route("/", "sunday", pages.sunday),
            Route("/desk.css", _style, name="style"),
            route("/new", "new", brief_page.new, "GET", "POST"),
            route("/brief/{key:path}", "brief", brief_page.brief, "GET", "POST"),
            route("/gym/{key:path}", "gym", brief_page.gym, "GET", "POST"),
            route("/week/{key:path}", "week", week_page.week),
            route("/plan/{key:path}", "plan", week_page.plan, "POST"),
            route("/edit/{key:path}", "edit", week_page.edit, "POST"),
            route("/undo/{key:path}", "undo", week_page.undo, "POST"),
            route("/discard/{key:path}", "discard", week_page.discard, "POST"),
            route("/sign/{key:path}", "sign", week_page.sign, "POST"),
            route("/instead/{key:path}", "instead", week_page.instead),
            route("/why/{key:path}", "why", week_page.why_page),
            route("/paper/{paper}/{key:path}", "paper", week_page.paper),
            route("/log/{key:path}", "log", pages.log, "GET", "POST"),
            route("/cleared/{key:path}", "cleared", pages.cleared, "POST"),
            route("/progress/{key:path}", "progress", pages.progress, "POST"),
            route("/library", "library", pages.library),
            route("/library/{name}", "exercise", pages.exercise),
        ]
    )


def answer(visit: Visit, page: Page) -> Response:
    """Make a page; what goes wrong is told in words, never as a traceback."""
    try:
        with visit.desk.lock:
            return page(visit)
    except PlannerError as error:
        return visit.page("fault.html", 422, faults=told(error), back=visit.request.headers.get("referer"))
    except HTTPException as error:
        return visit.page("fault.html", error.status_code, faults=[error.detail], back=None)
    except Exception as fault:
        said = f"A fault of ours: {type(fault).__name__}: {fault}"
        return visit.page("fault.html", 500, faults=[said], back=None)


def said(fault: Fault) -> str:
    """Say a fault with the file's name alone: where a form or an upload lay meanwhile is no concern of the coach."""
    return str(Fault(Path(fault.file).name, fault.where, fault.read, fault.remedy))


def told(error: PlannerError) -> list[str]:
    """Say an error line by line."""
    return str(error).splitlines()


async def _style(_: Request) -> Response:
    return PlainTextResponse((HERE / "desk.css").read_text(encoding="utf-8"), media_type="text/css")
