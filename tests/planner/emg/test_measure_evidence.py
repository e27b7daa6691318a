"""Rows for an athlete: what is written, what replaces what, what moves and by how much against error."""

import datetime
from pathlib import Path

import pytest
from folders import DEMO, copy_of
from hypothesis import given
from hypothesis import strategies as st

from library.errors import FaultyInput
from library.pool import for_athlete, own_row_variance, pool_library
from planner.athlete import folder as own
from planner.emg.evidence import Added, add_to_athlete, added_text, credit_moves, rows_of
from planner.emg.measuring import measure_session
from planner.emg.report import Entry, Ranking, measurement_error, rankings, rir_windows, session_text
from planner.publish import check_sound
from planner.week.gather import gather
from planner.week.plan import plan_week

RAISE, PRESS = "standing_dumbbell_lateral_raise", "seated_dumbbell_overhead_press"
REAR, Y_RAISE = "bent_over_dumbbell_rear_raise", "incline_cable_y_raise"


def row(exercise=RAISE, head="side", mean=50.0, session="s1", **more):
    fields = {"session": session, "date": datetime.date(2026, 11, 20), "metric": "mean activation"}
    fields |= {"exercise": exercise, "head": head, "unit": "percent_MVIC", "mean": mean, "sd": 3.0}
    return own.OwnEvidence(**{**fields, "repetitions": 8, "sem": 2.0, **more})


@pytest.fixture
def athlete(tmp_path):
    return copy_of(DEMO, tmp_path / "athlete")


def test_the_demo_session_gives_a_row_for_each_exercise_and_head(demo):
    rows, left_out = rows_of(demo)
    assert len(rows) == 6 * 4 and left_out == []
    twice = next(r for r in rows if r.exercise == RAISE and r.head == "side")
    (ranking,) = [r for r in rankings(demo) if r.head == "side"]
    assert (twice.session, twice.repetitions) == ("2026-11-20-demo", 16)
    assert twice.note == "raise_1.edf; raise_2.edf"
    assert twice.sem == pytest.approx(ranking.error.spread, abs=1e-4) and twice.sem_degrees == 2
    assert (twice.unit, twice.side, twice.load, twice.load_unit) == ("percent_MVIC", "right", 8, "kg")
    assert (twice.rir, twice.eccentric_share) == (2, pytest.approx(0.62, abs=0.03))


def test_rows_leave_empty_what_was_not_measured(lab):
    lab.set("a.csv", 1)
    lab.set("b.csv", 2, scale=0.3)
    rows, _ = rows_of(lab.measure(lab.trial("a.csv"), lab.trial("b.csv", PRESS)))
    assert {(r.sem, r.unit) for r in rows} == {(None, "percent_session_max")}
    expected = (rows[0].sd ** 2 / rows[0].repetitions + 144) / rows[0].mean ** 2
    assert own_row_variance(rows[0]) == pytest.approx(expected)
    lab.set("a.csv")
    sensor = lab.sensor.replace('"side"', '"biceps"') + "other = true\n"
    session = measure_session(lab.read(lab.card, sensor, lab.motion, lab.trial("a.csv", rir=2)))
    assert len(session.trials) == 1 and rows_of(session) == ([], [])
    _, effort = lab.course()
    lab.csv("b.csv", side_mV=lab.noise(effort, 1))
    rows, _ = rows_of(lab.measure(lab.trial("b.csv", repetitions=4, tempo="{ lift = 1, lower = 2 }")))
    assert rows[0].eccentric_share is None


def test_sets_far_apart_in_effort_and_other_placements_do_not_mix(lab):
    for name in "abcd":
        lab.set(f"{name}.csv", ord(name))
    near = lab.trial("a.csv", rir=1), lab.trial("b.csv", PRESS, rir=2)
    far = lab.trial("c.csv", REAR, rir=6), lab.trial("d.csv", REAR, rir=1, placement=2)
    rows, left_out = rows_of(lab.measure(*near, *far))
    assert {(r.session, r.exercise) for r in rows} == {("s1", RAISE), ("s1", PRESS), ("s1 p2", REAR)}
    assert len(left_out) == 1 and "c.csv" in left_out[0] and "more than 1 RIR" in left_out[0]


