"""The caution that this athlete needs, and no other."""

import datetime

import sample_week as weeks

from planner.method import SheetSettings
from planner.sheets import care
from planner.sheets.desk import Desk


def desk_for(library, **brief):
    return Desk(weeks.sample_week(), library, weeks.sample_brief(**brief), SheetSettings())


def test_a_careful_region_gets_the_change_and_a_clear_one_does_not(library):
    press = library.exercises[weeks.PRESS]
    careful = care.care(press, desk_for(library, joints={"subacromial": "careful"}))
    assert (
        careful == "Stop a hand's width below shoulder height, thumbs up. Free the floor around you of plates"
    )
    clear = care.care(press, desk_for(library, joints={}, history={}))
    assert clear == "Free the floor around you of plates"


def test_a_grade_below_moderate_asks_for_no_change_unless_the_region_is_to_be_avoided(library):
    press = library.exercises[weeks.PRESS]
    careful, avoid = (desk_for(library, joints={"elbow": word}, history={}) for word in ("careful", "avoid"))
    assert "handle" not in care.care(press, careful)
    assert "handle" in care.care(press, avoid)


def test_changes_are_never_left_out_and_cautions_fill_up_to_the_most(library):
    press = library.exercises[weeks.PRESS]
    stressed = {
        region: press.stress["subacromial"].model_copy(update={"grade": grade, "change": f"change {region}"})
        for region, grade in (("subacromial", 2), ("elbow", 3))
    }
    hurt = press.model_copy(update={"stress": stressed, "cautions": ("one", "two", "three")})
    both = {"subacromial": "careful", "elbow": "careful"}
    assert care.care(hurt, desk_for(library, joints=both)) == "Change elbow. Change subacromial"
    assert care.care(hurt, desk_for(library, joints={}, history={})) == "One. Two"


def test_the_same_change_for_two_regions_is_said_once(library):
    press = library.exercises[weeks.PRESS]
    twice = press.model_copy(update={"stress": {**press.stress, "elbow": press.stress["subacromial"]}})
    both = {"subacromial": "careful", "elbow": "careful"}
    assert care.care(twice, desk_for(library, joints=both)).count("hand's width") == 1


def test_the_surgeons_yes_is_asked_for_after_an_operation_alone(library):
    caution = "After shoulder surgery only with the surgeon's written yes."
    raised = library.exercises[weeks.RAISE].model_copy(update={"cautions": (caution,), "stress": {}})
    assert care.care(raised, desk_for(library)) == ""
    operated = {"surgery": {"date": datetime.date(2025, 1, 1), "cleared": True}}
    assert care.care(raised, desk_for(library, history=operated)) == caution.rstrip(".")
    assert care.care(raised, desk_for(library, history={"flags": ("after_surgery",)})) == caution.rstrip(".")


def test_the_stricter_of_joints_and_flags_counts(library):
    assert desk_for(library, joints={"elbow": "avoid"}).allowed == {"elbow": "avoid"}
    assert desk_for(library, joints={"elbow": "clear"}).allowed == {"elbow": "careful"}
    assert desk_for(library, joints={}, history={"flags": ("unknown",)}).allowed == {}


def test_regions_to_go_easy_on_are_named_once_a_page(library):
    assert care.careful_names(desk_for(library)) == ["top of the shoulder, under the arch", "elbow"]
