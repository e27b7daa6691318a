import os

import pytest

from library.errors import FaultyInput
from library.files import write_safely
from library.method import PoolSettings
from library.pool import pool_library
from library.profiles import Profile, by_head, moves, profiles_text, read_profiles, scale_changes


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


def test_profiles_come_back_as_written(small):
    profiles = {"front": {"fly": Profile(0.5, 0.25, ("a-1", "b-2")), "press": Profile(1.0, 0.0, ())}}
    write_safely(small / "profiles.csv", profiles_text(profiles))
    assert by_head([line for _, line in read_profiles(small, [])]) == profiles


def test_moves_tell_new_gone_and_changed_numbers_alone():
    same = Profile(0.5, 0.2, ("a",))
    before = {"front": {"fly": same, "gone": same, "raise": Profile(0.40, 0.2, ("a",))}}
    after = {"front": {"fly": same, "raise": Profile(0.44, 0.2, ("a",)), "new": same}}
    told = [(move.exercise, move.change) for move in moves(before, after)]
    assert told == [("raise", pytest.approx(0.1)), ("new", None), ("gone", None)]
    wider = {"front": {"fly": Profile(0.5, 0.3, ("a",))}}
    assert [move.change for move in moves({"front": {"fly": same}}, wider)] == [0]


def test_one_exercise_that_moves_is_no_moved_scale():
    def ratios(*numbers):
        of_head = {f"e{place}": Profile(number, 0.2, ()) for place, number in enumerate(numbers)}
        return {"front": {"press": Profile(1.0, 0.0, ()), **of_head}}

    assert scale_changes(ratios(0.5, 0.6, 0.7), ratios(0.5, 0.6, 7.0)) == {"front": 0}
    # the anchor's own rows moved: every ratio falls by a tenth
    assert scale_changes(ratios(0.5, 0.6, 0.7), ratios(0.45, 0.54, 0.63))["front"] == pytest.approx(0.1)


def test_a_failed_write_leaves_the_old_file_and_nothing_beside_it(small, monkeypatch):
    before = (small / "profiles.csv").read_text(encoding="utf-8")

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    names = sorted(file.name for file in small.iterdir())
    with pytest.raises(FaultyInput, match="cannot be written"):
        write_safely(small / "profiles.csv", "half")
    assert (small / "profiles.csv").read_text(encoding="utf-8") == before
    assert sorted(file.name for file in small.iterdir()) == names


def test_a_folder_that_is_not_there_cannot_be_written(small):
    with pytest.raises(FaultyInput, match="cannot be written"):
        write_safely(small / "nowhere" / "profiles.csv", "")
