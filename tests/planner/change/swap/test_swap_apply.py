"""Changes applied to brief and gyms in memory, joined with earlier ones, and leaving no trace once taken back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planner.change.swap.apply import applied, joined
from shipped import shipped_library
from small_athlete import make_folder

from library.read import Library
from planner.athlete.brief import Brief
from planner.athlete.gym import Gym
from planner.athlete.reading import read_athlete
from planner.document import MadeChange

LIBRARY = shipped_library()


@pytest.fixture(scope="module")
def athlete(tmp_path_factory: pytest.TempPathFactory) -> tuple[Brief, dict[str, Gym]]:
    folder = make_folder(tmp_path_factory.mktemp("athlete"))
    return read_athlete(folder, LIBRARY)


def without(name: str, gym: str = "") -> MadeChange:
    return MadeChange(kind="without", name=name, gym=gym)


def with_(name: str, gym: str = "") -> MadeChange:
    return MadeChange(kind="with", name=name, gym=gym)


def minutes(day: str, number: int) -> MadeChange:
    return MadeChange(kind="minutes", name=day, minutes=number)


def rooms(gyms: dict[str, Gym]) -> dict[str, set[str]]:
    return {name: set(gym.equipment) for name, gym in gyms.items()}


def test_equipment_goes_from_every_gym_or_from_one(athlete: tuple[Brief, dict[str, Gym]]) -> None:
    brief, gyms = athlete
    _, everywhere = applied([without("dumbbells")], brief, gyms, LIBRARY)
    assert not any("dumbbells" in gym.equipment or "dumbbells" in gym.loads for gym in everywhere.values())
    _, one = applied([without("dumbbells", "home")], brief, gyms, LIBRARY)
    assert rooms(dict(one)) == {"club": rooms(gyms)["club"], "home": {"bands"}}


def test_the_files_content_is_never_touched(athlete: tuple[Brief, dict[str, Gym]]) -> None:
    brief, gyms = athlete
    copies = brief.model_copy(deep=True), {name: gym.model_copy(deep=True) for name, gym in gyms.items()}
    applied([without("dumbbells"), minutes("Mon", 20), without("dumbbell_shrug")], brief, gyms, LIBRARY)
    assert (brief, gyms) == copies


def test_minutes_and_exercises_change_the_brief(athlete: tuple[Brief, dict[str, Gym]]) -> None:
    brief, gyms = athlete
    changed, _ = applied([minutes("Wed", 15), without("dumbbell_shrug")], brief, gyms, LIBRARY)
    assert [session.minutes for session in changed.session] == [30, 15, 30]
    assert changed.preferences.exclude == ("dumbbell_shrug",)
    back, _ = applied([without("dumbbell_shrug"), with_("dumbbell_shrug")], brief, gyms, LIBRARY)
    assert back.preferences.exclude == ()


def test_a_station_and_what_it_includes_go_and_come_together() -> None:
    gym = Gym.model_validate(
        {"equipment": ["dual_cable_station"], "loads": {"dual_cable_station": [5, 10]}}
    ).with_what_follows()
    brief = Brief.model_validate(
        {"athlete": {"name": "K"}, "session": [{"day": "Mon", "minutes": 30, "gym": "g"}]}
    )
    for gone in ("dual_cable_station", "cable_station"):
        _, gyms = applied([without(gone)], brief, {"g": gym}, LIBRARY)
        assert gyms["g"].equipment == () and gyms["g"].loads == {}
    _, gyms = applied([without("cable_station"), with_("dual_cable_station")], brief, {"g": gym}, LIBRARY)
    assert set(gyms["g"].equipment) == set(gym.equipment) and gyms["g"].loads == gym.loads
    _, gyms = applied([without("dual_cable_station"), with_("cable_station")], brief, {"g": gym}, LIBRARY)
    assert gyms["g"].equipment == ("cable_station",)


def test_changes_add_up_and_leave_no_trace_once_taken_back(athlete: tuple[Brief, dict[str, Gym]]) -> None:
    brief, gyms = athlete

    def join(before: list[MadeChange], *new: MadeChange) -> list[MadeChange]:
        return list(joined(before, new, brief, gyms, LIBRARY))

    both = join([without("bands")], minutes("Mon", 20))
    assert both == [without("bands"), minutes("Mon", 20)]
    assert join(both, minutes("Mon", 25)) == [without("bands"), minutes("Mon", 25)]
    assert join(both, minutes("Mon", 30)) == [without("bands")]  # as the brief says
    assert join(both, with_("bands")) == [minutes("Mon", 20)]
    assert join([without("dumbbells", "home")], with_("dumbbells")) == []
    assert join([without("dumbbell_shrug")], with_("dumbbell_shrug")) == []
    assert join([], without("barbell")) == []  # no gym has one
    assert join([], with_("barbell", "home"), without("bands", "club")) == [with_("barbell", "home")]
    assert join([with_("barbell", "home")], without("barbell")) == []
    assert join([without("dumbbells")], with_("dumbbells", "home")) == [
        without("dumbbells"),
        with_("dumbbells", "home"),
    ]


THINGS = st.sampled_from(["dumbbells", "bands", "cable_station", "rear_fly_machine", "dumbbell_shrug"])


@given(st.lists(THINGS, max_size=4), st.permutations(["Mon", "Wed", "Fri"]))
def test_whatever_is_taken_away_comes_back(things: list[str], days: list[str]) -> None:
    library: Library = LIBRARY
    brief = Brief.model_validate(
        {"athlete": {"name": "K"}, "session": [{"day": day, "minutes": 30, "gym": "club"} for day in days]}
    )
    gyms = {
        "club": Gym.model_validate({"equipment": ["dumbbells", "bands", "cable_station"]}),
        "home": Gym.model_validate({"equipment": ["dumbbells"]}),
    }
    away = joined((), [without(thing) for thing in dict.fromkeys(things)], brief, gyms, library)
    away = joined(away, [minutes(days[0], 20)], brief, gyms, library)
    back = [*(with_(change.name) for change in away if change.kind == "without"), minutes(days[0], 30)]
    assert joined(away, back, brief, gyms, library) == ()
