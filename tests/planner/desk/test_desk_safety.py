"""Who may speak to the desk, and what no request can reach."""

import re

import pytest
from desk_client import HOST, OWN, at_desk, stranger
from folders import copy_of_demo

from planner.desk.safety import COOKIE, UPLOAD_BYTES_MOST

ATHLETE = "demo_athlete"
OURS = [f'<script src="/{name}.js" defer>' for name in ("htmx", "htmx-sse", "desk")]


@pytest.fixture
def room(tmp_path):
    copy_of_demo(tmp_path / ATHLETE)
    return tmp_path


@pytest.mark.parametrize("path", ["/", "/desk.css", "/events", "/open/wrong"])
def test_without_the_address_or_with_a_forged_cookie_nothing_is_shown(room, path):
    client = stranger(room)
    assert client.get(path).status_code == 403
    client.cookies.set(COOKIE, "forged")
    assert client.get(path).status_code == 403


def test_the_address_opens_once_no_page_asks_outside_and_too_large_an_upload_is_refused(room):
    client = stranger(room)
    cookie = client.get("/open/token").headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie
    assert client.get("/").status_code == 200
    client.cookies.clear()
    assert client.get("/open/token").status_code == 403
    file = ("log.csv", b"x" * (UPLOAD_BYTES_MOST + 1))
    page = at_desk(room).post(f"/log/{ATHLETE}", files={"file": file}, headers=OWN)
    assert page.status_code == 413
    assert (room / ATHLETE / "log.csv").stat().st_size < UPLOAD_BYTES_MOST
    client = at_desk(room)
    assert client.get("/desk.svg").headers["content-type"].startswith("image/svg")
    for path in ("/", "/new", "/library", f"/week/{ATHLETE}", f"/brief/{ATHLETE}", f"/gym/{ATHLETE}"):
        text = client.get(path).text
        assert "//" not in text.replace("<!doctype", "") or "http" not in text
        assert re.findall("<script[^>]*>", text) == OURS and "style=" not in text
    client = at_desk(room)
    for path in ("/", "/desk.css", "/nowhere"):
        headers = client.get(path).headers
        assert headers["cache-control"] == "no-store"
        assert headers["content-security-policy"].startswith("default-src 'none'")
    assert stranger(room).get("/").headers["cache-control"] == "no-store"


@pytest.mark.parametrize("host", ["localhost:8765", "127.0.0.1", "evil.example", f"{HOST}.evil.example"])
def test_another_host_is_refused(room, host):
    assert at_desk(room).get("/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize(("headers", "status"), [
    ({"sec-fetch-site": "same-origin"}, 200),
    ({"sec-fetch-site": "none"}, 200),
    ({"sec-fetch-site": "same-site"}, 403),
    ({"sec-fetch-site": "cross-site", "origin": f"http://{HOST}"}, 403),
    ({"origin": f"http://{HOST}"}, 200),
    ({"origin": "http://evil.example"}, 403),
    ({"origin": "null"}, 403),
    ({}, 403),
])  # fmt: skip
def test_only_our_own_pages_change_anything(room, headers, status):
    client = at_desk(room)
    del client.headers["sec-fetch-site"]
    assert client.post(f"/discard/{ATHLETE}", headers=headers).status_code == status


@pytest.mark.parametrize("key", ["%2e%2e", "%2e%2e/x", "x/%2e%2e%2f", "/etc", "demo_athlete/weeks", "nobody"])
def test_a_name_that_is_not_listed_reaches_no_disk(room, key):
    client = at_desk(room / ATHLETE)
    for page in ("week", "brief", "gym", "log"):
        assert client.get(f"/{page}/{key}").status_code == 404


@pytest.mark.parametrize("week", ["../../brief", "2026-W99", "..%2f.."])
def test_a_week_that_is_not_listed_has_no_paper(room, week):
    client = at_desk(room)
    assert client.get(f"/paper/sheets/{ATHLETE}", params={"week": week}).status_code == 404
    assert client.get(f"/paper/week/{ATHLETE}", params={"week": week}).status_code == 404
