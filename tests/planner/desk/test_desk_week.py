"""The week's page: sets moved, pinned and exchanged, undone and done again; trials, versions, blocks, side by side."""

import json
import tomllib
from unittest.mock import Mock

import pytest
from desk_client import KEY, SUNDAY, WEEK, at_desk, edit, form_of, post, sign, told, waited, words
from folders import DEMO, copy_of_demo
from killed import killed_at, needs_fork

from library.errors import NoWeekPossible, PaperNotMade
from planner.athlete.folder import in_force, replaced
from planner.change.easings import all_easings
from planner.change.swap import swap_week
from planner.change.told import Options
from planner.document import plan_of
from planner.week.gather import gather


def first_block(athlete):
    (key, day), sets = next(iter(plan_of(in_force(athlete, SUNDAY)).items()))
    other = next(one.id for one in in_force(athlete, SUNDAY).sessions if one.gym == "club" and one.id != day)
    return key, day, other, sets


def edited_only(client, kind, word):
    """Send a change and do not look at what comes of it."""
    data = {"kind": kind, "word": word, "week": WEEK}
    client.post(f"/edit/{KEY}", data=data, follow_redirects=False)


def test_an_exercise_moves_to_another_day_or_two_and_many_more_sets_are_asked_for(client, athlete):
    key, day, other, sets = first_block(athlete)
    moved = (f"{key}={day}:0", f"{key}={other}:{sets}")
    page = edit(client, "sets", *moved)
    assert page.status_code == 200 and "pinned" in words(page), told(page)
    expected = swap_week(athlete, Options(sets=moved), SUNDAY, WEEK).document
    assert sign(client).status_code == 200
    now = in_force(athlete, SUNDAY)
    assert (now.sessions, now.changes) == (expected.sessions, expected.changes)
    plan = plan_of(now)
    assert (key, day) not in plan and plan[key, other] == sets
    key, day, other, _ = first_block(athlete)
    edit(client, "sets", f"{key}={day}:3")
    page = edit(client, "sets", f"{key}={other}:2")
    assert page.status_code == 200 and page.text.count(">pinned<") == 3, told(page)
    page = sign(client)
    assert WEEK in str(page.url)
    plan = plan_of(in_force(athlete, SUNDAY))
    assert (plan[key, day], plan[key, other]) == (3, 2)
    key, _, other, _ = first_block(athlete)
    edit(client, "sets", f"{key}={other}:4")
    assert sign(client).status_code == 200
    assert plan_of(in_force(athlete, SUNDAY))[key, other] == 4


@needs_fork
def test_killed_while_signing_there_is_the_old_week_or_the_new_one(client, athlete, monkeypatch):
    """A child dies, as by kill -9, before every seventh of its touches of the disk, until one lives."""
    monkeypatch.setattr("planner.sheets.paper.render_sheets", Mock(side_effect=PaperNotMade("")))
    edit(client, "missed", "Sat")
    waited(client, client.get(f"/week/{KEY}"))
    old = in_force(athlete, SUNDAY)
    made = client.app.app.state.desk.proposals
    proposal = made.shown(athlete)
    for moment in range(1, 10_000, 7):
        died = killed_at(moment, lambda: made.sign(athlete, proposal.number))
        now = in_force(athlete, SUNDAY)
        assert now in (old, proposal.document)
        if not died:
            break
    assert moment > 1 and now == proposal.document
    assert old in dict(replaced(athlete, WEEK)).values()


def test_later_words_of_a_day_replace_earlier_ones_and_those_of_one_week_are_named(client, athlete):
    key, day, _, sets = first_block(athlete)
    edit(client, "sets", f"{key}={day}:{sets + 1}")
    page = edit(client, "sets", f"{key}={day}:2")
    assert page.status_code == 200, told(page)
    assert sign(client).status_code == 200
    now = in_force(athlete, SUNDAY)
    assert plan_of(now)[key, day] == 2
    assert [(one.name, one.day, one.sets) for one in now.changes] == [(key, day, 2)]
    edit(client, "minutes", "Mon=30")
    assert sign(client).status_code == 200
    page = post(client, "plan", week=WEEK)
    assert f"30 min on Monday: told of {WEEK} alone" in words(page), told(page)


