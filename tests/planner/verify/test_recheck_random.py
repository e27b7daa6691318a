"""Any number of a sound week, changed by a visible amount, is found."""

from contextlib import suppress

from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

# numbers that no rule ties down: the recheck has nothing to hold them against
FREE = {
    "rir",  # what the coach asks for
    "load",  # any other that the gym can make
    "seconds",  # of solving: only never below 0
    "low90",  # drawn; held one-sided, as are the chances
    "high90",
    "chance_floor",
    "chance_target90",
}
FREE_IN = {"instead"}  # 1 to 4 sets of a replacement are all sound
VISIBLE = 0.15  # more than any rounding hides


def _numbers(value, path=()):
    if isinstance(value, dict | list):
        for key, part in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _numbers(part, (*path, key))
    elif (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and not {path[-1], *path} & (FREE | FREE_IN)
    ):
        yield path


@given(data=st.data())
def test_a_visible_change_of_any_number_is_found(data, make_week):
    week = make_week()
    path = data.draw(st.sampled_from(list(_numbers(week.document))))
    holder = week.document
    for step in path[:-1]:
        holder = holder[step]
    before = holder[path[-1]]
    sign = data.draw(st.sampled_from((-1, 1)))
    by = data.draw(st.integers(1, 9) if isinstance(before, int) else st.floats(VISIBLE, 9))
    holder[path[-1]] = before + sign * by
    with suppress(ValidationError):  # what the document's own model refuses needs no recheck
        assert week.recheck(), path
