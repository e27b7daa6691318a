"""The Sunday page and the file to print: what changed, who is seen first, and sheets in the order of the week."""

import re
from dataclasses import replace

from in_process import pages_of
from small_document import line, small_document

from planner.kept import joined_sheets
from planner.sheets.render import html_to_pdf
from planner.sunday import HeadTotal, Look, PastWeek, Row, changed_lines, strip, sunday_html

WEEK = "2026-W49"
SHEET = """<html lang="de"><head><title>x</title></head><body>{}</body></html>"""
PAGE = '<section id="session-{key}" style="break-after: page"><p>{text}</p></section>'


def sheets(folder, name, hours, pages):
    """Write sheets of an athlete, a page for each (key, text), and give the row; hours as "Mon 07:00"."""
    file, html = folder / f"{name}.pdf", "".join(PAGE.format(key=key, text=text) for key, text in pages)
    file.write_bytes(html_to_pdf(SHEET.format(html)))
    look = Look(hours=tuple(hour.partition(" ")[::2] for hour in hours))
    return Row(str(folder / name), name, WEEK, "proven", sheets=str(file), look=look)


def texts(pdf):
    return [text.strip() for text in pages_of(pdf)]


def test_sheets_lie_by_day_then_hour_then_name_the_same_bytes_each_time(tmp_path):
    rows = [
        sheets(tmp_path, "zoe", ["Mon 07:00", "Fri"], [("Mon", "zoe Mon"), ("Fri", "zoe Fri")]),
        sheets(tmp_path, "ada", ["Mon"], [("Mon", "ada Mon"), ("Mon.2", "ada Mon 2")]),
        sheets(tmp_path, "ben", ["Mon 18:00", "Tue 18:00"], [("Mon", "ben Mon"), ("Tue", "ben Tue")]),
        sheets(tmp_path, "cem", [], [("none", "cem rests")]),
    ]
    wanted = ["zoe Mon", "ben Mon", "ada Mon", "ada Mon 2", "ben Tue", "zoe Fri", "cem rests"]
    pdf, faults = joined_sheets(rows)
    assert (texts(pdf), faults) == (wanted, [])
    assert texts(joined_sheets(rows[::-1])[0]) == wanted
    good = sheets(tmp_path, "ada", ["Mon"], [("Mon", "a")])
    assert joined_sheets([good]) == joined_sheets([good])
    assert joined_sheets([good])[0] != joined_sheets([good, good])[0]
    bad = replace(good, sheets=str(tmp_path / "bad.pdf"))
    (tmp_path / "bad.pdf").write_text("none")
    pdf, (fault,) = joined_sheets([bad, good])
    assert texts(pdf) == ["a"] and fault.file == tmp_path / "bad.pdf"


def test_what_changed_is_exercises_sets_and_loads():
    monday = [line("press", 3, load=20.0), line("raise", 3)]
    before = small_document({"Mon": monday, "Wed": [line("fly", 2)]}, "2026-W48")
    after = small_document({"Mon": [line("press", 4, load=22.5), line("pull", 3)], "Wed": [line("fly", 2)]})
    assert list(changed_lines(before, after)) == [
        "new: pull", "out: raise", "press: 4 sets on Monday (3 before)", "press: 20 → 22.5 kg",
    ]  # fmt: skip
    assert list(changed_lines(after, after)) == []
    assert list(changed_lines(None, after)) == ["first week"]


def test_pain_that_asks_for_a_doctor_comes_first_then_pain_then_who_has_no_week():
    heads = (HeadTotal("front", 8.0, 8), HeadTotal("side", 9.8, 12, 2.2), HeadTotal("rear", 7.9, 8))
    urgent = Look(urgent=True, hours=(("Mon", "18:00"),), changed=("new: pull",))
    rows = [
        Row("f/ada", "Ada", WEEK, "proven", ("press: pain 3.",), heads, look=Look(changed=("new: pull",))),
        Row("f/ben", "Ben", WEEK, "proven", ("raise: pain 8.",), look=urgent),
        Row("/f/cem", "cem", WEEK, exit=2, error="/f/cem/brief.toml: wrong"),
        Row("f/eve", "<Eve>", WEEK, "stopped", look=Look(due=("log of 2026-W48",), hours=(("Mon", ""),))),
    ]
    html = sunday_html(rows, WEEK, "4 athletes")
    said = (
        "raise: pain 8.", "press: pain 3.", "cem</bdi>: no week.", "Ada, Ben</bdi></strong>: new: pull", "side by 2.2",
        "log of 2026-W48",
    )  # fmt: skip
    places = [html.index(words) for words in said]
    assert places == sorted(places)
    assert "rear by" not in html  # too little to be told
    assert "<Eve>" not in html and "/f/cem" not in html
    assert re.search(r"Monday</strong>: <b>18:00</b> Ben; *&lt;Eve&gt;", html)


def numbers(svg, element, name):
    return [float(number) for number in re.findall(rf'<{element} [^>]*?\b{name}="([\d.]+)"', svg)]


def test_a_year_is_bars_marks_dots_and_ground_each_in_its_week():
    year = [
        PastWeek("2026-W46", 10, 10, hurts=True, away=False),
        PastWeek("2026-W47", 0, None, hurts=False, away=True),
        PastWeek("2026-W48", 5, 10, hurts=False, away=False),
    ]
    svg = strip(year, WEEK)
    ground, full, none, half = numbers(svg, "rect", "height")
    assert (half, none) == (full / 2, 0) and ground > full
    (dot,) = numbers(svg, "circle", "cx")
    left = numbers(svg, "rect", "x")
    assert left[1] < dot < left[0] < left[3] < 54  # pain in the first, away in the second week
    assert "2026-W46 10, 2026-W47 0, 2026-W48 5" in svg
    assert strip([], WEEK) == ""
