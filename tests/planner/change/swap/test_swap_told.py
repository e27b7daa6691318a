"""What `planner swap` is told: read word by word, every fault at once."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from planner.change.swap.told import Known, Options, Told, read_options

from library.errors import FaultyInput
from library.read import Library
from planner.athlete.brief import Brief
from planner.document import MadeChange

MONDAY, SUNDAY = datetime.date(2026, 11, 30), datetime.date(2026, 12, 6)
PRESS = "seated_dumbbell_overhead_press"
Read = Callable[..., Told]


@pytest.fixture
def read(library: Library) -> Read:
    def reader(
        over: dict[str, Any] | None = None,
        before: tuple[MadeChange, ...] = (),
        gyms: tuple[str, ...] = ("club", "home"),
        today: datetime.date = SUNDAY,
        **options: Any,
    ) -> Told:
        brief = Brief.model_validate(
            {
                "athlete": {"name": "Kim"},
                "session": [{"day": day, "minutes": 30, "gym": "club"} for day in ("Mon", "Wed", "Fri")],
                "preferences": {"pin": {PRESS: {"day": "Mon", "sets": 3}}},
            }
        )
        known = Known(library, brief, gyms, over or {}, MONDAY, today, before)
        return read_options(Options(**options), known)

    return reader


def faults(read: Callable[[], Told]) -> list[str]:
    with pytest.raises(FaultyInput) as error:
        read()
    return [str(fault) for fault in error.value.faults]


@pytest.mark.parametrize(
    ("options", "change"),
    [
        ({"without": ("bands",)}, MadeChange(kind="without", name="bands")),
        ({"without": ("Bands",)}, MadeChange(kind="without", name="bands")),
        ({"without": ("home:bands",)}, MadeChange(kind="without", name="bands", gym="home")),
        ({"without": ("dumbbell_shrug",)}, MadeChange(kind="without", name="dumbbell_shrug")),
        ({"with_": ("club:barbell",)}, MadeChange(kind="with", name="barbell", gym="club")),
        ({"with_": ("dumbbell_shrug",)}, MadeChange(kind="with", name="dumbbell_shrug")),
        ({"minutes": ("Mon=20",)}, MadeChange(kind="minutes", name="Mon", minutes=20)),
        ({"minutes": ("friday= 20",)}, MadeChange(kind="minutes", name="Fri", minutes=20)),
        ({"drop": ("dumbbell_shrug",)}, MadeChange(kind="without", name="dumbbell_shrug")),
        ({"drop": ("Dumbbell shrug",)}, MadeChange(kind="without", name="dumbbell_shrug")),
    ],
)
def test_words_become_data(options: dict[str, Any], change: MadeChange, read: Read) -> None:
    assert read(**options).changes == (change,)


def test_a_word_told_twice_is_one_change(read: Read) -> None:
    assert len(read(without=("bands", "bands")).changes) == 1


def test_days_that_are_over(read: Read) -> None:
    assert read(done=("Mon", "wed"), missed=("Friday",)).states == {
        "Mon": "done",
        "Wed": "done",
        "Fri": "missed",
    }


def test_what_was_called_done_may_turn_out_missed_but_not_the_other_way(read: Read) -> None:
    assert read(over={"Mon": "done"}, missed=("Mon",)).states == {"Mon": "missed"}
    [told] = faults(lambda: read(over={"Mon": "missed"}, done=("Mon",)))
    assert "called missed before" in told and "planner week" in told


def test_a_day_is_done_from_its_own_date_on(read: Read) -> None:
    assert read(today=MONDAY, done=("Mon",)).states == {"Mon": "done"}
    [told] = faults(lambda: read(today=MONDAY, done=("Wed",)))
    assert '"Wed" is 2026-12-02, today is 2026-11-30' in told and "the whole week" not in told
    assert "--missed Wed may be told ahead" in told
    assert read(today=MONDAY, missed=("Wed",)).states == {"Wed": "missed"}


def test_of_a_week_that_has_not_begun_nothing_is_done(read: Read) -> None:
    [told] = faults(lambda: read(today=datetime.date(2026, 11, 26), done=("Mon",)))
    assert "the whole week begins on 2026-11-30" in told and "--week names an earlier week" in told


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"without": ("cabel_station",)}, ['--without: "cabel_station"', 'did you mean "cable_station"?']),
        ({"without": ("Cabel station",)}, ['did you mean "cable_station"?']),
        ({"without": ("qqqq",)}, ["No equipment or exercise has this name."]),
        ({"with_": ("clubb:bands",)}, ['No gym is called "clubb"; did you mean "club"?']),
        ({"with_": ("home:dumbbell_shrug",)}, ["No equipment or exercise has this name"]),
        ({"with_": ("barbell",)}, ["Say in which gym it is, such as --with club:barbell"]),
        ({"drop": ("dumbell_shrug",)}, ['--drop: "dumbell_shrug"', 'did you mean "dumbbell_shrug"?']),
        ({"drop": (PRESS,)}, ["brief.toml pins it on Mon", "take the pin out"]),
        (
            {"minutes": ("Mon",)},
            ["Write a day and a whole number from 10 to 240 (minutes, warm-up included), such as Mon=30"],
        ),
        ({"minutes": ("Mon=2.5",)}, ["Write a day and a whole number"]),
        ({"minutes": ("Mon=5",)}, ['--minutes: "Mon=5"', "from 10 to 240"]),
        ({"minutes": ("Mon=-5",)}, ['"Mon=-5"', "from 10 to 240"]),
        ({"minutes": ("Mon=500",)}, ["from 10 to 240"]),
        ({"minutes": ("Mond=20",)}, ['--minutes: "Mond"', 'did you mean "Mon"?']),
        ({"minutes": ("Mon=20", "Mon=30")}, ["told twice"]),
        ({"done": ("Moon",)}, ['--done: "Moon"', 'did you mean "Mon"?', '"Sun"']),
        ({"done": ("Sat",)}, ["No session is on Sat", '"Mon", "Wed", "Fri"']),
        ({"missed": ("Sat",)}, ["--missed", "No session is on Sat"]),
        ({"done": ("Mon",), "missed": ("mon",)}, ["--done, --missed", "leave one of the two out"]),
        ({"done": ("Mon",), "minutes": ("Mon=20",)}, ["This session is over: its minutes stand"]),
        ({"without": ("club:bands",), "with_": ("club:bands",)}, ["told twice"]),
    ],
)
def test_a_wrong_word_is_told_with_what_would_do(
    options: dict[str, Any], words: list[str], read: Read
) -> None:
    told = "\n".join(faults(lambda: read(**options)))
    assert all(word in told for word in words), told


def test_all_faults_are_told_at_once(read: Read) -> None:
    assert len(faults(lambda: read(without=("qqqq",), drop=("wwww",), done=("Moon", "Sat")))) == 4


def test_a_pin_on_a_day_that_is_over_stands_in_nobodys_way(read: Read) -> None:
    assert read(drop=(PRESS,), done=("Mon",)).changes


def test_what_comes_back_needs_no_gym_and_one_gym_needs_no_name(read: Read) -> None:
    gone = (MadeChange(kind="without", name="barbell"),)
    assert read(before=gone, with_=("barbell",)).changes == (MadeChange(kind="with", name="barbell"),)
    assert read(gyms=("club",), with_=("barbell",)).changes == (MadeChange(kind="with", name="barbell"),)
