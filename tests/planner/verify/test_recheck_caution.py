"""A cautious week under recheck: sound as it stands, summed like any other; pairs may make the plain one shorter."""

from cautious_week import cautious

from planner.verify.recheck import figures_stated


def test_a_sound_cautious_week_passes_and_its_dose_is_summed_though_it_need_not_be_the_best(make_week):
    week = make_week().change(cautious())
    assert week.texts() == []
    week.change({"document.dose.0.planned": 9.0})
    assert any("planned dose of front" in text for text in week.texts())


def test_pairs_may_make_the_plain_week_shorter(make_week):
    changes = cautious(plain__minutes=25.0) | {"brief.preferences.paired": True}
    assert not list(figures_stated(make_week().change(changes).case()))
    changes |= {"document.cautious.plain.minutes": 29.5}
    assert list(figures_stated(make_week().change(changes).case()))
