"""Writing a file so that a reader sees the old one or the new one, never half of one."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from library.errors import Fault, FaultyInput

PLAIN_FILE = 0o644


def write_safely(file: Path, text: str) -> None:
    """Write UTF-8 text beside the file, flush it to the disk and rename it into place.

    Raises FaultyInput where the folder cannot be written.
    """
    try:
        handle, beside = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.")
    except OSError as error:
        raise _cannot(file, error) from error
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        # a file made by mkstemp is its owner's alone; a library is read by others
        Path(beside).chmod(PLAIN_FILE)
        Path(beside).replace(file)
    except OSError as error:
        Path(beside).unlink(missing_ok=True)
        raise _cannot(file, error) from error


def _cannot(file: Path, error: OSError) -> FaultyInput:
    return FaultyInput(
        [Fault(file, "", f"cannot be written ({error.strerror})", "Name a folder that can be")]
    )
