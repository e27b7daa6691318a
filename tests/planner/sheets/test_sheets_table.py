"""week.csv, sessions.ics, the table of the terminal, and the catalogue that gives all their words."""

import csv
import datetime
import io
import re
import tomllib
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from string import Formatter

import pytest
import sample_week as weeks
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar
from messages import PHONE, messages
from sample_library import EXERCISES
from sample_week import planned, sample_desk, sample_week

from library.read import read_library
from planner.document import BlockMark, ExerciseWarning, MissedGoal, Replacement
from planner.phone.pages import SCRIPT_WORDS, phone_pages
from planner.plain import FIRST_BACK_AFTER, short_of, week_of
from planner.sheets import say
from planner.sheets.paper import coach_html, sheets_html
from planner.sheets.say import read_words, stations
from planner.sheets.table import COLUMNS, calendar, week_csv, week_table
from planner.train.progression import BEGIN_WITH


def rows_of(week):
    return list(csv.DictReader(io.StringIO(week_csv(week))))


def test_one_row_an_exercise_and_session_with_every_number_of_the_document():
    rows = rows_of(weeks.sample_week())
    assert list(rows[0]) == [*COLUMNS, "dose_front", "dose_side", "dose_rear"]
    places = [("Mon", str(order)) for order in range(1, 7)] + [("Thu", str(order)) for order in range(1, 5)]
    assert [(row["session"], row["order"]) for row in rows] == places
    row = rows_of(weeks.sample_week())[0]
    assert row == {
        "athlete": weeks.NAME, "week": "2026-W49", "session": "Mon", "day": "Mon", "gym": "city_club",
        "session_minutes_allowed": "45", "session_minutes_used": "43.4", "order": "1", "block": "A",
        "exercise": weeks.PRESS, "name": "Seated dumbbell overhead press to full depth", "sets": "4", "reps_low": "8",
        "reps_high": "12", "lift_seconds": "1", "top_seconds": "0", "lower_seconds": "3", "bottom_seconds": "0",
        "reps_in_reserve": "2", "rest_seconds": "90", "work_seconds": "40", "setup_seconds": "30", "warmup_sets": "1",
        "sides": "1", "minutes": "6.4", "load": "22.5", "load_unit": "kg", "load_is": "each_hand",
        "instead": weeks.RAISE, "instead_sets": "3", "dose_front": "3.600", "dose_side": "2.400", "dose_rear": "0.000",
    }  # fmt: skip


def test_a_name_steers_neither_a_spreadsheet_nor_the_terminal_and_a_proof_says_among_which_plans(library):
    rows = rows_of(weeks.sample_week(athlete='=HYPERLINK("http://example.org")'))
    assert rows[0]["athlete"] == '\'=HYPERLINK("http://example.org")'
    assert "\x1b" not in week_table(weeks.sample_week(athlete="Zoë\x1b[31m"), library)
    among = "plans that keep every block in place"
    first, second = weeks.sample_week().proof
    week = weeks.sample_week(proof=(first, second.model_copy(update={"among": among})))
    lines = [line for line in week_table(week, library).splitlines() if "proof:" in line]
    assert [line.endswith(among) for line in lines] == [False, True]
    assert f"among {among} none" in coach_html(weeks.sample_desk(library, week))


def test_pain_is_said_first_then_shortfalls_then_warnings_and_what_is_less_on_purpose_below(library):
    pain = "Bent-over rear raise: pain 7: left out; see a doctor or physiotherapist."
    week = weeks.sample_week()
    lines = week_table(week.model_copy(update={"pain": (pain,), "warnings": (pain, *week.warnings)}), library)
    title, said, short, warned, *_ = lines.split("\n\n")
    assert weeks.NAME in title and "week of 30 November (2026-W49)" in title
    assert said == f"PAIN: {pain}" and lines.count(pain) == 1
    kinds = [line.partition(": ")[2][:4] for line in short.splitlines()]
    assert kinds == ["side", "rear", "Minu", "Minu", "Join", "Fron"]
    assert warned == week.warnings[0]
    out = ExerciseWarning(exercise=weeks.RAISE, text="left out", kind="out")
    for update in ({"exercise_warnings": (out,)}, {"notes": (f"{FIRST_BACK_AFTER} pain, half of the sets",)}):
        week = weeks.sample_week().model_copy(update=update)
        table, page = week_table(week, library), coach_html(weeks.sample_desk(library, week))
        assert "SHORT" not in table + page
        assert table.index("side 11.6 of 14") > table.index("Saturday") and "Side delt 11.6 of 14" in page


