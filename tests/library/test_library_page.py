from __future__ import annotations

import json
from pathlib import Path

import pytest

from library.document import library_document
from library.method import CreditSettings
from library.orderings import read_orderings
from library.page import page_lines
from library.pool import pool_library
from library.read import read_library
from library.table import for_head, plain, table_rows
from library.words import tempo_words

SETTINGS = CreditSettings()


def page(folder: Path, key: str) -> str:
    library = read_library(folder)
    lines = page_lines(
        library, library.exercises[key], pool_library(library), read_orderings(folder, library), SETTINGS
    )
    return "\n".join(lines)


def test_a_page_shows_every_row_with_source_status_and_weight(small: Path) -> None:
    text = page(small, "lying_two_cable_lateral_raise")
    assert "front: 0.45 of Seated dumbbell overhead press" in text
    assert "credit 0.45 (0.00 to 0.74), by movers 0.5" in text
    for line in (
        "     33.3%  Lying lateral raise with two cables 0.9 × Standing dumbbell lateral raise [practice]",
        "            practice-front-lying: common practice, no source",
        "     50.0%  Lying lateral raise with two cables 48 ± 20 percent_MVIC, "
        "mean amplitude, whole, n = 10 [read]",
        "            c2003-side-lying: Invented C 2003",
        "upper trapezius: no number; a set earns nothing here",
    ):
        assert line in text.splitlines()


def test_a_page_shows_orderings_and_whether_they_are_honoured(small: Path) -> None:
    lines = page(small, "lying_two_cable_lateral_raise").splitlines()
    at = next(place for place, line in enumerate(lines) if "Invented D 2004, concentric" in line)
    assert lines[at].endswith("Lying lateral raise with two cables > Standing dumbbell lateral raise")
    assert lines[at + 1].strip().startswith("not honoured: pooled ratio 0.90")
    assert "practice-front-lying (100%)" in lines[at + 1]
    assert any("Lying lateral raise with two cables = Standing" in line for line in lines)


def test_a_page_says_what_is_kept_but_not_pooled_and_how_it_is_done(small: Path) -> None:
    text = page(small, "seated_dumbbell_overhead_press")
    assert "not pooled (isometric hold):  Seated dumbbell overhead press 33 percent_MVIC" in text
    assert "front: the anchor; one set of it is one direct set by definition" in text
    for words in (
        "seated, back on the bench",
        "lift 1 s, lower 3 s",
        "grade 1 of 3",
        "lower it: stop at shoulder",
    ):
        assert words in text
    assert "Coaching, not medical advice." in text
    assert "for comparison only: never planned" in page(small, "swung_dumbbell_lateral_raise")


def test_remembered_and_intramuscular_rows_are_marked(small: Path) -> None:
    assert "[remembered, intramuscular]" in page(small, "standing_dumbbell_overhead_press")


def test_the_document_has_the_keys_that_others_build_on(small: Path) -> None:
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
    assert raise_["credit"] == {"front": 0.5, "side": 1.0}
    assert raise_["upper_trapezius"] == 0.9
    assert raise_["stress"] == {"subacromial": 1}
    assert raise_["sources"] == [
        "a2001-front-press",
        "a2001-front-raise",
        "a2001-trapezius-shrug",
        "a2001-trapezius-raise",
    ]
    assert document["defaults"]["credit_floor"]["value"] == 0.3
    assert document["heads"][0]["anchor"] == "seated_dumbbell_overhead_press"


def test_the_table_sorts_by_a_head_and_keeps_columns_apart(small: Path) -> None:
    library = read_library(small)
    exercises = for_head(library, list(library.exercises.values()), "side")
    assert [item.key for item in exercises][:2] == [
        "standing_dumbbell_lateral_raise",
        "lying_two_cable_lateral_raise",
    ]
    heading, rows = table_rows(library, exercises, SETTINGS)
    lines = plain(heading, rows).splitlines()
    assert lines[0].split() == ["exercise", "front", "side", "upper", "trapezius", "joints"]
    assert lines[2].split() == ["lying_two_cable_lateral_raise", "0.45", "0.92", "–"]
    assert "compare only" in lines[-1] and "below the acromion 2" in lines[-1]


@pytest.mark.parametrize(
    ("tempo", "words"),
    [
        ({"lift": 1, "lower": 3}, "lift 1 s, lower 3 s"),
        (
            {"lift": 2, "top": 1, "lower": 4, "bottom": 1},
            "lift 2 s, hold at the top 1 s, lower 4 s, hold below 1 s",
        ),
    ],
)
def test_tempo_in_words(tempo: dict[str, int], words: str) -> None:
    from library.schema import Tempo

    assert tempo_words(Tempo.model_validate(tempo)) == words