def test_undo_and_redo_walk_through_the_changes(client, athlete):
    key, day, _, _sets = first_block(athlete)
    edit(client, "sets", f"{key}={day}:2")
    edit(client, "missed", "Sat")
    both = words(client.get(f"/week/{KEY}"))
    assert "missed" in words(client.get(f"/week/{KEY}"))
    one = post(client, "step", by="-1")
    none = post(client, "step", by="-1")
    assert "Proposal" in words(one) and "Proposal" not in words(none)
    post(client, "step", by="1")
    again = words(post(client, "step", by="1"))
    assert both.partition("Direct sets a week")[2] == again.partition("Direct sets a week")[2]


def test_what_is_not_planned_yet_is_an_estimate_and_cannot_be_signed(client, athlete, monkeypatch):
    import planner.desk.proposals as proposals

    monkeypatch.setattr(proposals, "SHOWN_WITHIN_SECONDS", 0.0)
    edited_only(client, "missed", "Sat")
    page = client.get(f"/week/{KEY}")
    if 'http-equiv="refresh"' in page.text:  # as good as always
        assert "Not yet proven" in words(page)
        assert f'action="/sign/{KEY}"' not in page.text
    assert "Not yet proven" not in words(waited(client, page))


def test_changes_made_faster_than_weeks_are_planned_get_their_proof_and_what_cannot_be_leaves_what_stood(
    client, athlete
):
    for word in ("Sat", "Wed"):
        edited_only(client, "missed", word)
    assert "Not yet proven" not in words(waited(client, client.get(f"/week/{KEY}")))
    first = post(client, "step", by="-1")
    assert "Not yet proven" not in words(first) and "Proposal" in words(first)
    key, day, _, _ = first_block(athlete)
    edit(client, "missed", "Sat")
    for kind, word, said in (("sets", f"{key}={day}:9", key), ("minutes", "Mon=lots", "lots")):
        page = edit(client, kind, word)
        assert page.status_code == 422 and said in words(page)
    assert "Proposal" in words(client.get(f"/week/{KEY}"))


def test_after_a_refused_change_the_one_before_it_is_proven(client, athlete, monkeypatch):
    import planner.desk.planning as planning

    def refused(standing, told, earlier, plan=planning.swapped):
        if len(told.changes) > 1:
            raise NoWeekPossible("two are too many")
        return plan(standing, told, earlier)

    monkeypatch.setattr(planning, "swapped", refused)
    key, day, _, _ = first_block(athlete)
    for kind, word in (("minutes", "Mon=30"), ("minutes", "Wed=30"), ("sets", f"{key}={day}:9")):
        edited_only(client, kind, word)
    page = waited(client, client.get(f"/week/{KEY}"))
    assert page.status_code == 422 and told(page)
    assert "Proposal" in words(page) and "Not yet proven" not in words(page)


def test_a_week_of_an_earlier_version_is_shown_with_a_goal_that_is_gone(client, athlete):
    file = athlete / "weeks" / WEEK / "week.json"
    week = json.loads(file.read_text())
    week["missed"].append({"goal": "gone_by_now:side", "by": 2.0, "unit": "sets"})
    file.write_text(json.dumps(week))
    assert "Gone by now" in words(client.get(f"/week/{KEY}", params={"week": WEEK}))
    assert client.get("/").status_code == 200


