"""No number of the method stands in a module: what is not a setting is on this list, with what it is instead.

`planner check` prints the settings, so a number anywhere else is one that no coach sees.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest
from readme import ROOT

# what a constant of such a name is, wherever it stands
ANYWHERE = {
    "rounding of sums: far below whatever is decided or printed": {
        "ROUNDING", "WHOLE", "SAME", "UNMET", "ROUNDED",
        "DIGITS", "DECIMALS", "PLACES",
    },
    "conversion of units": {
        "PERCENT", "SECONDS_A_MINUTE", "SECONDS_PER_MINUTE", "DAYS_A_WEEK", "ONE_WEEK", "WHOLE_DAY", "MILLIVOLTS",
        "MILLIMETRES_A_POINT",
    },
    "what two are, and the order of words": {"PAIR", "STRICTNESS"},
    "version of a document": {"VERSION"},
}  # fmt: skip

# sizes of drawings and of paper
DRAWN = (
    "planner/sheets/fit.py",
    "planner/sheets/chart.py",
    "planner/sheets/block_chart.py",
    "planner/emg/paper/bars.py",
    "planner/emg/paper/body.py",
    "planner/emg/paper/courses.py",
    "planner/emg/paper/svg.py",
    "planner/train/charts.py",
    "planner/train/progress_page.py",
)

# what single constants are
HERE_ONLY = {
    "mathematics": (
        "planner/emg/effect.py NORMAL_95",
        "planner/emg/trust.py MDC_FACTOR",
        "planner/emg/quality/heart.py ROBUST",
    ),
    "published formulas and charts, each cited beside its numbers": (
        "planner/train/formulas.py FORMULAS",
        "planner/train/formulas.py PERCENT_OF_MAXIMUM",
    ),
    "scale of the library's grades": ("library/schema.py HIGHEST_GRADE",),
    "what the name of a field of week.json says; the recheck shares nothing with the planner": (
        "planner/verify/doses.py NINE_TENTHS",
    ),
    "rounding of sums, and what is too small to show": (
        "planner/solve/sessions.py CARRIED",
        "planner/plain.py LAST_DIGITS",
        "planner/plain.py LINEAR",
        "planner/plain.py UNSHOWN",
        "planner/plain.py UNSHOWN_OF_TWO",
    ),
    "exit codes": (
        "planner/roster/rows.py WORST_FIRST",
        "planner/roster/work.py FAULT_OF_OURS",
        "planner/doctor/examination.py EXIT_CODES",
    ),
    "the installation": (
        "planner/__main__.py COLLECT_EVERY",
        "planner/doctor/interpreter.py OLDEST",
        "planner/doctor/solver.py PATIENCE_SECONDS",
        "planner/doctor/toy.py OPTIMUM",
        "planner/doctor/toy.py TOLERANCE",
    ),
    "file formats": (
        "library/files.py FIRST_ROW",
        "library/read.py DIGEST_LENGTH",
        "library/files.py PLAIN_FILE",
        "planner/emg/read_csv.py HEAD_LINES",
        "planner/emg/read_edf.py SIGNAL_FIELDS_BEFORE_SAMPLES",
        "planner/emg/read_edf.py FIXED_HEADER",
        "planner/emg/read_edf.py SAMPLE_BYTES",
        "planner/emg/timing.py MOST_DECIMALS",
        "planner/emg/timing.py LOOKED_AT",
    ),
    "larger than anything that is meant: slips of the pen and places kept free": (
        "planner/athlete/gym.py MOST_LOADS",
        "planner/athlete/method.py MOST",
        "planner/log/cells.py NOTE_LENGTH",
        "planner/train/look_back.py SETS_MOST",
        "planner/train/look_back.py ESTIMATED_FIRST",
        "planner/change/clash_members.py NO_LIMIT",
    ),
    "how much is shown on screen or paper": (
        "library/errors.py SHOWN_LENGTH",
        "library/page.py NAMED_MOST",
        "library/page.py DECISIVE",
        "library/page.py SMALLEST_SHARE",
        "planner/log/blank.py WIDTHS",
        "planner/log/blank.py WIDTH",
        "planner/athlete/names.py FEW",
        "planner/athlete/names.py OFFERED",
        "planner/athlete/words.py LONGEST",
        "planner/athlete/words.py MOST_LISTED",
        "planner/emg/effect.py SHOWN",
        "planner/emg/effect.py LISTED",
        "planner/emg/measuring_trial.py PICTURE_POINTS",
        "planner/train/delivered.py SHOWN_FROM",
    ),
    "samples that are enough: more would cost time and give the same": (
        "planner/emg/quality/heart.py LEVEL_HZ",
        "planner/emg/quality/range.py LOOKED_AT",
    ),
    "workings of a search, which change no proof": (
        "planner/week/cautious/draws.py PLANNED_ON",
        "planner/week/cautious/draws.py JUDGED_ON",
        "planner/change/choices/near.py DIFFERENT",
        "planner/solve/hand_over.py THREADS",
        "planner/solve/highs.py QUICK",
        "planner/solve/highs.py FEASIBLE_POINT",
        "planner/solve/patterns.py PENALTY",
        "planner/solve/patterns.py LARGEST",
        "planner/solve/patterns.py RAISED",
        "planner/solve/patterns.py RAISES",
        "planner/change/swap/least.py STEP",
        "planner/change/swap/single_moves.py OVERRUN",
        "planner/change/swap/single_moves.py NOTHING",
    ),
}
SINGLE = {place for places in HERE_ONLY.values() for place in places}
NAMES = {name for names in ANYWHERE.values() for name in names}


def constants(text: str) -> Iterator[str]:
    """Constants of a module in whose value a number is written; types, whose bounds refuse input, are none."""
    for node in ast.parse(text).body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        if value is None or not any(map(is_number, ast.walk(value))):
            continue
        names = [
            one.id for target in targets if target for one in ast.walk(target) if isinstance(one, ast.Name)
        ]
        yield from (name for name in names if name.isupper())


def is_number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and type(node.value) in (int, float)


FOUND = [
    f"{path.relative_to(ROOT).as_posix()} {name}"
    for package in ("library", "planner")
    for path in sorted((ROOT / package).rglob("*.py"))
    if not path.name.endswith("settings.py")
    for name in constants(path.read_text(encoding="utf-8"))
]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("BEAT_HZ = (5.0, 30.0)", ["BEAT_HZ"]),
        ("LOW, HIGH = 0.05, 0.95", ["LOW", "HIGH"]),
        ("ASKS: dict[str, int] = {'careful': 2}", ["ASKS"]),
        ("LEVELS = tuple(0.1 * step for step in steps)", ["LEVELS"]),
        ("NAME = 'brief.toml'\nON = True\nNOTHING: int\nShare = Annotated[float, Field(ge=0, le=1)]", []),
        ("from here import settings\n\ndef run():\n    HERE = 2", []),
    ],
)
def test_what_counts_as_a_number_in_a_module(text: str, names: list[str]) -> None:
    assert list(constants(text)) == names


def test_a_number_that_is_no_setting_is_on_the_list() -> None:
    hidden = [
        place
        for place in FOUND
        if place.split()[0] not in DRAWN and place.split()[1] not in NAMES and place not in SINGLE
    ]
    assert hidden == [], "a number of the method is a setting; another one is named here with what it is"


def test_the_list_names_nothing_that_is_gone() -> None:
    left = {place for place in FOUND if place.split()[0] not in DRAWN and place.split()[1] not in NAMES}
    assert SINGLE - left == set()
    assert set(DRAWN) - {place.split()[0] for place in FOUND} == set()
    assert NAMES - {place.split()[1] for place in FOUND} == set()


def test_the_list_says_each_thing_once() -> None:
    assert len(SINGLE) == sum(len(places) for places in HERE_ONLY.values())
    assert len(NAMES) == sum(len(names) for names in ANYWHERE.values())
