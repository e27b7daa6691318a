"""The library's files: read, faults told, a page of an exercise and its orderings, the document."""

import json

import pytest
from folders import spoil

from library.errors import FaultyInput
from library.method import CreditSettings
from library.page import judge, library_document, page_lines
from library.pool import pool_head, pool_library
from library.read import read_library, read_orderings
from library.schema import Ordering


def faults(folder):
    with pytest.raises(FaultyInput) as caught:
        read_library(folder)
    assert caught.value.exit_code == 2
    return [str(fault).replace(str(folder), "LIB") for fault in caught.value.faults]


def test_order_and_digest_follow_the_files_and_heads_the_family(small):
    library = read_library(small)
    assert list(library.exercises) == [
        "seated_dumbbell_overhead_press", "standing_dumbbell_overhead_press", "standing_dumbbell_lateral_raise",
        "lying_two_cable_lateral_raise", "swung_dumbbell_lateral_raise", "dumbbell_shrug",
    ]  # fmt: skip
    assert library.exercises["dumbbell_shrug"].key == "dumbbell_shrug"
    assert library.profiles["side"]["seated_dumbbell_overhead_press"].ratio == pytest.approx(0.8)
    assert [row.id for row in library.evidence][:2] == ["practice-front-lying", "practice-side-swung"]
    before = read_library(small).digest
    (small / "notes.md").write_text("nothing", encoding="utf-8")
    assert read_library(small).digest == before
    spoil(small / "evidence" / "practice.csv", "0.8", "0.81")
    assert read_library(small).digest != before
    assert len(before) == 12
    spoil(small / "families.toml", '"lateral raises"', '"lateral raises"\ntrains = "side"')
    spoil(small / "exercises" / "lateral_raise.toml", '"standing"', '"standing"\ntrains = "front"')
    library = read_library(small)
    heads = [item.trains for item in library.exercises.values() if item.family != "overhead_press"]
    assert heads == ["front", "side", "side", None]


SHRUG, PUBLISHED, PRACTICE = "exercises/shrug.toml", "evidence/published.csv", "evidence/practice.csv"
# file, what stood there, what stands there now, where the fault is seen, words of it
SPOILED = [
    (SHRUG, 'implement = "dumbbell"', 'implement = "dumbell"', "dumbbell_shrug.implement", 'mean "dumbbell"?'),
    (SHRUG, '["dumbbells"]', '["dumbbells", "cable"]', "dumbbell_shrug.needs[2]", 'mean "cable_station"?'),
    (SHRUG, '_from = "dumbbells"', '_from = "cable_station"', "dumbbell_shrug.load_from", "not among the needs"),
    (SHRUG, "stress.subacro", "stress.subcro", "dumbbell_shrug.stress.subcromial", 'mean "subacromial"?'),
    (SHRUG, 'family = "shrug"', 'family = "lateral_raise"', "dumbbell_shrug.family", "Write shrug"),
    (SHRUG, "rest_seconds", "rest_second", "dumbbell_shrug.rest_second", 'did you mean "rest_seconds"?'),
    (SHRUG, "reps = [8, 12]", "reps = [8, 120]", "dumbbell_shrug.reps[2]", "from 1 to 40"),
    (SHRUG, '"standing"', '"standing"\ntrains = "sidee"', "dumbbell_shrug.trains", 'did you mean "side"?'),
    (SHRUG, '"standing"', '"standing"\nskill = 4', "dumbbell_shrug.skill", "4. Write one of"),
    ("heads.toml", '"dumbbell_shrug"', '"dumbbel_shrug"', "upper_trapezius.anchor", 'mean "dumbbell_shrug"?'),
    ("families.toml", '"shrugs"', '"shrugs"\ntrains = "upper_trapezius"', "shrug.trains", "trained head"),
    ("joints.toml", "{ subacromial", "{ subacromia", "flag.ac_joint.regions.subacromia", 'mean "subacromial"?'),
    ("equipment.toml", "[equipment.adj", "[equipmint.adj", "equipmint", 'did you mean "equipment"?'),
    (PUBLISHED, "2001,,standing_dumbbell_lat", "2001,,standing_dumbell_lat", "line 3, column exercise", "did you"),
    (PUBLISHED, ",side,both,mean amp", ",sde,both,mean amp", "line 4, column head", 'unknown head "sde"'),
    (PUBLISHED, ",side,both,mean amp", ",side,whole,mean amp", "line 4, column phase", '"whole". Write one of'),
    (PUBLISHED, "percent_MVIC,60,18", "percent_MVIC,sixty,18", "line 2, column mean", '"sixty". Write a number'),
    (PUBLISHED, "percent_MVIC,60,18", "percent_MVIC,inf,18", "line 2, column mean", '"inf". Write a number'),
    (PUBLISHED, "percent_MVIC,60,18", "percent_MVIC,,18", "line 2, column mean", "missing. Add it"),
    (PUBLISHED, "percent_MVIC,60,18,", "percent_MVIC,60", "line 2", "half-written"),
    (PUBLISHED, "percent_MVIC,60,18,", "percent_MVIC,60,18," + 400 * "9", "line 2, column subjects", "1000000"),
    (PUBLISHED, "b2002-front-standing", "a2001-front-press", "line 7, column id", "stands twice"),
    (PUBLISHED, "study,citation,doi", "study,citaton,doi", "line 1", 'did you mean "citation"?'),
    (PRACTICE, "0.8,practice", "0.8,read", "line 3", 'kind "practice" with status "read"'),
    (PRACTICE, "swung,practice,practice", "swung,published,practice", "line 3", "Practice rows, and only they"),
    (PRACTICE, "swung_dumbbell_lateral_raise,standing", "standing_dumbbell_lateral_raise,standing", "line 3", "itself"),
    ("profiles.csv", "practice-side-swung", "practice-side-flung", "line 9", "run `planner pool`"),
]  # fmt: skip


