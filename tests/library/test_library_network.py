from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from library.network import tied_to


def test_chains_of_groups_tie() -> None:
    groups = [["a", "b"], ["c", "b"], ["d", "e"], ["c"]]
    assert tied_to("a", groups) == {"a", "b", "c"}
    assert tied_to("e", groups) == {"d", "e"}
    assert tied_to("nowhere", groups) == {"nowhere"}


@given(st.lists(st.sets(st.integers(0, 9), max_size=3), max_size=12))
def test_tied_is_the_smallest_set_that_no_group_leaves(groups: list[set[int]]) -> None:
    tied = tied_to(0, groups)
    assert all(group <= tied or not group & tied for group in groups)
    grown = {0}  # the slow way: grow until nothing changes
    while True:
        more = grown.union(*[group for group in groups if group & grown])
        if more == grown:
            break
        grown = more
    assert tied == grown
