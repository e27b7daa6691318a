"""`planner roster --scheduler`: the same rows and files as here, whatever befalls a worker; nothing without a scheduler."""

import json
import os
import shutil
import signal
from contextlib import suppress

import pytest
from in_process import planner
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner.cluster import connect, packed, plan_far
from planner.kept import KEPT, PRINT, SUNDAY
from planner.roster import Task, plan_all

distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.slow
NAMES = ("Ada", "Ben")


def local_cluster(**asked):
    """Start a cluster here; on a very busy machine its own thread may not be there after the ten seconds it is given."""
    for _ in range(3):
        with suppress(AssertionError):
            return distributed.LocalCluster(**asked)
    raise TimeoutError("no cluster was started")


def make_club(folder):
    """Athletes that can be planned, one whose brief is wrong and one who waits for clearance."""
    for name in NAMES:
        make_folder(folder / name.lower(), BRIEF.replace('"Kim"', f'"{name}"'))
    make_folder(folder / "eve", BRIEF.replace("side = 8", 'side = "many"'))
    operated = "[history]\nsurgery = { date = 2026-10-01, cleared = false }"
    make_folder(folder / "fay", BRIEF.replace("[history]", operated))
    return folder


@pytest.fixture(scope="module")
def cluster():
    with local_cluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as made:
        yield made


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    return make_club(tmp_path_factory.mktemp("far") / "club")


def files_of(folder):
    """Each file by its name below the folder; the seconds that a solver took are no part of a result."""
    found = {}
    for file in folder.rglob("*"):
        if file.is_file() and file.name not in (KEPT, ".lock"):
            content = file.read_bytes()
            if file.name == "week.json":
                content = json.loads(content)
                content["proof"] = [proof | {"seconds": 0} for proof in content["proof"]]
            found[file.relative_to(folder).as_posix()] = content
    return found


def test_the_same_rows_and_files_as_here(cluster, club):
    here = planner("roster", club, "--week", WEEK, "--jobs", "1")
    files = files_of(club)
    assert {*files} >= {SUNDAY, PRINT, f"ada/weeks/{WEEK}/sheets.pdf", f"ada/weeks/{WEEK}/phone/Mon.html"}
    shutil.rmtree(club)
    make_club(club)
    far = planner("roster", club, "--week", WEEK, "--scheduler", cluster.scheduler_address)
    assert (far.returncode, far.stdout, far.stderr) == (here.returncode, here.stdout, here.stderr)
    assert far.returncode == 2
    assert files_of(club) == files


def test_it_goes_on_where_a_run_stopped(cluster, club):
    again = planner(
        "roster", club, "--week", WEEK, "--changed-only", "--scheduler", cluster.scheduler_address
    )
    assert f"{len(NAMES)} unchanged" in again.stderr


def test_a_lost_worker_loses_nothing(cluster, club):
    tasks = [Task(club / name.lower(), WEEK, TODAY, write=False) for name in 2 * NAMES]
    client = connect(cluster.scheduler_address)
    first, *_ = client.run(os.getpid).values()
    planned = []

    def kill(task, row):
        planned.append(task.folder.name)
        if len(planned) == 1:
            os.kill(first, signal.SIGKILL)

    rows = list(plan_far(client, tasks, kill))
    assert [(row.name, row.exit, bool(row.heads)) for row in rows] == [(name, 0, True) for name in 2 * NAMES]
    assert sorted(planned) == sorted(name.lower() for name in 2 * NAMES)


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
    with local_cluster(n_workers=0, dashboard_address=":0") as empty:
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