@pytest.mark.parametrize("case", SPOILED, ids=[f"{file}:{new[:25]}" for file, _, new, _, _ in SPOILED])
def test_a_fault_names_file_place_what_was_read_and_what_would_do(small, case):
    file, old, new, where, words = case
    spoil(small / file, old, new)
    (line, *_) = [line for line in faults(small) if line.startswith(f"LIB/{file}: {where}: ")]
    assert words in line


def test_faults_of_all_files_are_told_at_once_and_an_exercise_in_two_files(small):
    shrugs, twice = small / SHRUG, "standing_dumbbell_lateral_raise"
    text = shrugs.read_text(encoding="utf-8")
    shrugs.write_text(text.replace("[dumbbell_shrug", f"[{twice}"))
    assert any(f"{SHRUG}: {twice}: stands in LIB/exercises/lateral" in line for line in faults(small))
    shrugs.write_text(text)
    spoil(small / "exercises" / "shrug.toml", "rest_seconds = 120", "rest_seconds = 1200")
    spoil(small / "evidence" / "practice.csv", "0.9", "-0.9")
    spoil(small / "families.toml", '[shrug]\nname = "shrugs"', "[shrug]\nname = 3")
    told = faults(small)
    assert len(told) == 3
    assert any("exercises/shrug.toml: dumbbell_shrug.rest_seconds: 1200" in line for line in told)
    assert any("families.toml: shrug.name: 3" in line for line in told)
    assert any('practice.csv: line 2, column mean: "-0.9"' in line for line in told)


@pytest.mark.parametrize(("old", "new", "where"), [
    ("rest_seconds = 120", "rest_seconds = 1200", "standing_dumbbell_lateral_raise.rest_seconds: 1200"),
    ('implement = "dumbbell"', "implement = dumbbell", "line 4, column 13: `implement = dumbbell`. This is broken TOML"),
    ('"standing"', r'"standing\u001b"', 'standing_dumbbell_lateral_raise.position: "standing\\u001b". Remove the control'),
    ('"standing"', '"standing"\na = ' + "[" * 3000, "tables or lists nested too deeply"),
])  # fmt: skip
def test_a_fault_is_told_once_and_not_for_every_row_that_names_what_it_hides(small, old, new, where):
    spoil(small / "exercises" / "lateral_raise.toml", old, new)
    (line,) = faults(small)
    assert line.startswith(f"LIB/exercises/lateral_raise.toml: {where}")


@pytest.mark.parametrize(
    "name", ("heads.toml", "families.toml", "equipment.toml", "joints.toml", "profiles.csv")
)
def test_a_missing_file_is_named(small, name):
    (small / name).unlink()
    assert any(line.startswith(f"LIB/{name}: this file is missing") for line in faults(small))


