"""`planner desk` as a process: it listens on this computer alone and says where."""

import re
import signal
import subprocess
import sys

import httpx2 as httpx
import pytest
from desk_client import address_of
from folders import copy_of_demo
from in_process import planner

DESK = [sys.executable, "-m", "planner", "desk", "--no-browser"]


@pytest.mark.slow
def test_the_address_that_is_printed_opens_the_desk(tmp_path):
    copy_of_demo(tmp_path / "demo")
    desk = subprocess.Popen([*DESK, str(tmp_path)], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    try:
        address = address_of(desk)
        root = re.fullmatch(r"(http://127\.0\.0\.1:\d+)/open/\S+", address)[1]
        assert httpx.get(root, timeout=60).status_code == 403
        with httpx.Client(timeout=60) as browser:
            assert browser.get(address).status_code == 200
            assert "Robin Vale" in browser.get(root).text
        desk.send_signal(signal.SIGINT)
        out, err = desk.communicate(timeout=60)
        assert out == "" and "Traceback" not in err
    finally:
        desk.kill()


@pytest.mark.parametrize(
    ("words", "says"), [(["none"], "none"), ([".", "--port", "80"], "80"), ([".", "--port", "many"], "many")]
)
def test_a_folder_that_is_not_there_and_a_port_that_cannot_be_are_told(tmp_path, words, says):
    told = planner("desk", "--no-browser", *words, home=tmp_path)
    assert told.returncode == 2 and says in told.stderr