@pytest.mark.parametrize(("by", "said"), [(0.049, None), (0.05, "by 0.1")])
def test_a_goal_missed_by_less_than_is_printed_is_not_told(library, by, said):
    week = weeks.sample_week(missed=(MissedGoal(goal="spread:side", by=by, unit="days"),))
    told = [line for line in week_table(week, library).splitlines() if line.startswith("missed: ")]
    assert [said in line for line in told] == ([] if said is None else [True])
    assert (said is not None) == (str(said) in coach_html(weeks.sample_desk(library, week)))


def test_the_table_has_sessions_doses_pairs_and_proof(library):
    table = week_table(weeks.sample_week(), library)
    for words in (
        "Monday, city_club, 43.4 of 45 min", "4 x 8-12", "22.5 kg", "3 x 8-12 each side", "to find",
        "Saturday, city_club, 5 of 45 min: nothing", "dose within 0.03 missed sets",
        "the rest within 0.3 minute-equivalents",
    ):  # fmt: skip
        assert words in table
    table = week_table(weeks.sample_week(), library)
    rows = [line.split() for line in table.splitlines() if line.startswith(("  head", "  front"))]
    assert rows[0][:3] == ["head", "own", "helping"]
    assert " ".join(rows[1]) == "front 10.4 2.0 12.4 3.0 1.5 6 10 20 10.6-14.1 over 99 % 8.0"
    lines = week_table(weeks.sample_week(), library).splitlines()
    *_, first, second = (line for line in lines if line.startswith("  B "))
    assert first.endswith("none, go on") and not second.endswith("none, go on")


def test_a_band_is_no_load_to_find_and_a_load_to_find_says_from_which(library):
    note = "A stronger band: every set was full last time."
    band = weeks.planned(weeks.RAISE, 1, load_is="band", load_note=note)
    days = [weeks.session("Mon", (one,)) for one in (band.model_copy(update={"load_note": ""}), band)]
    first, known = (week_table(weeks.sample_week(sessions=(day,)), library) for day in days)
    body = weeks.session("Mon", (weeks.planned(weeks.RAISE, 1, load_is="body"),))
    assert "body weight" in week_table(weeks.sample_week(sessions=(body,)), library)
    assert "to find" in first and "to find" not in known and "a stronger band" in known
    begins = weeks.planned(weeks.RAISE, 1, load=None, load_note=BEGIN_WITH.format(7.5, "kg", 10, 15, 2))
    assert "to find, from 7.5 kg  " in week_table(
        weeks.sample_week(sessions=(weeks.session("Mon", (begins,)),)), library
    )


def test_a_week_with_nothing_left_and_a_stopped_one_say_so_and_no_warning_is_said_twice(library):
    assert "Nothing left to train this week." in week_table(weeks.nothing_left_week(), library)
    assert "The search was stopped" in week_table(weeks.sample_week(status="stopped"), library)
    assert "The search was stopped" not in week_table(weeks.sample_week(), library)
    pain, open_sets = "Machine press: pain 4", "Week 2026-W48, front: 2 sets open"
    week = weeks.sample_week(warnings=(pain,), notes=(pain, open_sets))
    table = week_table(week, library)
    assert table.count(pain) == 1 and f"note: {open_sets}" in table


# --- sessions.ics, read back by the library that wrote it: days, times, minutes, place, what is done; nothing twice
MONDAY = {"day": "Mon", "minutes": 45, "gym": "city_club", "at": "18:30"}
DAYS = [MONDAY, {"day": "Thu", "minutes": 32, "gym": "home"}]


@pytest.fixture
def desk(library):
    made = sample_desk(library, weeks.sample_week(athlete="Zoë; BEGIN:VALARM\nX"), session=DAYS)
    return replace(made, places={"city_club": {"cable_station": "back wall"}})


def events(desk):
    return Calendar.from_ical(calendar(desk)).events