def test_how_exercises_are_drawn_may_be_left_out_but_not_be_wrong_and_a_folder_is_no_file(small):
    assert read_library(small).poses.of(read_library(small).exercises["dumbbell_shrug"]) is None
    pose = '[pose.shrug]\nview = "frnt"\nend = { plne = 3 }\n[pull]\n"from above" = [1, 2]\n'
    (small / "poses.toml").write_text(pose, encoding="utf-8")
    places = [fault.split(":")[1].strip() for fault in faults(small)]
    assert places == ['pull."from above"[3]', "pose.shrug.view", "pose.shrug.end.plne"]
    (small / "heads.toml").unlink()
    (small / "heads.toml").mkdir()
    assert any("heads.toml: this is a folder" in line for line in faults(small))
    with pytest.raises(FaultyInput, match="is no folder"):
        read_library(small / "families.toml")


def test_a_byte_order_mark_line_ends_in_a_cell_and_control_characters_do_no_harm(small):
    before = read_library(small)
    for name in ("heads.toml", "evidence/published.csv"):
        text = (small / name).read_text(encoding="utf-8")
        (small / name).write_text(text, encoding="utf-8-sig")
    after = read_library(small)
    assert after.heads == before.heads and after.evidence == before.evidence
    spoil(small / PRACTICE, "0.9,practice,", '0.9,practice,"one, two\u2028three\x85four\x1bfive"')
    assert read_library(small).evidence[0].note == "one, two\u2028three\x85four\x1bfive"


@pytest.mark.parametrize(("top", "limit"), [(150, 90), (150, 149), (150, 150), (90, 120)])
def test_a_change_that_stops_the_arm_early_does_not_keep_the_exercise(small, top, limit):
    file = small / "exercises" / "overhead_press.toml"
    text = file.read_text().replace("multi_joint", f"top_angle_degrees = {top}\nmulti_joint", 1)
    change = f"change_keeps = true\nchange_arm_at_most_degrees = {limit}\ngrade = 1"
    file.write_text(text.replace("grade = 1", change, 1))
    if limit < top:
        assert ["change_keeps = false" in fault for fault in faults(small)] == [True]
    else:
        stress = read_library(small).exercises["seated_dumbbell_overhead_press"].stress["subacromial"]
        assert stress.change_keeps and stress.change_arm_at_most_degrees == limit


# ---
SETTINGS = CreditSettings()


def page(folder, key):
    library = read_library(folder)
    orders = read_orderings(folder, library)
    return list(page_lines(library, library.exercises[key], pool_library(library), orders, SETTINGS))


def test_a_page_shows_every_row_with_source_status_and_weight(small):
    lines = page(small, "lying_two_cable_lateral_raise")
    text, both = "\n".join(lines), "Lying lateral raise with two cables"
    for words in (
        f"     33.3%  {both} 0.9 × Standing dumbbell lateral raise [practice]\n",
        "            practice-front-lying: common practice, no source\n",
        f"     50.0%  {both} 48 ± 20 percent_MVIC, mean amplitude, whole repetition, n = 10 [read]\n",
        "            c2003-side-lying: Invented C 2003\n",
        "front: 0.45 of Seated dumbbell overhead press", "upper trapezius: no number",
    ):  # fmt: skip
        assert words in text
    # of the 0.45, the practice row (log error 0.22, ×1.25) is the least sure
    (line,) = [line for line in lines if "practice-front-lying;" in line]
    assert "×1.25" in line and "0.36 to 0.56" in line
    assert "[remembered, intramuscular]" in "\n".join(page(small, "standing_dumbbell_overhead_press"))


def test_a_page_shows_orderings_and_whether_they_are_honoured(small):
    lines = page(small, "lying_two_cable_lateral_raise")
    at = next(place for place, line in enumerate(lines) if "Invented D 2004, lifting" in line)
    assert lines[at].endswith("Lying lateral raise with two cables > Standing dumbbell lateral raise")
    assert lines[at + 1].strip().startswith("not honoured: pooled ratio 0.90")
    assert "practice-front-lying (100%)" in lines[at + 1]
    assert any("Lying lateral raise with two cables = Standing" in line for line in lines)


