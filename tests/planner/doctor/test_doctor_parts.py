"""Each part of the doctor: what it says where all is well, and what it says where that part fails."""

import builtins
import io
import json
import sys

import pytest

from library.errors import Fault, FaultyInput
from planner.doctor import data, fonts, interpreter, paper, recordings, solver, terminal, toy
from planner.errors import PaperNotMade


def toy_run(stdout: str = "", exit_code: int = 0, **answer: object) -> solver.ToyRun:
    whole = {"ending": "optimal", "value": 20.0, "bound": 20.0, "solver": "HiGHS", **answer}
    return solver.ToyRun(exit_code, stdout, f"a warning\n{json.dumps(whole)}")


def test_the_real_toy_process_finds_the_optimum_and_says_nothing():
    run = solver.run_toy()
    assert solver.look_at_solver().state == "works", run.stderr
    assert solver.look_for_banner().state == "works", run.stdout


def test_the_stated_optimum_of_the_toy_program_is_the_best_whole_point():
    # every whole point tried: none does better than the stated optimum
    points = [(x, y) for x in range(11) for y in range(11) if 6 * x + 4 * y <= 24 and x + 2 * y <= 6]
    assert max(5 * x + 4 * y for x, y in points) == toy.OPTIMUM


@pytest.mark.parametrize("answer", [{"value": 21.0, "bound": 21.0}, {"bound": 20.5}, {"value": float("inf")}])
def test_another_optimum_or_an_open_bound_breaks_the_solver_part(monkeypatch, answer):
    monkeypatch.setattr(solver, "run_toy", lambda: toy_run(**answer))
    finding = solver.look_at_solver()
    assert finding.state == "broken"
    assert "known optimum 20" in finding.found
    assert finding.remedy


def test_a_solver_that_does_not_load_is_told_by_its_last_line(monkeypatch):
    failed = solver.ToyRun(1, "", "Traceback…\nImportError: no module named highspy\n")
    monkeypatch.setattr(solver, "run_toy", lambda: failed)
    assert solver.look_at_solver().found == "ImportError: no module named highspy"


def test_a_banner_on_stdout_is_found_and_quoted(monkeypatch):
    monkeypatch.setattr(solver, "run_toy", lambda: toy_run(stdout="Running the solver 9.9\nmore\n"))
    finding = solver.look_for_banner()
    assert finding.state == "broken"
    assert "Running the solver 9.9" in finding.found
    assert "more" not in finding.found


def test_an_old_python_is_refused(monkeypatch):
    assert interpreter.look_at_python().state == "works"
    monkeypatch.setattr(interpreter, "OLDEST", (sys.version_info[0], sys.version_info[1] + 1))
    assert interpreter.look_at_python().state == "broken"


def failing(monkeypatch, reason: Exception) -> None:
    def fails(html: str, refine=None) -> bytes:
        raise PaperNotMade("The PDF could not be made", html) from reason

    monkeypatch.setattr(paper, "html_to_pdf", fails)


def test_missing_pango_says_in_two_lines_what_to_install_for_each_platform(monkeypatch):
    failing(monkeypatch, OSError("cannot load library 'libpango-1.0-0'.  Searched\nmore"))
    for manager, command in paper.INSTALL.items():
        monkeypatch.setattr(paper.shutil, "which", lambda name, here=manager: name == here or None)
        finding = paper.look_at_paper()
        assert finding.state == "missing"
        assert finding.found == "cannot load library 'libpango-1.0-0'"
        assert finding.remedy[0] == command
        assert len(finding.remedy) == 2
    monkeypatch.setattr(paper.shutil, "which", lambda name: None)
    assert paper.look_at_paper().remedy[0] == paper.UNKNOWN


def test_another_failure_of_the_renderer_is_broken_and_not_missing(monkeypatch):
    failing(monkeypatch, ImportError("No module named 'weasyprint'"))
    finding = paper.look_at_paper()
    assert finding.state == "broken"
    assert "No module named 'weasyprint'" in finding.found


def test_a_page_that_is_no_pdf_breaks_the_paper_part(monkeypatch):
    assert paper.look_at_paper().state == "works"
    monkeypatch.setattr(paper, "html_to_pdf", lambda html: b"<html>")
    assert paper.look_at_paper().state == "broken"


def test_a_damaged_font_or_a_sign_in_none_of_them_is_told(monkeypatch, tmp_path):
    assert fonts.look_at_fonts().state == "works"
    damaged = tmp_path / "damaged.ttf"
    damaged.write_bytes(b"no font")
    monkeypatch.setattr(fonts, "shipped_fonts", lambda: [damaged])
    assert fonts.look_at_fonts().state == "broken"
    monkeypatch.setattr(fonts, "shipped_fonts", list)
    assert fonts.look_at_fonts().state == "missing"


def test_signs_that_no_font_has_are_named():
    private = "\ue000"  # a code point set aside for private use: no shipped font draws it
    assert fonts.without("A×" + private, fonts.shipped_fonts()) == private


def test_faulty_data_are_told_with_their_first_fault_and_the_number_of_others(monkeypatch):
    def broken():
        raise FaultyInput(Fault("heads.toml", f"line {n}", "was read", "Mend it") for n in (1, 2, 3))

    monkeypatch.setattr(data, "read_library", broken)
    finding = data.look_at_data()
    assert finding.state == "broken"
    assert finding.found.startswith("heads.toml: line 1")
    assert "2 more" in finding.found


def test_a_missing_c3d_reader_is_missing_and_no_more(monkeypatch):
    real = builtins.__import__

    def without_ezc3d(name, *rest, **named):
        if name == "ezc3d":
            raise ImportError("No module named 'ezc3d'")
        return real(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", without_ezc3d)
    finding = recordings.look_at_c3d()
    assert finding.state == "missing"
    assert "pip install ezc3d" in finding.remedy[0]


@pytest.mark.parametrize(
    ("encoding", "state"), [("utf-8", "works"), ("latin-1", "broken"), ("ascii", "broken")]
)
def test_a_terminal_without_the_signs_is_told(monkeypatch, encoding, state):
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(io.BytesIO(), encoding=encoding))
    assert terminal.look_at_terminal().state == state
