import os

import pytest

from planner.publishing import side_by_side as module
from planner.publishing.side_by_side import can_split, side_by_side


@pytest.mark.parametrize("split", [True, False])
def test_both_results_come_back_in_order(monkeypatch, split):
    if split and not can_split():
        pytest.skip("this system cannot split a process: the other case is what happens here")
    monkeypatch.setattr(module, "can_split", lambda: split)
    assert side_by_side(lambda: ("first", 1), lambda: ("second", 2)) == (("first", 1), ("second", 2))


def test_the_first_job_is_done_in_a_copy_where_there_can_be_one(monkeypatch):
    monkeypatch.setattr(module, "can_split", lambda: True)
    first, second = side_by_side(os.getpid, os.getpid)
    assert second == os.getpid() != first


@pytest.mark.parametrize("split", [True, False])
def test_an_error_of_the_first_job_is_told_as_ever(monkeypatch, split):
    monkeypatch.setattr(module, "can_split", lambda: split)

    def fail():
        raise ValueError("no such page")

    with pytest.raises(ValueError, match="no such page"):
        side_by_side(fail, lambda: 2)


def test_what_cannot_be_sent_is_made_here(monkeypatch):
    monkeypatch.setattr(module, "can_split", lambda: True)
    made, _ = side_by_side(lambda: lambda: 3, lambda: 2)
    assert made() == 3


def test_it_splits_on_linux_with_two_processors_only(monkeypatch):
    monkeypatch.setattr(module.sys, "platform", "darwin")
    assert not can_split()
    monkeypatch.setattr(module.sys, "platform", "linux")
    monkeypatch.setattr(module.os, "cpu_count", lambda: 1)
    assert not can_split()
