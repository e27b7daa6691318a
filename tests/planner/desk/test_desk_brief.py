"""The athlete's files as forms: what is not changed stays byte for byte, what is wrong is told at its field."""

import tomllib

import pytest
from desk_client import KEY, form_of, told, waited, words
from folders import copy_of_demo


@pytest.fixture
def athlete(tmp_path):
    return copy_of_demo(tmp_path / KEY)


def brief_form(client, page="brief"):
    return form_of(client.get(f"/{page}/{KEY}"), f"/{page}/{KEY}")


@pytest.mark.parametrize("file", ["brief", "gym"])
def test_saving_an_unchanged_form_changes_no_byte(client, athlete, file):
    before = (athlete / f"{file}.toml").read_bytes()
    page = client.post(f"/{file}/{KEY}", data=brief_form(client, file))
    assert page.status_code == 200, told(page)
    assert (athlete / f"{file}.toml").read_bytes() == before


def test_one_change_touches_one_line_and_keeps_its_comment(client, athlete):
    before = (athlete / "brief.toml").read_text()
    form = brief_form(client)
    form["session.Wed.minutes"] = ["50"]
    form["target.side.now"] = ["17"]
    form["joints.subacromial"] = ["avoid"]
    page = client.post(f"/brief/{KEY}", data=form)
    assert page.status_code == 200, told(page)
    old, after = (set(text.splitlines()) for text in (before, (athlete / "brief.toml").read_text()))
    new = after - old
    assert len(old - after) == len(new) == 3
    assert any("# the top of the shoulder" in line and '"avoid"' in line for line in new)
    assert any("# now: sets a week today" in line and "now = 17" in line for line in new)


def test_every_kind_of_field_arrives(client, athlete):
    form = brief_form(client) | {
        "session.Fri.minutes": ["30"], "session.Fri.gym": ["home"], "session.Mon.minutes": [""],
        "target.front.priority": ["2"], "target.rear.must": ["yes"], "history.surgery.date": ["2020-01-02"],
        "history.surgery.cleared": ["yes"], "history.questionnaire.date": [""],
        "history.questionnaire.outcome": [""], "preferences.only": ["dumbbell", "machine"],
        "wish.dumbbell_upright_row": [""], "wish.machine_shoulder_press": ["prefer"],
        "elsewhere.0.day": [""], "elsewhere.1.exercise": ["push_up"], "elsewhere.1.sets": ["4"],
        "pin.0.exercise": ["Machine reverse fly"], "pin.0.day": ["Sat"], "pin.0.sets": ["3"],
        "pin.1.exercise": ["machine_reverse_fly"], "pin.1.day": ["Fri"], "pin.1.sets": ["2"],
        "method.0.exercise": ["general_warmup_minutes"], "method.0.": ["7"],
        "block.reserve": ["3, 2, 2, 1"], "variety.share": ["0,6"], "athlete.language": ["de"],
        "session.Wed.at": ["18:30"], "not_on.0.exercise": ["push-up"], "not_on.0.": ["Wed", "Fri"],
    }  # fmt: skip
    page = client.post(f"/brief/{KEY}", data=form)
    assert page.status_code == 200, told(page)
    brief = tomllib.loads((athlete / "brief.toml").read_text())
    assert [(one["day"], one["minutes"], one["gym"]) for one in brief["session"]] == [
        ("Wed", 35, "home"), ("Sat", 45, "club"), ("Fri", 30, "home"),
    ]  # fmt: skip
    assert brief["target"]["front"] == {"target": 8, "priority": 2}
    assert brief["target"]["rear"]["must"] is True
    assert "questionnaire" not in brief["history"]
    assert brief["history"]["surgery"]["cleared"] is True
    assert brief["elsewhere"] == {"barbell_bench_press": {"sets": 6}, "push_up": 4}
    preferences = brief["preferences"]
    assert preferences["exclude"] == ["wide_barbell_upright_row"]
    assert set(preferences["prefer"]) == {"machine_reverse_fly", "machine_shoulder_press"}
    assert set(preferences["only"]) == {"dumbbell", "machine"}
    pins = [{"day": "Sat", "sets": 3}, {"day": "Fri", "sets": 2}]
    assert preferences["pin"] == {"machine_reverse_fly": pins}
    assert brief["method"] == {"general_warmup_minutes": 7}
    assert brief_form(client)["pin.1.day"] == ["Fri"]
    assert "general_warmup_minutes" in words(client.get(f"/check/{KEY}"))
    assert preferences["not_on"] == {"push_up": ["Wed", "Fri"]}
    assert (brief["athlete"]["language"], brief["session"][0]["at"]) == ("de", "18:30")
    assert brief["block"]["reserve"] == [3, 2, 2, 1]
    assert brief["variety"]["share"] == 0.6


def test_wrong_input_is_told_at_its_fields_and_what_is_saved_can_be_planned_at_once(client, athlete):
    before = (athlete / "brief.toml").read_bytes()
    form = brief_form(client) | {"session.Wed.minutes": ["many"], "athlete.bodyweight_kg": ["5"]}
    page = client.post(f"/brief/{KEY}", data=form)
    assert page.status_code == 422
    assert 'id="fault-session.Wed.minutes"' in page.text and 'id="fault-athlete.bodyweight_kg"' in page.text
    assert 'value="many"' in page.text
    assert "brief.toml: session[2].minutes" in words(page)
    assert (athlete / "brief.toml").read_bytes() == before
    page = waited(client, client.post(f"/brief/{KEY}", data=brief_form(client) | {"plan": "yes"}))
    assert page.status_code == 200 and "Proposal" in words(page), told(page)


