"""What both PDFs hold beside words: our fonts alone, tags, title, language, fixed date; same input, same bytes."""

import os
import time

import sample_week as weeks
from fontTools.ttLib import TTFont

from planner.sheets.fetch import OURS
from planner.sheets.paper import coach_html, render_coach, render_sheets

OUR_FAMILIES = {"Sheet", "Sheet-Hebrew", "Sheet-Arabic", "Sheet-Signs"}


def family(font):
    return font.removesuffix("-Semi-Condensed").removesuffix("-Bold")


def test_only_our_fonts_are_embedded(sheets, coach, longest, foreign):
    for paper in (sheets, coach, foreign, *longest.values()):
        assert {family(font) for font in paper.fonts()} <= OUR_FAMILIES
    assert {family(font) for font in foreign.fonts()} == OUR_FAMILIES


def test_signs_and_foreign_names_have_their_letters(foreign, coach, sheets):
    for paper in (foreign, coach, sheets):
        assert b"0000" not in paper.glyphs()  # glyph 0 is the empty box that stands for a missing letter
    # a reader of PDF files may turn or join letters of Hebrew and Arabic, each letter is there all the same
    assert set("Ωμέγα Жанна ≤ ≥ × – é ליאת ليلى") <= set(foreign.pages[0])


def test_markup_in_a_name_is_printed_as_it_stands(foreign):
    assert "<img src=http://example.org/a.png>" in foreign.pages[0]
    assert "<img" not in foreign.html


def test_marks_that_turn_the_writing_direction_are_dropped(library):
    html = coach_html(weeks.sample_week(athlete="Zo\u202eë\u0007"), library, weeks.sample_brief())
    assert "<bdi>Zoë</bdi>" in html


def test_both_papers_are_tagged_with_title_and_language(sheets, coach):
    for paper, title in ((sheets, "Training sheets"), (coach, "Coach's pages")):
        root = paper.reader.root_object
        assert root["/MarkInfo"]["/Marked"]
        assert root["/StructTreeRoot"]["/K"]
        assert root["/Lang"] == "en"
        assert root["/ViewerPreferences"]["/DisplayDocTitle"]
        assert paper.reader.metadata.title == f"{title}: {weeks.NAME}, week 2026-W49"
        assert b"pdfuaid:part" in paper.reader.root_object["/Metadata"].get_data()


def test_the_only_date_in_a_pdf_is_the_weeks(sheets, coach):
    for paper in (sheets, coach):
        assert paper.reader.metadata["/CreationDate"] == "D:20261130"
        assert "/ModDate" not in paper.reader.metadata


def test_the_same_week_gives_the_same_bytes_on_another_day(library, sheets, coach, monkeypatch):
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    tomorrow = time.time() + 86_400
    monkeypatch.setattr(time, "time", lambda: tomorrow)
    assert render_sheets(weeks.sample_week(), library, weeks.sample_brief()).pdf == sheets.pdf
    assert render_coach(weeks.sample_week(), library, weeks.sample_brief()).pdf == coach.pdf
    assert "SOURCE_DATE_EPOCH" not in os.environ


def test_tables_and_headings_are_tagged_as_such(sheets, coach):
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/L", "/LI"} <= _kinds(sheets)
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/Figure"} <= _kinds(coach)


def test_the_chart_has_words_for_those_who_cannot_see_it(coach):
    figures = [one for one in _elements(coach) if one["/S"] == "/Figure"]
    assert len(figures) == 1
    assert figures[0]["/Alt"].startswith("Direct sets a week. Front delt: 12.4, 90 % interval 10.6 to 14.1")


def test_the_shipped_fonts_are_small_and_carry_their_licence():
    fonts = sorted((OURS / "fonts").glob("*.ttf"))
    assert sum(font.stat().st_size for font in fonts) < 2_500_000
    licence = (OURS / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE" in licence
    for font in fonts:
        assert font.name in licence
        assert "SIL Open Font License" in TTFont(font)["name"].getDebugName(13)


def _elements(paper):
    open_ones = [paper.reader.root_object["/StructTreeRoot"]]
    while open_ones:
        one = open_ones.pop().get_object()
        if isinstance(one, list):
            open_ones += one
        elif isinstance(one, dict):
            open_ones += [one["/K"]] if "/K" in one else []
            if "/S" in one:
                yield one


def _kinds(paper):
    return {one["/S"] for one in _elements(paper)}
