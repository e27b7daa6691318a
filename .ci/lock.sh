#!/bin/sh
# Writes requirements.lock and tests/requirements.lock from pyproject.toml, and tests/recordings.lock from tests/recordings.in:
# for Python 3.11 and later, Linux and macOS.
# Versions that still fit stay as they are; UPGRADE=1 takes the newest that fit. The resolver lives in a folder of its own.
set -eu
cd "$(dirname "$0")/.."
room=$(mktemp -d)
trap 'rm -rf "$room"' EXIT
"${PYTHON:-python3}" -m venv "$room/venv"
"$room/venv/bin/python" -m pip install --quiet --quiet --disable-pip-version-check uv

compile() {
    "$room/venv/bin/uv" pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url \
        --no-annotate --custom-compile-command "make lock" ${UPGRADE:+--upgrade} "$@"
}

# The test lock first: the run lock is held to its versions, so that one is part of the other.
compile --extra test --extra desk --extra room --extra cluster --output-file tests/requirements.lock pyproject.toml
compile --extra desk --constraints tests/requirements.lock --output-file requirements.lock pyproject.toml
compile --no-deps --output-file tests/recordings.lock tests/recordings.in
