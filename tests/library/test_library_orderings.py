from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from library.errors import FaultyInput
from library.orderings import Ordering, concerning, judge, read_orderings
from library.pool import pool_head
from library.read import Library, read_library
from library.schema import EvidenceRow


def order(greater: str, lesser: str, relation: str = "greater") -> Ordering:
    return Ordering.model_validate(
        {
            "id": "x",
            "study": "x",
            "citation": "X 2020",
            "head": "front",
            "phase": "whole",
            "greater": greater,
            "lesser": lesser,
            "relation": relation,
        }
    )


@pytest.mark.parametrize(
    ("ordering", "honoured", "said"),
    [
        (order("press", "fly"), True, "honoured: pooled ratio 2.00 (90 % interval 1.09 to 3.68)"),
        (order("fly", "press"), False, "not honoured: pooled ratio 0.50 (90 % interval 0.27 to 0.92), by a-"),
        (order("press", "fly", "equal"), False, "not honoured: pooled ratio 2.00"),
        (order("press", "raise", "equal"), True, "honoured: pooled ratio 1.20"),
        (order("same", "press"), False, "not honoured: pooled ratio 1.00"),
        (order("press", "swim"), None, "cannot be judged: the evidence gives swim no number in this head"),
    ],
)
def test_judging(make_row: Callable[..., EvidenceRow], ordering: Ordering, honoured: bool, said: str) -> None:
    rows = [make_row("a", "press", 60), make_row("a", "fly", 30), make_row("a", "raise", 50)]
    rows.append(make_row("p", "same", 1.0, against="press"))
    pooled = pool_head("front", "press", ("press", "fly", "raise", "same"), rows)
    verdict = judge(ordering, pooled)
    assert verdict.honoured is honoured
    assert str(verdict).startswith(said)


def test_orderings_are_read_and_found_by_exercise(small: Path) -> None:
    found = read_orderings(small, read_library(small))
    assert [ordering.id for ordering in found] == ["d2004-front", "d2004-front-reverse", "e2005-side"]
    assert [ordering.id for ordering in concerning(found, "seated_dumbbell_overhead_press")] == [
        "d2004-front"
    ]
    (small / "evidence" / "orderings.csv").unlink()
    assert read_orderings(small, read_library(small)) == ()


def test_all_faults_of_the_orderings_are_told_at_once(small: Path) -> None:
    library = read_library(small)
    file = small / "evidence" / "orderings.csv"
    text = file.read_text(encoding="utf-8")
    text = text.replace("e2005-side,e2005", "d2004-front,e2005").replace(
        "2004,front,concentric", "2004,frnt,con"
    )
    text = text.replace("seated_dumbbell_overhead_press", "seated_dumbell_overhead_press")
    file.write_text(text, encoding="utf-8")
    with pytest.raises(FaultyInput) as caught:
        read_orderings(small, library)
    told = [str(fault) for fault in caught.value.faults]
    assert len(told) == 3
    assert 'row 2, column greater: unknown exercise "seated_dumbell_overhead_press"' in told[0]
    assert 'row 3, column head: unknown head "frnt"' in told[1]
    assert 'row 4: "d2004-front" stands twice' in told[2]


def test_the_shipped_orderings_name_what_the_library_has(library: Library) -> None:
    assert len(read_orderings(Path(library.folder), library)) >= 20
