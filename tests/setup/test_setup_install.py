"""The set-up script's own work: the virtual environment, the locked packages, and nothing done twice."""

import shutil

import pytest

EDITABLE = "--no-deps --editable ."


def installs(room) -> list[str]:
    calls = room.called("python3")
    return [
        call.split("--disable-pip-version-check ")[1] for call in calls if call.startswith("-m pip install")
    ]


@pytest.fixture
def ready(room):
    room.python()
    room.locks()
    room.subsetter_is_here()
    return room


@pytest.mark.parametrize(
    ("kind", "lock"), [("run", "requirements.lock"), ("test", "tests/requirements.lock")]
)
def test_a_first_set_up_installs_the_hashed_lock_then_the_planner_alone(ready, kind, lock):
    ended = ready.run(kind)
    assert ended.returncode == 0, ended.stderr
    assert installs(ready) == [f"--require-hashes --requirement {lock}", EDITABLE]


def test_a_second_set_up_installs_nothing_and_says_nothing(ready):
    ready.run("run")
    before = installs(ready)
    ended = ready.run("run")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert installs(ready) == before


def test_the_test_set_up_holds_the_other_one(ready):
    ready.run("test")
    before = installs(ready)
    ready.run("run")
    assert installs(ready) == before


def test_the_run_set_up_does_not_hold_the_test_packages(ready):
    ready.run("run")
    ready.run("test")
    assert len(installs(ready)) == 4


def test_a_changed_lock_is_installed(ready):
    ready.run("run")
    ready.locks("one==1.1\n")
    ready.run("run")
    assert len(installs(ready)) == 4


def test_a_broken_set_up_starts_again(ready):
    good = (ready.bin / "python3").read_text(encoding="utf-8")
    (ready.bin / "python3").write_text(
        good + '\ncase "$*" in *--editable*) exit 1 ;; esac\n', encoding="utf-8"
    )
    assert ready.run("run").returncode != 0
    (ready.checkout / ".venv" / "bin" / "python").write_text(good, encoding="utf-8")
    assert ready.run("run").returncode == 0
    assert installs(ready)[-2:] == ["--require-hashes --requirement requirements.lock", EDITABLE]


def test_a_moved_checkout_gets_a_new_environment(ready, tmp_path):
    ready.run("run")
    moved = tmp_path / "moved"
    shutil.move(ready.checkout, moved)
    ready.checkout = moved
    assert ready.run("run").returncode == 0
    assert f"{moved}/.venv" in (moved / ".venv" / "bin" / "activate").read_text(encoding="utf-8")


def test_an_environment_whose_python_is_gone_is_made_anew(ready):
    ready.run("run")
    (ready.checkout / ".venv" / "bin" / "python").unlink()
    assert "Making .venv" in ready.run("run").stderr


@pytest.fixture
def slower(room):
    room.python()
    room.locks()
    room.manager("apt-get")
    return room


def test_root_gets_the_library_for_faster_pdfs_once(slower):
    slower.user(0)
    assert slower.run("run").returncode == 0
    slower.run("run")
    assert [call for call in slower.called("apt-get") if "libharfbuzz-subset0" in call] == [
        "install -y -q --no-install-recommends libharfbuzz-subset0"
    ]


def test_nobody_else_is_asked_for_it(slower):
    slower.user(1000)
    assert slower.run("run").returncode == 0
    assert slower.called("apt-get") == []


def test_the_set_up_goes_on_where_it_cannot_be_installed(slower):
    slower.user(0)
    slower.manager("apt-get", works=False)
    ended = slower.run("run")
    assert ended.returncode == 0
    assert "PDFs are made without it" in ended.stderr
