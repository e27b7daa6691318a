import pytest

from library.credit import Profile, moves, scale_changes
from library.method import PoolSettings
from library.pool import pool_library


def test_the_shipped_profiles_match_their_evidence(library):
    """profiles.csv holds what pooling the evidence beside it gives, to 1e-6; if not, run `planner pool`."""
    share = PoolSettings().smallest_named_share
    for head, pooled in pool_library(library).items():
        written = library.profiles[head]
        assert list(written) == list(pooled.exercises)
        for exercise, profile in pooled.profiles(share).items():
            assert written[exercise].ratio == pytest.approx(profile.ratio, abs=1e-6)
            assert written[exercise].standard_error == pytest.approx(profile.standard_error, abs=1e-6)
            assert written[exercise].rows == profile.rows


def test_moves_tell_what_changed_and_one_exercise_that_moves_is_no_moved_scale():
    same = Profile(0.5, 0.2, ("a",))
    before = {"front": {"fly": same, "gone": same, "raise": Profile(0.40, 0.2, ("a",))}}
    after = {"front": {"fly": same, "raise": Profile(0.44, 0.2, ("a",)), "new": same}}
    told = [(move.exercise, move.change) for move in moves(before, after)]
    assert told == [("raise", pytest.approx(0.1)), ("new", None), ("gone", None)]
    wider = {"front": {"fly": Profile(0.5, 0.3, ("a",))}}
    assert [move.change for move in moves({"front": {"fly": same}}, wider)] == [0]

    def ratios(*numbers):
        of_head = {f"e{place}": Profile(number, 0.2, ()) for place, number in enumerate(numbers)}
        return {"front": {"press": Profile(1.0, 0.0, ()), **of_head}}

    assert scale_changes(ratios(0.5, 0.6, 0.7), ratios(0.5, 0.6, 7.0)) == {"front": 0}
    # the anchor's own rows moved: every ratio falls by a tenth
    assert scale_changes(ratios(0.5, 0.6, 0.7), ratios(0.45, 0.54, 0.63))["front"] == pytest.approx(0.1)
