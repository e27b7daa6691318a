"""What `--cautious` may say, and what it may not stand beside."""

from __future__ import annotations

import pytest
from planner.week.cautious.told import level_of, require_alone, require_own_week

from library.errors import FaultyInput
from planner.document import BlockMark


@pytest.mark.parametrize(("text", "level"), [("0.8", 0.8), (" 80 %", 0.8), ("5%", 0.05), ("0.999", 0.999)])
def test_a_level_is_a_share_or_a_percentage(text: str, level: float) -> None:
    assert level_of(text) == pytest.approx(level)


@pytest.mark.parametrize("text", ["0", "1", "100%", "-0.2", "80", "nan", "inf", "", "much"])
def test_any_other_level_is_refused_with_what_would_do(text: str) -> None:
    with pytest.raises(FaultyInput, match=r"0\.8, or 80%") as refused:
        level_of(text)
    assert "--cautious" in str(refused.value)


def test_it_stands_alone() -> None:
    require_alone(1, None)
    for choices, take, named in ((3, None, "--choices 3"), (1, "B", "--take B"), (2, "B", "--choices 2 and")):
        with pytest.raises(FaultyInput, match=named):
            require_alone(choices, take)


def test_a_week_of_a_block_is_refused() -> None:
    require_own_week("2026-W50", None)
    with pytest.raises(FaultyInput, match="2026-W50 is week 2 of the block that begins with 2026-W49"):
        require_own_week("2026-W50", BlockMark(first="2026-W49", number=2, of=6))
