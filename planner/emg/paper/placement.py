"""The placement sheet: where each sensor goes, how to prepare the skin, the maximal tests and their cautions."""

from __future__ import annotations

from typing import Any

from planner.emg.paper.body import site_drawing
from planner.emg.paper.page import html_of
from planner.emg.reference_tests import read_tests, tables, wanted_tests


def placement_html() -> str:
    """Return the sheet as HTML, two pages."""
    common = tables()["common"]
    tests = read_tests()
    return html_of(
        "placement.html",
        title="Sensor placement and maximal tests",
        sites=[_site(site) for site in tables()["site"].values()],
        tests=[tests[key] for key in wanted_tests()],
        common=common,
        short=[tests[key].number for key in tables()["short_form"]],
        source=tables()["source"],
    )


def _site(site: dict[str, Any]) -> dict[str, Any]:
    first, second = (tuple(point) for point in site["guide"])
    drawing = site_drawing(
        site["view"], tuple(site["at"]), (first, second), f"{site['name']}: {site['where']}"
    )
    return {**site, "drawing": drawing}
