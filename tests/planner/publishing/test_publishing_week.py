"""A week's folder where the renderer fails: HTML stands in, and the first cause is the one that is told."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from planner.errors import PaperNotMade
from planner.publishing import week as publishing
from planner.sheets import paper, table


def test_the_first_failure_of_the_renderer_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def fails(reason: str):
        def render(*given):
            raise PaperNotMade(reason, "<p>page</p>")

        return render

    monkeypatch.setattr(paper, "render_sheets", fails("no Pango"))
    monkeypatch.setattr(paper, "render_coach", fails("half an import is left"))
    for name in ("sheets_html", "coach_html"):
        monkeypatch.setattr(paper, name, lambda *given, **named: "<p>page</p>")
    monkeypatch.setattr(table, "week_csv", lambda *given: "day\n")
    written = {}
    monkeypatch.setattr(
        publishing, "write_week", lambda folder, week, files, out: written.update(files) or folder / week
    )
    document = SimpleNamespace(week="2026-W49", model_dump_json=lambda **named: "{}")
    asked = SimpleNamespace(inputs=SimpleNamespace(library=None, brief=None), carried=None, before=None)
    published = publishing.publish(document, asked, tmp_path, None)
    assert str(published.paper_fault) == "no Pango"
    assert set(written) == {"week.json", "week.csv", "sheets.html", "coach.html"}
