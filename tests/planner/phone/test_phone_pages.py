"""The phone's page as text, and filled in by a thumb in a real browser."""

import csv
import datetime
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
import sample_week as weeks
from in_process import planner
from openpyxl import Workbook
from sample_library import sample_library

from library.read import read_library
from planner.athlete.folder import read_week
from planner.document import Replacement
from planner.log.file import read_log
from planner.log.record import LoggedSet
from planner.phone.pages import phone_pages
from planner.phone.saved import differences, read_saved
from planner.sheets import client

ASKING = {"src", "srcset", "action", "style", "onclick"}
FOREIGN = '<img src=http://example.org/a.png> "ליאת" & Жанна'


class Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.seen, self.words = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)


@pytest.fixture(scope="module")
def desk():
    return weeks.sample_desk(sample_library())


@pytest.fixture(scope="module")
def made(desk):
    return phone_pages(desk, [], {})


def test_each_session_with_work_has_a_page_with_the_words_of_the_sheet(desk, made):
    pages = client.pages(desk)
    assert list(made) == [f"phone/{page.key}.html" for page in pages]
    for page, text in zip(pages, made.values(), strict=True):
        words = " ".join("".join(Tags(text).words).split())
        for card in page.cards:
            assert all(part in words for part in (card.name, card.dosage, card.effort, card.care))
        for line in (desk.words.line["pain"], desk.words.line["defer"], *desk.words.stop[0][1], *page.rules):
            assert line in words


def test_a_long_session_keeps_the_pictures_of_what_is_planned_and_stays_small():
    library = read_library()
    desk = weeks.sample_desk(library)
    keys = [key for key, exercise in library.exercises.items() if not exercise.compare_only][:18]
    session = desk.document.sessions[0]
    planned = []
    for place in range(6):
        others = keys[6 + 2 * place : 8 + 2 * place]
        instead = tuple(Replacement(exercise=key, sets=4, reps=(8, 12)) for key in others)
        update = {"exercise": keys[place], "block": "ABCDEF"[place], "order": place + 1, "instead": instead}
        planned.append(session.exercises[0].model_copy(update=update))
    sessions = (session.model_copy(update={"exercises": tuple(planned)}),)
    long = desk.document.model_copy(update={"sessions": sessions})
    clear = desk.brief.model_copy(update={"joints": {}})
    (text,) = phone_pages(replace(desk, document=long, brief=clear), [], {}).values()
    assert len(text.encode()) < 150_000
    assert 6 <= text.count("<svg") < 18


def test_a_page_asks_for_nothing_is_small_and_names_with_markup_are_text(made):
    for text in made.values():
        assert len(text.encode()) < 150_000
        policy = next(tag["content"] for name, tag in Tags(text).seen if tag.get("http-equiv"))
        assert policy.startswith("default-src 'none'; style-src 'sha256-")
        assert "unsafe" not in policy
        assert not [tag for _, tag in Tags(text).seen if ASKING & set(tag)]
        assert not re.findall(r"https?://", text)
    week = weeks.sample_week(athlete=FOREIGN)
    text = phone_pages(weeks.sample_desk(sample_library(), week), [], {})["phone/Mon.html"]
    assert "<img" not in text
    assert FOREIGN in "".join(Tags(text).words)


def test_last_time_is_the_suggestion(desk):
    session = desk.document.sessions[0]
    item = session.exercises[0]
    before = datetime.date.fromisoformat(desk.document.week_start) - datetime.timedelta(days=7)
    log = [LoggedSet(before, "Mon", item.exercise, 1, item.load, "kg", 9, 1, 0, gym=session.gym)]
    text = phone_pages(desk, log, {})["phone/Mon.html"]
    name = f"|{item.exercise}|1|reps"
    field = next(tag for _, tag in Tags(text).seen if tag.get("name", "").endswith(name))
    assert field["placeholder"] == "9"
    assert "Last time" in text


