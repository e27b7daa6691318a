"""A room with pretended system commands: the set-up script can be tried without installing anything."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from folders import ROOT

# a virtual environment as far as the script looks at it: its Python notes its calls where the room's does
VENV = 'mkdir -p .venv/bin; echo "VIRTUAL_ENV=\'$PWD/.venv\'" >.venv/bin/activate; cp "$0" .venv/bin/python'
TOOLS = ("sh", "dirname", "tr", "sed", "grep", "cat", "cksum", "env", "mkdir", "rm", "touch", "cp")


class Room:
    """A copy of the set-up script whose PATH holds a few plain tools and the commands pretended here."""

    def __init__(self, folder):
        self.checkout = folder / "a checkout"
        self.bin = folder / "bin"
        self.calls = folder / "calls"
        self.bin.mkdir(parents=True)
        shutil.copytree(ROOT / ".ci", self.checkout / ".ci")
        for name in TOOLS:
            (self.bin / name).symlink_to(str(shutil.which(name)))

    def pretend(self, name, script):
        """Put a command on the PATH that notes how it was called, then runs `script`."""
        file = self.bin / name
        file.write_text(f'#!/bin/sh\necho "{name} $*" >>"{self.calls}"\n{script}\n', encoding="utf-8")
        file.chmod(0o755)

    def python(self, name="python3", version="3.12", lacks=""):
        """Pretend a Python of some version; the probe finds `lacks` missing until something is installed."""
        minor = version.split(".")[1]
        self.pretend(
            name,
            f"""case "$*" in
            *'probe.py subsetter') [ -e "{self.calls}.subsetter" ] || echo subsetter; exit 0 ;;
            *probe.py*) [ -e "{self.calls}.installed" ] || printf '%s\\n' {lacks}; exit 0 ;;
            *'<= (3, 14)'*) [ 11 -le {minor} ] && [ {minor} -le 14 ]; exit ;;
            *'python%d.%d-venv'*) echo python{version}-venv; exit ;;
            "-m venv .venv") {VENV} ;;
            esac""",
        )

    def wishes_are_here(self):
        """Pretend that the library which makes PDFs faster and the browser of the tests are installed."""
        Path(f"{self.calls}.subsetter").touch()
        self.pretend("chromium", "")

    def user(self, number):
        self.pretend("id", f"echo {number}")

    def manager(self, name, *, works=True):
        """Pretend a package manager that installs whatever is asked for, or fails."""
        self.pretend(name, f'touch "{self.calls}.installed"' if works else "exit 100")

    def locks(self, text="one==1.0\n"):
        """Put a project file and the three lock files into the checkout."""
        (self.checkout / "tests").mkdir(exist_ok=True)
        locks = ("requirements.lock", "tests/requirements.lock", "tests/recordings.lock")
        for name in ("pyproject.toml", *locks):
            (self.checkout / name).write_text(text, encoding="utf-8")

    def run(self, kind="system", **environment):
        command = ["sh", str(self.checkout / ".ci" / "setup.sh"), kind]
        env = {"PATH": str(self.bin), **environment}
        return subprocess.run(command, env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True)

    def called(self, name):
        lines = self.calls.read_text(encoding="utf-8").splitlines() if self.calls.exists() else []
        return [line.removeprefix(f"{name} ") for line in lines if line.startswith(f"{name} ")]


@pytest.fixture
def room(tmp_path):
    if os.name != "posix":
        pytest.skip("the set-up script is for Linux and macOS")
    return Room(tmp_path)
