"""The desk in a real browser: three clients by keyboard or mouse, no request elsewhere, every page by axe-core."""

import os
import shutil
import subprocess
import sys

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
KEYED, CLICKED = ("Kim", "Ole"), ("Ben",)  # three invented clients: by keyboard alone, by mouse alone
EQUIPMENT = ("dumbbells", "adjustable_bench", "bands")
PAGES = ("", "new", "library", "library/push_up", "week/kim", "block/kim", "brief/kim", "gym/kim", "log/kim")
PAGES += ("progress/kim", "measure/kim", "week/nobody")
PATIENCE = 20_000  # milliseconds


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
    """A page that has opened the desk of an empty folder, without the renderer of PDFs; `asked`: what it asks for."""
    room, broken = tmp_path_factory.mktemp("room"), tmp_path_factory.mktemp("broken")
    (broken / "weasyprint.py").write_text("raise ImportError")
    command = [sys.executable, "-m", "planner", "desk", str(room), "--no-browser"]
    environment = {**os.environ, "PYTHONPATH": str(broken)}
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment)
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


class Keys:
    """Hands that know Tab, Enter, Space and letters."""

    def __init__(self, page):
        self.page = page

    def reach(self, selector):
        for _ in range(400):
            self.page.keyboard.press("Tab")
            if self.page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
                return self.page.keyboard
        raise AssertionError(f"no Tab reaches {selector}")

    def press(self, selector):
        self.reach(selector).press("Enter")

    def tick(self, selector):
        self.reach(selector).press("Space")

    def write(self, selector, text):
        self.reach(selector).type(text)

    def move(self, day):
        self.press(f"#at-{day} summary")
        self.press(f"#at-{day} [aria-label^='Move ']")


class Mouse:
    """A hand that points and drags; letters are typed into what was clicked."""

    def __init__(self, page):
        self.page = page

    def press(self, selector):
        self.page.locator(selector).first.click()

    tick = press

    def write(self, selector, text):
        self.page.locator(selector).first.click(click_count=3)  # what stands there is written over
        self.page.keyboard.type(text)

    def move(self, day):
        grip, other = self.page.locator(f"#at-{day} .grip").first, self.page.locator(".session.open").last
        for spot, act in ((grip, self.page.mouse.down), (other, self.page.mouse.up)):
            spot.scroll_into_view_if_needed()
            box = spot.bounding_box()
            self.page.mouse.move(box["x"] + 6, box["y"] + 6)
            act()


def settled(page):
    """Wait until the page no longer asks again by itself."""
    page.wait_for_function(
        "() => !document.querySelector('meta[http-equiv=refresh]') && document.readyState === 'complete'"
    )


def sign(page, hand, key):
    """Sign what the week's page proposes, once it is proven."""
    page.wait_for_selector(f"form[action='/sign/{key}']")
    settled(page)
    hand.press(f"form[action='/sign/{key}'] button")
    page.wait_for_selector("text=Signed and written")


@pytest.mark.slow
@pytest.mark.parametrize(("hands", "names"), [(Keys, KEYED), (Mouse, CLICKED)])
def test_a_sunday_of_three_clients(page, hands, names):
    hand = hands(page)
    for name in names:
        page.goto(page.home + "new")
        hand.write("[name=name]", name) if hands is Mouse else page.keyboard.type(name)  # it has the focus
        for day in ("Mon", "Thu"):
            hand.write(f"[name='minutes.{day}']", "25")
        for key in EQUIPMENT:
            hand.tick(f"[name=equipment][value={key}]")
        hand.press("button.main")
        page.wait_for_url(f"**/brief/{name.lower()}")
    page.goto(page.home)
    hand.press("form[action='/due'] button")
    for key in map(str.lower, names):
        page.wait_for_selector(f"a.main[href='/week/{key}']")
        settled(page)
        hand.press(f"a.main[href='/week/{key}']")
        page.wait_for_url(f"**/week/{key}")
        sign(page, hand, key)
        page.goto(page.home)
    key = names[0].lower()
    page.goto(page.home + f"week/{key}")
    hand.move("Mon")
    page.wait_for_selector("mark")
    sign(page, hand, key)
    assert (page.room / key / "weeks").is_dir() and list((page.room / key / "weeks").glob("*/v1/week.json"))
    hand.write("[name=week]", "this")
    hand.press(f"form[action='/plan/{key}'] button")
    sign(page, hand, key)
    page.goto(page.home + f"log/{key}")
    for place, text in (("0.load", "6"), ("0.reps", "12"), ("0.rir", "2")):
        hand.write(f"[name='{place}']", text)
    hand.press("form:has(table) button.main")
    page.wait_for_selector("text=Next loads")
    hand.press("section button.main")
    sign(page, hand, key)
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
