"""The renderer's import: brew's libraries are found on a Mac, and nothing reaches the standard output."""

import os
import sys

import pytest

from planner.sheets import renderer_import as importing


@pytest.fixture
def mac(monkeypatch):
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setenv("HOMEBREW_PREFIX", "")
    monkeypatch.setenv(importing.SEARCH_PATH, "")  # set, so that it is put back afterwards
    return monkeypatch


def test_the_search_by_name_finds_a_library_in_brews_folder(mac, tmp_path):
    dyld = pytest.importorskip(
        "ctypes.macholib.dyld", reason="some Linux distributions leave macOS's search out"
    )
    library = tmp_path / "lib" / "libpango-1.0.dylib"
    library.parent.mkdir()
    library.touch()
    mac.setenv("HOMEBREW_PREFIX", str(tmp_path))
    with pytest.raises(ValueError, match="could not be found"):
        dyld.dyld_find(library.name)
    with importing.renderer_import():
        assert dyld.dyld_find(library.name) == str(library)


def test_folders_that_the_user_named_stay_first(mac):
    mac.setenv(importing.SEARCH_PATH, "/mine:/usr/local/lib")
    with importing.renderer_import():
        pass
    assert os.environ[importing.SEARCH_PATH].split(":")[:3] == [
        "/mine",
        "/usr/local/lib",
        "/opt/homebrew/lib",
    ]


def test_elsewhere_the_environment_stays_as_it_is(monkeypatch):
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv(importing.SEARCH_PATH, raising=False)
    with importing.renderer_import():
        pass
    assert importing.SEARCH_PATH not in os.environ


def test_what_the_import_says_stays_off_the_standard_output(capsys):
    with importing.renderer_import():
        print("could not import some external libraries")
    assert capsys.readouterr().out == ""
