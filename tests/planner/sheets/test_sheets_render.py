"""The renderer: fetches our own files alone; when it fails, the HTML survives it."""

import sys

import pytest
import sample_week as weeks

from planner.errors import PaperNotMade
from planner.sheets.fetch import OURS, OnlyOurFiles
from planner.sheets.paper import coach_html, render_coach, render_sheets, sheets_html
from planner.sheets.render import html_to_pdf

PAGE = '<!doctype html><html lang="en"><head><title>t</title></head><body>{}</body></html>'


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://example.org/a.png",
        "https://example.org/a.css",
        "ftp://example.org/a.ttf",
        "data:text/css,p{}",
        "../fonts/../words.toml",
        "../fonts/OFL.txt",
        "../../../../../../etc/passwd",
        "//example.org/a.ttf",
    ],
)
def test_a_template_that_reaches_for_anything_else_is_refused(address):
    html = PAGE.format(f'<img alt="x" src="{address}">')
    with pytest.raises(PaperNotMade, match="fetch only their own fonts and styles") as refused:
        html_to_pdf(html)
    assert refused.value.html == html


@pytest.mark.parametrize(
    "rule", ["@import url(http://example.org/a.css);", "p { background: url(file:///etc/x.png) }"]
)
def test_a_style_that_reaches_for_anything_else_is_refused(rule):
    with pytest.raises(PaperNotMade, match="fetch only their own"):
        html_to_pdf(PAGE.format(f"<style>{rule}</style><p>x</p>"))


def test_our_own_files_are_given():
    font = next((OURS / "fonts").glob("*.ttf"))
    assert OnlyOurFiles().fetch(font.as_uri()).read() == font.read_bytes()


@pytest.mark.parametrize("render, html_of", [(render_sheets, sheets_html), (render_coach, coach_html)])
def test_without_the_renderer_the_html_is_carried_by_the_error(library, monkeypatch, render, html_of):
    for name in [name for name in sys.modules if name.split(".")[0] == "weasyprint"]:
        monkeypatch.setitem(sys.modules, name, None)
    asked = (weeks.sample_week(), library, weeks.sample_brief())
    with pytest.raises(PaperNotMade, match="The PDF could not be made") as missing:
        render(*asked)
    assert missing.value.exit_code == 4
    assert missing.value.html == html_of(*asked)
    assert weeks.NAME in missing.value.html
    assert "\n" not in str(missing.value)


def test_a_library_of_the_system_that_does_not_load_is_told_in_one_line(monkeypatch):
    def fails(*_, **__):
        raise OSError("cannot load library 'libpango-1.0-0'\n\nmore lines")

    monkeypatch.setattr("planner.sheets.render._lay_out", fails)
    with pytest.raises(
        PaperNotMade, match=r"cannot load library 'libpango-1.0-0'\. The HTML holds the same pages"
    ):
        html_to_pdf(PAGE.format("<p>x</p>"))


def test_html_needs_no_renderer():
    """Nothing on the way to the HTML imports WeasyPrint."""
    import subprocess

    script = (
        "import sys, planner.sheets.paper; assert not {'weasyprint', 'jinja2', 'numpy'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
