"""The phone's page of the demo's longest session in Chromium with a processor four times slower."""

import shutil
from statistics import median

from bench_week import WEEK, planned
from playwright.sync_api import sync_playwright
from processes import Row, fresh_folder

SLOWER, TIMES = 4, 7
PHONE = {"width": 360, "height": 740}
EMPTY = "data:text/html,<p>nothing</p>"  # what a browser takes for a page of one word, at the same time
TAP = """button => {
  const keep = Storage.prototype.setItem;
  let kept;
  Storage.prototype.setItem = function (...what) { keep.apply(this, what); kept = performance.now(); };
  const start = performance.now();
  button.click();
  Storage.prototype.setItem = keep;
  return kept - start;
}"""

PAINT = """new Promise(done => new PerformanceObserver(seen => {
  for (const one of seen.getEntries()) if (one.name === "first-contentful-paint") done(one.startTime);
}).observe({ type: "paint", buffered: true }))"""


def rows() -> list[Row]:
    """Measure first paint, the time from a tap until it is kept, and size; nothing where there is no browser."""
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if not browser_path:
        return []
    with fresh_folder() as folder, sync_playwright() as driver:
        planned(folder, [])
        pages = (folder / "demo_athlete" / "weeks" / WEEK / "phone").glob("*.html")
        longest = max(pages, key=lambda file: file.stat().st_size)
        browser = driver.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        seen, empty = [], []
        for _ in range(TIMES):
            seen.append(_seen(browser.new_page(viewport=PHONE), longest.as_uri()))
            empty.append(_seen(browser.new_page(viewport=PHONE), EMPTY)[0])
        browser.close()
        size = longest.stat().st_size / 1000
    paint = median(first for first, _ in seen)
    note = f"processor {SLOWER} times slower"
    return [
        Row("phone, first paint", paint, 0.3, "s", note=f"{note}; an empty page {median(empty):.2f} s"),
        Row("phone, a tap kept", median(tap for _, tap in seen), 50, "ms", note=note),
        Row("phone, size of a page", size, 150, "kB"),
    ]


def _seen(page, address):
    """Open a page anew; return the first paint in seconds and the slowest tap in milliseconds."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address)
    milliseconds = page.evaluate(PAINT)
    taps = [button.evaluate(TAP) for button in page.locator(".tick:visible").all()]
    page.close()
    return milliseconds / 1000, max(taps, default=0.0)
