"""`planner desk` as a process: it listens on this computer alone and says where."""

import re
import signal
import subprocess
import sys

import httpx2 as httpx
import pytest
from folders import copy_of_demo

DESK = [sys.executable, "-m", "planner", "desk", "--no-browser"]


@pytest.mark.slow
def test_the_address_that_is_printed_opens_the_desk(tmp_path):
    copy_of_demo(tmp_path / "demo")
    with subprocess.Popen(
        [*DESK, str(tmp_path)], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as desk:
        try:
            assert desk.stderr
            said = desk.stderr.readline() + desk.stderr.readline()
            address = re.search(r"http://127\.0\.0\.1:\d+/open/\S+", said)
            assert address, said
            root = address[0].split("/open/")[0]
            assert httpx.get(root).status_code == 403
            with httpx.Client() as browser:
                assert browser.get(address[0]).status_code == 200
                assert "Robin Vale" in browser.get(root).text
        finally:
            desk.send_signal(signal.SIGINT)
        assert desk.stdout and desk.stdout.read() == ""
        assert "Traceback" not in desk.stderr.read()


def test_a_folder_that_is_not_there_is_told(tmp_path):
    done = subprocess.run([*DESK, str(tmp_path / "none")], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "none" in done.stderr


@pytest.mark.parametrize("port", ["80", "many"])
def test_a_port_that_cannot_be_is_told(tmp_path, port):
    done = subprocess.run([*DESK, str(tmp_path), "--port", port], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and port in done.stderr
