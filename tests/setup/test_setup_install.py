"""The set-up script's own work: the virtual environment, the locked packages, and nothing done twice."""

import shutil

import pytest

EDITABLE = "--no-deps --editable ."
RECORDINGS = "--require-hashes --no-deps --requirement tests/recordings.lock"


def installs(room):
    calls = (call for call in room.called("python3") if call.startswith("-m pip install"))
    return [call.split("--disable-pip-version-check ")[1] for call in calls]


@pytest.fixture
def ready(room):
    room.python()
    room.locks()
    room.wishes_are_here()
    return room


@pytest.mark.parametrize(
    ("kind", "lock", "then"),
    [("run", "requirements.lock", [EDITABLE]), ("test", "tests/requirements.lock", [EDITABLE, RECORDINGS])],
)
def test_a_first_set_up_installs_the_hashed_lock_then_the_planner_alone(ready, kind, lock, then):
    ended = ready.run(kind)
    assert ended.returncode == 0, ended.stderr
    assert installs(ready) == [f"--require-hashes --requirement {lock}", *then]


@pytest.mark.parametrize("kind", ["run", "test"])
def test_a_second_set_up_installs_nothing_says_nothing_and_a_changed_lock_is_installed(ready, kind):
    ready.run(kind)
    before = installs(ready)
    ended = ready.run(kind)
    assert (ended.returncode, ended.stderr) == (0, "")
    assert installs(ready) == before
    ready.locks("one==1.1\n")
    ready.run(kind)
    assert len(installs(ready)) == 2 * len(before)


def test_a_broken_set_up_starts_again(ready):
    good = (ready.bin / "python3").read_text(encoding="utf-8")
    broken = f'{good}\ncase "$*" in *--editable*) exit 1 ;; esac\n'
    (ready.bin / "python3").write_text(broken, encoding="utf-8")
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


# --- recordings that only a few tests read


def test_the_set_up_goes_on_where_the_recordings_cannot_be_had(ready):
    """A registry that has all but the recordings: pip says much, the reason among it."""
    pip = (ready.bin / "python3").read_text(encoding="utf-8")
    words = "echo WARNING: again >&2; echo ERROR: none found >&2; echo ERROR: more words >&2; exit 1"
    lacking = f'{pip}\ncase "$*" in *recordings.lock*) {words} ;; esac\n'
    (ready.bin / "python3").write_text(lacking, encoding="utf-8")
    ended = ready.run("test")
    assert ended.returncode == 0 and ended.stderr.endswith("skipped. ERROR: none found\n")
    assert not any(line in ended.stderr for line in ("WARNING: again", "ERROR: more words"))
