"""An invented library for the sheets' tests: long names, long cues, every implement, joint stress everywhere."""

from library import schema as of
from library.credit import Profile
from library.read import Library, read_poses, shipped_folder

# key: name, family, implement, needs, position, sides, load_is, first cue, second cue
EXERCISES = {
    "seated_dumbbell_overhead_press": ("Seated dumbbell overhead press to full depth", "overhead_press",
        "dumbbell", ("dumbbells", "adjustable_bench"),
        "seated, back supported, bench one notch below upright", 1, "each_hand",
        "Lower until the hands reach the ears, forearms upright", "Ribs down, feet flat, do not lean back"),
    "standing_dumbbell_lateral_raise": ("Standing dumbbell lateral raise", "lateral_raise", "dumbbell",
        ("dumbbells",), "standing tall", 1, "each_hand", "Lead with the elbows, a little in front of you",
        "Stop at shoulder height"),
    "bent_over_dumbbell_rear_raise": ("Bent-over dumbbell rear raise, chest on an inclined bench", "rear_fly",
        "dumbbell", ("dumbbells", "adjustable_bench"), "chest on the bench at 45 degrees", 1, "each_hand",
        "Arms out wide like a T, thumbs level", "Do not squeeze the shoulder blades first"),
    "lying_cable_y_raise": ("Y raise with two cables lying back on an inclined bench", "y_raise", "cable",
        ("dual_cable_station", "adjustable_bench"), "lying back at 60 degrees, pulleys low", 1, "each_hand",
        "Reach long towards the corners of the ceiling", "Keep the ribs down while the arms pass the face"),
    "one_arm_low_cable_lateral_raise": ("One-arm lateral raise from a low pulley behind the back",
        "lateral_raise", "cable", ("cable_station",), "standing, free hand on the frame", 2, "stack",
        "Begin with the hand behind the hip", "Shoulder stays down"),
    "wide_barbell_upright_pull": ("Wide-hand barbell upright pull to below shoulder height", "upright_pull",
        "barbell", ("barbell",), "standing", 1, "total", "Elbows lead and stop below the shoulders",
        "Bar stays close to the body"),
    "band_face_pull": ("Band face pull", "face_pull", "band", ("bands", "band_anchor"), "half kneeling", 1,
        "band", "Pull towards the eyebrows, hands end beside the ears",
        "Finish with the thumbs pointing back"),
    "pike_push_up": ("Pike push-up", "push_up", "bodyweight", (), "hips high, hands wide", 1, "body",
        "Head goes to the floor in front of the hands", "Elbows point back at 45 degrees"),
    "barbell_overhead_press": ("Barbell overhead press", "overhead_press", "barbell", ("barbell", "rack"),
        "standing", 1, "total", "Bar starts on the collar-bones", "Head through the window at the top"),
}  # fmt: skip
HEADS = {"front": "anterior", "side": "lateral", "rear": "posterior"}  # anchors: the first three exercises
EQUIPMENT = {
    "dumbbells": "dumbbells", "adjustable_bench": "adjustable bench", "bands": "bands",
    "barbell": "barbell with plates",
    "cable_station": "cable station, one adjustable pulley", "rack": "rack with safety bars",
    "dual_cable_station": "dual cable station, two adjustable pulleys", "band_anchor": "door or wall anchor for bands",
}  # fmt: skip
CITATIONS = {
    "campos2020": "Campos et al. 2020, J Hum Kinet 75:5-14",
    "botton2013": "Botton et al. 2013, Deltoid activation in presses and raises, J Strength Cond Res 27(8):1-9",
    "reinold2007": "Reinold et al. 2007, J Athl Train 42(4):464-469",
    "practice": "common practice, no source",
}
STATUSES = dict(zip(CITATIONS, ("read", "second-hand", "remembered", "practice"), strict=True))


def sample_library():
    exercises = {key: _exercise(key, *fields) for key, fields in EXERCISES.items()}
    return Library(
        folder="sample",
        digest="0123456789ab",
        exercises=exercises,
        heads={
            key: of.Head(key=key, name=f"{key} delt", muscle=f"{muscle} deltoid", role="trained", anchor=anchor)
            for (key, muscle), anchor in zip(HEADS.items(), EXERCISES, strict=False)
        },
        equipment={key: of.Equipment(key=key, name=name, has_loads=False) for key, name in EQUIPMENT.items()},
        implements={key: of.Named(key=key, name=key) for key in {fields[2] for fields in EXERCISES.values()}},
        families={key: of.Family(key=key, name=key.replace("_", " ")) for key in {f[1] for f in EXERCISES.values()}},
        regions={
            "subacromial": of.Region(key="subacromial", name="top of the shoulder, under the arch"),
            "elbow": of.Region(key="elbow", name="elbow"),
        },
        flags={"elbow": of.Flag(key="elbow", name="elbow trouble", regions={"elbow": "careful"}, source="sample")},
        evidence=tuple(_row(study, key) for study in CITATIONS for key in exercises),
        profiles={
            head: {
                key: Profile(0.97 - 0.06 * place, 0.08, tuple(f"{study}-{key}" for study in CITATIONS))
                for place, key in enumerate(exercises)
            }
            for head in HEADS
        },
        poses=read_poses(shipped_folder() / "poses.toml", []),
    )  # fmt: skip


def _exercise(key, name, family, implement, needs, position, sides, load_is, *cues):
    return of.Exercise(
        key=key, name=name, family=family, implement=implement, needs=needs, position=position, sides=sides,
        top_angle_degrees=90,
        multi_joint=family == "overhead_press", load_is=load_is, tempo=of.Tempo(lift=1, lower=3), reps=(8, 12),
        rest_seconds=90, setup_seconds=30, warmup_sets=1, eccentric_share=of.EccentricShare(value=0.6, basis="tempo"),
        cues=(*cues, "A third cue that never reaches the paper"), cautions=("Free the floor around you of plates",),
        stress={
            "subacromial": of.Stress(grade=2, reason="arm at shoulder height", source="sample",
                                  change="stop a hand's width below shoulder height, thumbs up", change_keeps=True),
            "elbow": of.Stress(grade=1, reason="grip", change="neutral handle", source="sample"),
        },
    )  # fmt: skip


def _row(study, exercise):
    against = "seated_dumbbell_press" if study == "practice" else None
    return of.EvidenceRow(
        id=f"{study}-{exercise}", kind="practice" if study == "practice" else "published", study=study,
        citation=CITATIONS[study], exercise=exercise, head="side", phase="both", metric="mean", unit="%MVIC", mean=40,
        status=STATUSES[study], against=against,
    )  # fmt: skip