def test_each_session_with_work_is_an_event_and_the_same_week_the_same_file(desk):
    monday, thursday = events(desk)
    assert monday.start == datetime.datetime(2026, 11, 30, 18, 30)
    assert monday.end - monday.start == datetime.timedelta(minutes=45)
    assert (thursday.start, thursday.end) == (datetime.date(2026, 12, 3), datetime.date(2026, 12, 4))
    monday, _ = events(desk)
    assert (monday["location"], "43.4 of 45 min" in monday["summary"]) == ("city club", True)
    press = "A Seated dumbbell overhead press to full depth: 4 × 8–12, 22.5 kg"
    assert all(words in monday["description"] for words in (press, "(back wall)", "Bring:"))
    done = tuple(one.model_copy(update={"state": "done"}) for one in desk.document.sessions)
    assert events(replace(desk, document=desk.document.model_copy(update={"sessions": done}))) == []
    assert calendar(desk) == calendar(desk)
    other = replace(desk, document=desk.document.model_copy(update={"sessions": desk.document.sessions[:1]}))
    assert events(other)[0]["uid"] == events(desk)[0]["uid"]
    assert len({event["uid"] for event in events(desk)}) == 2


# --- Everything a client reads comes from the catalogue: none outside it, none missing in German, no figure lost
LETTERS = re.compile(r"\{[^}]*\}|[a-zA-Z]")
SAID = ("aria-label", "placeholder", "title", "alt", "data-words")
NAME, GYM = "Q7", "G5"  # an athlete's and a gym's name without two letters in a row
LEFT = {"kg", "lb", "min"}  # units


class Greek(dict):
    """A catalogue that has every text, in letters that no English text has."""

    def get(self, text, default=None):
        return LETTERS.sub(lambda found: found[0] if found[0].startswith("{") else "ж", text)


class Words(HTMLParser):
    """What a person sees or hears of a page."""

    def __init__(self, html):
        super().__init__()
        self.words, self.silent = [], False
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.silent = tag in ("style", "script")
        self.words += [value for name, value in attrs if name in SAID and value]

    def handle_data(self, data):
        if not self.silent:
            self.words.append(data)

    def handle_endtag(self, tag):
        self.silent = False


@pytest.fixture
def greek(monkeypatch):
    say._words.cache_clear()
    monkeypatch.setattr(say, "catalogue", lambda name: {} if name == "en" else Greek())
    yield
    say._words.cache_clear()


def everything(library):
    """A desk whose week has all that a sheet can say."""
    notes = (
        "Because of pain: 1 set less than last week, same range of motion or less.",
        "The next load is a big step: go up to 15 repetitions before it.",
        "Up by the station's smallest step, between 20.4 and 22 kg.",
    )
    warned = [
        ExerciseWarning(exercise=weeks.REAR, text="Pain", kind=kind, pain=4, since="2026-11-16")
        for kind in ("eased", "out", "rising")
    ]
    instead = (Replacement(exercise=weeks.REAR, sets=4, reps=(8, 12), differs={"front": -1.2, "side": 1.0}),)
    chosen = list(EXERCISES)
    made = []
    for day, keys in (("Mon", chosen[:5]), ("Thu", chosen[5:])):
        planned = [
            weeks.planned(
                key, order, warmup_sets=2, instead=instead, load_note=(*notes, "", "")[order - 1],
                block="A" if order < 3 else "B",
            )
            for order, key in enumerate(keys, 1)
        ]  # fmt: skip
        made.append(weeks.session(day, tuple(planned)).model_copy(update={"gym": GYM}))
    done = weeks.session("Sat", ()).model_copy(update={"state": "missed", "gym": GYM})
    week = weeks.sample_week(
        athlete=NAME, sessions=(*made, done), exercise_warnings=tuple(warned),
        block=BlockMark(first="2026-W49", number=1, of=2, lighter=True),
    )  # fmt: skip
    card = {"name": NAME, "language": "de"}
    joints = {"subacromial": "careful", "arm_at_most_degrees": 80}
    desk = weeks.sample_desk(library, week, athlete=card, joints=joints)
    return replace(desk, places={GYM: {"cable_station": "7"}})


def test_no_client_text_stands_outside_the_catalogue_and_the_coach_reads_english(library, greek):
    desk = everything(library)
    nothing = replace(desk, document=weeks.nothing_left_week().model_copy(update={"athlete": NAME}))
    pages = [sheets_html(desk), sheets_html(nothing), *phone_pages(desk, [], {GYM: "kg"}).values()]
    words = [word for page in pages for word in Words(page).words]
    events = Calendar.from_ical(calendar(desk)).events
    words += [str(event[key]) for event in events for key in ("summary", "description")]
    english = {found for word in words for found in re.findall(r"[A-Za-z]{2,}", word)} - LEFT
    assert "ж" in "".join(words)
    assert english <= {*SCRIPT_WORDS}
    script = (PHONE / "templates" / "phone.js").read_text(encoding="utf-8")
    assert not re.findall(r'"[A-Z][a-z]+[ .:]', script)
    assert "ж" not in coach_html(everything(library))


