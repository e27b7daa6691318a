"""Sound weeks pass: the hand-made one and its kin; a plan that fails is told in words."""

from dataclasses import replace

import pytest
from cautious_week import cautious, default

from library.errors import BrokenPlan
from planner.verify.goals import missed_goals
from planner.verify.recheck import assert_sound, caution_stated, recheck
from planner.verify.sums import credit, dose


@pytest.mark.parametrize("changes", [
    {}, default("largest_block_sets", 5),
    # the coach clearing a joint overrules a flag
    {"brief.history.flags": ["arch"], "brief.joints.subacromial": "clear", "document.limits.5.allowed": 60},
])  # fmt: skip
def test_a_sound_week_passes(changes, make_week):
    assert make_week().change(changes).recheck() == []


def test_a_broken_plan_is_told_with_all_findings_unknown_names_alone(make_week):
    week = make_week()
    week.first("press")["sets"] = 5
    week.row("dose", head="rear")["by_movers"] = 9
    case = week.case()
    with pytest.raises(BrokenPlan) as fault:
        assert_sound(case.document, case.library, case.brief, case.gyms, case.last_week, case.pooled)
    told = str(fault.value)
    assert "Mon: sets of press: found 5 sets, the rule allows 4 sets" in told
    assert "movers' count of rear: found 6 sets, the plan states 9 sets" in told
    assert fault.value.exit_code == 1
    week = make_week()
    week.first("press")["exercise"] = "pres"
    week.document["athlete"] = "Somebody"
    assert [finding.stated for finding in week.recheck()] == ["pres"]


def test_a_pin_may_leave_the_size_of_a_block(make_week):
    pin = {"brief.preferences.pin": {"press": {"day": "Mon", "sets": 4}}}
    week = make_week().change(pin | default("largest_block_sets", 3))
    assert [finding.what for finding in week.recheck()] == ["Thu: sets of press"]


def test_a_week_with_nothing_left_to_train_passes(make_week):
    week = make_week()
    week.brief["target"] = {"front": 2, "side": 0, "rear": 0}
    week.brief["elsewhere"] = {"bench_press": {"sets": 4, "whole": True}}
    week.brief["variety"]["must"] = True
    week.document |= {"missed": [], "sources": []}
    for session in week.document["sessions"]:
        session["exercises"], session["minutes"]["used"] = [], 0
    front = week.row("dose", head="front")
    front |= {"planned": 0, "by_movers": 0, "floor": 2, "target": 2, "ceiling": 12, "low90": 1.6, "high90": 3}
    front |= {"own": 2.4, "helping": 0, "beyond": 0}  # whole: counted in full
    week.document["dose"] = [front | {"chance_target90": 0.99}]
    week.document["limits"] = [row for row in week.document["limits"] if "anterior" not in row["limit"]]
    for row in week.document["limits"]:
        row["used"] = 0
    week.document["proof"][0] |= {"value": 0, "bound": 0}
    assert week.recheck() == []


def test_counting_by_movers_is_recomputed(make_week):
    week = make_week()
    week.brief["method"]["counting"] = week.document["made_with"]["counting"] = "movers"
    for day in (0, 1):
        week.first("press", day)["credits"] = {"front": 1, "side": 0.5}
        week.first("raise", day)["credits"] = {"side": 1}
        week.first("cable_fly", day)["credits"] = {"side": 0.5, "rear": 1}
    # the bench press at 0.6 counts half a set: 4·0.5, all of it under 0.4·10
    week.row("dose", head="front").update(planned=8, elsewhere=2, helping=2, beyond=0, low90=9, high90=11)
    week.row("dose", head="side")["beyond"] = 3.8  # 8·0.5 + 6·0.5 help, 3.2 are counted
    week.row("limits", limit="session_hard_cap:side:Mon")["used"] = 6.5
    assert week.texts() == []


def test_own_ratios_are_believed_and_their_rows_named(make_week):
    week = make_week()
    week.ratios["side"]["press"] = 0.6
    for day in (0, 1):
        week.first("press", day)["credits"]["side"] = 0.6
    week.row("dose", head="side")["beyond"] = 4.0  # 8·0.6 + 6·0.4 − 3.2
    week.row("limits", limit="session_hard_cap:side:Mon")["used"] = 6.6
    week.document["sources"] = ["own:monday", *week.document["sources"]]
    assert week.texts() == ["source: found no such row of evidence, the plan states own:monday"]
    case = week.case()
    side = replace(case.pooled["side"], rows=("own:monday",))
    parts = case.document, case.library, case.brief, case.gyms, None, case.pooled | {"side": side}
    assert recheck(*parts) == []


def test_without_own_recordings_persons_differ_from_the_library(make_week):
    """ln R ~ N(ln 0.35, 0.1² + 0.25²): by the closed form 0.2903, not 0.35; an anchor stays 1."""
    week = make_week().change({"ratios": {}})
    assert credit(week.case(), "raise", "front") == pytest.approx(0.2903, abs=1e-4)
    assert credit(week.case(), "press", "front") == 1
    assert "Mon: credit of raise for front: found 0.2903" in "".join(week.texts())


def test_where_no_room_has_an_own_movement_all_that_helps_counts(make_week):
    week = make_week().change({"brief.preferences.exclude": ["raise"]})
    side = dose(week.case(), "side")
    assert (side.own, side.aside) == (6, pytest.approx(6.4))
    assert "own:side" not in missed_goals(week.case())


def test_a_sound_cautious_week_passes_and_its_dose_is_summed_though_it_need_not_be_the_best(make_week):
    week = make_week().change(cautious())
    assert week.texts() == []
    week.change({"document.dose.0.planned": 9.0})
    assert any("planned dose of front" in text for text in week.texts())


def test_pairs_may_make_the_plain_week_shorter(make_week):
    changes = cautious(plain__minutes=25.0) | {"brief.preferences.paired": True}
    assert not list(caution_stated(make_week().change(changes).case()))
    changes |= {"document.cautious.plain.minutes": 29.5}
    assert list(caution_stated(make_week().change(changes).case()))