def test_a_version_comes_back(client, athlete):
    first = in_force(athlete, SUNDAY)
    key, _day, _, _sets = first_block(athlete)
    edit(client, "drop", key)
    sign(client)
    assert key not in {of for of, _ in plan_of(in_force(athlete, SUNDAY))}
    page = client.get(f"/week/{KEY}", params={"week": WEEK, "version": "v1"})
    assert page.status_code == 200 and f'action="/edit/{KEY}"' not in page.text
    assert client.get(f"/week/{KEY}", params={"week": WEEK, "version": "v9"}).status_code == 404
    page = post(client, "back", week=WEEK, version="v1")
    assert "Proposal" in words(page), told(page)
    assert sign(client).status_code == 200
    assert plan_of(in_force(athlete, SUNDAY)) == plan_of(first)


@pytest.mark.slow
def test_a_gain_is_tried_and_only_what_stands_in_no_file_can_be_signed(client, athlete, monkeypatch):
    few = all_easings(gather(athlete, WEEK, SUNDAY).inputs, (), ())[::18]
    monkeypatch.setattr("planner.change.why.all_easings", lambda *_: few)
    page = waited(client, client.get(f"/why/{KEY}"))
    assert page.status_code == 200 and "in the way" in words(page)
    page = post(client, "try_easing", name="goal:dose:front", week=WEEK)
    assert "Trial" in words(page), told(page)
    assert f'action="/sign/{KEY}"' not in page.text


@pytest.mark.slow
def test_weeks_side_by_side_can_be_taken(client, athlete):
    page = waited(client, client.get(f"/beside/{KEY}", params={"week": WEEK}))
    assert page.status_code == 200, told(page)
    assert post(client, "take", name="Z", week=WEEK).status_code == 404
    page = post(client, "take", name="B", week=WEEK)
    assert "Proposal" in words(page), told(page)
    assert sign(client).status_code == 200


@pytest.mark.slow
def test_a_block_is_planned_and_signed_whole(client, athlete):
    page = post(client, "block", weeks="many", week="soon", ramp="9")
    assert page.status_code == 422
    assert all(f'id="fault-{name}"' in page.text for name in ("weeks", "week", "ramp"))
    page = post(client, "block", weeks="2", week="2026-W50", sheets="1")
    assert "Proposal" in words(page) and f'action="/edit/{KEY}"' not in page.text, told(page)
    assert sign(client).status_code == 200
    assert {"2026-W50", "2026-W51"} <= {one.name for one in (athlete / "weeks").iterdir()}


def test_an_exercise_is_exchanged_and_a_link_fills_a_field_of_the_brief(client, athlete):
    key, _day, _, _ = first_block(athlete)
    page = client.get(f"/instead/{KEY}", params={"exercise": key, "week": WEEK})
    assert page.status_code == 200
    if f'action="/edit/{KEY}"' in page.text:
        taken = form_of(page, f"/edit/{KEY}")
        page = waited(client, client.post(f"/edit/{KEY}", data=taken))
        assert page.status_code == 200, told(page)
    before = (athlete / "brief.toml").read_bytes()
    page = client.get(f"/brief/{KEY}?wish.push_up=exclude")
    assert form_of(page, f"/brief/{KEY}")["wish.push_up"] == ["exclude"]
    assert (athlete / "brief.toml").read_bytes() == before
    page = client.get(f"/progress/{KEY}", params={"weeks": "2"})
    assert page.status_code == 200 and page.text.count("<svg") >= 3
    assert "<style" not in page.text and "style=" not in page.text


def test_all_that_are_due_are_planned_and_what_is_signed_is_printed(athlete):
    copy_of_demo(athlete.parent / "other")
    client = at_desk(athlete.parent)
    client.post("/due")
    events = client.get("/events")
    assert events.headers["content-type"].startswith("text/event-stream")
    assert events.text.endswith("data: 0\n\n")
    page = client.get("/")
    assert "waits to be signed" in words(page)
    assert not (athlete.parent / "other" / "weeks").exists()
    paper = waited(client, client.get("/print"))
    assert paper.content[:4] == b"%PDF" or paper.status_code == 422  # no renderer here


