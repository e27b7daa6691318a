"""A small week that lacks minutes and equipment, and all that could be eased in a week."""

from pathlib import Path

from small_athlete import BRIEF, GYM, TODAY, WEEK, make_folder

from planner.change.easings import all_easings
from planner.model.inputs import Inputs
from planner.week.edits import Edit
from planner.week.gather import gather

WEDNESDAY = '[[session]]\nday = "Wed"\nminutes = 25\ngym = "home"\n\n'
SHORT = (
    BRIEF.replace(WEDNESDAY, "").replace("minutes = 30", "minutes = 14")
    .replace("front = 6", "front = 10").replace("side = 8", "side = 16").replace("rear = 6", "rear = 10")
    .replace("[target]", '[joints]\nsubacromial = "careful"\n[preferences]\nexclude = ["cable_face_pull"]\n[target]')
)  # fmt: skip
SPARSE_GYM = '[club]\nequipment = ["dumbbells"]\n[home]\nequipment = ["bands"]\n'


def inputs_of(folder: Path, brief: str = BRIEF, gym: str = GYM) -> Inputs:
    return gather(make_folder(folder / "kim", brief, gym), WEEK, TODAY).inputs


def easings_of(inputs: Inputs) -> list[Edit]:
    return all_easings(inputs, (), ())
