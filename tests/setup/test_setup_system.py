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
    assert room.called(manager) == orders
    assert room.called("sudo") == []


@pytest.mark.parametrize(("manager", "commands"), [
    ("apt-get", ["sudo apt-get update -q", f"sudo apt-get install -y -q --no-install-recommends {APT}"]),
    ("dnf", ["sudo dnf install -y -q python3 pango fontconfig"]),
])  # fmt: skip
def test_without_root_and_terminal_it_prints_the_command_and_stops(room, manager, commands):
    room.pretend("sudo", "exit 0")
    ended = asked(room, 1000, manager=manager)
    assert ended.returncode == 1
    assert [line.strip() for line in ended.stderr.splitlines()[1:]] == commands
    assert room.called(manager) == []
    assert room.called("sudo") == []


def test_a_failing_package_manager_stops_with_a_word(room):
    ended = asked(room, 0, "pango", "apt-get", works=False)
    assert ended.returncode == 1
    assert "could not be installed" in ended.stderr


def test_no_package_manager_names_what_is_missing_and_the_way_without_pdfs(room):
    ended = asked(room, 0, "pango fontconfig")
    assert ended.returncode == 1
    assert "pango fontconfig" in ended.stderr
    assert "WITHOUT_PDF=1" in ended.stderr


@pytest.mark.parametrize("version", ["3.10", "3.15"])
def test_no_fitting_python_says_what_to_install(room, version):
    room.python(version=version)
    ended = room.run()
    assert ended.returncode == 1
    for word in ("apt-get install", "dnf install", "brew install", "PYTHON="):
        assert word in ended.stderr
