"""`planner roster --scheduler`: the same rows and files as here, whatever befalls a worker; nothing without a scheduler."""

import re
import shutil
import signal
import socket
import threading
from importlib.util import find_spec
from types import SimpleNamespace

import pytest
from dask_processes import cluster
from folders import contents
from in_process import planner
from small_athlete import BRIEF, TODAY, WEEK, make_folder

from planner.cluster import connect, packed, plan_far
from planner.kept import PRINT, SUNDAY
from planner.roster import Task, plan_all

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not find_spec("distributed"), reason="no extra `cluster`")]
NAMES = ("Ada", "Ben")
ONE_DAY = re.sub(r'\[\[session\]\]\nday = "(Wed|Fri)".*?\n\n', "", BRIEF, flags=re.DOTALL)


def make_club(folder, names=NAMES):
    """Athletes that can be planned, one whose brief is wrong and one who waits for clearance."""
    for name in names:
        make_folder(folder / name.lower(), ONE_DAY.replace('"Kim"', f'"{name}"'))
    make_folder(folder / "eve", BRIEF.replace("side = 8", 'side = "many"'))
    operated = "[history]\nsurgery = { date = 2026-10-01, cleared = false }"
    make_folder(folder / "fay", BRIEF.replace("[history]", operated))
    return folder


@pytest.fixture(scope="module")
def two(tmp_path_factory):
    """The address of a scheduler with two workers, and all three processes."""
    with cluster(tmp_path_factory.mktemp("two"), workers=2) as made:
        yield made


def test_the_same_rows_and_files_as_here_and_it_goes_on_where_a_run_stopped(two, tmp_path):
    club = make_club(tmp_path / "club", NAMES[:1])
    here = planner("roster", club, "--week", WEEK, "--jobs", "1")
    files = contents(club)
    assert {*files} >= {SUNDAY, PRINT, f"ada/weeks/{WEEK}/sheets.pdf", f"ada/weeks/{WEEK}/phone/Mon.html"}
    shutil.rmtree(club)
    make_club(club, NAMES[:1])
    on_it = ("roster", club, "--week", WEEK, "--scheduler", two[0])
    far = planner(*on_it)
    assert (far.returncode, far.stdout, far.stderr) == (here.returncode, here.stdout, here.stderr)
    assert far.returncode == 2
    assert contents(club) == files
    assert "1 unchanged" in planner(*on_it, "--changed-only").stderr


@pytest.fixture
def tasks(tmp_path):
    make_club(tmp_path / "club")
    return [Task(tmp_path / "club" / name.lower(), WEEK, TODAY, write=False) for name in 2 * NAMES]


def soon_given_up(monkeypatch):
    """A second is long enough for nobody to answer."""
    monkeypatch.setattr("planner.cluster.FOLDER", SimpleNamespace(scheduler_seconds=1.0, cluster_seconds=1.0))


def not_planned(rows):
    """Every athlete has a row that says that the cluster did not plan."""
    said = [row.exit == 1 and "on the cluster" in row.error for row in rows]
    return len(said) == 2 * len(NAMES) and all(said)


@pytest.mark.parametrize("who", [slice(1), slice(1, None)], ids=["scheduler", "workers"])
def test_a_cluster_that_hangs_ends_in_a_message(who, two, tasks, monkeypatch):
    address, processes = two
    client, at_once = connect(address)
    soon_given_up(monkeypatch)
    for process in processes[who]:
        process.send_signal(signal.SIGSTOP)
    try:
        assert not_planned(plan_far(client, at_once, tasks))
    finally:
        for process in processes[who]:
            process.send_signal(signal.SIGCONT)


def test_another_program_on_a_worker_is_refused(two, tmp_path, monkeypatch):
    monkeypatch.setattr("planner.cluster.program", lambda: "another")
    athlete = make_folder(tmp_path / "ada")
    (row,) = plan_far(*connect(two[0]), [Task(athlete, WEEK, TODAY, write=True)])
    assert row.exit == 1
    assert "version" in row.error
    assert not list(tmp_path.rglob("weeks"))


def test_a_lost_worker_loses_nothing_and_a_lost_scheduler_ends_in_a_message(two, tasks, monkeypatch):
    """The last one that needs both."""
    planned, (address, (scheduler, first, _)) = [], two

    def kill(task, row):
        planned.append(task.folder.name)
        first.kill()

    rows = list(plan_far(*connect(address), tasks, kill))
    assert [(row.name, row.exit, bool(row.heads)) for row in rows] == [(name, 0, True) for name in 2 * NAMES]
    assert sorted(planned) == sorted(name.lower() for name in 2 * NAMES)
    client, at_once = connect(address)
    soon_given_up(monkeypatch)
    scheduler.kill()
    assert not_planned(plan_far(client, at_once, tasks))


def test_what_cannot_travel_is_looked_at_here(tmp_path):
    athlete = make_folder(tmp_path / "ada")
    task = Task(athlete, WEEK, TODAY, write=False)
    assert sorted(packed(task)) == ["brief.toml", "gym.toml"]
    (athlete / "log.csv").mkdir()
    assert packed(task) is None
    assert next(iter(plan_all([task], jobs=1))).exit == 2


def refused(folder, address):
    """Give what is said of a scheduler with which nothing is planned."""
    make_folder(folder / "club" / "ada")
    ended = planner("roster", folder / "club", "--week", WEEK, "--scheduler", address)
    assert (ended.returncode, ended.stdout) == (2, "") and ended.stderr.startswith("--scheduler")
    assert {one.name for one in (folder / "club").iterdir()} == {"ada"}
    return ended.stderr


ADDRESSES = ("tcp://127.0.0.1:9", "nobody-listens-here", "ftp://127.0.0.1:9", "tcp://[::1", "")


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_scheduler_that_does_not_answer_plans_nothing(address, tmp_path, monkeypatch):
    soon_given_up(monkeypatch)
    assert address in refused(tmp_path, address)


@pytest.mark.parametrize("words", [b"HTTP/1.1 400 Bad Request\r\n\r\n", b""])
def test_what_answers_but_is_no_scheduler_plans_nothing(words, tmp_path, monkeypatch):
    soon_given_up(monkeypatch)
    with socket.create_server(("127.0.0.1", 0)) as other:
        address = "tcp://{}:{}".format(*other.getsockname())
        threading.Thread(target=lambda: other.accept()[0].sendall(words), daemon=True).start()
        assert address in refused(tmp_path, address)


def test_without_workers_or_the_extra_package_nothing_is_planned(tmp_path, monkeypatch):
    with cluster(tmp_path, workers=0) as (address, _):
        assert "workers" in refused(tmp_path, address)
    monkeypatch.setattr("planner.cluster.find_spec", lambda _: None)
    assert "deltoid-planner[cluster]" in refused(tmp_path, ADDRESSES[0])
