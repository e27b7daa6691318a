"""The papers of the sample weeks, each rendered once for all tests of this folder."""

import io
import re

import pytest
import sample_week as weeks
from in_process import pages_of
from sample_library import sample_library

from planner.sheets.paper import coach_html, render_coach, render_sheets, sheets_html

DRAWN = re.compile(rb"<((?:[0-9a-fA-F]{4})+)>")
FOREIGN = "<img src=http://example.org/a.png> ליאת ليلى Ωμέγα Жанна ≤ ≥ × – é"


class Paper:
    """A rendered paper, and its pages as a reader of PDF files sees them."""

    def __init__(self, desk, html_of=sheets_html, render=render_sheets):
        from pypdf import PdfReader

        self.html, self.pdf = html_of(desk), render(desk)
        self.reader = PdfReader(io.BytesIO(self.pdf))
        # a line of the paper may end anywhere
        self.pages = [" ".join(text.split()) for text in pages_of(self.pdf)]
        self.text = " ".join(self.pages)

    def runs(self, number):
        """The pieces of text of a page: words, font, size in points, points from the top of the page."""
        found = []

        def note(words, matrix, text_matrix, font, size):
            if words.strip():
                height = text_matrix[5] * matrix[0]
                found.append((words.strip(), font["/BaseFont"], size * matrix[0], height))

        self.reader.pages[number].extract_text(visitor_text=note)
        return found

    def fonts(self):
        """The names of the embedded fonts, without the prefix of the subset."""
        return {
            font.get_object()["/BaseFont"].split("+")[1]
            for page in self.reader.pages
            for font in page["/Resources"]["/Font"].values()
        }

    def glyphs(self):
        """Every glyph number that is drawn, as four hexadecimal digits."""
        drawn = (one for page in self.reader.pages for one in DRAWN.findall(page.get_contents().get_data()))
        return {text[place : place + 4] for text in drawn for place in range(0, len(text), 4)}


@pytest.fixture(scope="session")
def library():
    return sample_library()


@pytest.fixture(scope="session")
def desk(library):
    return weeks.sample_desk(library)


@pytest.fixture(scope="session")
def sheets(desk):
    return Paper(desk)


@pytest.fixture(scope="session")
def coach(desk):
    return Paper(desk, coach_html, render_coach)


@pytest.fixture(scope="session")
def longest(library):
    whole = weeks.longest_week()
    week = whole.model_copy(update={"sessions": whole.sessions[:1]})
    return {paper: Paper(weeks.sample_desk(library, week, paper)) for paper in ("A4", "Letter")}


@pytest.fixture(scope="session")
def foreign(library):
    """A name in four scripts, with signs and with markup in it."""
    week = weeks.sample_week(athlete=FOREIGN, sessions=weeks.sample_week().sessions[:1])
    return Paper(weeks.sample_desk(library, week))
