"""`planner roster --scheduler`: the same rows and files as here, whatever befalls a worker; nothing without a scheduler."""

import contextlib
import json
import os
import shutil
import signal

import pytest
from in_process import planner
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner.cluster import connect, packed, plan_far
from planner.kept import KEPT, PRINT, SUNDAY
from planner.roster import Task, plan_all

distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.slow
NAMES = ("Ada", "Ben", "Cem", "Dan")


def make_club(folder):
    """Four athletes that can be planned, one whose brief is wrong and one who waits for clearance."""
    for name in NAMES:
        make_folder(folder / name.lower(), BRIEF.replace('"Kim"', f'"{name}"'))
    make_folder(folder / "eve", BRIEF.replace("side = 8", 'side = "many"'))
    operated = "[history]\nsurgery = { date = 2026-10-01, cleared = false }"
    make_folder(folder / "fay", BRIEF.replace("[history]", operated))
    return folder


@pytest.fixture(scope="module")
def cluster():
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as made:
        yield made


@pytest.fixture(scope="module")
def here(tmp_path_factory):
    """The club, planned on this machine."""
    folder = make_club(tmp_path_factory.mktemp("here") / "club")
    return folder, planner("roster", folder, "--week", WEEK, "--jobs", "1")


def test_the_same_rows_and_files_as_here(cluster, here, tmp_path):
    folder, ended = here
    far = make_club(tmp_path / "club")
    gone = planner("roster", far, "--week", WEEK, "--scheduler", cluster.scheduler_address)
    assert gone.returncode == ended.returncode == 2
    for stream in ("stdout", "stderr"):
        assert getattr(gone, stream).replace(str(far), "") == getattr(ended, stream).replace(str(folder), "")
    files = {
        one.relative_to(folder)
        for one in folder.rglob("*")
        if one.is_file() and one.name not in (KEPT, ".lock")
    }
    assert {
        one.relative_to(far) for one in far.rglob("*") if one.is_file() and one.name not in (KEPT, ".lock")
    } == files
    assert {*map(str, files)} >= {SUNDAY, PRINT, f"ada/weeks/{WEEK}/sheets.pdf"}
    for file in files:
        if file.name == "week.json":  # how many seconds the solver took is the one thing that differs
            one, other = (json.loads((root / file).read_text()) for root in (folder, far))
            for document in (one, other):
                for proof in document["proof"]:
                    proof["seconds"] = 0
            assert one == other
        else:
            assert (folder / file).read_bytes() == (far / file).read_bytes(), file


def test_it_goes_on_where_a_run_stopped_and_rehearses_without_a_file(cluster, here, tmp_path):
    far = make_club(tmp_path / "club")
    address = cluster.scheduler_address
    told = planner("roster", far, "--week", WEEK, "--scheduler", address, "--json")
    assert [row["exit"] for row in json.loads(told.stdout)["athletes"]] == [0, 0, 0, 0, 2, 3]
    assert not list(far.rglob("weeks"))
    shutil.copytree(here[0], far, dirs_exist_ok=True)
    again = planner("roster", far, "--week", WEEK, "--changed-only", "--scheduler", address)
    assert "4 unchanged" in again.stderr


def test_a_lost_worker_loses_nothing(cluster, tmp_path):
    far = make_club(tmp_path / "club")
    tasks = [Task(far / name.lower(), WEEK, TODAY, write=True) for name in NAMES]
    client = connect(cluster.scheduler_address)
    first, *_ = client.run(os.getpid).values()
    planned = []

    def kill(task, row):
        planned.append(task.folder.name)
        if len(planned) == 1:
            with contextlib.suppress(ProcessLookupError):
                os.kill(first, signal.SIGKILL)

    rows = list(plan_far(client, tasks, kill))
    assert [row.name for row in rows] == [*NAMES]
    assert all(
        row.exit == 0 and (far / row.name.lower() / "weeks" / WEEK / "week.json").is_file() for row in rows
    )
    assert sorted(planned) == sorted(name.lower() for name in NAMES)


def test_another_program_on_a_worker_is_refused(cluster, tmp_path, monkeypatch):
    monkeypatch.setattr("planner.cluster.program", lambda: "another")
    athlete = make_folder(tmp_path / "ada")
    (row,) = plan_far(connect(cluster.scheduler_address), [Task(athlete, WEEK, TODAY, write=True)])
    assert row.exit == 1
    assert "version" in row.error
    assert not list(tmp_path.rglob("weeks"))


def test_what_cannot_travel_is_looked_at_here(tmp_path):
    athlete = make_folder(tmp_path / "ada")
    task = Task(athlete, WEEK, TODAY, write=False)
    assert sorted(packed(task)) == ["brief.toml", "gym.toml"]
    (athlete / "log.csv").mkdir()
    assert packed(task) is None
    assert next(iter(plan_all([task], jobs=1))).exit == 2


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nobody-listens-here", "ftp://127.0.0.1:9", ""])
def test_a_scheduler_that_does_not_answer_plans_nothing(address, tmp_path):
    make_folder(tmp_path / "ada")
    ended = planner("roster", tmp_path, "--week", WEEK, "--scheduler", address)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert ended.stderr.startswith("--scheduler")
    assert {one.name for one in tmp_path.iterdir()} == {"ada"}


def test_a_scheduler_without_workers_plans_nothing(tmp_path):
    make_folder(tmp_path / "ada")
    with distributed.LocalCluster(n_workers=0, dashboard_address=None) as empty:
        ended = planner("roster", tmp_path, "--week", WEEK, "--scheduler", empty.scheduler_address)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert "workers" in ended.stderr
    assert {one.name for one in tmp_path.iterdir()} == {"ada"}


def test_without_the_extra_package_it_says_what_to_install(tmp_path, monkeypatch):
    def missing(name):
        raise ModuleNotFoundError(name="distributed")

    monkeypatch.setattr("planner.cluster.import_module", missing)
    make_folder(tmp_path / "ada")
    ended = planner("roster", tmp_path, "--week", WEEK, "--scheduler", "tcp://127.0.0.1:9")
    assert ended.returncode == 2
    assert "deltoid-planner[cluster]" in ended.stderr
