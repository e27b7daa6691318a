"""`planner desk` as a process: it listens on this computer alone and says where."""

import re
import signal
import subprocess
import sys

import httpx2 as httpx
import pytest
from folders import copy_of_demo
from in_process import planner
from killed import waited_for

DESK = [sys.executable, "-m", "planner", "desk", "--no-browser"]


@pytest.mark.slow
def test_the_address_that_is_printed_opens_the_desk(tmp_path):
    copy_of_demo(tmp_path / "demo")
    said = tmp_path / "said.txt"
    with said.open("w") as stderr:
        desk = subprocess.Popen([*DESK, str(tmp_path)], stderr=stderr, stdout=subprocess.PIPE, text=True)
    try:
        waited_for(lambda: said.read_text().count("\n") >= 2, "the desk's address")
        address = re.search(r"http://127\.0\.0\.1:\d+/open/\S+", said.read_text())
        assert address, said.read_text()
        root = address[0].split("/open/")[0]
        assert httpx.get(root, timeout=60).status_code == 403
        with httpx.Client(timeout=60) as browser:
            assert browser.get(address[0]).status_code == 200
            assert "Robin Vale" in browser.get(root).text
        desk.send_signal(signal.SIGINT)
        assert desk.communicate(timeout=60)[0] == "" and "Traceback" not in said.read_text()
    finally:
        desk.kill()


@pytest.mark.parametrize(
    ("words", "says"), [(["none"], "none"), ([".", "--port", "80"], "80"), ([".", "--port", "many"], "many")]
)
def test_a_folder_that_is_not_there_and_a_port_that_cannot_be_are_told(tmp_path, words, says):
    told = planner("desk", "--no-browser", *words, home=tmp_path)
    assert told.returncode == 2 and says in told.stderr
