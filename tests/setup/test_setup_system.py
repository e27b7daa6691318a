"""The set-up script on machines that lack something: who installs, what is printed, where it stops."""

import pytest

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