def test_a_file_that_changed_meanwhile_or_is_no_toml_is_not_overwritten(client, athlete):
    form = brief_form(client) | {"session.Wed.minutes": ["50"]}
    file = athlete / "brief.toml"
    other = file.read_text().replace("minutes = 45", "minutes = 55")
    file.write_text(other)
    page = client.post(f"/brief/{KEY}", data=form)
    assert page.status_code == 422 and "changed" in words(page)
    assert file.read_text() == other
    (athlete / "brief.toml").write_text("[athlete\n")
    page = client.get(f"/brief/{KEY}")
    assert page.status_code == 422 and "line 1" in words(page)
    assert "line 1" in words(client.get("/"))


WRONG = {
    '"dumbbell_upright_row", ': '"dumbell_upright_rows", ', 'day = "Mon"': 'day = "Mo"',
    'subacromial = "careful"': 'subacromal = "careful"', 'flags = ["subacromial"]': 'flags = ["subacromal"]',
}  # fmt: skip


@pytest.mark.parametrize(("was", "wrong"), WRONG.items())
def test_saving_drops_nothing_that_the_form_cannot_show(client, athlete, was, wrong):
    file = athlete / "brief.toml"
    before = file.read_text().replace(was, wrong)
    assert wrong in before
    file.write_text(before)
    assert told(client.get(f"/brief/{KEY}"))
    page = client.post(f"/brief/{KEY}", data=brief_form(client) | {"session.Wed.minutes": ["50"]})
    assert page.status_code == 422 and told(page)
    assert file.read_text() == before


def test_sessions_in_one_line_stay_so(client, athlete):
    file = athlete / "brief.toml"
    file.write_text(
        'session = [{ day = "Mon", minutes = 40, gym = "club" }] # as written\n[athlete]\nname = "Kim"\nskill = 2\n'
    )
    before = file.read_bytes()
    assert client.post(f"/brief/{KEY}", data=brief_form(client)).status_code == 200
    assert file.read_bytes() == before
    form = brief_form(client) | {"session.Tue.minutes": ["30"], "session.Tue.gym": ["home"]}
    assert client.post(f"/brief/{KEY}", data=form).status_code == 200
    assert [row["day"] for row in tomllib.loads(file.read_text())["session"]] == ["Mon", "Tue"]
    assert "# as written" in file.read_text()


def test_loads_as_range_and_as_list_equipment_that_is_unticked_and_comments_that_stay(client, athlete):
    form = brief_form(client, "gym")
    form |= {"home.loads.dumbbells": ["2 to 20 by 2"], "club.loads.plates": ["1.25, 2.5, 5"]}
    form |= {"club.place.flat_bench": ["back wall"], "club.stations.flat_bench": ["2"]}
    form["club.equipment"].remove("rack")
    page = client.post(f"/gym/{KEY}", data=form)
    assert page.status_code == 200, told(page)
    gyms = tomllib.loads(text := (athlete / "gym.toml").read_text())
    assert gyms["home"]["loads"]["dumbbells"] == {"from": 2, "to": 20, "step": 2}
    assert gyms["club"]["loads"]["plates"] == [1.25, 2.5, 5]
    assert (gyms["club"]["place"]["flat_bench"], gyms["club"]["stations"]["flat_bench"]) == ("back wall", 2)
    assert '"rack"' not in text and "counts as a single one too" in text


@pytest.mark.parametrize(("wrong", "field", "said"), [
    ({"name": "Demo"}, "athlete.name", "folder demo"), ({"session.Mon.minutes": ""}, "session", "no day"),
    ({"session.Mon.minutes": "long"}, "session.Mon.minutes", "long"),
])  # fmt: skip
def test_a_new_athlete_that_cannot_be_is_told_so_at_its_field(client, athlete, wrong, field, said):
    form = {"name": "Kim", "session.Mon.minutes": "40", "gym": "club", "equipment": ["dumbbells"]}
    page = client.post("/new", data=form | wrong)
    assert page.status_code == 422 and f'id="fault-{field}"' in page.text and said in words(page)
    assert [one.name for one in athlete.parent.iterdir()] == [KEY]


def test_a_new_athlete_may_train_in_a_room_that_another_has(client, athlete):
    form = {"name": "Kim", "session.Mon.minutes": "40", "like": ["home (demo)"]}
    page = client.post("/new", data=form)
    assert page.status_code == 200, told(page)
    made = tomllib.loads((athlete.parent / "kim" / "gym.toml").read_text())
    assert made == {"home": tomllib.loads((athlete / "gym.toml").read_text())["home"]}
    emptied = form_of(page, "/brief/kim") | {"session.Mon.at": ["07:15"]}
    page = client.post("/brief/kim", data=emptied)
    again = form_of(page, "/brief/kim") | {"session.Mon.at": [""]}
    assert 'at = "07:15"' in (athlete.parent / "kim" / "brief.toml").read_text()
    client.post("/brief/kim", data=again)
    assert "at =" not in (athlete.parent / "kim" / "brief.toml").read_text()
