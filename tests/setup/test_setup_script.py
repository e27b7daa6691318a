"""The set-up script on pretended machines: the environment, the locked packages, nothing done twice, what is missing."""

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


# --- machines that lack something: who installs, what is printed, where it stops
EVERYTHING = "venv pango fontconfig"
APT = "python3.12-venv libpango-1.0-0 libpangoft2-1.0-0 fontconfig"


def asked(room, number, lacks=EVERYTHING, manager="", **more):
    """Run the set-up as root (0) or somebody else on a machine that lacks something and has this manager."""
    room.python(lacks=lacks)
    room.user(number)
    if manager:
        room.manager(manager, **more)
    return room.run()


@pytest.mark.parametrize(("manager", "orders"), [
    ("apt-get", ["update -q", f"install -y -q --no-install-recommends {APT}"]),
    ("dnf", ["install -y -q python3 pango fontconfig"]),
    ("brew", ["install -q python@3.13 pango fontconfig"]),
])  # fmt: skip
def test_root_installs_without_sudo(room, manager, orders):
    room.pretend("sudo", "exit 1")
    ended = asked(room, 0, manager=manager)
    assert ended.returncode == 0, ended.stderr
    assert (room.called(manager), room.called("sudo")) == (orders, [])


@pytest.mark.parametrize(("manager", "commands"), [
    ("apt-get", ["sudo apt-get update -q", f"sudo apt-get install -y -q --no-install-recommends {APT}"]),
    ("dnf", ["sudo dnf install -y -q python3 pango fontconfig"]),
])  # fmt: skip
def test_without_root_and_terminal_it_prints_the_command_and_stops(room, manager, commands):
    room.pretend("sudo", "exit 0")
    ended = asked(room, 1000, manager=manager)
    assert ended.returncode == 1
    assert [line.strip() for line in ended.stderr.splitlines()[1:]] == commands
    assert room.called(manager) == room.called("sudo") == []


@pytest.mark.parametrize(("manager", "words"), [
    ({"manager": "apt-get", "works": False}, ("could not be installed",)),
    ({}, ("pango fontconfig", "WITHOUT_PDF=1")),  # none at all
])  # fmt: skip
def test_a_package_manager_that_fails_or_is_none_stops_with_a_word(room, manager, words):
    ended = asked(room, 0, "pango fontconfig", **manager)
    assert ended.returncode == 1 and all(word in ended.stderr for word in words)


@pytest.mark.parametrize("version", ["3.10", "3.15"])
def test_no_fitting_python_says_what_to_install(room, version):
    room.python(version=version)
    ended = room.run()
    said = ("apt-get install", "dnf install", "brew install", "PYTHON=")
    assert ended.returncode == 1 and all(word in ended.stderr for word in said)
