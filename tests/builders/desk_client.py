"""A browser at the desk: its folder, its day, its cookie."""

import datetime
import html
import re
import threading
import time

from starlette.testclient import TestClient

from planner.desk.app import make_app
from planner.desk.room import Room
from planner.desk.safety import Guard

HOST = "127.0.0.1:8765"
PATIENCE_SECONDS = 300.0  # for whatever is waited for: a test that is past it fails
SUNDAY = datetime.date(2026, 11, 29)
OWN = {"sec-fetch-site": "same-origin"}
WEEK, KEY = "2026-W49", "demo"  # of the demo athlete


def stranger(folder, today=SUNDAY, token="token"):
    """A client that was given no cookie; `today` is the desk's day."""
    app = Guard(make_app(Room(folder, lambda: today)), HOST, token)
    return TestClient(app, base_url=f"http://{HOST}")


TERMINAL = re.compile(r".{0,60}(?:\s--[a-z]|\bplanner (?:[a-z]+ \S*/|(?:check|log|why)\b)).{0,60}")


def speaks_no_terminal(page):
    """No page of the desk tells anybody to type a command or an option; papers may."""
    if "text/html" in page.headers.get("content-type", "") and "content-disposition" not in page.headers:
        page.read()
        assert not (said := TERMINAL.findall(words(page))), said


def at_desk(folder, today=SUNDAY):
    """A browser that opened the address; every page that it sees is looked at."""
    client = stranger(folder, today)
    client.event_hooks = {"response": [speaks_no_terminal]}
    client.get("/open/token")
    client.headers.update(OWN)
    return client


def waited(client, page):
    """The page once it no longer waits for what is being worked out."""
    until = time.monotonic() + PATIENCE_SECONDS
    while 'http-equiv="refresh"' in page.text:
        assert time.monotonic() < until, f"{page.url} still waits after {PATIENCE_SECONDS:g} s"
        time.sleep(0.05)
        page = client.get(str(page.url))
    return page


def address_of(process):
    """The address that `planner desk` tells on stderr; one that tells none is ended, and the test fails."""
    clock = threading.Timer(PATIENCE_SECONDS, process.kill)
    clock.start()
    try:
        address = next((line.strip() for line in process.stderr or () if line.startswith("http")), "")
    finally:
        clock.cancel()
    assert address, f"the desk told no address within {PATIENCE_SECONDS:g} s"
    return address


def post(client, action, **fields):
    """Send a form about the demo athlete, and wait for what comes of it."""
    return waited(client, client.post(f"/{action}/{KEY}", data=fields))


def edit(client, kind, *words):
    return post(client, "edit", kind=kind, word=list(words), week=WEEK)


def sign(client):
    page = waited(client, client.get(f"/week/{KEY}"))
    return client.post(f"/sign/{KEY}", data=form_of(page, f"/sign/{KEY}"))


def words(page):
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page.text)))


def told(page):
    """What a page says in its status region and of faults."""
    regions = re.findall(r'<div (?:role="status"|class="faults").*?</div>', page.text, re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", " ".join(regions))))


INPUT = re.compile(r"<(input|select)\b([^>]*)>(.*?)(?=<input|<select|</form)", re.DOTALL)


def form_of(page, action):
    """What a browser would send of the form with this action, as it stands."""
    forms = re.findall(rf'<form [^>]*action="{re.escape(action)}"[^>]*>.*?</form>', page.text, re.DOTALL)
    assert forms, f"no form {action}"
    sent = {}
    for tag, inner, rest in INPUT.findall(forms[-1]):
        name = re.search(r'name="([^"]*)"', inner)
        value = re.search(r'value="([^"]*)"', inner)
        if not name or ('type="checkbox"' in inner and not inner.rstrip().endswith("checked")):
            continue
        given = value[1] if value else ""
        if tag == "select":
            options = re.findall(r"<option([^>]*)>([^<]*)", rest)
            chosen = [one for one in options if "selected" in one[0]] or options[:1]
            valued = re.search(r'value="([^"]*)"', chosen[-1][0]) if chosen else None
            given = valued[1] if valued else chosen[-1][1] if chosen else ""
        sent.setdefault(html.unescape(name[1]), []).append(html.unescape(given))
    return sent
