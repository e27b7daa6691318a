"""The set-up script on machines that lack something: who installs, what is printed, where it stops."""

import pytest

EVERYTHING = "venv pango fontconfig"
APT = "python3.12-venv libpango-1.0-0 libpangoft2-1.0-0 fontconfig"


def test_nothing_missing_does_nothing(room):
    room.python()
    room.user(0)
    room.manager("apt-get")
    ended = room.run()
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, "", "")
    assert room.called("apt-get") == []


@pytest.mark.parametrize(
    ("manager", "orders"),
    [
        ("apt-get", ["update -q", f"install -y -q --no-install-recommends {APT}"]),
        ("dnf", ["install -y -q python3 pango fontconfig"]),
        ("brew", ["install -q python@3.13 pango fontconfig"]),
    ],
)
def test_root_installs_without_sudo(room, manager, orders):
    room.python(lacks=EVERYTHING)
    room.user(0)
    room.manager(manager)
    room.pretend("sudo", "exit 1")
    ended = room.run()
    assert ended.returncode == 0, ended.stderr
    assert room.called(manager) == orders
    assert room.called("sudo") == []


@pytest.mark.parametrize(
    ("manager", "commands"),
    [
        ("apt-get", ["sudo apt-get update -q", f"sudo apt-get install -y -q --no-install-recommends {APT}"]),
        ("dnf", ["sudo dnf install -y -q python3 pango fontconfig"]),
    ],
)
def test_without_root_and_terminal_it_prints_the_command_and_stops(room, manager, commands):
    room.python(lacks=EVERYTHING)
    room.user(1000)
    room.manager(manager)
    room.pretend("sudo", "exit 0")
    ended = room.run()
    assert ended.returncode == 1
    assert [line.strip() for line in ended.stderr.splitlines()[1:]] == commands
    assert room.called(manager) == []
    assert room.called("sudo") == []


def test_brew_needs_no_root(room):
    room.python(lacks="pango")
    room.user(501)
    room.manager("brew")
    assert room.run().returncode == 0
    assert room.called("brew") == ["install -q pango"]


def test_only_what_is_missing_is_installed(room):
    room.python(lacks="fontconfig")
    room.user(0)
    room.manager("apt-get")
    assert room.run().returncode == 0
    assert room.called("apt-get")[1] == "install -y -q --no-install-recommends fontconfig"


def test_a_failing_package_manager_stops_with_a_word(room):
    room.python(lacks="pango")
    room.user(0)
    room.manager("apt-get", works=False)
    ended = room.run()
    assert ended.returncode == 1
    assert "could not be installed" in ended.stderr


def test_no_package_manager_names_what_is_missing_and_the_way_without_pdfs(room):
    room.python(lacks="pango fontconfig")
    room.user(0)
    ended = room.run()
    assert ended.returncode == 1
    assert "pango fontconfig" in ended.stderr
    assert "WITHOUT_PDF=1" in ended.stderr


def test_without_pdf_only_the_virtual_environment_is_asked_for(room):
    room.python()
    room.run(WITHOUT_PDF="1")
    assert [call.split(".ci/")[1] for call in room.called("python3") if "probe" in call] == ["probe.py venv"]


def test_the_first_fitting_python_is_taken(room):
    room.python("python3", version="3.9")
    room.python("python3.13", version="3.13", lacks="venv")
    room.user(0)
    room.manager("apt-get")
    assert room.run().returncode == 0
    assert room.called("apt-get")[1].endswith(" python3.13-venv")


@pytest.mark.parametrize("version", ["3.9", "3.10", "3.15"])
def test_no_fitting_python_says_what_to_install(room, version):
    room.python(version=version)
    ended = room.run()
    assert ended.returncode == 1
    for word in ("apt-get install", "dnf install", "brew install", "PYTHON="):
        assert word in ended.stderr


def test_a_named_python_that_does_not_fit_is_refused(room):
    room.python()
    room.python("old", version="3.8")
    ended = room.run(PYTHON="old")
    assert ended.returncode == 1
    assert "PYTHON=old" in ended.stderr


def test_an_unknown_word_is_refused_with_the_known_ones(room):
    ended = room.run("everything")
    assert ended.returncode == 1
    assert "run|test|system" in ended.stderr


def test_the_library_for_faster_pdfs_comes_along_where_the_release_has_it(room):
    room.python(lacks="pango")
    room.user(0)
    room.manager("apt-get")
    room.pretend("apt-cache", "exit 0")
    assert room.run().returncode == 0
    assert room.called("apt-get")[1].endswith(" libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0")