def test_rows_are_written_read_back_replaced_by_session_and_wrong_ones_told(tmp_path, library):
    rows = [row(), row(PRESS, sem=None, sd=None, load=14, load_unit="kg", rir=1.5, note='a, "b"')]
    own.write_session_rows(tmp_path, library, "s1", rows)
    assert own.read_own_rows(tmp_path, library) == rows
    assert own.read_own_rows(tmp_path / "nobody", library) == []
    for session, its in (("s1", [row(), row(session="s1 p2")]), ("s10", [row(session="s10", mean=70)])):
        own.write_session_rows(tmp_path, library, session, its)
    own.write_session_rows(tmp_path, library, "s1", [row(mean=60)])
    assert [(r.session, r.mean) for r in own.read_all_rows(tmp_path, library)] == [("s10", 70), ("s1", 60)]
    minus = own.evidence_text([row(), row(PRESS)]).replace("50.0", "-3")
    unknown = own.evidence_text([row("standing_dumbell_lateral_raise"), row(head="sid")])
    told = {minus: ("line 2, column mean", "line 3, column mean")}
    told[unknown] = ("line 2, column exercise", "did you mean", "line 3, column head")
    for text, words in told.items():
        (tmp_path / own.EVIDENCE_FILE).write_text(text)
        with pytest.raises(FaultyInput) as caught:
            own.read_own_rows(tmp_path, library)
        assert all(word in str(caught.value) for word in words)


def test_adding_moves_this_athletes_credits_and_adding_again_moves_nothing(athlete, library, demo):
    pooled, rows = pool_library(library), rows_of(demo)[0]
    before = {head: one.theta.copy() for head, one in pooled.items()}
    alone = for_athlete(pooled, library, own.read_own_rows(athlete, library))
    assert all((alone[head].theta == theta).all() for head, theta in before.items())
    added = add_to_athlete(athlete, library, demo, rows)
    assert (len(added.rows), added.replaced) == (24, 0)
    moved = {(m.head, m.exercise): m for m in added.moves}
    assert moved["rear", Y_RAISE].after > moved["rear", Y_RAISE].before and moved["rear", Y_RAISE].error > 0
    again = add_to_athlete(athlete, library, demo, rows)
    assert (again.replaced, again.moves) == (24, []) and len(own.read_own_rows(athlete, library)) == 24
    mine = for_athlete(pooled, library, own.read_own_rows(athlete, library))["rear"]
    place = mine.exercises.index(Y_RAISE)
    assert mine.theta[place] > before["rear"][place] and mine.rows[-1].startswith("own:2026-11-20-demo")
    for head, one in pool_library(library).items():  # the library itself stays as it was
        assert (one.theta == before[head]).all()


def test_a_move_inside_measurement_error_is_called_so(library):
    vague = [row(mean=50, sem=40.0), row(PRESS, mean=60, sem=40.0)]
    moves, untied = credit_moves(library, [], vague)
    assert untied == []
    assert moves and not any(m.beyond_error for m in moves if (m.head, m.exercise) == ("side", PRESS))
    sure = [row(mean=50, sem=0.5, sem_degrees=60), row(PRESS, mean=60, sem=0.5, sem_degrees=60)]
    assert all(m.beyond_error for m in credit_moves(library, [], sure)[0] if m.exercise == PRESS)
    assert "within measurement error" in added_text(Added(vague, 0, moves, untied), library, Path("a"))
    assert "No credit moved" in added_text(Added((), 0, [], []), library, Path("a"))