def recordings(*left_out):
    """The demo's recordings as files of a form; its first set is to be split by marks that nobody set."""
    files = [*sorted((DEMO / "recordings").glob("*.edf")), DEMO / "recordings" / "session.toml"]
    named, unmarked = b'file = "press_1.edf"', b'file = "press_1.edf"\nsplit = "marks"'
    data = {one.name: one.read_bytes().replace(named, unmarked) for one in files}
    return [("file", pair) for pair in data.items() if pair[0] not in left_out]


@pytest.mark.slow
def test_recordings_are_kept_measured_and_taken_in(client, athlete):
    page = client.post(f"/measure/{KEY}", files=recordings())
    assert page.status_code == 200, told(page)
    place = athlete / "recordings" / "2026-11-29-1"
    assert (place / "press_1.edf").read_bytes() == (DEMO / "recordings" / "press_1.edf").read_bytes()
    page = waited(client, client.get(f"/measure/{KEY}", params={"session": place.name}))
    assert "Ranking" in words(page) and page.text.count("<polyline") > 3
    assert "no repetitions yet" in words(page)
    split = {"session": place.name, "trial": "0", "rows": "2 4.5 3\n5 7.5"}
    page = waited(client, client.post(f"/split/{KEY}", data=split))
    assert page.status_code == 200 and "no repetitions yet" not in words(page), told(page)
    assert tomllib.loads((place / "session.toml").read_text())["trial"][0]["repetitions"][1] == [5, 7.5]
    form = form_of(page, f"/split/{KEY}")
    page = client.post(f"/split/{KEY}", data=form | {"rows": "1 0.5"})
    assert page.status_code == 422 and "repetition" in words(page)
    brief = athlete / "brief.toml"
    brief.write_text(brief.read_text().replace("Robin Vale", "Robin V"))
    page = client.post(f"/evidence/{KEY}", data={"session": place.name})
    assert page.status_code == 422 and 'name="same_person"' in page.text
    page = client.post(f"/evidence/{KEY}", data={"session": place.name, "same_person": "yes"})
    assert page.status_code == 200, told(page)
    assert (athlete / "evidence.csv").is_file()
    paper = client.get(f"/blank/{KEY}", params={"sheet": "report", "session": place.name})
    assert paper.content[:4] == b"%PDF" or "Ranking" in paper.text  # no renderer here
    assert page.text.count('<article class="session"') == 2  # the week before and after


@pytest.mark.parametrize("name", ["../brief.toml", "/etc/passwd", "weeks/x.edf"])
def test_no_name_in_a_recording_leads_elsewhere(client, athlete, name):
    text = f'[session]\nathlete = "x"\n[[trial]]\nfile = "{name}"\nexercise = "push_up"\n'
    files = [("file", ("session.toml", text.encode())), ("file", (name, b"0"))]
    assert client.post(f"/measure/{KEY}", files=files).status_code == 422
    assert not list((athlete / "recordings").glob("2026-*"))


def test_a_folder_of_recordings_that_lacks_a_file_is_refused(client, athlete):
    page = client.post(f"/measure/{KEY}", files=recordings("press_1.edf"))
    assert page.status_code == 422 and "press_1.edf" in words(page)
    page = client.post(f"/measure/{KEY}", files=recordings("session.toml"))
    assert page.status_code == 422 and f'href="/blank/{KEY}"' in page.text
    blank = client.get(f"/blank/{KEY}")
    assert blank.headers["content-disposition"].startswith("attachment")
    assert tomllib.loads(blank.text)["trial"]
    sheet = client.get(f"/blank/{KEY}", params={"sheet": "yes"})
    assert sheet.content[:4] == b"%PDF" or "Maximal tests" in sheet.text  # no renderer here
    placement = client.get(f"/blank/{KEY}", params={"sheet": "placement"})
    assert placement.content[:4] == b"%PDF" or "Sensor placement" in placement.text
    assert client.get(f"/measure/{KEY}", params={"session": ".."}).status_code == 404
