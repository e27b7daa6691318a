"""What holds for all tests: numpy on one thread, as the program runs it (said before numpy is loaded); no clocks."""

import os
import shutil
from collections import defaultdict
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

import library.pool
import library.read
import planner.solve.solve
from planner.__main__ import ONE_THREAD

for name in ONE_THREAD:
    os.environ.setdefault(name, "1")

# the shipped library is read and pooled once a process: all of it is frozen, and most tests plan a week of it
read, pool, POOLED = library.read.read_library, library.pool.pool_library, {}
SHIPPED = cache(read)


def read_library(folder=None, **options):
    return read(folder, **options) if folder or options else SHIPPED()


def pool_library(of, settings=library.pool.DEFAULTS):
    if of is not SHIPPED() or settings != library.pool.DEFAULTS:
        return pool(of, settings)
    return dict(POOLED or POOLED.update(pool(of)) or POOLED)


library.read.read_library, library.pool.pool_library = read_library, pool_library

# and so is each aim of a week: asked again in this process it has the answer that it had (see `searched_anew`)
search, ANSWERS = planner.solve.solve.close, defaultdict(list)


def close(aim, start=None, share=1.0):
    problem = aim.program.problem
    asked = (aim.gap, share, aim.holds, start, aim.objective, problem)
    answers = ANSWERS[problem.sessions, problem.heads, len(aim.objective)]
    known = next((answer for question, answer in answers if question == asked), None)
    if known is None:
        answers.append((asked, known := search(aim, start, share)))
    return replace(known)


planner.solve.solve.close = close

# no test outlives a loss of power: what a disk would be waited for, thousands of times a run, is saved
os.fsync = lambda _: None

# the machine may be busy; a file that an example writes anew may lie in the test's own folder; what passes today must
# pass tomorrow, so that draws are the same each time (fresh ones: make test PYTEST_ARGS=--hypothesis-profile=fresh)
unhurried = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
for profile, steady in (("ours", True), ("fresh", False)):
    how = {"deadline": None, "max_examples": 40, "suppress_health_check": unhurried}
    settings.register_profile(profile, derandomize=steady, **how)
settings.load_profile("ours")


@pytest.fixture(scope="session", name="library")
def shipped():
    """The shipped library; a folder whose tests need another one has its own fixture of this name."""
    return SHIPPED()


@pytest.fixture(scope="session")
def demo_planned(tmp_path_factory):
    """The demo athlete without its log, week 2026-W30 planned, with empty papers: once for all processes of a run."""
    from filelock import FileLock
    from folders import DEMO, copy_of
    from in_process import draw_quickly, planner

    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "demo_planned"
    with FileLock(f"{folder}.lock"):
        if not folder.exists():
            made = copy_of(DEMO, Path(f"{folder}.new"))
            with pytest.MonkeyPatch.context() as patch:
                draw_quickly(patch)
                done = planner("week", made, "--week", "2026-W30", "--json", "--save")
            assert done.returncode == 0, done.stderr
            made.rename(folder)
    return folder


@pytest.fixture
def quick_paper(monkeypatch):
    """PDFs of one empty page, made in this process: for tests of what stands around them."""
    from in_process import draw_quickly

    draw_quickly(monkeypatch)


@pytest.fixture
def searched_anew(monkeypatch):
    """No answer of an earlier search is given again: for tests that ask twice and want the same."""
    monkeypatch.setattr("planner.solve.solve.close", search)


@pytest.fixture
def few_draws(monkeypatch):
    """Cautious weeks on a tenth of the draws."""
    from planner.method import CautiousSettings

    few = CautiousSettings().but(cautious_draws=20)
    monkeypatch.setattr("planner.week.cautious.CautiousSettings", lambda: few)


@pytest.fixture(scope="module")
def browser():
    """Chromium, as playwright drives it; without either the test is skipped."""
    sync = pytest.importorskip("playwright.sync_api", reason="no playwright")
    if not (path := shutil.which("chromium") or shutil.which("chromium-browser")):
        pytest.skip("no chromium")
    with sync.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()
