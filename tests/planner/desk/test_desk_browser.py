"""The desk in a real browser: a Sunday by the keyboard alone, no request elsewhere, every page narrow, wide and by axe-core."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PAGES = ("", "new", "library", "library/push_up", "week/kim", "block/kim", "brief/kim", "gym/kim", "log/kim")
PAGES += ("progress/kim", "measure/kim", "week/nobody")
PATIENCE = 120_000  # milliseconds


@pytest.fixture(scope="module")
def browser():
    sync = pytest.importorskip("playwright.sync_api", reason="no playwright")
    if CHROMIUM is None:
        pytest.skip("no chromium")
    with sync.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """A page that has opened the desk of an empty folder; `asked` collects what it asks for."""
    room = tmp_path_factory.mktemp("room")
    command = [sys.executable, "-m", "planner", "desk", str(room), "--no-browser"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    address = next(line.strip() for line in process.stderr if line.startswith("http"))
    page = browser.new_context(bypass_csp=True).new_page()  # for axe-core alone
    page.set_default_timeout(PATIENCE)
    page.asked, page.room, page.home = [], room, address.partition("/open")[0] + "/"
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto(address)
    page.wait_for_url(page.home)
    yield page
    process.kill()
    process.wait()


def reach(page, selector):
    """Press Tab until the element has the focus."""
    for _ in range(400):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
            return page.keyboard
    raise AssertionError(f"no Tab reaches {selector}")


def settled(page):
    """Wait until the page no longer asks again by itself."""
    page.wait_for_function(
        "() => !document.querySelector('meta[http-equiv=refresh]') && document.readyState === 'complete'"
    )


@pytest.mark.slow
def test_a_sunday_by_the_keyboard_alone(page):
    page.goto(page.home + "new")
    reach(page, "[name=name]").type("Kim")
    for day in ("Mon", "Thu"):
        reach(page, f"[name='minutes.{day}']").type("40")
    for key in ("dumbbells", "adjustable_bench", "bands"):
        reach(page, f"[name=equipment][value={key}]").press("Space")
    reach(page, "button.main").press("Enter")
    page.wait_for_url("**/brief/kim")
    reach(page, "a[href='/week/kim']").press("Enter")
    page.wait_for_url("**/week/kim")
    reach(page, "form[action='/plan/kim'] button").press("Enter")
    page.wait_for_selector("form[action='/sign/kim']")
    reach(page, "[aria-label^='A set more']").press("Enter")
    page.wait_for_selector("mark")
    page.wait_for_selector("form[action='/sign/kim']")
    settled(page)
    reach(page, "form[action='/sign/kim'] button").press("Enter")
    page.wait_for_selector("form[action='/sign/kim']", state="detached")
    assert "Signed" in page.locator("[role=status]").first.inner_text()
    assert list(Path(page.room).glob("kim/weeks/*/week.json"))
    assert all(url.startswith(page.home) for url in page.asked)


@pytest.mark.slow
@pytest.mark.parametrize("path", PAGES)
def test_every_page_fits_and_axe_finds_nothing_serious(page, path):
    page.goto(page.home + path)
    settled(page)
    for width in (360, 640, 1280):  # 640: 1280 at 200 %
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no axe-core")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = axe.Axe().run(page).response["violations"]
        assert not [one["id"] for one in found if one["impact"] in ("serious", "critical")]
