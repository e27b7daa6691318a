"""What every paper is written with: the desk, templates filled in, styles; text from files is escaped."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from importlib.resources import files
from typing import Any

from library.read import Library
from planner import plain
from planner.athlete.brief import Allowance, Brief
from planner.document import WeekDocument
from planner.method import SheetSettings
from planner.plain import name_of
from planner.sheets import say
from planner.sheets.say import _

DEFAULTS = SheetSettings()
HERE = files("planner.sheets")
# for templates
PLAIN = "AIMS DAY_NAMES WORTH columns counted day_name decimals gap_words joined number proof_line signed unit_words week_of"
PAGE_MILLIMETRES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


@dataclass(frozen=True)
class Desk:
    """Everything at hand while a paper is written; `places`: gym -> equipment -> where it stands there. `recorded`:
    days (ISO) of the athlete's own recordings that count in the week."""

    document: WeekDocument
    library: Library
    brief: Brief
    settings: SheetSettings = DEFAULTS
    places: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    recorded: tuple[str, ...] = ()

    @property
    def words(self) -> Any:
        """Our texts, in the language that is spoken here."""
        return say.read_words()

    @cached_property
    def allowed(self) -> dict[str, Allowance]:
        """What each joint region allows, as the week was planned."""
        from planner.athlete.targets import joint_allowances

        return joint_allowances(self.brief, self.library)

    def name(self, key: str) -> str:
        """Give the printed name of any key, as it begins a line."""
        return say.sentence(_(name_of(self.library, key)))


def nothing_left(document: WeekDocument) -> str:
    """Say why no session of a week has work: it waits for a doctor, or all is done elsewhere; empty where one has."""
    if any(session.exercises for session in document.sessions):
        return ""
    waits = any(warning.kind == "out" for warning in document.exercise_warnings)
    return str(say.read_words().line["nothing_safe" if waits else "nothing_left"])


def week_page(name: str, desk: Desk, title: str, /, *, landscape: bool = False, **values: Any) -> str:
    """Fill in the template of a paper about a week."""
    document, athlete = desk.document, say.plain(desk.document.athlete)
    values |= {"title": f"{title}: {athlete}, {document.week}", "athlete": athlete, "document": document}
    values |= {"style": style(f"{name}.css", desk, landscape=landscape), "created": document.week_start}
    values |= {"words": desk.words, "settings": desk.settings, "nothing_left": nothing_left(document)}
    return fill(f"{name}.html", **values)


def fill(template: str, folder: Any = HERE / "templates", /, **values: Any) -> str:
    """Fill in a template of ours; a name that the template knows and the caller forgot is an error."""
    return str(_environment(str(folder)).get_template(template).render(**values, _=_, language=say.spoken()))


@cache
def _environment(folder: str) -> Any:
    """Make what fills in the templates of a folder, each taken apart once."""
    import jinja2

    safe: dict[str, Any] = {"autoescape": jinja2.select_autoescape(), "undefined": jinja2.StrictUndefined}
    safe |= {"trim_blocks": True, "lstrip_blocks": True}
    made = jinja2.Environment(loader=jinja2.FileSystemLoader(folder), **safe)
    made.globals |= {name: getattr(plain, name) for name in PLAIN.split()}
    return made


def style(name: str, desk: Desk, *, landscape: bool) -> Any:
    """Give the page rule and the sizes from the settings, then our style sheets, as text that needs no escaping."""
    settings, paper = desk.settings, desk.brief.preferences.paper
    height = PAGE_MILLIMETRES[paper][1] - 2 * settings.margin_millimetres
    rules = fill("sizes.txt", settings=settings, height=height).rstrip()
    return page_style(name, paper, rules, landscape=landscape)


def page_style(name: str, paper: str, *rules: str, landscape: bool = False) -> Any:
    """Give a page rule, rules of ours, the fonts and a style sheet, as text that needs no escaping."""
    from markupsafe import Markup

    page = f"size: {paper}{' landscape' * landscape}; margin: {DEFAULTS.margin_millimetres:g}mm"
    sheets = ((HERE / "styles" / sheet).read_text(encoding="utf-8") for sheet in ("fonts.css", name))
    return Markup("\n".join([f"@page {{ {page} }}", *rules, *sheets]))