def test_a_session_is_filled_in_reloaded_and_logged(browser, athlete, session, tmp_path, quick_paper):
    page = browser.new_page(viewport={"width": 360, "height": 740}, has_touch=True)
    requests, faults = [], []
    page.on("request", lambda request: requests.append(request.url))
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda message: faults.append(message.text))
    file = athlete / "weeks" / "2026-W30" / "phone" / f"{session.id}.html"
    page.goto(file.as_uri())
    page.context.set_offline(True)
    page.fill("[name=date]", "2026-07-20")

    def fill(place, exercise, number, reps, load="12,5"):
        row = page.locator(f"[data-place='{place}'] .set[data-exercise='{exercise}'][data-set='{number}']")
        if row.locator("[name$='|load']").count():
            row.locator("[name$='|load']").fill(load)
        row.locator("[name$='|reps']").fill(reps)
        row.locator(".tick").tap()
        return row

    first, second = session.exercises[:2]
    badges = page.locator(".choice:not([hidden])").evaluate_all("all => all.map(one => one.dataset.place)")
    row = fill(badges[0], first.exercise, 1, "9")
    row.locator("[name$='|pain']").fill("3")
    about = page.locator(f".choice[data-choice='{first.exercise}'][data-place='{badges[0]}']")
    about.locator("[name$='||where']").select_option("subacromial")
    about.locator("[name$='||kind']").select_option("joint")
    about.locator("textarea").fill("<i>slow</i>")
    assert re.fullmatch(r"\d:\d\d", page.inner_text("#rest"))
    page.reload()
    assert row.locator("[name$='|reps']").input_value() == "9"
    assert row.locator(".tick").get_attribute("aria-pressed") == "true"
    page.locator(f".choice[data-choice='{second.exercise}'] summary", has_text="Station taken").tap()
    instead = second.instead[0]
    page.locator(f".choice[data-choice='{second.exercise}'] .swap[data-to='{instead.exercise}']").tap()
    wrong = fill(badges[1], instead.exercise, 1, "900")
    page.tap("#finish")
    assert wrong.locator("[name$='|reps']").get_attribute("aria-invalid") == "true"
    wrong.locator("[name$='|reps']").fill("11")
    with page.expect_download() as download:
        page.tap("#finish")
    saved = tmp_path / download.value.suggested_filename
    download.value.save_as(saved)
    assert page.input_value("#text") == saved.read_text(encoding="utf-8")
    assert (requests, faults) == ([file.as_uri()] * 2 + requests[2:], [])
    assert all(url.startswith("blob:") for url in requests[2:])
    done = planner("log", athlete, saved, "--yes")
    assert done.returncode == 0, done.stderr
    log = {row.exercise: row for row in read_log(athlete)}
    assert (log[first.exercise].reps, log[first.exercise].load, log[first.exercise].pain) == (9, 12.5, 3)
    assert log[first.exercise][9:11] == ("subacromial", "joint")
    assert log[first.exercise].note == "<i>slow</i>"
    assert log[instead.exercise].reps == 11
    assert f"instead of {second.name}" in done.stdout
    following = planner("week", athlete, "--week", "2026-W31")
    assert following.returncode in (0, 4), following.stderr
    assert (athlete / "weeks" / "2026-W31" / "phone").is_dir()


@pytest.mark.parametrize("width", [360, 1200])
def test_readers_and_large_letters_are_served_on_narrow_and_wide_pages(browser, desk, tmp_path, width):
    from axe_playwright_python.sync_playwright import Axe

    german = weeks.sample_desk(desk.library, athlete={"name": weeks.NAME, "language": "de"})
    file = tmp_path / "Mon.html"
    file.write_text(phone_pages(german, [], {})["phone/Mon.html"], encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 740})
    page.goto(file.as_uri())
    page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    for size in ("100%", "200%"):
        page.evaluate("size => (document.documentElement.style.fontSize = size)", size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


# --- `planner log` and what a phone saved: the same lines as from a table, differences said, wrong files refused
def logged(athlete):
    return (athlete / "log.csv").read_text(encoding="utf-8")


def as_table(saved, file):
    """The same session as a coach types it."""
    lines = [{"date": saved["date"], "session": saved["session"], **line} for line in saved["sets"]]
    with file.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(dict.fromkeys(key for line in lines for key in line)))
        writer.writeheader()
        writer.writerows(lines)
    return file


def test_a_table_and_a_phone_give_the_same_log(athlete, saved, write, tmp_path):
    hurt = {"pain": "4", "where": "subacromial", "kind": "joint", "note": "<b>sore</b>, a little"}
    saved["sets"][0] |= hurt
    assert planner("log", athlete, write(saved)).returncode == 0
    by_phone = logged(athlete)
    assert "<b>sore</b>, a little" in by_phone
    typed = as_table(saved, tmp_path / "typed.csv")
    book = Workbook()
    for row in csv.reader(typed.open(encoding="utf-8")):
        book.active.append(row)
    book.save(tmp_path / "typed.xlsx")
    for table in (typed, tmp_path / "typed.xlsx"):
        (athlete / "log.csv").unlink()
        assert planner("log", athlete, table).returncode == 0
        assert logged(athlete) == by_phone