def test_german_has_every_text_every_figure_and_names_that_fit():
    assert set(say.catalogue("de")) == set(messages())
    for english, german in say.catalogue("de").items():
        parsed = (Formatter().parse(text) for text in (english, german))
        fields = [sorted(field for _, field, _, _ in parts if field) for parts in parsed]
        assert fields[0] == fields[1], english
        numbers = [sorted(re.findall(r"\d+", text)) for text in (english, german)]
        assert numbers[0] == numbers[1], english
    german, every = say.catalogue("de"), read_library().exercises.values()
    names = [german[exercise.name] for exercise in every if not exercise.compare_only]
    assert len(names) == len(set(names))
    assert max(map(len, names)) <= 60


def test_a_german_sheet_is_german_and_equipment_and_dates_stand_in_words(library):
    card = {"name": NAME, "language": "de"}
    html = sheets_html(weeks.sample_desk(library, athlete=card))
    said = ('lang="de"', "Montag", "30. November 2026", "22,5 kg", "heben 1 s, senken 3 s", "Aufwärmsätze:")
    assert all(words in html for words in said)
    assert "Monday" in sheets_html(weeks.sample_desk(library))
    assert not any("_" in stations(read_library(), key, {}) for key in read_library().exercises)
    assert stations(library, "pike_push_up", {}) == "no equipment"
    assert stations(library, "barbell_overhead_press", {}) == "barbell with plates and rack with safety bars"
    assert stations(library, "gone", {}) == ""
    assert say.session_date("2026-12-28", "Fri") == "1 January 2027"
    assert say.session_date("soon", "Fri") == say.session_date("2026-12-28", "Xyz") == ""
    assert week_of("2026-W49", "2026-11-30") == "week of 30 November (2026-W49)"
    assert week_of("2026-W49", "soon") == "week 2026-W49"


# --- Texts, numbers and keys in words: every text has its source, every limit and goal of the model its words
DATA = tomllib.loads((files("planner.sheets") / "words.toml").read_text(encoding="utf-8"))


def test_texts_have_sources_name_no_diagnosis_and_know_the_library():
    texts = [entry for kind in ("line", "find", "rule") for entry in DATA[kind].values()]
    assert all(entry["text"].strip() and entry["source"].strip() for entry in texts)
    assert all(group["source"] for group in DATA["stop"])
    assert "emergency" in read_words().stop[0][0]
    assert [len(signs) for _, signs in read_words().stop] == [4, 5, 4]
    everything = str(DATA).lower()
    for word in ("impingement", "diagnose ", "tendinopathy", "tear", "cure", "heals"):
        assert word not in everything
    library = read_library()
    for rule in read_words().rules:
        assert rule.families or rule.implements
        assert set(rule.families) <= set(library.families)
        assert set(rule.implements) <= set(library.implements)
        assert any(rule.concerns(exercise) for exercise in library.exercises.values())


@given(st.floats(0, 1))
def test_no_chance_is_said_as_0_or_100(value):
    assert say.share(value) not in ("0 %", "100 %")


@pytest.mark.parametrize(("load_is", "sides", "implement", "said"), [
    ("each_hand", 1, "dumbbell", "each hand"), ("each_hand", 2, "dumbbell", "in the working hand"),
    ("total", 1, "barbell", "with the bar"), ("total", 1, "plate", "the plate"),
    ("stack", 1, "machine", "on the stack"), ("body", 1, "bodyweight", "added"),
])  # fmt: skip
def test_what_a_load_counts(load_is, sides, implement, said):
    exercise = planned("pike_push_up", 1, load_is=load_is, sides=sides)
    assert say.load_of(exercise, implement, read_words()) == said


@given(st.text(max_size=40))
def test_plain_text_steers_nothing_and_keeps_letters(text):
    plain = say.plain(text)
    assert not any(ord(one) < 32 or 0x202A <= ord(one) <= 0x202E for one in plain)
    assert say.plain(plain) == plain
    assert say.plain("می\u200cروم") == "می\u200cروم"  # joiners that Persian needs


def test_who_is_short_is_said_worst_first_and_below_the_floor():
    week = sample_week()
    *others, rear = week.dose
    few = rear.model_copy(update={"planned": 3.0 - rear.elsewhere})
    first, second = short_of(week.model_copy(update={"dose": (*others, few)}), where=" in 2026-W49")
    assert first.startswith("SHORT of target in 2026-W49: rear by") and "below the floor" in first
    assert "side by 2.4" in second and "floor" not in second