def test_only_an_athletes_folder_takes_rows_and_only_where_there_are_some(tmp_path, athlete, library, demo):
    rows, _ = rows_of(demo)
    wrong = (tmp_path, rows, "is no athlete's folder"), (athlete, [], "nothing was added")
    for folder, some, said in wrong:
        with pytest.raises(FaultyInput, match=said):
            add_to_athlete(folder, library, demo, some)
    brief = athlete / "brief.toml"
    brief.write_text(brief.read_text().replace("Robin Vale", "Somebody Else"))
    with pytest.raises(FaultyInput, match="Somebody Else"):
        add_to_athlete(athlete, library, demo, rows)
    assert not (athlete / own.EVIDENCE_FILE).exists()
    assert len(add_to_athlete(athlete, library, demo, rows, same_person=True).rows) == 24


@pytest.mark.slow
def test_the_next_week_uses_what_was_measured(demo, library, tmp_path):
    copy_of(DEMO, tmp_path)
    before = plan_week(gather(tmp_path, "2026-W49", datetime.date(2026, 11, 25)))
    added = add_to_athlete(tmp_path, library, demo, rows_of(demo)[0])
    asked = gather(tmp_path, "2026-W49", datetime.date(2026, 11, 25))
    after = plan_week(asked)
    check_sound(after, asked)
    assert after.sessions != before.sessions
    moved = {(move.head, move.exercise): move for move in added.moves}
    assert moved["front", Y_RAISE].after < moved["front", Y_RAISE].before  # this athlete's works little in it
    credits = {
        (head, line.exercise): credit
        for session in after.sessions for line in session.exercises for head, credit in line.credits.items()
    }  # fmt: skip
    assert credits.keys() & moved.keys()
    for key in credits.keys() & moved.keys():
        assert credits[key] == pytest.approx(moved[key].after, abs=0.006)


# --- Ranking: same number of repetitions, at their loads, RIR and placement apart, too close to call
def test_the_first_repetitions_that_all_have_are_compared_load_by_load(lab):
    lab.set("a.csv", 1, repetitions=6)
    lab.set("b.csv", 2, repetitions=4, scale=0.3)
    (ranking,) = rankings(lab.measure(lab.trial("a.csv"), lab.trial("b.csv", PRESS)))
    assert ranking.k == 4
    assert [len(entry.values[0]) for entry in ranking.entries] == [4, 4]
    assert [entry.exercise for entry in ranking.entries] == [RAISE, PRESS]
    for name in "abc":
        lab.set(f"{name}.csv", ord(name))
    session = lab.measure(lab.trial("a.csv", load=8), lab.trial("b.csv", load=10), lab.trial("c.csv", load=8))
    (ranking,) = rankings(session)
    assert sorted(entry.trials for entry in ranking.entries) == [(1, 3), (2,)]
    assert {entry.label.split(", ")[1] for entry in ranking.entries} == {"8 kg", "10 kg"}


def test_sets_more_than_one_rir_or_a_placement_apart_are_not_ranked_together(lab):
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
    lab.set("a.csv", 1)
    lab.set("b.csv", 2, scale=0.3)
    session = lab.measure(lab.trial("a.csv"), lab.trial("b.csv", PRESS, placement=2), *lab.holds())
    assert [r.placement for r in rankings(session)] == [1, 2]
    units = {key: reference.unit for key, reference in session.references.items()}
    assert units == {("side right", 1): "percent_MVIC", ("side right", 2): "percent_session_max"}


@given(st.lists(st.integers(0, 6), min_size=1, max_size=8))
def test_no_window_is_wider_than_one_rir_and_every_set_is_in_one(rirs):
    from types import SimpleNamespace

    trials = [SimpleNamespace(number=n, trial=SimpleNamespace(rir=rir)) for n, rir in enumerate(rirs)]
    groups = rir_windows(trials, 1.0)
    assert {t.number for group in groups for t in group} == set(range(len(rirs)))
    assert all(max(t.trial.rir for t in g) - min(t.trial.rir for t in g) <= 1 for g in groups)


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
