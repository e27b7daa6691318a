"""A template filled in, with its style: whatever comes from a file of the coach's is escaped."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

from planner.method import SheetSettings
from planner.sheets import fit
from planner.sheets.desk import Desk

HERE = files("planner.sheets")


def fill(template: str, **values: Any) -> str:
    """Fill in a template of ours; a name that the template knows and the caller forgot is an error."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(str(HERE / "templates")),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(**values)


def style(name: str, desk: Desk) -> Any:
    """Give the page rule and the sizes from the settings, then our style sheets, as text that needs no escaping."""
    from markupsafe import Markup

    settings, paper = desk.settings, desk.brief.preferences.paper
    rules = [
        f"@page {{ size: {paper}; margin: {settings.margin_millimetres:g}mm }}",
        f":root {{ {_sizes(settings, paper)} }}",
        *(f".level-{step} {{ {_step(settings, step)} }}" for step in range(len(settings.text_points))),
    ]
    sheets = ((HERE / "styles" / sheet).read_text(encoding="utf-8") for sheet in ("fonts.css", name))
    return Markup("\n".join([*rules, *sheets]))


def _sizes(settings: SheetSettings, paper: str) -> str:
    height = fit.PAGE_MILLIMETRES[paper][1] - 2 * settings.margin_millimetres
    return _variables(
        page=f"{height:g}mm",
        fine=f"{settings.fine_points:g}pt",
        name=f"{settings.name_points:g}pt",
        day=f"{settings.day_points:g}pt",
        coach=f"{settings.coach_points:g}pt",
    )


def _step(settings: SheetSettings, step: int) -> str:
    """The sizes of one step of roominess."""
    return _variables(
        text=f"{settings.text_points[step]:g}pt",
        number=f"{settings.number_points[step]:g}pt",
        box=f"{settings.box_millimetres[step]:g}mm",
        stop=f"{settings.stop_millimetres[step]:g}mm",
        tell=f"{settings.tell_per_cent[step]}%",
    )


def _variables(**sizes: str) -> str:
    return " ".join(f"--{key}: {size};" for key, size in sizes.items())