def test_a_page_says_what_is_kept_but_not_pooled_and_how_it_is_done(small):
    practice = small / "evidence" / "practice.csv"
    text = practice.read_text(encoding="utf-8")
    echo = "echo-side,practice,practice,no source,seated_dumbbell_overhead_press,standing_dumbbell_lateral_raise,"
    note = "a \x1b[2J note"  # what would steer a terminal is shown, not sent
    practice.write_text(f"{text}{echo}side,both,mean activation,ratio,0.7,practice,{note}\n", "utf-8")
    page_text = "\n".join(page(small, "seated_dumbbell_overhead_press"))
    for words in (
        "not pooled (isometric hold):  Seated dumbbell overhead press 33 percent_MVIC",
        "not pooled (echo of a2001):  Seated dumbbell overhead press 0.7 ×", "front: the anchor",
        "seated, back on the bench", "lift 1 s, lower 3 s", "grade 1 of 3", "a \\u001b[2J note",
        "lower it: stop at shoulder", "Coaching, not medical advice.",
    ):  # fmt: skip
        assert words in page_text
    assert "  for comparison only: never planned" in page(small, "swung_dumbbell_lateral_raise")


@pytest.mark.parametrize(("greater", "lesser", "relation", "honoured", "words"), [
    ("press", "fly", "greater", True, "honoured: pooled ratio 2.00 (90 % interval 1.47 to 2.72)"),
    ("fly", "press", "greater", False, "not honoured: pooled ratio 0.50 (90 % interval 0.37 to 0.68)"),
    ("press", "fly", "equal", False, "not honoured: pooled ratio 2.00"),
    ("press", "raise", "equal", True, "honoured: pooled ratio 1.20"),
    ("same", "press", "greater", False, "not honoured: pooled ratio 1.00"),
    ("press", "swim", "greater", None, "cannot be judged: the evidence gives swim no number"),
])  # fmt: skip
def test_judging(make_row, greater, lesser, relation, honoured, words):
    rows = [make_row("a", "press", 60), make_row("a", "fly", 30), make_row("a", "raise", 50)]
    rows.append(make_row("p", "same", 1.0, against="press"))
    order = {"id": "x", "study": "x", "citation": "X 2020", "head": "front", "phase": "both"}
    order |= {"greater": greater, "lesser": lesser, "relation": relation}
    pooled = pool_head("front", "press", ("press", "fly", "raise", "same"), rows)
    verdict = judge(Ordering.model_validate(order), pooled)
    assert verdict.honoured is honoured
    assert str(verdict).startswith(words)


def test_all_faults_of_the_orderings_are_told_at_once(small):
    library = read_library(small)
    file = small / "evidence" / "orderings.csv"
    assert [order.id for order in read_orderings(small, library)][-1] == "e2005-side"
    text = file.read_text(encoding="utf-8").replace("e2005-side,e2005", "d2004-front,e2005")
    text = text.replace("2004,front,lifting", "2004,frnt,lifting")
    file.write_text(text.replace("seated_dumbbell", "seated_dumbell"), encoding="utf-8")
    with pytest.raises(FaultyInput) as caught:
        read_orderings(small, library)
    first, second, third = map(str, caught.value.faults)
    assert 'line 2, column greater: unknown exercise "seated_dumbell_overhead_press"' in first
    assert 'line 3, column head: unknown head "frnt"' in second
    assert '"d2004-front" stands twice' in third
    file.unlink()
    assert read_orderings(small, library) == ()


def test_the_document_has_the_keys_that_others_build_on(small):
    library = read_library(small)
    document = json.loads(json.dumps(library_document(library, list(library.exercises.values()), SETTINGS)))
    assert list(document) == ["exercises", "heads", "defaults"]
    raise_ = document["exercises"][2]
    assert " ".join(raise_) == (
        "key name family implement needs sides profile standard_error credit "
        "eccentric_share upper_trapezius stress compare_only reps tempo work_seconds rest_seconds "
        "setup_seconds warmup_sets cues cautions sources"
    )
    assert raise_["profile"] == {"front": 0.5, "side": 1.0}
    # of ln R ~ N(ln 0.5, 0.170² + 0.25²) cut at 0.30 and 1, by trapezoids on a fine grid; the anchor is 1
    assert raise_["credit"] == {"front": pytest.approx(0.5100, abs=1e-4), "side": 1.0}
    assert raise_["upper_trapezius"] == 0.9
    assert raise_["stress"] == {"subacromial": 1}
    assert raise_["sources"][0] == "a2001-front-press" and len(raise_["sources"]) == 4
    assert document["defaults"]["credit_floor"]["value"] == 0.3
    assert document["heads"][0]["anchor"] == "seated_dumbbell_overhead_press"
