"""The desk in a real browser: three clients by keyboard or mouse, no request elsewhere, every page by axe-core."""

import os
import subprocess
import sys
import tomllib

import pytest
from desk_client import address_of
from folders import copy_of_demo

KEYED, CLICKED = ("Kim", "Ole"), ("Ben",)  # three invented clients: by keyboard alone, by mouse alone
EQUIPMENT = ("dumbbells", "adjustable_bench", "bands")
PAGES = ("", "new", "library", "library/push_up", "week/kim", "block/kim", "brief/kim", "gym/kim", "log/kim")
PAGES += ("progress/kim", "measure/demo?session=recordings", "why/kim", "beside/kim", "week/nobody")
PAGES += ("check/kim", "hour", "measure/kim", "progress/demo", "doctor")
OUT = ".out"  # where a drag ends that takes something out: at the foot of the window
PATIENCE = 20_000  # milliseconds


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """A page that has opened the desk of an empty folder, without the renderer of PDFs; `asked`: what it asks for."""
    room, broken = tmp_path_factory.mktemp("room"), tmp_path_factory.mktemp("broken")
    (broken / "weasyprint.py").write_text("raise ImportError")
    command = [sys.executable, "-m", "planner", "desk", str(room), "--no-browser"]
    environment = {**os.environ, "PYTHONPATH": str(broken)}
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment)
    address = address_of(process)
    page = browser.new_page()
    page.set_default_timeout(PATIENCE)
    page.asked, page.wrong, page.room, page.home = [], [], room, address.partition("/open")[0] + "/"
    page.no_renderer = broken / "weasyprint.py"
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda said: page.wrong.append(said.text) if said.type == "error" else None)
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
        self.drag(f"#at-{day} .grip", ".session.open >> nth=-1")

    def drag(self, handle, *targets):
        """Take something, over each of the places, and let it go over the last."""
        for selector in (handle, *targets):
            spot = self.page.locator(selector).first
            if selector != OUT:
                spot.scroll_into_view_if_needed()
            box = spot.bounding_box()
            self.page.mouse.move(box["x"] + 6, box["y"] + 6, steps=2)
            if selector == handle:
                self.page.mouse.down()
                self.page.mouse.move(box["x"] + 9, box["y"] + 9)
        self.bars = self.page.locator(".total").all_inner_texts()
        self.page.mouse.up()


def settled(page):
    """Wait until the page no longer asks again by itself."""
    still = "document.querySelector('meta[http-equiv=refresh], #again')"
    page.wait_for_function(f"() => !{still} && document.readyState === 'complete'")


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
            hand.write(f"[name='session.{day}.minutes']", "25")
        for key in EQUIPMENT:
            hand.tick(f"[name=equipment][value={key}]")
        hand.press("button.main")
        page.wait_for_url(f"**/brief/{name.lower()}")
    page.goto(page.home)
    hand.press("form[action='/due'] button")
    assert not page.locator("meta[http-equiv=refresh]").count()  # events tell what is planned by then
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
    page.no_renderer.unlink(missing_ok=True)  # from here on papers are made
    page.goto(page.home)
    is_pdf = lambda one: one.headers.get("content-type") == "application/pdf"  # noqa: E731
    with page.context.expect_event("response", is_pdf):
        hand.press("a[href='/print']")
    assert all(url.startswith(page.home) for url in page.asked)
    assert not page.wrong  # what the content policy forbids would stand there


@pytest.mark.slow
def test_one_set_is_dragged_to_a_day_that_has_the_exercise(page):
    hand = Mouse(page)
    page.goto(page.home + "week/ben?week=" + max(one.name for one in (page.room / "ben" / "weeks").iterdir()))
    card = page.locator("#at-Mon li[data-exercise]").first
    key, name = card.get_attribute("data-exercise"), card.locator("a").first.inner_text()
    page.locator("#at-Thu summary", has_text="Ask for").click()
    page.fill("#at-Thu [name=exercise]", name)
    page.fill("#at-Thu [name=sets]", "2")
    page.locator("#at-Thu button", has_text="Ask").click()
    there = f"#at-Thu [data-exercise='{key}'][data-sets='%d']:has(.tag)"  # pinned
    page.wait_for_selector(there % 2)
    settled(page)
    here = page.locator(f"#at-Mon [data-exercise='{key}']")
    sets = int(here.get_attribute("data-sets"))
    page.evaluate("window.stays = true")
    hand.drag(f"#at-Mon [data-exercise='{key}'] .set", "#at-Thu h3")
    page.wait_for_selector(there % (3 if sets > 2 else 2 + sets))  # one set alone does not stay behind
    settled(page)
    assert page.evaluate("window.stays")  # the page was not loaded anew
    before = page.locator(".total").all_inner_texts()
    hand.drag(f"#at-Thu [data-exercise='{key}'] .grip", "#at-Mon h3", OUT)
    assert any(text.startswith("about") for text in hand.bars)  # at once
    page.wait_for_selector(f"#at-Thu [data-exercise='{key}']", state="detached")
    settled(page)
    assert page.locator(".total").all_inner_texts() != before
    page.route("**/discard/*", lambda route: route.abort())
    hand.press("form[action^='/discard/'] button")
    page.wait_for_selector("text=does not answer")
    page.unroute("**/discard/*")
    hand.press("form[action^='/discard/'] button")


@pytest.mark.slow
def test_the_split_of_a_recording_is_dragged(page):
    copy_of_demo(page.room / "demo")
    page.goto(page.home + "measure/demo?session=recordings")
    page.locator("details:has(.split) summary").first.click(timeout=120_000)  # once it is measured
    area = page.locator("[name=rows]").first
    before = area.input_value().split()
    line = page.locator(".split line").first.bounding_box()
    page.mouse.move(line["x"] + line["width"] / 2, line["y"] + 20)
    page.mouse.down()
    page.mouse.move(line["x"] - 4, line["y"] + 20)
    page.mouse.up()
    after = area.input_value().split()
    assert float(after[0]) < float(before[0]) and after[1:] == before[1:]
    page.locator("button", has_text="Write these").first.click()
    page.wait_for_selector("text=says the repetitions of set 1 now")
    written = tomllib.loads((page.room / "demo" / "recordings" / "session.toml").read_text())
    assert written["trial"][0]["repetitions"][0][0] == float(after[0])


@pytest.mark.slow
@pytest.mark.parametrize("path", PAGES)
def test_every_page_fits_and_axe_finds_nothing_serious(page, path):
    page.goto(page.home + path)
    settled(page)
    for width in (360, 640, 1280):  # 640: 1280 at 200 %
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no axe-core")
    for scheme, rules in (("light", {}), ("dark", {"runOnly": ["color-contrast"]})):  # all that changes
        page.emulate_media(color_scheme=scheme)
        found = axe.Axe().run(page, options=rules).response["violations"]
        assert not [one["id"] for one in found if one["impact"] in ("serious", "critical")]