def test_the_next_morning_completes_what_was_sent(athlete, saved, write):
    saved["sets"][0] |= {"pain": "4", "kind": "joint"}
    assert planner("log", athlete, write(saved)).returncode == 0
    saved["sets"][0] |= {"next_morning": "not settled"}
    assert planner("log", athlete, write(saved)).stdout.startswith("1 set added")


def test_one_wrong_file_keeps_all_out_and_twice_or_several_at_once_do_no_harm(athlete, saved, write):
    done = planner("log", athlete, write(saved), write("{", "cut.json"))
    assert done.returncode == 2
    assert "cut.json" in done.stderr
    assert not (athlete / "log.csv").exists()
    first, rest = saved | {"sets": saved["sets"][:2]}, write(saved, "later.txt")
    told = json.loads(planner("log", athlete, write(first), rest, rest, "--json", "--save").stdout)
    assert told["added"] == len(saved["sets"])
    before = logged(athlete)
    assert planner("log", athlete, rest).stdout.startswith("0 sets added")
    assert logged(athlete) == before


def cut(saved):
    return json.dumps(saved)[: len(json.dumps(saved)) // 2]


def with_set(**cells):
    return lambda saved: saved | {"sets": [saved["sets"][0] | cells]}


REFUSED = {
    "another athlete": (lambda saved: saved | {"athlete": "Ada Ort"}, "Ada Ort"),
    "cut in half": (cut, "cut off"),
    "of the future": (lambda saved: saved | {"date": "2099-01-05"}, "future"),
    "of a newer planner": (lambda saved: saved | {"planner_phone": 2}, "format 2"),
    "too large": (lambda saved: saved | {"padding": "x" * 10_000_000}, "bytes"),
    "another key": (lambda saved: saved | {"plam": ""}, "plam"),
    "no set": (lambda saved: saved | {"sets": []}, "no set"),
    "no phone sheet": (lambda saved: {"sets": saved["sets"]}, "planner_phone"),
    "a list": (lambda saved: [saved], "planner_phone"),
    "nested without end": (lambda saved: "[" * 100_000, "JSON"),
    "half a letter": (with_set(note="\ud800"), "note"),
    "a number": (with_set(reps=10), "sets[1].reps"),
    "too many repetitions": (with_set(reps="400"), "sets[1].reps"),
    "unknown exercise": (with_set(exercise="raise_of_nothing"), "sets[1].exercise"),
    "way out of the folder": (lambda saved: saved | {"week": "../..", "date": "2099-01-05"}, "future"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_wrong_files_are_refused_with_their_place(athlete, saved, write, name):
    change, said = REFUSED[name]
    done = planner("log", athlete, write(change(saved)))
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (athlete / "log.csv").exists()


def told(athlete, file):
    return "\n".join(differences(athlete, read_saved(file), read_library()))


def test_what_differs_from_the_plan_is_said_and_nothing_else(athlete, saved, session, write):
    first, second = session.exercises[:2]
    mine, other = ([s for s in saved["sets"] if s["exercise"] == of.exercise] for of in (first, second))
    own = [line | {"reps": "1", "load": "3"} for line in mine]
    replaced = [line | {"exercise": second.instead[0].exercise} for line in other]
    said = told(athlete, write(saved | {"sets": own[:1] + replaced, "date": "2026-07-21"}))
    assert f"{first.name}: 1 set of {first.sets}" in said
    assert f"{first.name}: 1 repetitions, asked" in said
    assert f"instead of {second.name}" in said
    assert f"{second.name}: not done" in told(athlete, write(saved | {"sets": own}))
    assert "trained on 2026-07-21, planned for 2026-07-20" in said
    loads = {item.exercise: item.load for item in session.exercises}
    sets = [line | {"load": str(loads[line["exercise"]] or line["load"])} for line in saved["sets"]]
    assert told(athlete, write(saved | {"sets": sets})) == ""


def test_an_older_plan_is_said(athlete, saved, session, write, quick_paper):
    out = session.exercises[0].exercise
    assert planner("swap", athlete, "--without", out).returncode in (0, 4)
    assert read_week(athlete, saved["week"]).sessions[0] != session
    done = planner("log", athlete, write(saved))
    assert done.returncode == 0
    assert "older plan (v1)" in done.stdout
    assert "not kept here" in told(athlete, write(saved | {"plan": "0" * 12}))
    assert "nothing was compared" in told(athlete, write(saved | {"week": "2026-W01"}))
    (athlete / "weeks" / saved["week"] / "week.json").write_text("{")
    assert "cannot be read" in told(athlete, write(saved))
