import json

import pytest

from library.errors import FaultyInput
from library.method import CreditSettings
from library.page import judge, library_document, page_lines
from library.pool import pool_head, pool_library
from library.read import read_library, read_orderings
from library.schema import Ordering

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
