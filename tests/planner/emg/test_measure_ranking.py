"""Ranking: same number of repetitions, at their loads, RIR and placement apart, too close to call."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.emg.ranking import Entry, Ranking, measurement_error, rankings, rir_windows
from planner.emg.report import session_text

RAISE, PRESS = "standing_dumbbell_lateral_raise", "seated_dumbbell_overhead_press"


def test_the_first_repetitions_that_all_have_are_compared(lab):
    lab.set("a.csv", 1, repetitions=6)
    lab.set("b.csv", 2, repetitions=4, scale=0.3)
    (ranking,) = rankings(lab.measure(lab.trial("a.csv"), lab.trial("b.csv", PRESS)))
    assert ranking.k == 4
    assert [len(entry.values[0]) for entry in ranking.entries] == [4, 4]
    assert [entry.exercise for entry in ranking.entries] == [RAISE, PRESS]


def test_loads_are_told_apart_and_repeats_are_joined(lab):
    for name in "abc":
        lab.set(f"{name}.csv", ord(name))
    session = lab.measure(lab.trial("a.csv", load=8), lab.trial("b.csv", load=10), lab.trial("c.csv", load=8))
    (ranking,) = rankings(session)
    assert sorted(entry.trials for entry in ranking.entries) == [(1, 3), (2,)]
    assert {entry.label.split(", ")[1] for entry in ranking.entries} == {"8 kg", "10 kg"}


def test_sets_more_than_one_rir_apart_are_not_ranked_together(lab):
    for name in "abcd":
        lab.set(f"{name}.csv", ord(name))
    session = lab.measure(
        lab.trial("a.csv", rir=0), lab.trial("b.csv", PRESS, rir=1), lab.trial("c.csv", PRESS, load=5, rir=3),
        lab.trial("d.csv", PRESS, load=6),
    )  # fmt: skip
    groups = [{t.trial.file for t in group} for group in rir_windows(session.trials, 1.0)]
    assert groups == [{"a.csv", "b.csv"}, {"c.csv"}, {"d.csv"}]
    found = rankings(session)
    assert [r.rir for r in found] == [(0, 1), (3, 3), None]
    assert "RIR not stated" in session_text(session, found)


@given(st.lists(st.integers(0, 6), min_size=1, max_size=8))
def test_no_window_is_wider_than_one_rir_and_every_set_is_in_one(rirs):
    from types import SimpleNamespace

    trials = [SimpleNamespace(number=n, trial=SimpleNamespace(rir=rir)) for n, rir in enumerate(rirs)]
    groups = rir_windows(trials, 1.0)
    assert {t.number for group in groups for t in group} == set(range(len(rirs)))
    assert all(max(t.trial.rir for t in g) - min(t.trial.rir for t in g) <= 1 for g in groups)


def test_placements_are_ranked_apart_and_need_their_own_reference(lab):
    lab.set("a.csv", 1)
    lab.set("b.csv", 2, scale=0.3)
    session = lab.measure(lab.trial("a.csv"), lab.trial("b.csv", PRESS, placement=2), *lab.holds())
    assert [r.placement for r in rankings(session)] == [1, 2]
    units = {key: reference.unit for key, reference in session.references.items()}
    assert units == {("side right", 1): "percent_MVIC", ("side right", 2): "percent_session_max"}


def entry(name, *trials):
    return Entry(name, name, tuple(range(len(trials))), trials)


def ranking(*entries, repeats=((),)):
    error = measurement_error(repeats)
    ordered = tuple(sorted(entries, key=lambda e: -e.mean))
    return Ranking("side", "right", 1, "percent_MVIC", (2, 2), 3, ordered, error)


def test_exercises_closer_than_the_smallest_detectable_change_are_too_close_to_call():
    """Without repeats: t(4; 0.975) = 2.776, so 2.776·12·sqrt(2) = 47.1 between two sets, 40.8 of one and two."""
    one = ranking(entry("a", (80, 84, 76)), entry("b", (40, 41, 48)), entry("c", (30, 27, 33)))
    assert one.error.change() == pytest.approx(47.12, abs=0.01)
    assert one.error.change(1, 2) == pytest.approx(40.81, abs=0.01)
    a, b, c = one.entries
    assert [one.close_to(e) for e in (a, b, c)] == [[b], [a, c], [b]]
    assert [one.rank(e) for e in (a, b, c)] == [1, 1, 2]


@given(*(st.lists(st.floats(1, most), min_size=2, max_size=size) for most, size in ((200, 8), (99, 3))))
def test_ranks_never_contradict_the_means(means, repeated):
    entries = [entry(f"e{n}", (mean, mean, mean)) for n, mean in enumerate(means)]
    one = ranking(*entries, repeats=[repeated])
    ranks = [one.rank(e) for e in one.entries]
    assert ranks == sorted(ranks) and ranks[0] == 1
    for first, second in zip(one.entries, one.entries[1:], strict=False):
        assert (second in one.close_to(first)) == (first in one.close_to(second))
