"""No number of the method stands in a module: what is not a setting is on this list, with what it is instead.
`planner check` prints the settings, so a number anywhere else is one that no coach sees."""

import ast
import re
from functools import cache

from folders import ROOT

import planner.method  # noqa: F401  # its records
from library.method import Settings, method

# what a constant is that is no setting, by its name
NOT_OF_THE_METHOD = {
    "rounding of sums, and what is too small to show": """ROUNDING WHOLE SAME DIGITS DECIMALS
        LAST_DIGITS UNSHOWN UNSHOWN_OF_TWO CHOSEN""",
    "what two are, the order of words, versions": "PAIR STRICTNESS VERSION SHEET_COLUMNS RISE_WEEKS DRAWS_LEAST",
    "conversion of units": """PERCENT SECONDS_A_MINUTE SECONDS_PER_MINUTE ONE_WEEK ONE_DAY WHOLE_DAY MILLIVOLTS
        PAGE_MILLIMETRES""",
    "mathematics": "ROBUST BOTH_SIDES_95 SLICES NO_SPREAD",
    "published formulas, each cited beside its numbers": "FORMULAS",
    "scale of the library's grades": "HIGHEST_GRADE LEAST_GRADE ANYONE SHOULDER_HEIGHT SECOND SPECIAL",
    "said by the recheck a second time, which shares nothing with the model": "NINE_TENTHS",
    "exit codes": "WORST_FIRST FAULT_OF_OURS EXIT_CODES",
    "the installation": "COLLECT_EVERY OPTIMUM TOLERANCE THREADS",
    "file formats and files": """READERS FORMAT MARK_LENGTH
        DIGEST_LENGTH HEAD_LINES HEAD_BYTES SIGNAL_FIELDS_BEFORE_SAMPLES FIXED_HEADER
        SAMPLE_BYTES MOST_DECIMALS LOOKED_AT TIMES_LOOKED_AT
        PAGE_BYTES OWNER_FILE OWNER_FOLDER NEW PIECE PIECE_BYTES LONG_LOG_BYTES""",
    "larger than anything that is meant": """FIELDS_MOST FILES_MOST NAME_LONGEST UPLOAD_BYTES_MOST
        RECORDINGS_BYTES_MOST MOST_LOADS NOTE_LENGTH
        LAST_YEAR NO_LIMIT""",
    "how much is shown on screen or paper, and how soon": """SPARE_ROWS WIDTH CHOICES_SHOWN
        WAIT_SECONDS EVENT_SECONDS SHOWN_WITHIN_SECONDS READ_WITHIN_SECONDS
        LINE_BYTES MESSAGE_BYTES NAMED_MOST DECISIVE SMALLEST_SHARE WIDTHS
        FEW OFFERED LONGEST MOST_LISTED SHOWN LISTED TICK PICTURE_POINTS ALMOST_FULL LEVEL_HZ
        LINES_SHOWN OF_A_KIND ALIKE""",
    "workings of a search, which change no proof": """PLANNED_ON JUDGED_ON DIFFERENT QUICK FEASIBLE_POINT STEP PARTS""",
}  # fmt: skip
NAMES = {name for names in NOT_OF_THE_METHOD.values() for name in names.split()}

# sizes of drawings and of paper
DRAWN = [f"planner/sheets/{name}.py" for name in ("paper", "table", "figure", "pose")]
DRAWN += ["planner/sunday.py", "planner/train/progress_page.py"]


def constants(text):
    """Constants of a module in whose value a number is written; types, whose bounds refuse input, are none."""
    for node in ast.parse(text).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        written = (getattr(node, "value", None) for node in ast.walk(value or ast.Pass()))
        if not any(type(one) in (int, float) for one in written):
            continue
        parts = (one for target in targets if target for one in ast.walk(target))
        names = [one.id for one in parts if isinstance(one, ast.Name)]
        yield from (name for name in names if name.isupper())


@cache
def found():
    paths = (path for package in ("library", "planner") for path in sorted((ROOT / package).rglob("*.py")))
    texts = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in paths}
    ours = (place for place in texts if not place.endswith("settings.py"))
    return [f"{place} {name}" for place in ours for name in constants(texts[place])]


def test_a_number_that_is_no_setting_is_on_the_list_which_names_nothing_that_is_gone():
    hidden = [place for place in found() if place.split()[0] not in DRAWN and place.split()[1] not in NAMES]
    assert hidden == [], "a number of the method is a setting; another one is named here with what it is"
    assert NAMES - {place.split()[1] for place in found() if place.split()[0] not in DRAWN} == set()
    assert set(DRAWN) - {place.split()[0] for place in found()} == set()


# --- every default of method.toml belongs to a record that something reads
def test_every_default_has_its_record_says_what_it_is_and_is_read_somewhere():
    ours = (record for record in Settings.__subclasses__() if "test" not in record.__module__)
    assert {record.table for record in ours} == set(method())
    # What is printed reads some too.
    kinds = ("library/*.py", "planner/**/*.py", "planner/**/templates/*.txt", "planner/**/templates/*.html")
    texts = (path.read_text(encoding="utf-8") for kind in kinds for path in ROOT.glob(kind))
    words = {word for text in texts for word in re.findall(r"\w+", text)}
    for rows in method().values():
        for name, row in rows.items():
            assert row.source.strip() and row.text.strip(), name
            by_status = name.split("_")[0] in ("novice", "intermediate", "advanced")
            assert name in words or by_status, f"nothing reads {name}"
